"""Where the runs and the document come from: versions, sources, machines, inputs, seeds."""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
from collections.abc import Iterator, Mapping
from concurrent.futures import Future
from pathlib import Path
from typing import Any

from rollsim.history.provenance import machine, software
from rollsim.history.reader import open_history
from rollsim.report.document.gather import Execution
from rollsim.report.document.tables import Table

#: Libraries that draw and write the document, beside those that a run depends on.
_LIBRARIES = ("matplotlib", "jinja2")
_UNTOLD = "not told by the file (an earlier version wrote it)"
#: Entries of the software that are told in words of their own.
_SOURCE = ("rollsim", "commit", "modified", "sources", "python")
Row = tuple[str, str]


def origin_table(own: Execution, sums: Mapping[Path, Future]) -> Table:
    """Where the runs of an execution come from.

    Parameters
    ----------
    own : Execution
        Any.
    sums : mapping of Path to Future
        Its files -> their `file_hash`.

    Returns
    -------
    Table
    """
    attributes = own.history.attributes
    stored = _provenance(attributes)
    rows = [
        ("case text, SHA-256", hashlib.sha256(own.runs.case_text.encode()).hexdigest()),
        ("solver", str(attributes["solver"])),
        ("sampled at", f"{attributes['sample_rate_Hz']:g} Hz"),
        ("run on", str(attributes.get("created", "-"))),
        *provenance_rows(stored, str(attributes["rollsim_version"])),
    ]
    for path, seed in zip(own.runs.paths, own.runs.seeds, strict=True):
        rows.append((f"history {path.name}", f"seed {seed}, SHA-256 {sums[path].result()}"))
    rows += _others(own.runs.paths[1:], stored)
    return Table(f"{own.letter}: origin", ("what", "value"), tuple(rows))


def made_with_table() -> Table:
    """What made the document.

    Returns
    -------
    Table
    """
    own = software()
    own |= {name: importlib.metadata.version(name) for name in _LIBRARIES}
    rows = provenance_rows({"software": own, "machine": machine()}, own["rollsim"])
    return Table("This document was made with", ("what", "value"), tuple(rows))


def provenance_rows(stored: Mapping[str, Any], version: str) -> list[Row]:
    """Versions, sources, libraries, machine, inputs and seeds in words.

    Parameters
    ----------
    stored : mapping
        As in the attribute `provenance` of a history; empty where it has none.
    version : str
        Version of rollsim, which every history tells.

    Returns
    -------
    list of (str, str)
        What and value.

    Examples
    --------
    >>> provenance_rows({}, "0.1")
    [('rollsim', '0.1'), ('provenance', 'not told by the file (an earlier version wrote it)')]
    """
    if not stored:
        return [("rollsim", version), ("provenance", _UNTOLD)]
    return list(_rows(stored, version))


def _rows(stored: Mapping[str, Any], version: str) -> Iterator[Row]:
    """One row a sort of thing."""
    own = stored.get("software", {})
    commit = own.get("commit")
    state = {True: ", with changes beyond it", False: ", unchanged", None: ""}[own.get("modified")]
    yield "rollsim", f"{version}, " + (f"commit {commit}{state}" if commit else "no git checkout")
    if own.get("sources"):
        yield "sources of rollsim, SHA-256", str(own["sources"])
    if own.get("python"):
        yield "Python", str(own["python"])
    names = [f"{name} {number}" for name, number in own.items() if name not in _SOURCE]
    if names:
        yield "libraries", ", ".join(names)
    where = stored.get("machine", {})
    if where:
        cores = f"{where.get('cores')} logical cores"
        parts = (where.get("processor"), where.get("architecture"), cores, where.get("system"))
        yield "machine", ", ".join(str(part) for part in parts if part)
    for item in stored.get("inputs", ()):
        yield f"input: {item.get('role')} {item.get('file')}", f"SHA-256 {item.get('sha256')}"
    seeds = stored.get("seeds", {})
    if seeds:
        yield "seeds", ", ".join(f"{name} {seed}" for name, seed in seeds.items())


def _others(paths: tuple[Path, ...], first: Mapping[str, Any]) -> Iterator[Row]:
    """What other runs of a set were computed with, where that differs from the first one."""
    for path in paths:
        with open_history(path) as history:
            own = _provenance(history.attributes)
            version = str(history.attributes["rollsim_version"])
        told = ("software", "machine")
        if any(own.get(part) != first.get(part) for part in told):
            rows = provenance_rows({part: own[part] for part in told if part in own}, version)
            yield f"{path.name} was run with", "; ".join(f"{what} {value}" for what, value in rows)


def _provenance(attributes: Mapping[str, Any]) -> dict[str, Any]:
    """The record of a history; empty where it holds none or one that cannot be read."""
    try:
        found = json.loads(attributes.get("provenance", "{}"))
    except (TypeError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def file_hash(path: Path) -> str:
    """SHA-256 of a finished history.

    Parameters
    ----------
    path : Path
        History file.

    Returns
    -------
    str
        Words where the run is not finished.
    """
    if not path.is_file():
        return "not finished"
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
