"""The text of a case file: reading it from disk and as TOML, with errors in plain words."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from rollsim.case.problems import nearest
from rollsim.errors import CaseError, Problem

LARGEST = 1_000_000
#: Parts of a dotted name; the reader's memory grows with the square of their number.
_MOST_PARTS = 32
_PART = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')"""
_DEEP = re.compile(rf"(?<![\w-]){_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{{_MOST_PARTS}}}")
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"Cannot declare \((.*)\) twice")


def read_text(path: str | Path) -> str:
    """Text of a case file.

    Parameters
    ----------
    path : str or pathlib.Path
        The file.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    CaseError
        Where it is missing, a folder, too large, unreadable or not UTF-8.
    """
    file = Path(path)
    try:
        _check_file(file)
        data = file.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not possible here"
        raise _whole(str(path), f"cannot be read: {reason.lower()}") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise CaseError([_not_utf8(str(path), line)]) from None


def _check_file(file: Path) -> None:
    """A file that is there and of a sensible size."""
    if not file.exists():
        folder = file.parent
        names = [item.name for item in folder.glob("*.toml")] if folder.is_dir() else []
        raise CaseError(
            [Problem(str(file), None, "", None, "no such file", nearest(file.name, names))]
        )
    if file.is_dir():
        raise _whole(str(file), "is a folder, not a case file")
    size = file.stat().st_size
    if size > LARGEST:
        text = f"is too large for a case file: {size / 1e6:.1f} MB, at most {LARGEST / 1e6:g} MB"
        raise _whole(str(file), text)


def _not_utf8(file: str, line: int) -> Problem:
    """The problem of a text in another encoding."""
    return Problem(file, line, "", None, "the text is not UTF-8: save the file as UTF-8")


def _whole(file: str, message: str, line: int | None = None, value: Any = None) -> CaseError:
    """Error about the file as a whole."""
    return CaseError([Problem(file, line, "", value, message)])


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """Tables and keys of a TOML text.

    Parameters
    ----------
    text : str
        The text.
    name : str
        Name for messages.

    Returns
    -------
    dict
        As `tomllib` reads it.

    Raises
    ------
    CaseError
        Where the text is empty or not TOML.
    """
    if len(text) > LARGEST:
        raise _whole(name, f"is too large for a case file: at most {LARGEST / 1e6:g} MB")
    deep = _DEEP.search(text)
    if deep:
        line = text.count("\n", 0, deep.start()) + 1
        raise _whole(name, f"a name of more than {_MOST_PARTS} parts with points between", line)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(text, name, str(error)) from None
    except RecursionError:
        raise _whole(name, "lists stand too deep within each other") from None
    except ValueError:
        raise _whole(name, "a number has too many digits") from None
    if not data:
        raise _whole(name, "the file holds no case; `rollsim new FILE` writes a commented one")
    return data


def _syntax(text: str, name: str, message: str) -> CaseError:
    """Error of the TOML reader, in plain words and with the line."""
    place = _PLACE.search(message)
    what = message[: place.start()] if place else message
    if place and place.group(1):
        line, column = int(place.group(1)), int(place.group(2))
    else:
        line, column = max(len(text.splitlines()), 1), None
    content = (text.splitlines() or [""])[min(line, len(text.splitlines()) or 1) - 1].strip()
    where = f", column {column}" if column else " (end of the file)"
    return _whole(name, f"not valid TOML{where}: {_plain(what, content)}: {content}", line)


def _plain(what: str, content: str) -> str:
    """Plain words for what the TOML reader says, with the usual cause."""
    twice = _TWICE.match(what)
    if twice:
        parts = re.findall(r"'([^']*)'", twice.group(1))
        return f"the table [{'.'.join(parts)}] is given twice"
    if re.search(r"=\s*[-+]?\d+,\d", content):
        return "decimals take a point, not a comma"
    if what.startswith("Cannot overwrite a value"):
        return "this key is given twice"
    if what.startswith("Invalid value"):
        return "text needs double quotes, true and false small letters, numbers a point"
    return what[:1].lower() + what[1:]
