"""What a run finds at its output: nothing, a part of itself, all of itself, or something else."""

from pathlib import Path

import rollsim
from rollsim.errors import HistoryError, RunError
from rollsim.history import SegmentWriter, open_history, resume_point
from rollsim.history.locks import is_held
from rollsim.history.resume import remove_leftover
from rollsim.history.segments import parts_folder

#: Attributes that must agree for a history to belong to a run, and what to call them.
IDENTITY = {
    "case_text": "case file",
    "recordings_sha256": "recording of the vibration (the content of its file has changed)",
    "cage_backing_N_per_m": "stiffness of the cage behind the pocket faces",
    "seed": "seed",
    "solver": "solver",
    "duration_s": "duration",
    "rollsim_version": "version of rollsim",
}
_SHOWN = {"seed": "", "solver": "", "duration_s": " s", "rollsim_version": ""}


class RefusedRun(RunError):
    """A run that cannot begin as it was asked for: nothing was computed (exit code 2)."""

    exit_code = 2


def is_complete(path, attributes, overwrite=False):
    """Tell whether an output holds this very run, finished; refuse when it holds another.

    Parameters
    ----------
    path : Path
        History file to write.
    attributes : dict
        Root attributes of the run, with the keys of `IDENTITY` except the version.
    overwrite : bool
        An earlier history may be replaced.

    Returns
    -------
    bool
        True when there is nothing to compute.

    Raises
    ------
    RefusedRun
        When the file is not to be replaced.
    """
    if not path.exists():
        return False
    found, status = _stored(path)
    if overwrite:
        return False
    if status != "finished":
        raise RefusedRun(f"{path} holds a run that {status}. {_WAYS}")
    differing = _differences(found, attributes)
    if differing:
        raise RefusedRun(f"{path} holds a finished run with another {differing}. {_WAYS}")
    return True


def _stored(path):
    """Attributes and status of a history; a file that is none is refused."""
    try:
        with open_history(path) as history:
            return history.attributes, history.status
    except HistoryError as problem:
        raise RefusedRun(
            f"{path} exists and is left alone, for it is no whole history of rollsim. Choose "
            f"another output with -o, or remove it yourself. ({problem})"
        ) from problem


_WAYS = "Replace it with --overwrite, or choose another output with -o."


def tidy_finished(path):
    """Remove blocks of this very run that were left beside its finished output.

    Parameters
    ----------
    path : Path
        Finished history.
    """
    remove_leftover(path, _stored(path)[0])


def open_output(path, attributes, overwrite=False, modes=None):
    """Start an output, or go on with an unfinished one of the same run.

    Parameters
    ----------
    path : Path
        History file to write.
    attributes : dict
        Root attributes of the run.
    overwrite : bool
        Replace an earlier output, finished or not.
    modes : dict of ndarray or None
        What the modes of the cage are, for an output that is started.

    Returns
    -------
    SegmentWriter
        With a resume point where the run goes on.

    Raises
    ------
    RefusedRun
        When the place cannot be written or holds another unfinished run.
    """
    path = Path(path)
    resume = None if overwrite else _own_resume_point(path, attributes)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if resume:
            return SegmentWriter.continue_run(path)
        return SegmentWriter(path, attributes, overwrite, modes)
    except RunError as problem:
        raise RefusedRun(str(problem)) from problem
    except OSError as problem:
        raise RefusedRun(
            f"Cannot make the folder {path.parent}: {problem.strerror or problem}."
        ) from problem


def _own_resume_point(path, attributes):
    """Where an unfinished run goes on, or None; another unfinished run is refused."""
    resume = resume_point(path)
    differing = resume and _differences(resume.attributes, attributes)
    if differing:
        raise RefusedRun(
            f"{path}.parts holds an unfinished run with another {differing}. Finish that run "
            "first, replace it with --overwrite, or choose another output with -o."
        )
    return resume


def output_state(path, attributes, overwrite=False):
    """How far an output holds a run, without touching it.

    Parameters
    ----------
    path : Path
        History file to write.
    attributes : dict
        Root attributes of the run, with the keys of `IDENTITY` except the version.
    overwrite : bool
        An earlier history may be replaced.

    Returns
    -------
    tuple of str, float
        "finished", "stopped: <reason>", "begun" or "not begun", and the simulated time reached, s.

    Raises
    ------
    RefusedRun
        When the place holds something else, or another process writes there.
    """
    if is_held(parts_folder(path)):
        raise RefusedRun(f"Another process is writing {path}: wait for it, or end it.")
    if path.exists() and not overwrite:
        found, status = _stored(path)
        differing = _differences(found, attributes)
        if differing:
            raise RefusedRun(f"{path} holds a run with another {differing}. {_WAYS}")
        return status, attributes["duration_s"] if status == "finished" else 0.0
    is_complete(path, attributes, overwrite)
    resume = None if overwrite else _own_resume_point(path, attributes)
    return ("begun", resume.end_time) if resume else ("not begun", 0.0)


def _differences(found, attributes):
    """In which of the identifying attributes a stored run differs from the wanted one, in words."""
    wanted = {**attributes, "rollsim_version": rollsim.__version__}
    parts = []
    for name, words in IDENTITY.items():
        there, here = found.get(name), wanted.get(name)
        if there != here:
            unit = _SHOWN.get(name)
            shown = "" if unit is None else f" ({there}{unit} there, {here}{unit} here)"
            parts.append(words + shown)
    return " and another ".join(parts)
