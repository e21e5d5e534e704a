"""Rainflow counting for whole series, and cycle tables of streams."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError
from rollsim.kernels.rainflow import (
    STACK_SIZE,
    STATE_SIZE,
    bin_cycles,
    close_stream,
    feed_stream,
)

#: Fields of a cycle table along range and mean. Each field keeps the mean range and the mean
#: stress of its cycles, so the width of a field changes damage in second order only. Where damage
#: jumps at the knee (damage rule original), a reserve factor can be off by the width of a field.
TABLE_SHAPE = (128, 32)


@dataclass(frozen=True)
class Cycles:
    """Counted cycles.

    Fields: range, mean in Pa (or the unit of the series), count (1 or 0.5 each, or any number
    where cycles are gathered).
    """

    range: np.ndarray
    mean: np.ndarray
    count: np.ndarray

    @property
    def total(self) -> float:
        """Number of cycles."""
        return float(np.sum(self.count))


def rainflow(series: np.ndarray) -> Cycles:
    """Count a whole series after ASTM E1049-85; the residue gives half cycles.

    Parameters
    ----------
    series : ndarray, Pa
        Values in order of time, at least one, all finite.

    Returns
    -------
    Cycles
        In the order in which they close.

    Raises
    ------
    RollsimError
        The series is empty, not one-dimensional or holds values that are no numbers.

    Examples
    --------
    >>> cycles = rainflow(np.array([-2.0, 1, -3, 5, -1, 3, -4, 4, -2]))
    >>> [(r, n) for r, n in zip(cycles.range.tolist(), cycles.count.tolist())]
    [(3.0, 0.5), (4.0, 0.5), (4.0, 1.0), (8.0, 0.5), (9.0, 0.5), (8.0, 0.5), (6.0, 0.5)]
    """
    series = np.ascontiguousarray(series, dtype=float)
    if series.ndim != 1 or series.size == 0 or not np.all(np.isfinite(series)):
        raise RollsimError("Cycles can be counted in a plain series of finite numbers only.")
    stack, state = np.zeros(STACK_SIZE), np.zeros(STATE_SIZE)
    cycles = np.empty((len(series) + 3 * STACK_SIZE, 3))
    filled = feed_stream(series, stack, state, cycles)
    filled += close_stream(stack, state, cycles[filled:])
    return Cycles(*cycles[:filled].T.copy())


class CycleTable:
    """Cycles of one stress history that comes in pieces, gathered by range and mean.

    Parameters
    ----------
    low : float, Pa
        Least stress that will come.
    high : float, Pa
        Largest stress that will come.
    """

    def __init__(self, low: float, high: float) -> None:
        self._limits = np.array([high - low, low, high])
        self._stack, self._state = np.zeros(STACK_SIZE), np.zeros(STATE_SIZE)
        self._table = np.zeros((*TABLE_SHAPE, 3))

    def feed(self, series: np.ndarray) -> None:
        """Count a piece.

        Parameters
        ----------
        series : ndarray, Pa
            Values in order of time.
        """
        cycles = np.empty((len(series) + STACK_SIZE, 3))
        filled = feed_stream(series, self._stack, self._state, cycles)
        bin_cycles(cycles, filled, self._table, self._limits)

    def close(self) -> Cycles:
        """End the history, return its cycles and start anew.

        Returns
        -------
        Cycles
            One entry a field of the table that holds cycles.
        """
        cycles = np.empty((2 * STACK_SIZE, 3))
        filled = close_stream(self._stack, self._state, cycles)
        bin_cycles(cycles, filled, self._table, self._limits)
        count, ranges, means = self._table[self._table[..., 0] > 0.0].T.copy()
        self._table[:] = 0.0
        return Cycles(ranges / count, means / count, count)
