"""Cages held against each other by the histories of their runs."""

from __future__ import annotations

import math
import string
from functools import partial
from itertools import combinations
from pathlib import Path

import numpy as np

from rollsim.analysis.extrapolation import extrapolate
from rollsim.analysis.extremes import fit_tail, return_level
from rollsim.analysis.pooling import RunPeaks, pool_tail, pooled_level
from rollsim.case.differences import input_comparison
from rollsim.errors import HistoryError, RollsimError
from rollsim.history.reader import open_history
from rollsim.history.sets import group_runs
from rollsim.sweep.compared import (
    GOVERNING,
    QUANTITIES,
    UTILISATION,
    ComparedQuantity,
    measure_run,
)
from rollsim.sweep.comparison import ComparedRow, Comparison, Side
from rollsim.sweep.cores import cores_available
from rollsim.sweep.crew import EvaluationListener, run_side_by_side
from rollsim.sweep.ranking import FEWEST, SMALLER, rank, spread_of
from rollsim.sweep.worker import Task
from rollsim.units import HOUR

#: Horizon of the level that every run is asked for, in evaluated times.
LEVEL_TIMES = 10.0
#: Attributes of a run that should agree: name, words, unit (None: too long to print).
_OF_RUNS = (
    ("duration_s", "duration", " s"),
    ("settle_s", "settling time", " s"),
    ("solver", "solver", ""),
    ("sample_rate_Hz", "sample rate", " Hz"),
    ("rollsim_version", "version of rollsim", ""),
    ("recordings_sha256", "recording of the vibration", None),
    ("environments", "table of a named vibration environment", None),
)


def compare(paths, jobs: int | None = None, tell=None) -> Comparison:
    """Hold cages against each other, each by all of its runs.

    Histories whose cases differ in their seeds alone are runs of one cage. Every run is evaluated
    in a process of its own, so that memory is bounded by the number of processes.

    Parameters
    ----------
    paths : iterable of str or Path
        Histories, or lists of replicates, of two or more cases, in any order.
    jobs : int or None
        Runs evaluated side by side; as many as there are physical cores when None.
    tell : callable or None
        Takes (number done, number of all) as the work goes on.

    Returns
    -------
    Comparison
        Sides in the order in which their first files were given.

    Raises
    ------
    HistoryError
        A file cannot be used, or all of them are runs of one case.
    RollsimError
        A run cannot be evaluated.
    """
    sets = group_runs(paths)
    if len(sets) < 2:
        raise HistoryError(
            f"All files are runs of one case ({sets[0].name if sets else 'none'}), seeds apart: a "
            "comparison needs two cases at least. `rollsim fatigue` looks at one."
        )
    if len(sets) > len(string.ascii_uppercase):
        raise HistoryError(f"{len(sets)} cases are too many for one comparison; 26 at most.")
    measured = _measured([path for own in sets for path in own.paths], jobs, tell)
    return comparison_of(sets, measured)


def comparison_of(sets, measured: dict) -> Comparison:
    """Hold cages against each other whose runs are evaluated.

    Parameters
    ----------
    sets : sequence of RunSet
        Two or more.
    measured : dict of Path to RunMeasures
        Every run of the sets.

    Returns
    -------
    Comparison
    """
    measures = [tuple(measured[path] for path in own.paths) for own in sets]
    hours = min(run.observed_h for runs in measures for run in runs) * LEVEL_TIMES
    for run in (run for runs in measures for run in runs):
        run.values["pocket_level"] = _level(run, hours)
    sides = tuple(
        Side(letter, own, runs, *_service_level(runs))
        for letter, own, runs in zip(string.ascii_uppercase, sets, measures, strict=False)
    )
    return _comparison(sides, hours * HOUR)


def _comparison(sides: tuple[Side, ...], horizon: float) -> Comparison:
    """Put everything together."""
    cases, attributes = zip(*(_case_of(side.runs.paths[0]) for side in sides), strict=True)
    inputs = input_comparison(cases)
    of_runs = tuple(_run_differences(attributes))
    return Comparison(
        sides=sides,
        inputs=inputs,
        run_differences=of_runs,
        rows=tuple(compared_rows(sides)),
        level_horizon_s=horizon,
        warnings=tuple(_warnings(sides, inputs, of_runs)),
    )


class _Listener(EvaluationListener):
    """Takes up what the workers measured."""

    def __init__(self, paths, tell):
        self._paths = paths
        self._tell = tell or (lambda *_: None)
        self.found, self.failed = {}, []
        self._tell(0, len(paths))

    def ended(self, number, outcome):
        """Keep the measures of a run, or why there are none."""
        path = self._paths[number]
        if outcome.reason:
            reason = outcome.reason.removeprefix("the run is finished, but cannot be evaluated: ")
            self.failed.append(f"{path} cannot be evaluated: {reason}")
        else:
            self.found[path] = outcome.values
        self._tell(len(self.found) + len(self.failed), len(self._paths))


