"""Run again what a history file holds, and say whether every number comes out the same."""

import json
import tempfile
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

import rollsim
from rollsim.analysis.sameness import Sameness, sameness
from rollsim.case.environment_file import environments_of_records
from rollsim.case.read import parse_case
from rollsim.errors import HistoryError, RunError
from rollsim.history import open_history
from rollsim.history.provenance import machine, software
from rollsim.history.segments import parts_folder
from rollsim.model.elasticity import Backing, CageElasticity, CageModesData
from rollsim.model.recording.findings import RecordingError
from rollsim.model.recording.replay import fingerprints, recording_sources
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.provenance import stored_provenance
from rollsim.simulation.run import RunOptions
from rollsim.simulation.run import run as simulate
from rollsim.simulation.stopping import RunStopped

_NEEDED = ("case_text", "seed", "solver", "duration_s", "cage_backing_N_per_m")
_COMPARED = {"software": software, "machine": machine}


@dataclass(frozen=True)
class Changed:
    """Something that is not now as it was at the first run.

    what: its name; then, now: values, None where it was not there.
    """

    what: str
    then: object
    now: object


@dataclass(frozen=True)
class Reproduction:
    """A stored run and the same run again.

    history: the stored file; again: the new file, None where it was not kept; provenance: of the
    stored run (dict, empty where the file has none); sameness: Sameness; changed: tuple of
    Changed, of software, machine and inputs; stopped: why the new run ended early, or None;
    part: simulated time reached and asked for, s, where the stored run is not finished, else None.
    """

    history: Path
    again: Path | None
    provenance: dict
    sameness: Sameness
    changed: tuple
    stopped: str | None
    part: tuple | None = None

    @property
    def same(self):
        """True where every number came out the same to the bit."""
        return self.sameness.same


@dataclass(frozen=True)
class ReproduceOptions:
    """How to run again.

    inputs: folder in which relative paths of the case start, None to look for the files; output:
    where to keep the new history, None to throw it away; overwrite: replace an earlier output;
    anyway: run even where a recording has changed.
    """

    inputs: Path | None = None
    output: Path | None = None
    overwrite: bool = False
    anyway: bool = False


def reproduce(path, options=None, progress=None, say=None):
    """Run the case of a history again and hold the result against it.

    Case, seed, duration, solver and elasticity of the cage come from the file. Of a run that is not
    finished as many blocks are computed as are there.

    Parameters
    ----------
    path : str or Path
        History, finished or not.
    options : ReproduceOptions or None
        How to run.
    progress : callable or None
        Makes a progress display from (total s, start s); silent when None.
    say : callable or None
        Takes one line of text for the user.

    Returns
    -------
    Reproduction

    Raises
    ------
    HistoryError
        When the file does not hold all it takes to repeat the run.
    RefusedRun
        When a recording is gone or has changed, or the output cannot be written.
    """
    options = options or ReproduceOptions()
    path = Path(path)
    with open_history(path) as stored:
        case = stored_case(stored, options)
        if say and recording_sources(case):
            say(f"Recordings are looked for from the folder {Path(case.name).parent}.")
        changed = _changed(stored, case)
        part = _part(stored)
        with _place(path, options) as target:
            stopped = _run(stored, case, target, options, (progress, say))
            if not (target.exists() or parts_folder(target).exists()):
                raise RunError(f"The run could not be repeated. {stopped}")
            with open_history(target) as again:
                found = sameness(stored, again)
        if part:  # all blocks may be there although their merging was interrupted
            differing = [item for item in found.attributes if item[0] != "status"]
            found = replace(found, attributes=tuple(differing))
        return Reproduction(
            path, options.output, stored_provenance(stored), found, changed, stopped, part
        )


def _part(stored):
    """How far an unfinished run is: reached and asked for, s; None where it has ended."""
    if stored.status != "running":
        return None
    return float(stored.quality()["end_time"][-1]), float(stored.attributes["duration_s"])


def _check(stored):
    """The file holds all it takes to repeat the run."""
    missing = [name for name in _NEEDED if name not in stored.attributes]
    if missing:
        raise HistoryError(f"{stored.path} cannot be run again: it lacks {', '.join(missing)}.")


