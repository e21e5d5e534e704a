"""All evaluations that the document shows."""

from __future__ import annotations

import string
from collections.abc import Callable, Hashable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rollsim.analysis.peaks import PeaksResult, peaks
from rollsim.analysis.slip import SlipResult, slip
from rollsim.analysis.wear import WearResult, has_sums, wear
from rollsim.analysis.whirl import WhirlResult, whirl
from rollsim.errors import HistoryError
from rollsim.fatigue.pooling import PooledVerdict, pooled_verdict
from rollsim.history.reader import History, open_history
from rollsim.history.sets import RunSet, group_runs
from rollsim.report.document.impacts import Impact, top_impacts
from rollsim.report.document.shapes import Shapes, shapes_of
from rollsim.report.document.work import LASTING, ROOM_BYTES, look_of, tasks_of, worked_out
from rollsim.report.look import Look
from rollsim.sweep.compare import comparison_of
from rollsim.sweep.compared import RunMeasures, measures_of, see
from rollsim.sweep.comparison import Comparison


@dataclass(frozen=True)
class Execution:
    """One execution of the cage, by its runs.

    Fields: letter; runs; history (of the run that is shown, open); case; shapes; impacts; peaks,
    whirl, slip, wear (None without its sums), look (None where there is no vibration to look at),
    of the run that is shown; measures (one a run; empty without a verdict); verdict (None without);
    closures (loads of the closures; None without a verdict or without closures).
    """

    letter: str
    runs: RunSet
    history: History
    case: Any
    shapes: Shapes
    impacts: tuple[Impact, ...]
    peaks: PeaksResult
    whirl: WhirlResult
    slip: SlipResult
    wear: WearResult | None
    look: Look | None
    measures: tuple[RunMeasures, ...]
    verdict: PooledVerdict | None
    closures: Any

    @property
    def name(self) -> str:
        """Name of its case."""
        return self.runs.name

    @property
    def fatigue(self) -> Any:
        """Fatigue of the run that is shown; None without a verdict."""
        judged = self.measures[0].judged if self.measures else None
        return None if judged is None else judged.result


@dataclass(frozen=True)
class Findings:
    """Everything that the document is made from.

    Fields: executions; comparison (None for one execution, or without a verdict).
    """

    executions: tuple[Execution, ...]
    comparison: Comparison | None

    @property
    def judged(self) -> bool:
        """Whether there is a verdict."""
        return self.executions[0].verdict is not None


def gather(
    paths: Sequence[Path],
    stack: ExitStack,
    judged: bool = True,
    tell: Callable | None = None,
    afresh: bool = False,
    jobs: int = 1,
) -> Findings:
    """Evaluate histories.

    Parameters
    ----------
    paths : sequence of Path
        Histories, or lists of replicates. Runs of one case belong together.
    stack : ExitStack
        Closes the histories that stay open.
    judged : bool
        False leaves out verdict, stresses and closure loads.
    tell : callable or None
        Takes a sentence on what is done next.
    afresh : bool
        Work out again what is kept of an earlier evaluation.
    jobs : int
        Most processes that evaluate at a time; 1 works in this one.

    Returns
    -------
    Findings

    Raises
    ------
    RollsimError
        A history cannot be read or evaluated.
    """
    sets = _sets(paths)
    if len(sets) > len(string.ascii_uppercase):
        raise HistoryError(f"{len(sets)} cases are too many for one report; 26 at most.")
    work = tasks_of((runs.paths for runs in sets), judged, afresh)
    known = worked_out(work, tell or (lambda _: None), jobs)
    measured: dict[Path, RunMeasures] = {}
    executions = []
    for letter, runs in zip(string.ascii_uppercase, sets, strict=False):
        executions.append(_execution(letter, runs, stack, known, measured if judged else None))
    comparison = comparison_of(sets, measured) if judged and len(sets) > 1 else None
    return Findings(tuple(executions), comparison)


def _sets(paths: Sequence[Path]) -> tuple[RunSet, ...]:
    """Runs by their case; a single history may be unfinished."""
    if len(paths) > 1 or Path(paths[0]).suffix == ".json":
        return tuple(group_runs(paths))
    path = Path(paths[0])
    with open_history(path) as history:
        own = history.attributes
        reached = float(history.time[-1]) if len(history.time) else 0.0
        return (
            RunSet(
                str(own["case_name"]), (path,), (int(own["seed"]),), own["case_text"], reached, ()
            ),
        )


def _execution(
    letter: str,
    runs: RunSet,
    stack: ExitStack,
    known: Mapping[Path, dict[Hashable, Any]],
    measured: dict[Path, RunMeasures] | None,
) -> Execution:
    """One execution; what is measured of its runs goes into `measured`."""
    history = stack.enter_context(open_history(runs.paths[0]))
    history.remember(ROOM_BYTES, LASTING)
    history.keep_results(known[runs.paths[0]])
    parts: dict[str, Any] = {"measures": (), "verdict": None, "closures": None}
    if measured is not None:
        parts = _judged(runs, history, known, measured)
    return Execution(
        letter=letter,
        runs=runs,
        history=history,
        case=history.case,
        shapes=shapes_of(history),
        impacts=tuple(one._replace(side=letter) for one in top_impacts(history)),
        peaks=peaks(history),
        whirl=whirl(history),
        slip=slip(history),
        wear=wear(history) if has_sums(history) else None,
        look=look_of(history),
        **parts,
    )


def _judged(
    runs: RunSet,
    history: History,
    known: Mapping[Path, dict[Hashable, Any]],
    measured: dict[Path, RunMeasures],
) -> dict[str, Any]:
    """Measures of all runs, and their verdict."""
    seen = see(history)
    measured[runs.paths[0]] = measures_of(seen, history)
    for path in runs.paths[1:]:
        with open_history(path) as other:
            other.keep_results(known[path])
            measured[path] = measures_of(see(other), other)
    measures = tuple(measured[path] for path in runs.paths)
    return {
        "closures": seen.closures,
        "measures": measures,
        "verdict": pooled_verdict([[run.judged for run in measures]]),
    }
