"""What two or more cases differ in: every value, given or assumed, with its unit."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from rollsim.case.fields import Section, detail
from rollsim.case.materials import NUMBERS, MaterialTable
from rollsim.case.schema import TABLES, Case

#: Keys that name a case or its draw, not what is computed.
_NAMES = ("case.name", "case.note", "case.seed")
#: Keys of the cage that say how it is computed, not what it is.
_METHOD = ("cage.elastic_modes", "cage.mode_damping")
COMPUTED = "computed"


class InputValue(NamedTuple):
    """A value of a case: as in the file, `COMPUTED` where the model finds it; unit; given or not"""

    value: Any
    unit: str
    given: bool


@dataclass(frozen=True)
class InputDifference:
    """A key in which cases differ.

    Attributes
    ----------
    key : str
        Dotted path in the case file.
    unit : str
        Empty for none.
    values : tuple
        One a case; None where the case has no such value.
    given : tuple of bool
        False for an assumption.
    of_cage : bool
        The value describes the cage itself, its closures or their material.
    """

    key: str
    unit: str
    values: tuple[Any, ...]
    given: tuple[bool, ...]
    of_cage: bool


@dataclass(frozen=True)
class InputComparison:
    """Inputs of some cases side by side.

    Attributes
    ----------
    differences : tuple of InputDifference
        In the order of the case file.
    same : dict of str to int
        Table -> number of its values that are the same in all cases.
    differing : dict of str to int
        Table -> number of its values that differ.
    """

    differences: tuple[InputDifference, ...]
    same: dict[str, int]
    differing: dict[str, int]


def input_comparison(cases: Sequence[Case]) -> InputComparison:
    """Hold the inputs of cases against each other; name, note and seeds are left out.

    Parameters
    ----------
    cases : sequence of Case
        Two or more.

    Returns
    -------
    InputComparison
    """
    tables = [input_values(case) for case in cases]
    ours = {name for case in cases for name in _cage_materials(case)}
    found, same, differing = [], {}, {}
    for key in dict.fromkeys(key for table in tables for key in table):
        entries = [table.get(key) for table in tables]
        values = tuple(None if entry is None else entry.value for entry in entries)
        name = key.partition(".")[0].partition("[")[0]
        if all(value == values[0] for value in values):
            same[name] = same.get(name, 0) + 1
            continue
        differing[name] = differing.get(name, 0) + 1
        unit = next(entry.unit for entry in entries if entry is not None)
        given = tuple(entry is not None and entry.given for entry in entries)
        found.append(InputDifference(key, unit, values, given, _is_of_cage(key, ours)))
    return InputComparison(tuple(found), same, differing)


def input_values(case: Case) -> dict[str, InputValue]:
    """Every value that counts in a case, by its key.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    dict of str to InputValue
        Keys that count for nothing beside the others are left out.
    """
    data = tomllib.loads(case.text)
    assumed = {item.key: item.value for item in case.assumptions}
    found = {}
    for name in TABLES:
        found |= _of_section(name, getattr(case, name), data.get(name, {}), assumed)
    for number, source in enumerate(case.vibration):
        key = f"vibration[{number + 1}]"
        found |= _of_section(key, source, data["vibration"][number], assumed)
    for name in dict.fromkeys((*_cage_materials(case), case.roller.material)):
        found |= dict(_of_material(name, case, data.get("material", {}).get(name, {})))
    return {key: value for key, value in found.items() if _counts(key)}


def _counts(key: str) -> bool:
    """Tell whether a value shapes a run: names and seeds do not."""
    return key not in _NAMES and not (key.startswith("vibration[") and key.endswith(".seed"))


def _of_section(
    path: str, section: Section, raw: Mapping[str, Any], assumed: Mapping[str, Any]
) -> dict[str, InputValue]:
    """Values of a table and of the table inside it."""
    found = {}
    for name, field in type(section).model_fields.items():
        key, value = f"{path}.{name}", getattr(section, name)
        if isinstance(value, Section):
            found |= _of_section(key, value, raw.get(name, {}), assumed)
        elif name in raw:
            found[key] = InputValue(value, detail(field, "unit"), True)
        elif key in assumed:
            shown = COMPUTED if assumed[key] is None else assumed[key]
            found[key] = InputValue(shown, detail(field, "unit"), False)
    return found | _closure_of(path, section, raw, assumed)


def _closure_of(
    path: str, section: Section, raw: Mapping[str, Any], assumed: Mapping[str, Any]
) -> dict[str, InputValue]:
    """Values of the closure, which stands in the cage beside the keys of its table."""
    closure = getattr(section, "closure", None) if path == "cage" else None
    if closure is None or "closure" in type(section).model_fields:
        return {}
    return _of_section("cage.closure", closure, raw.get("closure", {}), assumed)


def _of_material(name: str, case: Case, raw: Mapping[str, Any]) -> Iterator[tuple[str, InputValue]]:
    """Numbers of a material."""
    for number in NUMBERS:
        value = getattr(case.materials[name], number)
        if value is not None:
            unit = detail(MaterialTable.model_fields[number], "unit")
            yield f"material.{name}.{number}", InputValue(value, unit, number in raw)


def _cage_materials(case: Case) -> list[str]:
    """Materials of the cage and its closures."""
    closure = case.cage.closure
    names = (case.cage.material, closure.material, getattr(closure, "boss_material", None))
    return [name for name in dict.fromkeys(names) if name]


def _is_of_cage(key: str, materials: set[str]) -> bool:
    """Tell whether a key describes the cage itself."""
    if key.startswith("material."):
        return key.split(".")[1] in materials
    return key.startswith("cage.") and key not in _METHOD
