"""Files of a set of replicates: their names, and the list that is kept beside them."""

import json
import os
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.files import remove_quietly
from rollsim.history.progress import status_summary
from rollsim.history.segments import parts_folder, whole_segments

FORMAT = "rollsim replicates"
FORMAT_VERSION = 1
_ENDING = "_replicates.json"
_ENDED = ("finished", "failed")


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
        History files; a list (NAME_replicates.json) stands for the finished histories in it, or
        where none is finished yet for those that have a finished block.

    Returns
    -------
    list of Path

    Raises
    ------
    HistoryError
        When a list cannot be read or none of its runs has a finished block.
    """
    found = []
    for path in map(Path, paths):
        if not is_list(path):
            found.append(path)
            continue
        rows = read_list(path)["replicates"]
        meant = [path.with_name(row["file"]) for row in rows if row["state"] == "finished"]
        meant = meant or _begun(path, rows)
        if not meant:
            raise HistoryError(f"{path} names no finished run, and none with a finished block.")
        found += meant
    return found


def _begun(path, rows):
    """Histories of a list that are under way: neither finished nor failed, with a whole block."""
    files = [path.with_name(row["file"]) for row in rows if row["state"] not in _ENDED]
    return [file for file in files if not file.exists() and whole_segments(parts_folder(file))]


def left_out_of_list(path):
    """What a list of replicates does not stand for although it has begun, in one sentence.

    Parameters
    ----------
    path : str or Path
        List of the set.

    Returns
    -------
    str
        Empty where nothing was left out.

    Raises
    ------
    HistoryError
        When the list cannot be read.
    """
    path = Path(path)
    rows = read_list(path)["replicates"]
    if not any(row["state"] == "finished" for row in rows):
        return ""
    begun = [file.name for file in _begun(path, rows)]
    failed = [row["file"] for row in rows if row["state"] == "failed"]
    parts = [f"not finished yet: {', '.join(begun)}"] if begun else []
    parts += [f"failed: {', '.join(failed)}"] if failed else []
    if not parts:
        return ""
    advice = " Name the files of unfinished runs themselves to count them." if begun else ""
    return f"{path} stands for its finished runs alone; left out, {'; '.join(parts)}.{advice}"
