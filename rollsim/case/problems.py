"""From what the schema rejects to problems in plain words: file, line, key, value, allowed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from rollsim.case.fields import Section, allowed, choices, detail
from rollsim.case.lines import LineTable, Path
from rollsim.case.schema import TABLES
from rollsim.errors import Problem, shown

#: How the form of a table of rows begins.
_TABLE = "a list of rows "


class Book:
    """Collects the problems of one file.

    Parameters
    ----------
    file : str
        Name of the file, for the messages.
    lines : LineTable
        Where the keys stand.
    """

    def __init__(self, file: str, lines: LineTable) -> None:
        self.file = file
        self.lines = lines
        self.problems: list[Problem] = []

    def add(
        self, path: Path, message: str, value: Any = None, suggestion: str | None = None
    ) -> None:
        """Note a problem at a key.

        Parameters
        ----------
        path : tuple
            Keys and positions in lists.
        message : str
            What is allowed, or what does not fit.
        value : object
            Value as read; None shows none.
        suggestion : str
            Nearest known name.
        """
        line = self.lines.line(path)
        self.problems.append(Problem(self.file, line, dotted(path), value, message, suggestion))


def dotted(path: Path) -> str:
    """Path as people write it; positions in lists count from 1.

    Parameters
    ----------
    path : tuple
        Keys and positions in lists.

    Returns
    -------
    str
        Dotted text.

    Examples
    --------
    >>> dotted(("vibration", 0, "psd"))
    'vibration[1].psd'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".")


def nearest(name: Any, known: Iterable[str]) -> str | None:
    """The known name most like a given one.

    Parameters
    ----------
    name : object
        What the user wrote.
    known : iterable of str
        Names to choose from.

    Returns
    -------
    str or None
        None where nothing is alike.

    Examples
    --------
    >>> nearest("lenght_mm", ["length_mm", "width_mm"])
    'length_mm'
    """
    if not isinstance(name, str):
        return None
    by_lower = {item.lower(): item for item in known}
    found = get_close_matches(name.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def validate(
    book: Book, path: Path, model: type[Section], raw: Mapping[str, Any]
) -> tuple[Section | None, set[str]]:
    """Check one table against its section; every problem goes into the book.

    Parameters
    ----------
    book : Book
        Takes the problems.
    path : tuple
        Where the table stands.
    model : type of Section
        What the table must be.
    raw : mapping
        The table as read.

    Returns
    -------
    tuple
        The section (None where something is wrong) and the keys that are wrong.
    """
    try:
        return model.model_validate(dict(raw)), set()
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=False, include_input=False)
    except (ValueError, OverflowError, RecursionError):
        faults = [{"type": "other", "loc": (key,)} for key in raw if key in model.model_fields]
    bad: set[str] = set()
    told: set[tuple[str, int | None]] = set()
    for fault in faults:
        key = str(fault["loc"][0])
        place = (key, _row(model, raw, fault))
        if key not in bad or (place[1] is not None and place not in told):
            _add_fault(book, path, model, raw, fault)
        bad.add(key)
        told.add(place)
    return None, bad


def _add_fault(
    book: Book, path: Path, model: type[Section], raw: Mapping[str, Any], fault: Any
) -> None:
    """Word one fault of a table."""
    key = str(fault["loc"][0])
    if fault["type"] == "missing" and len(fault["loc"]) == 1:
        book.add((*path, key), _missing_text(path, model, key))
    elif key not in model.model_fields:
        _add_unknown(book, path, model, key)
    else:
        _add_wrong_value(book, path, model, raw, fault)


def _missing_text(path: Path, model: type[Section], key: str) -> str:
    """What to write where a needed key is not there."""
    field = model.model_fields[key]
    return f"{header(path)} needs '{key}' ({field.description}): {allowed(field)}"


def _add_unknown(book: Book, path: Path, model: type[Section], key: str) -> None:
    """Unknown key: the nearest one of the table, or the table where it belongs."""
    known = [*model.model_fields, *(["closure"] if path == ("cage",) else [])]
    suggestion = nearest(key, known)
    homes = [name for name, table in TABLES.items() if key in table.model_fields]
    if homes:
        suggestion = f"{homes[0]}.{key}"
    text = f"unknown key '{key}' in {header(path)}"
    if suggestion is None:
        text += f"; known keys: {', '.join(known)}"
    book.add((*path, key), text, suggestion=suggestion)


def _add_wrong_value(
    book: Book, path: Path, model: type[Section], raw: Mapping[str, Any], fault: Any
) -> None:
    """Value of the wrong sort or out of range."""
    key = str(fault["loc"][0])
    field = model.model_fields[key]
    row = _row(model, raw, fault)
    if row is not None:
        book.add((*path, key, row), f"must be {_row_form(field)}", raw[key][row])
        return
    text = f"must be {allowed(field)}{_item_text(raw[key], fault, field)}"
    note = detail(field, "note")
    if note and fault["type"] in ("greater_than", "greater_than_equal"):
        text += f"; {note}"
    book.add((*path, key), text, raw[key], _nearest_choice(raw[key], choices(field)))


def _nearest_choice(value: Any, known: tuple[str, ...]) -> str | None:
    """The choice most like a value, or most like the first item of a list that is not one."""
    items = value if isinstance(value, list) else [value]
    strange = [item for item in items if item not in known]
    return nearest(strange[0], known) if strange and known else None


def _row(model: type[Section], raw: Mapping[str, Any], fault: Any) -> int | None:
    """Row of a table to which a fault belongs."""
    key, *where = fault["loc"]
    if key not in model.model_fields or not where or not isinstance(where[0], int):
        return None
    if key == "psd":
        return where[0]
    is_table = detail(model.model_fields[key], "form").startswith(_TABLE)
    return where[0] if is_table and isinstance(raw[key][where[0]], list) else None


def _row_form(field: Any) -> str:
    """What a row of a table must be."""
    form = detail(field, "form")
    if not form.startswith(_TABLE):
        return "a pair of numbers [frequency in Hz, density]"
    return f"a row {form.removeprefix(_TABLE)} of finite numbers"


def _item_text(value: Any, fault: Any, field: Any) -> str:
    """Which number of a long list is the wrong one."""
    where = fault["loc"][1:]
    if not isinstance(value, list) or not where or not isinstance(where[0], int):
        return ""
    if choices(field) or where[0] >= len(value) or detail(field, "form").startswith(_TABLE):
        return ""
    return f"; number {where[0] + 1} of the list is {shown(value[where[0]])}"


def header(path: Path) -> str:
    """Header of a table as it stands in the file.

    Parameters
    ----------
    path : tuple
        Path of the table.

    Returns
    -------
    str
        For example "[roller]" or "[[vibration]] number 2".

    Examples
    --------
    >>> header(("cage", "closure")), header(("vibration", 1))
    ('[cage.closure]', '[[vibration]] number 2')
    """
    if path and isinstance(path[-1], int):
        return f"[[{dotted(path[:-1])}]] number {path[-1] + 1}"
    return f"[{dotted(path)}]"


def known_text(known: Iterable[str]) -> str:
    """A list of known names, for the end of a message.

    Parameters
    ----------
    known : iterable of str
        Names.

    Returns
    -------
    str
        The names in quotes.

    Examples
    --------
    >>> known_text(["a", "b"])
    "'a', 'b'"
    """
    return ", ".join(shown(name) for name in known)
