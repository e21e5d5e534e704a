"""Where the files lie that a case names: beside the case file, or where the user points."""

from __future__ import annotations

import os
from pathlib import Path


def named_path(case_file: str | Path, named: str) -> Path:
    """Path of a file that a case names.

    Parameters
    ----------
    case_file : str or Path
        The case file, from whose folder relative paths start; nowhere else is looked.
    named : str
        As the case names it; "~" at its start is the home folder.

    Returns
    -------
    Path

    >>> named_path("site/screen.toml", "records/may.csv").as_posix()
    'site/records/may.csv'
    """
    return Path(case_file).parent / Path(named).expanduser()


def elsewhere(case_file: str | Path, named: str) -> str:
    """What a user should know of a file that does not lie beside the case.

    Parameters
    ----------
    case_file : str or Path
        The case file.
    named : str
        As the case names it.

    Returns
    -------
    str
        A sentence without its full stop; empty for a relative path that stays within the folder of
        the case, links followed.
    """
    asked = Path(named).expanduser()
    home = Path(case_file).parent.resolve()
    real = (home / asked).resolve()
    if asked.is_absolute():
        return f"{named}: read from {real}, an absolute path that need not exist elsewhere"
    if real.is_relative_to(home):
        return ""
    within = Path(os.path.normpath(home / asked)).is_relative_to(home)
    how = "a link leads there, " if within else ""
    return f"{named}: read from {real}, {how}outside the folder of the case"


def named_elsewhere(case) -> list[str]:
    """The same of every file that a case names: environments and recordings.

    Parameters
    ----------
    case : Case
        The case; its name is the path of its file.

    Returns
    -------
    list of str
        A sentence for each that does not lie beside the case.
    """
    named = [case.case.environments_file]
    named += [source.file for source in case.vibration if source.kind == "recording"]
    told = (elsewhere(case.name, file) for file in dict.fromkeys(named) if file)
    return [sentence for sentence in told if sentence]
