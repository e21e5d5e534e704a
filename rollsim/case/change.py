"""The same case with other values: for command line options and for sweeps.

The changed case is written as TOML again and read like any file, so it passes the same checks and
its text alone is enough to repeat the run.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from rollsim.case.fields import toml_value
from rollsim.case.read import parse_case
from rollsim.case.schema import Case
from rollsim.errors import CaseError, Problem

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STEP = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?(?:\.|$)")


def changed_case(case: Case, changes: Mapping[str, Any]) -> Case:
    """A case with some values replaced or added.

    Parameters
    ----------
    case : Case
        The case to start from.
    changes : mapping
        Dotted key -> value in the unit of the key, as in "duty.duration_s" or
        "vibration[1].gain" (sources count from 1).

    Returns
    -------
    Case
        Checked like a case file; its text holds the new values (remarks are lost).

    Raises
    ------
    CaseError
        With every problem of the changed case; lines are those of the rewritten text.
    """
    if not changes:
        return case
    data = tomllib.loads(case.text)
    for key, value in changes.items():
        _put(data, key, _plain(value), case.name)
    known = None if "case.environments_file" in changes else case.environments
    return parse_case(toml_text(data), case.name, known)


def without_source_seeds(case: Case) -> Case:
    """A case whose sources of vibration all draw from the seed of the case.

    Parameters
    ----------
    case : Case
        The case to start from.

    Returns
    -------
    Case
        The very same where no source has a seed of its own; otherwise its text lacks those seeds
        (and the remarks).
    """
    data = tomllib.loads(case.text)
    sources = data.get("vibration", [])
    if not any("seed" in source for source in sources):
        return case
    for source in sources:
        source.pop("seed", None)
    return parse_case(toml_text(data), case.name, case.environments)


def _put(data: dict[str, Any], key: str, value: Any, name: str) -> None:
    """Set one value, making tables on the way."""
    steps = [(part, int(number) - 1 if number else None) for part, number in _STEP.findall(key)]
    place: Any = data
    try:
        for part, position in steps[:-1]:
            place = place.setdefault(part, {})
            if position is not None:
                place = place[position]
        place[steps[-1][0]] = value
    except (KeyError, IndexError, TypeError, AttributeError):
        problem = Problem(name, None, key, None, _no_place(key))
        raise CaseError([problem]) from None


def _no_place(key: str) -> str:
    """Words for a key that leads nowhere."""
    return f"'{key}' cannot be set: no such place in the case"


def _plain(value: Any) -> Any:
    """Scalars and arrays of numerical libraries become plain numbers and lists."""
    return value.tolist() if hasattr(value, "tolist") else value


def toml_text(data: Mapping[str, Any]) -> str:
    """Tables and values as TOML.

    Parameters
    ----------
    data : mapping
        As the standard reader gives it: tables, lists of tables, numbers, texts, lists.

    Returns
    -------
    str
        Text that reads back as the same data.

    Examples
    --------
    >>> print(toml_text({"a": {"x": 1.5, "b": {"y": "z"}}}))
    [a]
    x = 1.5
    <BLANKLINE>
    [a.b]
    y = "z"
    <BLANKLINE>
    """
    blocks = ["\n".join(lines) for lines in _blocks((), data) if lines]
    return "\n\n".join(blocks) + "\n"


def _blocks(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[list[str]]:
    """Lines of a table, then of the tables below it."""
    plain = {key: value for key, value in table.items() if not _is_tables(value)}
    header = [f"[{'.'.join(map(_key, path))}]"] if path else []
    yield [*header, *_pairs(plain)]
    yield from _below(path, table)


def _below(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[list[str]]:
    """Lines of the tables and lists of tables inside a table."""
    for key, value in table.items():
        inner = (*path, key)
        if isinstance(value, Mapping):
            yield from _blocks(inner, value)
        elif _is_tables(value):
            for item in value:
                plain = {name: part for name, part in item.items() if not _is_tables(part)}
                yield [f"[[{'.'.join(map(_key, inner))}]]", *_pairs(plain)]
                yield from _below(inner, item)


def _is_tables(value: Any) -> bool:
    """Whether a value is a table or a list of tables."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(item, Mapping) for item in value)
    return isinstance(value, Mapping)


def _pairs(table: Mapping[str, Any]) -> Iterator[str]:
    """Lines key = value."""
    return (f"{_key(key)} = {toml_value(value)}" for key, value in table.items())


def _key(name: str) -> str:
    """A key, quoted where TOML asks for it."""
    return name if _BARE.fullmatch(name) else toml_value(name)
