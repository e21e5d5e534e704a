"""Extremes of a long channel by blocks, read piece by piece so that memory stays small."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rollsim.analysis.reduction import Blocks, block_edges
from rollsim.history.worked_out import once_a_history

#: Samples that are read at once.
CHUNK = 20_000
#: Chosen samples that are further apart are read one by one.
_FAR = 200


@once_a_history
def chunked_min_max(
    history,
    name: str,
    blocks: int,
    group: str = "history",
    change: Callable[[np.ndarray], np.ndarray] | None = None,
) -> Blocks:
    """Smallest and largest values of a channel in equal blocks of samples.

    Parameters
    ----------
    history : History
        Opened history file.
    name : str
        Channel.
    blocks : int
        Wanted number of blocks.
    group : str
        "history" or "peak".
    change : callable or None
        Turns rows of the channel into what is reduced, row by row.

    Returns
    -------
    Blocks
        Blocks that hold values that are not numbers show NaN there.
    """
    edges = block_edges(len(history.time), blocks)
    # Whole blocks a piece: equal to a reduction of the whole channel.
    step = max(1, int(CHUNK * (len(edges) - 1) // max(1, edges[-1])))
    low, high = [], []
    for first in range(0, len(edges) - 1, step):
        own = edges[first : first + step + 1]
        rows = history.rows(name, int(own[0]), int(own[-1]), group)
        rows = rows if change is None else change(rows)
        low.append(np.minimum.reduceat(rows, own[:-1] - own[0], axis=0))
        high.append(np.maximum.reduceat(rows, own[:-1] - own[0], axis=0))
    return Blocks(edges, np.concatenate(low), np.concatenate(high))


def rows_at(history, name: str, samples: np.ndarray, group: str = "history") -> np.ndarray:
    """Chosen rows of a channel; a file is read by stretches, never as a whole.

    Parameters
    ----------
    history : History
        Opened history file.
    name : str
        Channel.
    samples : ndarray of int
        Numbers of the samples, in any order.
    group : str
        "history" or "peak".

    Returns
    -------
    ndarray
        One row a number.
    """
    order = np.unique(samples)
    breaks = np.flatnonzero(np.diff(order) > _FAR) + 1
    parts = []
    for own in np.split(order, breaks):
        rows = history.rows(name, int(own[0]), int(own[-1]) + 1, group)
        parts.append(rows[own - own[0]])
    return np.concatenate(parts)[np.searchsorted(order, samples)]
