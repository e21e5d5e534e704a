"""Case files for a start: the commented template and the named examples.

The template is written from the schema, so it holds every key with its unit, allowed range and
default. Lines that start with `# ` explain; lines that start with `#` and a key are switched off.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from pydantic.fields import FieldInfo

from rollsim.case.environments import ENVIRONMENTS
from rollsim.case.fields import Section, allowed, detail, toml_value
from rollsim.case.materials import MADE_OF, MaterialTable
from rollsim.case.problems import nearest
from rollsim.case.schema import TABLES
from rollsim.case.schema_closures import CLOSURES
from rollsim.case.vibration import SOURCES
from rollsim.errors import CaseError, Problem

_WIDTH = 96
_SWITCHED_ON = ("guidance_um", "axis", "psd", "psd_unit")
_INTRO = """Case file for rollsim (TOML): text in double quotes, decimals with a point.
Every key carries its unit. A key that is not given takes the value named here, and
`rollsim check` lists it as an assumption. Lines that start with "# " explain; lines that start
with "#" and a key or a table are switched off: take the "#" away to use them.
Axes: z along the bearing axis, y up; angles counter-clockwise seen from +z."""
_TABLE_NOTES = {
    "case": "Name and seed.",
    "bearing": "Main dimensions of the bearing.",
    "roller": "Rollers.",
    "cage": "Cage: a base ring with bars on the -z side, a cover ring on the +z side.",
    "lubricant": "Oil or grease, films, traction and friction. The viscosity in one of three ways: "
    "viscosity_mPas at running temperature; grade_iso_vg and temperature_C; viscosities at 40 and "
    "100 degrees C and temperature_C.",
    "clearance": "Free movement between the parts at running temperature.",
    "contact": "Dissipation in contacts.",
    "duty": "Speed, loads and duration.",
    "solver": "Integration in time.",
    "output": "What the history file keeps.",
    "fatigue": "Aim and factors of the fatigue verdict.",
}


def template_text(example: str | None = None) -> str:
    """Text of a new case file.

    Parameters
    ----------
    example : str or None
        Name of a shipped example; None gives the commented template.

    Returns
    -------
    str
        TOML text that loads without errors.

    Raises
    ------
    CaseError
        Where there is no such example.
    """
    if example is not None:
        return _example_text(example)
    parts = [_comment(_INTRO)]
    for name, model in TABLES.items():
        parts.append(_table(f"[{name}]", model, _TABLE_NOTES[name]))
        if name == "cage":
            parts += _closures()
    parts += [*_vibration(), _material()]
    return "\n\n".join(parts) + "\n"


def example_names() -> tuple[str, ...]:
    """Names of the shipped example cases.

    Returns
    -------
    tuple of str
        Sorted; empty where none are installed.
    """
    return tuple(sorted(_examples()))


def example_companion(example: str) -> Path | None:
    """Recording that a shipped example replays.

    Parameters
    ----------
    example : str
        Name of the example.

    Returns
    -------
    pathlib.Path or None
        The file, to be copied beside the case; None where the example needs none.
    """
    file = _examples().get(example.removesuffix(".toml"))
    companion = file.with_suffix(".csv") if file else None
    return companion if companion and companion.is_file() else None


def _example_text(name: str) -> str:
    """Text of a named example."""
    files = _examples()
    name = name.removesuffix(".toml")
    if name not in files:
        known = ", ".join(sorted(files)) or "none installed"
        message = f"unknown example '{name}'; known: {known}"
        raise CaseError([Problem("rollsim new", None, "", None, message, nearest(name, files))])
    return files[name].read_text(encoding="utf-8")


def _examples() -> dict[str, Path]:
    """Example files by name: from the installed package, or from a clone of the repository."""
    here = Path(__file__).resolve()
    for folder in (here.parent / "examples", here.parents[2] / "cases"):
        files = {file.stem: file for file in folder.glob("*.toml")}
        if files:
            return files
    return {}


def _table(header: str, model: type[Section], note: str, off: bool = False) -> str:
    """One table with all its keys."""
    lines = [_comment(note), f"{'#' if off else ''}{header}"]
    for name, field in model.model_fields.items():
        lines += _key(name, field, off)
    return "\n".join(lines)


def _key(name: str, field: FieldInfo, off: bool) -> Iterator[str]:
    """Explanation and line of one key."""
    yield _comment(f"{_capital(field.description)}: {allowed(field)}. {_otherwise(field)}")
    is_on = detail(field, "sort") == "needed" or name in _SWITCHED_ON
    yield f"{'' if is_on and not off else '#'}{name} = {toml_value(_sample(field))}"


def _otherwise(field: FieldInfo) -> str:
    """What holds where the key is not given."""
    sort, why = detail(field, "sort"), detail(field, "why")
    if sort == "needed":
        return "Required."
    if sort == "assumed" and field.default is not None:
        return f"If not given: {toml_value(field.default)} ({why})."
    return f"{'If not given: ' if sort != 'conditional' else ''}{_capital(why, sort)}."


def _capital(text: str, sort: str = "conditional") -> str:
    """Text with a capital at the start of a sentence."""
    return text[:1].upper() + text[1:] if sort == "conditional" else text


def _sample(field: FieldInfo) -> object:
    """Value shown for a key."""
    example = detail(field, "example")
    if example != "":
        return example
    return "CuZn40Pb2" if field.default is None else field.default


def _closures() -> list[str]:
    """The three kinds of closure; the first is switched on."""
    notes = {
        "steel_rivet": "Closure of the cage: rivets, through the bars or beside them.",
        "integral_tenon": "In place of rivets: tenons of the bars, rectangular or round, upset "
        "into the cover.",
        "one_piece": "In place of rivets: a cage without joints.",
    }
    return [
        _table("[cage.closure]", model, notes[kind], off=kind != "steel_rivet")
        for kind, model in CLOSURES.items()
    ]


def _vibration() -> list[str]:
    """All kinds of source; the first is switched on."""
    levels = "; ".join(
        f"{item.name} ({item.overall:g} {item.overall_unit}, {item.basis})"
        for item in ENVIRONMENTS.values()
    )
    notes = {
        "psd": "Imposed vibration, any number of sources. Random vibration from a table, slopes or "
        "a named environment: a published one, or one of your own (case.environments_file). "
        "Long runs (beyond 120 s up to 2 kHz) are the sum of two signals of half the power; each "
        f"repeats, their sum does not; rollsim check tells the periods. Published: {levels}.",
        "sine": "A steady sine.",
        "sweep": "A sine whose frequency goes up, down, or up and down.",
        "shock": "One shock, a train of shocks, or shocks at random times. Steps of leapfrog "
        "and dormand_prince end where a shock begins, bends and ends; the other solvers may step "
        "across a short one.",
        "exciter": "Motion of the housing along a circle, an ellipse or a line in the x-y plane "
        "(vibrating screens), with a speed of its own or locked to the shaft.",
        "recording": "Acceleration measured on site. `rollsim check` tells what was read: rate, "
        "level, clipping, bandwidth, and every fault with its place in the file.",
    }
    return [
        _table("[[vibration]]", model, notes[kind], off=kind != "psd")
        for kind, model in SOURCES.items()
    ]


def _material() -> str:
    """A material of the user."""
    shipped = ", ".join(f"{name} ({text})" for name, text in MADE_OF.items())
    note = f"A material of your own, or new values for a shipped one. Shipped: {shipped}."
    return _table("[material.my_brass]", MaterialTable, note, off=True)


def _comment(text: str) -> str:
    """Text as comment lines of bounded width."""
    lines = [part for line in text.splitlines() for part in textwrap.wrap(line, _WIDTH)]
    return "\n".join(f"# {line}" for line in lines)
