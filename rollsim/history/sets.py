"""Histories put together into sets: runs of one case that differ in their seeds alone."""

import json
import tomllib
from dataclasses import dataclass
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.reader import open_history
from rollsim.history.replicate_set import is_list, left_out_of_list, listed_histories

#: Simulated time that is there of a run that is not finished, s.
_REACHED = "reached_s"
#: What the runs of one set must agree in, beside the case: attribute, words, unit.
_SAME = (
    ("duration_s", "duration", " s"),
    ("solver", "solver", ""),
    ("rollsim_version", "version of rollsim", ""),
    ("recordings_sha256", "recording of the vibration", None),
    ("environments", "table of a named vibration environment", None),
    ("cage_backing_N_per_m", "stiffness of the cage behind the pocket faces", None),
)


@dataclass(frozen=True)
class RunSet:
    """Runs of one case that differ in their seeds alone.

    Fields: name (of the case); paths (history files, in the order given); seeds (of the runs);
    case_text (of the first file); duration_s s (of every run that is finished); warnings:
    sentences on runs that are not finished or were left out, and on what makes the runs more alike
    than replicates should be.
    """

    name: str
    paths: tuple[Path, ...]
    seeds: tuple[int, ...]
    case_text: str
    duration_s: float
    warnings: tuple[str, ...]

    @property
    def count(self):
        """Number of runs."""
        return len(self.paths)


def case_identity(text):
    """What tells a case from another, seeds apart.

    Parameters
    ----------
    text : str
        Case file as kept in a history.

    Returns
    -------
    str
        The same for texts that differ in remarks, spacing, order of keys, the note of the case,
        and seeds (of the case and of single sources of vibration).

    >>> case_identity("[case]\\nname = 'a'\\nseed = 3") == case_identity("[case]\\nname='a' # b")
    True
    """
    data = tomllib.loads(text)
    case = data.get("case", {})
    data["case"] = {key: value for key, value in case.items() if key not in ("seed", "note")}
    data["vibration"] = [
        {key: value for key, value in source.items() if key != "seed"}
        for source in data.get("vibration", [])
    ]
    return json.dumps(data, sort_keys=True, default=str)


def group_runs(paths):
    """Put histories together into sets of replicates.

    Parameters
    ----------
    paths : iterable of str or Path
        History files, finished or not, or lists of replicates (NAME_replicates.json), in any order.

    Returns
    -------
    tuple of RunSet
        In the order in which their first files were given.

    Raises
    ------
    HistoryError
        Names every file that cannot be read, failed or has nothing after settling yet, every file
        or run given twice, and every set whose runs differ in more than their seeds.
    """
    problems, groups, seen, paths = [], {}, set(), [Path(path) for path in paths]
    for path in listed_histories(paths):
        if path.resolve() in seen:
            problems.append(f"{path} is given twice.")
            continue
        seen.add(path.resolve())
        try:
            attributes = _usable_attributes(path)
            groups.setdefault(case_identity(attributes["case_text"]), []).append((path, attributes))
        except HistoryError as problem:
            problems.append(str(problem))
        except (KeyError, ValueError):
            problems.append(f"The case in {path} cannot be read.")
    for runs in groups.values():
        problems += _mixtures(runs)
    if problems:
        raise HistoryError("\n".join(problems))
    left_out = {
        listed_histories([path])[0]: told
        for path in paths
        if is_list(path) and (told := left_out_of_list(path))
    }
    return tuple(_set_of(runs, left_out) for runs in groups.values())


def _usable_attributes(path):
    """Root attributes of a run that can be judged; of an unfinished one with what is there of it.

    An unfinished run is unbiased, only shorter. A failed one ended because of what it computed.
    """
    with open_history(path) as history:
        attributes, status = history.attributes, history.status
        if status == "running":
            settled = history.settled
            if settled.start >= settled.stop:
                raise HistoryError(
                    f"{path} is not finished and has no sample after the settling time of "
                    f"{float(attributes.get('settle_s', 0.0)):g} s yet: leave it out, or wait."
                )
            return {**attributes, _REACHED: float(history.time[-1])}
    if status == "finished":
        return attributes
    raise HistoryError(
        f"{path} holds a run that {status}: pooled with others it would count for what it is not. "
        "Leave it out, or start its command again."
    )


def _unfinished(runs):
    """Sentences on runs that are not finished."""
    for path, attributes in runs:
        if _REACHED in attributes:
            yield (
                f"{path} is not finished: {attributes[_REACHED]:.4g} of "
                f"{float(attributes.get('duration_s', 0.0)):g} s are there and count like a whole "
                "run, with the larger scatter of a shorter one. Ask again when it is finished."
            )


def _mixtures(runs):
    """Sentences on runs of one case that are no replicates of each other."""
    first, reference = runs[0]
    by_seed = {int(reference["seed"]): first}
    for path, attributes in runs[1:]:
        differing = [
            _difference(words, unit, reference.get(name), attributes.get(name))
            for name, words, unit in _SAME
            if reference.get(name) != attributes.get(name)
        ]
        if differing:
            yield (
                f"{first} and {path} are runs of the same case with another "
                f"{' and another '.join(differing)}: they cannot be pooled. Run one of them again, "
                "or leave it out."
            )
        same = by_seed.setdefault(int(attributes["seed"]), path)
        if same != path:
            yield (
                f"{same} and {path} hold the same run (seed {attributes['seed']}): it would count "
                "twice. Leave one of them out."
            )


def _difference(words, unit, first, second):
    """What differs, with both values where they are short."""
    return words if unit is None else f"{words} ({first}{unit} and {second}{unit})"


def _set_of(runs, left_out):
    """The set of some runs that belong together; what was left out, by the first of its list."""
    _, reference = runs[0]
    return RunSet(
        name=str(reference["case_name"]),
        paths=tuple(path for path, _ in runs),
        seeds=tuple(int(attributes["seed"]) for _, attributes in runs),
        case_text=reference["case_text"],
        duration_s=float(reference["duration_s"]),
        warnings=(
            *_unfinished(runs),
            *(left_out[path] for path, _ in runs if path in left_out),
            *repeated_vibration([attributes["case_text"] for _, attributes in runs]),
        ),
    )


def repeated_vibration(texts):
    """Sentences on sources of vibration that do the same in runs of different seeds.

    Parameters
    ----------
    texts : list of str
        Case files of the runs.

    Returns
    -------
    list of str
        Empty for a single run.
    """
    if len(texts) < 2:
        return []
    runs = [tomllib.loads(text).get("vibration", []) for text in texts]
    found = []
    for number, sources in enumerate(zip(*runs, strict=True), 1):
        seeds = [source.get("seed") for source in sources]
        if None not in seeds and len(set(seeds)) < len(seeds):
            found.append(
                f"[[vibration]] number {number} has a seed of its own (seed = {seeds[0]}) that "
                "runs share: they repeat one random signal, so their scatter is smaller than that "
                "of the machine, and every interval from them is too narrow. Take the seed out of "
                "the case."
            )
        elif sources[0].get("kind") == "recording":
            found.append(
                f"[[vibration]] number {number} replays one recording in every run: the scatter "
                "does not hold that of the vibration from one hour to another."
            )
    return found
