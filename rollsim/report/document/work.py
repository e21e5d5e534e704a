"""Everything that a document works out from histories, each history in a process of its own."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from rollsim.analysis.peaks import peaks
from rollsim.analysis.quality import run_quality
from rollsim.analysis.slip import slip
from rollsim.analysis.wear import has_sums, wear
from rollsim.analysis.whirl import whirl
from rollsim.history.kept_results import opened_with_results, read_results
from rollsim.history.worked_out import once_a_history
from rollsim.report.document.frames import keep_overview
from rollsim.report.document.impacts import top_impacts
from rollsim.report.document.timeline import timeline_blocks
from rollsim.report.look import BadLook, Look, look_at_history
from rollsim.report.look_recorded import rests_on_recordings
from rollsim.report.peaks_figures import pocket_map_blocks
from rollsim.sweep.compared import see
from rollsim.sweep.crew import EvaluationListener, run_side_by_side
from rollsim.sweep.worker import Task

Results = dict[Hashable, Any]

#: Memory for channels of one history that are looked at several times.
ROOM_BYTES = 320_000_000
#: What peaks, both pictures of forces over time and the fitness for use go through.
LASTING = (("peak", "pocket_force"),)


def tasks_of(
    groups: Iterable[Sequence[Path]], judged: bool = True, afresh: bool = False
) -> dict[Path, partial]:
    """What is to be worked out of every history.

    Parameters
    ----------
    groups : iterable of sequences of Path
        Histories by their case; the first one of each is shown.
    judged : bool
        False leaves out verdict, stresses and closure loads.
    afresh : bool
        Work out again what is kept of an earlier evaluation.

    Returns
    -------
    dict of Path to partial
        Takes the path and gives results by name; a process of its own can call it.
    """
    return {
        path: partial(results_of, shown=path == paths[0], judged=judged, afresh=afresh)
        for paths in groups
        for path in (paths if judged else paths[:1])
    }


def results_of(path: Path, shown: bool, judged: bool, afresh: bool) -> Results:
    """Work out what a document needs of a history.

    Parameters
    ----------
    path : Path
        History file.
    shown : bool
        Whether its figures are drawn; else only its measures are needed.
    judged : bool
        Whether there is a verdict.
    afresh : bool
        Work out again what is kept.

    Returns
    -------
    dict
        Results by name, as `History.keep_results` takes them.
    """
    with opened_with_results(path, afresh) as history:
        history.remember(ROOM_BYTES, LASTING)
        if judged:
            see(history)
        if shown:
            _show(history)
        history.results.once(_done(shown, judged), lambda: True)
        return history.results.plain()


def _show(history: Any) -> None:
    """All that the figures of a run are drawn from."""
    peaks(history)
    pocket_map_blocks(history)
    timeline_blocks(history)
    run_quality(history)
    top_impacts(history)
    keep_overview(history)
    whirl(history)
    slip(history)
    if has_sums(history):
        wear(history)
    if not rests_on_recordings(history):
        look_of(history)


def look_of(history: Any) -> Look | None:
    """The vibration of a run.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    Look or None
        None where the history is too short to look at it.
    """
    try:
        return look_at_history(history) if rests_on_recordings(history) else _kept_look(history)
    except BadLook:
        return None


@once_a_history
def _kept_look(history: Any) -> Look:
    """A look that the history alone decides."""
    return look_at_history(history)


def worked_out(
    work: dict[Path, partial], tell: Callable[[str], None], jobs: int = 1
) -> dict[Path, Results]:
    """Do all tasks that are not done yet.

    Parameters
    ----------
    work : dict of Path to partial
        As from `tasks_of`.
    tell : callable
        Takes a sentence on what is done next.
    jobs : int
        Most processes at a time; 1 works in this one.

    Returns
    -------
    dict of Path to dict
        Results by name; empty for a history whose process failed, so that whoever asks for one
        meets the error itself.
    """
    found = {
        path: {} if one.keywords["afresh"] else read_results(path) for path, one in work.items()
    }
    left = {path: one for path, one in work.items() if not _is_done(found[path], **one.keywords)}
    for words, some in (("evaluating", left), ("evaluated before:", work.keys() - left.keys())):
        if some:
            tell(f"{words} {', '.join(path.name for path in work if path in some)}")
    if min(jobs, len(left)) < 2:
        return found | {path: one(path) for path, one in left.items()}
    listener = _Listener(list(left))
    tasks = [
        Task(number, None, path, None, None, measure, finished=True)
        for number, (path, measure) in enumerate(left.items())
    ]
    run_side_by_side(tasks, jobs, listener)
    return found | listener.found


def _done(shown: bool, judged: bool) -> tuple[str, bool, bool]:
    """Name of the result that says that all others are there."""
    return "document", shown, judged


def _is_done(found: Results, shown: bool, judged: bool, **_: Any) -> bool:
    """Whether results hold all that is needed, or more."""
    more = ((s, j) for s in {shown, True} for j in {judged, True})
    return any(_done(*one) in found for one in more)


class _Listener(EvaluationListener):
    """Takes up what the processes found."""

    def __init__(self, paths: list[Path]):
        self._paths = paths
        self.found: dict[Path, Results] = {path: {} for path in paths}

    def ended(self, number, outcome):
        """Keep the results of a history."""
        if not outcome.reason:
            self.found[self._paths[number]] = outcome.values