def _measured(paths: list[Path], jobs: int | None, tell) -> dict:
    """Measures of every run, evaluated side by side."""
    listener = _Listener(paths, tell)
    tasks = [
        Task(number, None, path, None, None, measure_run, finished=True)
        for number, path in enumerate(paths)
    ]
    run_side_by_side(tasks, jobs or cores_available()[0], listener)
    if listener.failed:
        raise RollsimError("\n".join(listener.failed))
    return listener.found


def _case_of(path: Path):
    """Case and attributes of a history."""
    with open_history(path) as history:
        return history.case, history.attributes


def compared_rows(sides: tuple[Side, ...]):
    """Every quantity of all sides, the governing utilisation first.

    Parameters
    ----------
    sides : tuple of Side
        Two or more.

    Yields
    ------
    ComparedRow
        Other quantities that no side has, or that are zero in all runs, are left out.
    """
    names = dict.fromkeys(
        name for side in sides for run in side.measures for name in run.mechanisms
    )
    mechanisms = [ComparedQuantity(name, name, "", UTILISATION, SMALLER) for name in names]
    for quantity in (QUANTITIES[0], *mechanisms, *QUANTITIES[1:]):
        values = tuple(_values(side, quantity) for side in sides)
        together = np.concatenate(values)
        told = not np.isnan(together).all() and (quantity.signed or np.nanmax(together) > 0.0)
        if told or quantity.name == GOVERNING:
            yield _row(quantity, values)


def _values(side: Side, quantity: ComparedQuantity) -> np.ndarray:
    """Numbers of the runs of a side."""
    if quantity.group == UTILISATION:
        return np.array([run.mechanisms.get(quantity.name, math.nan) for run in side.measures])
    return side.values(quantity.name)


def _row(quantity: ComparedQuantity, values: tuple[np.ndarray, ...]) -> ComparedRow:
    """Intervals of a quantity and all pairs."""
    how = (quantity.statistic, quantity.signed)
    return ComparedRow(
        quantity,
        values,
        tuple(spread_of(own, *how) for own in values),
        {
            (i, j): rank(values[i], values[j], how[0], quantity.better, how[1])
            for i, j in combinations(range(len(values)), 2)
        },
    )


def _level(run, hours: float) -> float:
    """Force that a run passes once in a time, by its own tail; NaN without one."""
    tail = fit_tail(run.independent, run.observed_h)
    return math.nan if tail is None else return_level(tail, hours).level


def _service_level(runs) -> tuple:
    """Force passed once in the target life from the peaks of all runs, or why not."""
    horizon = runs[0].target_life_h
    peaks = [RunPeaks(run.independent, run.observed_h) for run in runs]
    together = np.concatenate([own.peak for own in peaks])
    if len(peaks) == 1:
        tail = fit_tail(together, peaks[0].observed_h)
        told = partial(return_level, tail, horizon)
    else:
        pool = pool_tail(peaks)
        tail = None if pool is None else pool.tail
        told = partial(_pooled, pool, horizon)
    greatest = float(together.max(initial=0.0))
    found = extrapolate(tail, len(together), greatest, horizon)
    return (told(), ()) if found.level is not None else (None, found.reasons)


def _pooled(pool, horizon: float):
    """Level of a pool."""
    return pooled_level(pool, horizon).level


def _run_differences(attributes):
    """What differs of the runs beside their cases: words and one text a side."""
    for name, words, unit in _OF_RUNS:
        values = [own.get(name) for own in attributes]
        if any(value != values[0] for value in values):
            shown = (f"{'-' if value is None else value}{unit or ''}" for value in values)
            yield words, tuple(shown) if unit is not None else ("another",) * len(values)


def _warnings(sides, inputs, of_runs):
    """What spoils the comparison."""
    others = [own.key for own in inputs.differences if not own.of_cage]
    others += [words for words, _ in of_runs]
    if others:
        yield (
            f"MORE THAN THE CAGE DIFFERS: {', '.join(others)}. What is found below may come from "
            "that, not from the cage."
        )
    methods = {run.method for side in sides for run in side.measures}
    if len(methods) > 1:
        yield (
            "The stresses of one side have the vibrations of the cage, those of the other have "
            "not (cage.elastic_modes): utilisations and lives cannot be compared. Run both alike."
        )
    for side in sides:
        if side.runs.count < FEWEST:
            word = "run" if side.runs.count == 1 else "runs"
            yield (
                f"{side.letter} has {side.runs.count} {word}; {FEWEST} are needed to rank. One run "
                "is one draw of a chaotic motion."
            )
        yield from (f"{side.letter}: {sentence}" for sentence in side.runs.warnings)
    yield from dict.fromkeys(
        sentence for side in sides for run in side.measures for sentence in run.warnings
    )
