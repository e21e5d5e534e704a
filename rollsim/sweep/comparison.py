"""What a comparison of cages gives."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from rollsim.analysis.extremes import ReturnLevel
from rollsim.case.differences import InputComparison
from rollsim.fatigue.pooling import PooledVerdict, pooled_verdict
from rollsim.history.sets import RunSet
from rollsim.sweep.compared import ComparedQuantity, RunMeasures
from rollsim.sweep.ranking import NEITHER, Ranking, Spread


@dataclass(frozen=True)
class Side:
    """One of the cages, by its runs.

    Attributes
    ----------
    letter : str
        A, B, ... in the order in which the files were given.
    runs : RunSet
    measures : tuple of RunMeasures
        One a run.
    level : ReturnLevel or None
        Pocket force passed once in the target life, from the peaks of all runs; None where these
        runs cannot carry it.
    level_reasons : tuple of str
        Why they cannot.
    """

    letter: str
    runs: RunSet
    measures: tuple[RunMeasures, ...]
    level: ReturnLevel | None
    level_reasons: tuple[str, ...]

    @property
    def governing(self) -> tuple[str, int]:
        """Mechanism with the largest utilisation in most of the runs, and in how many."""
        names = [max(run.mechanisms, key=run.mechanisms.get) for run in self.measures]
        return max(((name, names.count(name)) for name in dict.fromkeys(names)), key=lambda k: k[1])

    @property
    def pooled(self) -> PooledVerdict:
        """Verdict from all runs together."""
        return pooled_verdict([[run.judged for run in self.measures]])

    def values(self, name: str) -> np.ndarray:
        """One quantity of all runs.

        Parameters
        ----------
        name : str
            Of the quantity, or of a mechanism.

        Returns
        -------
        ndarray (runs,)
            NaN where a run has none.
        """
        return np.array([run.values.get(name, math.nan) for run in self.measures])


@dataclass(frozen=True)
class ComparedRow:
    """One quantity of all sides.

    Attributes
    ----------
    quantity : ComparedQuantity
    values : tuple of ndarray
        One array a side, one number a run.
    spreads : tuple of Spread
        One a side.
    rankings : dict of (int, int) to Ranking
        Every pair of sides, by their places.
    """

    quantity: ComparedQuantity
    values: tuple[np.ndarray, ...]
    spreads: tuple[Spread, ...]
    rankings: dict[tuple[int, int], Ranking]


@dataclass(frozen=True)
class Comparison:
    """Cages side by side.

    Attributes
    ----------
    sides : tuple of Side
    inputs : InputComparison
    run_differences : tuple of (str, tuple of str)
        What of the runs differs beside the case: words, one text a side.
    rows : tuple of ComparedRow
        The governing utilisation first.
    level_horizon_s : float, s
        Time of the quantity "force passed once in ten evaluated times".
    warnings : tuple of str
        To be said before any number.
    """

    sides: tuple[Side, ...]
    inputs: InputComparison
    run_differences: tuple[tuple[str, tuple[str, ...]], ...]
    rows: tuple[ComparedRow, ...]
    level_horizon_s: float
    warnings: tuple[str, ...]

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Places of all pairs of sides."""
        return tuple(combinations(range(len(self.sides)), 2))

    def row(self, name: str) -> ComparedRow:
        """A quantity by its name.

        Parameters
        ----------
        name : str
            Of the quantity.

        Returns
        -------
        ComparedRow
        """
        return next(row for row in self.rows if row.quantity.name == name)

    def counts(self, pair: tuple[int, int]) -> tuple[int, int]:
        """How many quantities of a pair were compared, and how many of them seem to differ.

        Parameters
        ----------
        pair : tuple of int
            Places of both sides.

        Returns
        -------
        compared, apart : int
        """
        found = [row.rankings[pair] for row in self.rows]
        told = [own for own in found if not math.isnan(own.estimate)]
        return len(told), sum(own.apart for own in told)

    def better(self, row: ComparedRow, pair: tuple[int, int]) -> str | None:
        """Letter of the better side in a quantity.

        Parameters
        ----------
        row : ComparedRow
            The quantity.
        pair : tuple of int
            Places of both sides.

        Returns
        -------
        str or None
            None where it cannot be told, or neither end is better.
        """
        ranking = row.rankings[pair]
        if row.quantity.better == NEITHER:
            return None
        first = ranking.first_is_better(row.quantity.better)
        return None if first is None else self.sides[pair[0] if first else pair[1]].letter
