"""Files of a set of replicates: their names, and the list that is kept beside them."""

import json
import os
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.files import remove_quietly
from rollsim.history.progress import status_summary

FORMAT = "rollsim replicates"
FORMAT_VERSION = 1
_ENDING = "_replicates.json"


def replicate_path(path, number):
    """History file of one replicate.

    Parameters
    ----------
    path : str or Path
        File that a single run would write.
    number : int
        Number of the replicate, from 1.

    Returns
    -------
    Path

    >>> replicate_path("runs/screen.h5", 3).as_posix()
    'runs/screen_r03.h5'
    """
    path = Path(path)
    return path.with_name(f"{path.stem}_r{number:02d}{path.suffix}")


def list_path(path):
    """List of a set of replicates.

    Parameters
    ----------
    path : str or Path
        File that a single run would write.

    Returns
    -------
    Path

    >>> list_path("runs/screen.h5").as_posix()
    'runs/screen_replicates.json'
    """
    path = Path(path)
    return path.with_name(path.stem + _ENDING)


def is_list(path):
    """Tell by its name whether a file is a list of replicates.

    Parameters
    ----------
    path : str or Path
        Any file.

    Returns
    -------
    bool
    """
    return Path(path).name.endswith(_ENDING)


def set_status(path):
    """Progress of all replicates of a set, from their files as they are now.

    Parameters
    ----------
    path : str or Path
        List of the set.

    Returns
    -------
    dict
        case_name; list; replicates: list of dicts with number, file, status (that of
        `status_summary`, "not begun", or "failed: <reason>"), simulated_s, duration_s.

    Raises
    ------
    HistoryError
        When the list cannot be read.
    """
    found = read_list(path)
    rows = [_row_status(Path(path), row, found["duration_s"]) for row in found["replicates"]]
    return {"case_name": found["case_name"], "list": str(path), "replicates": rows}


def _row_status(path, row, duration):
    """Progress of one replicate."""
    try:
        now = status_summary(path.with_name(row["file"]))
        status, reached = now["status"], now["simulated_s"]
    except HistoryError:
        status, reached = "not begun", 0.0
    if row["reason"] and status != "running":
        status = f"failed: {row['reason']}"
    return {
        "number": row["number"],
        "file": row["file"],
        "status": status,
        "simulated_s": reached,
        "duration_s": duration,
    }


def write_list(path, found):
    """Replace the list of a set; it appears whole or not at all.

    Parameters
    ----------
    path : Path
        The list.
    found : dict
        Plain data; `replicates` is a list of dicts with number, seed, file, state, reason, values.

    Raises
    ------
    OSError
        When it cannot be written; the earlier list stays.
    """
    content = {"format": FORMAT, "format_version": FORMAT_VERSION, **found}
    temporary = Path(f"{path}.tmp")
    try:
        temporary.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
        os.replace(temporary, path)
    except OSError:
        remove_quietly(temporary)
        raise


def read_list(path):
    """List of a set of replicates.

    Parameters
    ----------
    path : str or Path
        As `list_path` names it.

    Returns
    -------
    dict
        As handed to `write_list`.

    Raises
    ------
    HistoryError
        When there is none, or the file is something else.
    """
    try:
        found = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as problem:
        raise HistoryError(f"{path} cannot be read: {problem.strerror or problem}.") from problem
    except ValueError as problem:
        raise HistoryError(f"{path} is no list of replicates: {problem}.") from problem
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        raise HistoryError(f"{path} is no list of replicates that rollsim wrote.")
    if found.get("format_version") != FORMAT_VERSION:
        raise HistoryError(
            f"{path} is a list of replicates of format {found.get('format_version')}; this rollsim "
            f"reads format {FORMAT_VERSION}."
        )
    return found


def listed_histories(paths):
    """Histories that are meant by names of histories and of lists of replicates.

    Parameters
    ----------
    paths : iterable of str or Path
        History files; a list (NAME_replicates.json) stands for the finished histories in it.

    Returns
    -------
    list of Path

    Raises
    ------
    HistoryError
        When a list cannot be read or has no finished history.
    """
    found = []
    for path in map(Path, paths):
        if not is_list(path):
            found.append(path)
            continue
        rows = [row for row in read_list(path)["replicates"] if row["state"] == "finished"]
        if not rows:
            raise HistoryError(f"{path} names no finished run.")
        found += [path.with_name(row["file"]) for row in rows]
    return found
