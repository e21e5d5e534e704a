"""Extremes of slip in short blocks of time, so that a picture of a long run keeps its peaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.reduction import block_min_max

#: One block is about two pixels wide, so no extreme is lost in a drawing.
BLOCKS = 250


@dataclass(frozen=True)
class SlipBands:
    """Least and greatest slip of every block; NaN where it is not known.

    Attributes
    ----------
    edges : ndarray (blocks + 1,), s
        Where the blocks begin, and the end.
    cage : ndarray (2, blocks)
        Least and greatest slip of the cage.
    spin : ndarray (2, blocks)
        Least and greatest slip of the spin of the rollers in the load zone.
    samples_per_block : float
        Samples of a block.
    """

    edges: np.ndarray
    cage: np.ndarray
    spin: np.ndarray
    samples_per_block: float


def slip_bands(
    time: np.ndarray, cage: np.ndarray, spin: np.ndarray, loaded: np.ndarray
) -> SlipBands:
    """Reduce the slip of a run to the extremes of blocks.

    Parameters
    ----------
    time : ndarray (time,), s
    cage : ndarray (time,)
        Slip of the cage; NaN where it is not known.
    spin : ndarray (time, roller)
        Slip of the spin; NaN where it is not known.
    loaded : ndarray of bool (time, roller)
        Rollers in the load zone.

    Returns
    -------
    SlipBands
    """
    around = _extremes(cage[:, None], np.isfinite(cage)[:, None])
    spins = _extremes(spin, loaded & np.isfinite(spin))
    blocks = block_min_max(time, BLOCKS)
    edges = np.append(time, time[-1])[blocks.edges]
    return SlipBands(edges, around, spins, blocks.samples_per_block)


def _extremes(slip: np.ndarray, chosen: np.ndarray) -> np.ndarray:
    """Extremes of the chosen values by blocks; NaN where none is chosen."""
    low = block_min_max(np.where(chosen, slip, np.inf).min(axis=1), BLOCKS).low
    high = block_min_max(np.where(chosen, slip, -np.inf).max(axis=1), BLOCKS).high
    known = np.isfinite(low) & np.isfinite(high)
    return np.where(known, [low, high], np.nan)
