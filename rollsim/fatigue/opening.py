"""Factor on the loads up to which a preloaded joint stays as it was tightened."""

from __future__ import annotations

import numpy as np

from rollsim.fatigue.recovered import ForceSource
from rollsim.structure.recovery import StaticRecovery


def scales_exactly(recovery: StaticRecovery) -> bool:
    """Whether stress grows in proportion to the loads whatever opens.

    Without preload the contact of cover and bar ends has no length and no force of its own: k times
    the loads leave the same springs open, k times as far.

    Parameters
    ----------
    recovery : StaticRecovery
        Of the cage.

    Returns
    -------
    bool
    """
    return not np.any(recovery.tightened_opening)


def opening_factors(source: ForceSource) -> np.ndarray:
    """Least factor on the loads at which a spring of the interface opens, for every block.

    Up to it nothing but the bonded, linear cage answers, so that stress is proportional to the
    loads. It is exact: opening of a spring = opening by the preload (negative, pressed) + factor
    times opening by the loads.

    Parameters
    ----------
    source : ForceSource
        Loads of the history.

    Returns
    -------
    ndarray, (blocks,)
        Infinite where nothing opens at any load; 0 where the preload itself leaves a spring open.
    """
    faces = source.recovery.interface.faces
    real = np.any(faces.products != 0.0, axis=1)
    held = _gaps(faces.shapes, source.recovery.tightened_opening[None])[0][real]
    blocks = len(source.parts)
    if np.any(held > 0.0):
        return np.zeros(blocks)
    found = np.full(blocks, np.inf)
    for block in range(blocks):
        most = np.zeros(held.shape)
        for loads, vibration in source.load_pieces(block):
            gaps = _gaps(faces.shapes, source.opening(loads, vibration))
            most = np.maximum(most, gaps.max(axis=0)[real])
        parting = most > 0.0
        found[block] = np.min(-held[parting] / most[parting], initial=np.inf)
    return found


def _gaps(shapes: np.ndarray, numbers: np.ndarray) -> np.ndarray:
    """Openings of all springs (instants, pairs, springs) from the three numbers of every pair."""
    own = numbers.reshape(len(numbers), len(shapes), -1).transpose(1, 0, 2)
    return np.matmul(own, shapes).transpose(1, 0, 2)