def stored_case(stored, options):
    """The case of a history, placed where its recordings are.

    Parameters
    ----------
    stored : History
        Open for reading.
    options : ReproduceOptions
        Where to look for recordings.

    Returns
    -------
    Case

    Raises
    ------
    HistoryError
        When the file does not hold all it takes to repeat the run.
    RefusedRun
        When a recording is gone or has changed.
    """
    _check(stored)
    environments = environments_of_records(stored.environments)
    text = stored.attributes["case_text"]
    wanted = stored.attributes.get("recordings_sha256")
    reasons = {}
    for folder in _folders(stored, options):
        case = parse_case(text, str(folder / "case.toml"), environments)
        if not recording_sources(case):
            return case
        try:
            found = fingerprints(case)
        except RecordingError as problem:
            reasons[folder] = str(problem)
            continue
        if found == wanted or options.anyway:
            return case
        reasons[folder] = "\n".join(_moved(wanted, found))
    told = "\n".join(f"In {folder}:\n{text}" for folder, text in reasons.items())
    raise RefusedRun(
        f"A recording of {stored.path} is not there as it was, so the run cannot come out the "
        f"same.\n{told}\nName the folder that holds it by --inputs, or run with what is there by "
        "--anyway."
    )


def _folders(stored, options):
    """Where recordings may lie: as told, else beside the case as it was, else beside the file."""
    if options.inputs is not None:
        return [options.inputs]
    noted = stored.attributes.get("case_folder")
    places = [Path(noted)] if isinstance(noted, str) else []
    return list(dict.fromkeys([*places, stored.path.resolve().parent]))


def _moved(wanted, found):
    """Lines that say which recordings have other contents."""
    before, now = _sums(wanted), _sums(found)
    return [
        f"  {file}: SHA-256 {before.get(file, 'not known')} then, {total} now"
        for file, total in now.items()
        if before.get(file) != total
    ]


def _sums(lines):
    """File -> sum, from the lines of `fingerprints`."""
    pairs = (line.partition(" ") for line in (lines or "").splitlines())
    return {file: total for total, _, file in pairs}


def _changed(stored, case):
    """What of software, machine and inputs is not as it was."""
    before = stored_provenance(stored)
    found = []
    for part, ask in _COMPARED.items():
        then, now = before.get(part, {}), ask() if before else {}
        found += [(name, then.get(name), now.get(name)) for name in {**then, **now}]
    if not before:
        found.append(("rollsim", stored.attributes.get("rollsim_version"), rollsim.__version__))
    then = _sums(stored.attributes.get("recordings_sha256"))
    now = _sums(fingerprints(case))
    found += [(f"recording {name}", then.get(name), now.get(name)) for name in {**then, **now}]
    return tuple(Changed(*item) for item in found if item[1] != item[2])


@contextmanager
def _place(path, options):
    """Where the new history goes: a file of the user, or a folder that vanishes."""
    if options.output is None:
        with tempfile.TemporaryDirectory(prefix="rollsim_") as folder:
            yield Path(folder) / "again.h5"
        return
    if options.output.resolve() == path.resolve() or (
        options.output.exists() and path.exists() and options.output.samefile(path)
    ):
        raise RefusedRun(f"{options.output} is the stored run itself: choose another output.")
    if options.output.exists() and not options.overwrite:
        raise RefusedRun(
            f"{options.output} exists already. Choose another output with -o, or pass --overwrite."
        )
    yield options.output


def _run(stored, case, target, options, told):
    """Compute the run, as far as it is stored; why it stopped earlier than that one, or None."""
    attributes = stored.attributes
    wanted = RunOptions(
        duration=float(attributes["duration_s"]),
        seed=int(attributes["seed"]),
        solver=attributes["solver"],
        overwrite=options.overwrite,
        stop=_after_blocks(stored) if stored.status == "running" else None,
    )
    try:
        simulate(case, target, wanted, *told, stored_elasticity(stored))
    except RefusedRun:
        raise
    except RunStopped:
        return None
    except RunError as problem:
        return str(problem)
    return None


def _after_blocks(stored):
    """Ends a run after as many blocks as are stored; duration and all that hangs on it stay."""
    left = iter(range(len(stored.quality()["end_time"]) - 1, 0, -1))
    return lambda: None if next(left, 0) else "where the stored run ends so far"


def stored_elasticity(stored):
    """Elasticity of the cage as a stored run took it.

    Parameters
    ----------
    stored : History
        Open for reading.

    Returns
    -------
    CageElasticity
    """
    backing = json.loads(stored.attributes["cage_backing_N_per_m"])
    modes = stored.modes()
    return CageElasticity(
        Backing(**{name: np.array(backing[name]) for name in Backing._fields}),
        CageModesData(**modes) if modes else None,
    )
