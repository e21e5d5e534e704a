"""Shortening a long series without losing its peaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: Numbers that are enough for a percentile: their share scatters by less than 0.0005.
_ENOUGH = 1_000_000


@dataclass(frozen=True)
class Blocks:
    """Smallest and largest value of equal stretches of a series.

    Attributes
    ----------
    edges : ndarray (n + 1,)
        Sample numbers at which the blocks begin, and the end.
    low, high : ndarray (n, ...)
        Smallest and largest value in each block, unit of the series.
    """

    edges: np.ndarray
    low: np.ndarray
    high: np.ndarray

    @property
    def samples_per_block(self) -> float:
        """Mean number of samples in a block."""
        return float(self.edges[-1] / max(1, len(self.low)))


def block_edges(samples: int, blocks: int) -> np.ndarray:
    """Return the first sample of each block, and the end, for nearly equal blocks.

    Parameters
    ----------
    samples : int
        Length of the series, at least 1.
    blocks : int
        Wanted number of blocks; never more than there are samples.

    Returns
    -------
    ndarray of int

    Examples
    --------
    >>> block_edges(10, 4).tolist()
    [0, 2, 5, 8, 10]
    """
    blocks = max(1, min(blocks, samples))
    return np.rint(np.linspace(0, samples, blocks + 1)).astype(np.int64)


def block_min_max(values: np.ndarray, blocks: int) -> Blocks:
    """Reduce a series to the extremes of blocks along its first axis.

    The largest and the smallest value of the whole series are always kept.

    Parameters
    ----------
    values : ndarray (samples, ...)
        Series without NaN.
    blocks : int
        Wanted number of blocks.

    Returns
    -------
    Blocks
    """
    edges = block_edges(len(values), blocks)
    low = np.minimum.reduceat(values, edges[:-1], axis=0)
    high = np.maximum.reduceat(values, edges[:-1], axis=0)
    return Blocks(edges, low, high)


def thinned(values: np.ndarray) -> np.ndarray:
    """Every n-th row of a long series, for percentiles that no peak decides.

    Parameters
    ----------
    values : ndarray (samples, ...)
        Series.

    Returns
    -------
    ndarray
        As it is up to two million numbers; else so many rows that a million are left at least.
    """
    return values[:: max(1, values.size // _ENOUGH)] if values.size > 2 * _ENOUGH else values
