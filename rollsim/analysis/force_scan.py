"""Root mean square and greatest value of force channels, whole and by blocks of time."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rollsim.analysis.reduction import block_edges

#: Rows that are turned into double precision at once: they stay in the cache.
_PIECE = 2048


@dataclass(frozen=True)
class ForceScan:
    """Force statistics of many contacts.

    Attributes
    ----------
    maximum, rms : ndarray (contacts,), N
        Greatest force and root mean square force of each contact.
    block_maximum, block_rms : ndarray (blocks,), N
        The same for all contacts together, by blocks of time.
    largest : tuple of int or None
        Sample and contact number of the greatest force; None where no force acts.
    """

    maximum: np.ndarray
    rms: np.ndarray
    block_maximum: np.ndarray
    block_rms: np.ndarray
    largest: tuple[int, int] | None


def scan_forces(sampled: np.ndarray, peak: np.ndarray, blocks: int) -> ForceScan:
    """Scan the sampled force and the force maximum of each sampling interval.

    Parameters
    ----------
    sampled : ndarray (time, contacts), N
        Force at the sampling instants.
    peak : ndarray (time, contacts), N
        Greatest force within each sampling interval.
    blocks : int
        Number of blocks of time.

    Returns
    -------
    ForceScan
    """
    edges = block_edges(len(sampled), blocks)
    parts = [slice(a, b) for a, b in pairwise(edges)]
    squares = np.array([_squares(sampled[part]) for part in parts])
    highest = np.array([peak[part].max(axis=0) for part in parts], dtype=float)
    maximum = highest.max(axis=0)
    largest = None
    if maximum.max(initial=0.0) > 0.0:
        contact = int(maximum.argmax())
        largest = (int(np.argmax(peak[:, contact])), contact)
    return ForceScan(
        maximum=maximum,
        rms=np.sqrt(squares.sum(axis=0) / len(sampled)),
        block_maximum=highest.max(axis=1),
        block_rms=np.sqrt(squares.sum(axis=1) / (np.diff(edges) * sampled.shape[1])),
        largest=largest,
    )


def _squares(values: np.ndarray) -> np.ndarray:
    """Sum of squares of each column, in double precision whatever that of the values."""
    total = np.zeros(values.shape[1])
    for first in range(0, len(values), _PIECE):
        piece = values[first : first + _PIECE].astype(float, copy=False)
        total += np.einsum("tc,tc->c", piece, piece)
    return total
