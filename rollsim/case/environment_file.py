"""Vibration environments of a user: a TOML file of tables [environment.NAME].

Read with the same care as a case file: every problem in one pass, with its line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any, Literal

from rollsim.case.checks import Block, Finding, Unknown, Values, run_checks
from rollsim.case.checks_vibration import check_points
from rollsim.case.environments import (
    ENVIRONMENTS,
    MEASURED,
    READ,
    RECALLED,
    Environment,
    overall_level,
)
from rollsim.case.fields import Section, Table, assumed, conditional, needed
from rollsim.case.lines import LineTable, Path
from rollsim.case.problems import Book, header, validate
from rollsim.case.text import parse_toml, read_text
from rollsim.errors import CaseError, Problem

#: Share by which a stated overall level may differ from that of the breakpoints: levels are
#: printed with two digits, and the published ones agree within 4 % (our own choice).
LEVEL_TOLERANCE = 0.05
_FLAGS = {"read": READ, "measured": MEASURED, "memory": RECALLED}
_EMPTY = "holds no environment: write [environment.NAME] with psd, psd_unit, source and basis"


class EnvironmentTable(Section):
    """[environment.NAME] of a file of environments."""

    psd: Table = needed(
        "breakpoints [frequency in Hz, density], straight lines in log-log",
        example=((10.0, 0.015), (40.0, 0.015), (500.0, 0.00015)),
    )
    psd_unit: Literal["g2/Hz", "(m/s2)2/Hz"] = needed("unit of the density", example="g2/Hz")
    source: str = needed(
        "where the spectrum comes from", example="record of 3 May", min_length=1, max_length=500
    )
    basis: Literal["read", "measured", "memory"] = needed(
        "how sure it is: text of the standard read, measured, or from memory", example="measured"
    )
    overall_rms: float | None = conditional(
        "overall level as printed in the source, in g or m/s2 as psd_unit says; checked",
        when="in place of trust in the digits",
        example=1.04,
        gt=0,
        le=1e6,
    )
    note: str = assumed("", "remark shown with the environment", why="none", max_length=1000)


def read_environment_file(
    path: str | FilePath,
) -> tuple[Mapping[str, Environment | None] | None, list[Problem]]:
    """Environments of a file and the shipped ones.

    Parameters
    ----------
    path : str or pathlib.Path
        TOML file.

    Returns
    -------
    tuple
        Name -> Environment, None for a name whose table is wrong, None as a whole where the file
        cannot be read; and every problem.
    """
    try:
        text = read_text(path)
        if not text.strip():
            return None, [Problem(str(path), None, "", None, _EMPTY)]
        data = parse_toml(text, str(path))
    except CaseError as error:
        return None, list(error.problems)
    book = Book(str(path), LineTable(text))
    found: dict[str, Environment | None] = dict(ENVIRONMENTS)
    blocks: dict[Path, Block] = {}
    for name, raw in _tables(book, data):
        where = ("environment", name)
        section, bad = validate(book, where, EnvironmentTable, raw)
        blocks[where] = Block(EnvironmentTable, raw, bad)
        before = len(book.problems)
        run_checks(book, Values({where: blocks[where]}), (_spectrum, _level))
        sound = section is not None and len(book.problems) == before
        found[name] = _environment(name, section) if sound else None
    return found, book.problems


def _tables(book: Book, data: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Names and tables of the file; what is something else becomes a problem."""
    for key in data:
        if key != "environment":
            book.add((key,), f"unknown table or key '{key}': a file of environments holds only "
                     "tables [environment.NAME]")  # fmt: skip
    tables = data.get("environment")
    if not isinstance(tables, Mapping) or not tables:
        book.add(("environment",), _EMPTY)
        return
    for name, raw in tables.items():
        if not isinstance(raw, Mapping):
            text = "an environment has a name of its own: write [environment.NAME]"
            book.add(("environment", name), text, raw)
        elif name in ENVIRONMENTS:
            text = f"the name '{name}' is that of a shipped environment: choose another"
            book.add(("environment", name), text)
        else:
            yield name, raw


def _paths(v: Values) -> list[Path]:
    """Path of the table at hand."""
    return list(v.blocks)


def _spectrum(v: Values) -> Iterator[Finding]:
    """The breakpoints rise and are positive."""
    for path in _paths(v):
        yield from check_points(v, path)


def _level(v: Values) -> Iterator[Finding]:
    """The printed overall level is that of the breakpoints."""
    for path in _paths(v):
        points, printed = v[(*path, "psd")], v[(*path, "overall_rms")]
        if list(check_points(v, path)):
            raise Unknown(path)
        found = overall_level([tuple(point) for point in points])
        if abs(found / printed - 1.0) > LEVEL_TOLERANCE:
            yield Finding(
                (*path, "overall_rms"),
                f"the breakpoints of {header(path)} give {found:.3g}: a digit or the unit is "
                "wrong in one of them",
            )


def _environment(name: str, section: EnvironmentTable) -> Environment:
    """The environment of a valid table."""
    return Environment(
        name,
        name.replace("_", " "),
        section.psd,
        section.psd_unit,
        section.overall_rms,
        section.source,
        _FLAGS[section.basis],
        section.note,
    )


def environments_of_records(records: Iterable[Mapping[str, Any]]) -> dict[str, Environment]:
    """Shipped environments, and those that a history file carries.

    Parameters
    ----------
    records : iterable of mapping
        Fields of `Environment`, as the history keeps them.

    Returns
    -------
    dict
        Name -> Environment.
    """
    found = dict(ENVIRONMENTS)
    for record in records:
        points = tuple(tuple(point) for point in record["points"])
        found[record["name"]] = Environment(**{**record, "points": points})
    return found
