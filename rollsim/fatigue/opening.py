"""Factor on the loads up to which a preloaded joint stays as it was tightened."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rollsim.fatigue.recovered import ForceSource
from rollsim.structure.recovery import StaticRecovery

#: Stands for a spring that the preload does not press at all, m.
_LEAST = 1e-300


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
    found = np.full(len(source.parts), np.inf)
    for block in range(len(found)):
        for factors in opening_pieces(source, block):
            found[block] = min(found[block], factors.min(initial=np.inf))
    return found


def opening_pieces(source: ForceSource, block: int) -> Iterator[np.ndarray]:
    """Factor on the loads that opens the first spring, for every state of a block.

    Parameters
    ----------
    source : ForceSource
        Loads of the history.
    block : int
        Number of the block.

    Yields
    ------
    ndarray, (3 samples,)
        As from `Springs.opening_factor`, in the pieces of the source.
    """
    springs = Springs(source.recovery)
    return source.kept.through(
        ("opens", source.modal is not None, *source.span(block)),
        lambda: map(springs.opening_factor, source.openings(block)),
    )


class Springs:
    """Springs of an interface, for the question which factor opens the first of them.

    Parameters
    ----------
    recovery : StaticRecovery
        Of the cage.
    """

    def __init__(self, recovery: StaticRecovery) -> None:
        faces = recovery.interface.faces
        real = np.any(faces.products != 0.0, axis=1)
        held = -_gaps(recovery.tightened_opening[None], faces.shapes)[:, 0]
        self._open = bool(np.any(held[real] < 0.0))
        # What a spring opens by, over what the preload presses it together by.
        softness = np.where(real, 1.0 / np.maximum(held, _LEAST), 0.0)
        self._shares = faces.shapes * softness[:, None]

    def opening_factor(self, opening: np.ndarray) -> np.ndarray:
        """Factor on the loads that opens the first spring, for every instant.

        Parameters
        ----------
        opening : ndarray, (instants, 3 pairs), m
            Of the bonded interface by the loads as they are, without preload.

        Returns
        -------
        ndarray, (instants,)
            Infinite where nothing opens at any load; 0 where the preload itself leaves a spring
            open.
        """
        if self._open or not self._shares.size:
            return np.full(len(opening), 0.0 if self._open else np.inf)
        worst = _gaps(opening, self._shares).max(axis=(0, 2))
        return np.divide(1.0, worst, out=np.full(len(worst), np.inf), where=worst > 0.0)


def _gaps(numbers: np.ndarray, shapes: np.ndarray) -> np.ndarray:
    """Openings of all springs (pairs, instants, springs) from the three numbers of every pair."""
    own = numbers.reshape(len(numbers), len(shapes), -1).transpose(1, 0, 2)
    return np.matmul(own, shapes)
