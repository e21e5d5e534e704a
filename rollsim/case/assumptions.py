"""The ledger: every value of a case that the user did not give, with reason and effect."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic.fields import FieldInfo

from rollsim.case.checks import Block
from rollsim.case.fields import Section, detail
from rollsim.case.lines import Path
from rollsim.case.materials import NUMBERS, Material, MaterialTable
from rollsim.case.problems import dotted
from rollsim.case.schema import Assumption

#: Keys of the guiding lands: they count for nothing where the rollers guide the cage.
OF_LANDS = (
    "cage.land_width_mm", "lubricant.land_film", "lubricant.land_oil_fraction",
    "lubricant.land_friction",
)  # fmt: skip
_STANDS_STILL = (
    "with 18 rollers 0, 1, 2, 5 and 10 g rms random vibration gave largest pocket forces of 645, "
    "645, 766, 1394 and 2619 N"
)


def ledger(
    blocks: Mapping[Path, Block], materials: Mapping[str, Material], used: Mapping[str, str]
) -> tuple[Assumption, ...]:
    """Every value that the user did not give, in the order of the file's tables.

    Parameters
    ----------
    blocks : mapping
        Path of a table -> Block, without problems.
    materials : mapping
        Name -> Material.
    used : mapping
        Key that names a material -> the name in force.

    Returns
    -------
    tuple of Assumption
        Keys left to the model have the value None.
    """
    entries: list[Assumption] = []
    for path, block in blocks.items():
        if path[0] != "material":
            entries += _of_table(path, block, used)
    if blocks[("cage",)].raw.get("guidance") == "roller":
        entries = [entry for entry in entries if entry.key not in OF_LANDS]
    if not any(path[0] == "vibration" for path in blocks):
        entries.append(_no_vibration())
    for name in dict.fromkeys(used.values()):
        given = blocks[("material", name)].raw if ("material", name) in blocks else {}
        entries += _of_material(materials[name], given)
    return tuple(entries)


def _of_table(path: Path, block: Block, used: Mapping[str, str]) -> Iterator[Assumption]:
    """Keys of one table that are not in the file."""
    for name in assumable(block.model):
        field = block.model.model_fields[name]
        if name not in block.raw and in_force(field, block):
            key = dotted((*path, name))
            yield Assumption(
                key,
                used.get(key, field.default),
                detail(field, "unit"),
                detail(field, "why"),
                detail(field, "effect"),
            )


def in_force(field: FieldInfo, block: Block) -> bool:
    """Whether a key counts beside the other keys of its table.

    Parameters
    ----------
    field : pydantic.fields.FieldInfo
        Declaration of the key.
    block : Block
        Its table as read.

    Returns
    -------
    bool
        False where a condition of its declaration (`only`) does not hold.
    """
    for key, values in (detail(field, "only") or {}).items():
        found = block.raw.get(key, block.model.model_fields[key].default)
        if found is None if values is ... else found not in values:
            return False
    return True


def idle_keys(case) -> Iterator[tuple[str, Any, str]]:
    """Keys that the user gave and that count for nothing beside the others.

    Parameters
    ----------
    case : Case
        The case.

    Yields
    ------
    key : str
        Dotted path.
    value : object
        As given.
    when : str
        With what it would count, in words.
    """
    section = case.lubricant
    given = {name: getattr(section, name) for name in section.model_fields_set}
    block = Block(type(section), given, set())
    for name, value in given.items():
        field = type(section).model_fields[name]
        if not in_force(field, block):
            conditions = detail(field, "only").items()
            yield f"lubricant.{name}", value, " and ".join(_words(*item) for item in conditions)
        elif f"lubricant.{name}" in OF_LANDS and case.cage.guidance == "roller":
            yield f"lubricant.{name}", value, "a cage that a ring guides"


def _words(key: str, values: Any) -> str:
    """One condition of `only`."""
    if values is ...:
        return key
    return f"{key} = " + " or ".join(repr(value) for value in values)


def assumable(model: type[Section]) -> tuple[str, ...]:
    """Keys of a section that become an assumption where they are not given.

    Parameters
    ----------
    model : type of Section
        The section.

    Returns
    -------
    tuple of str
        Keys with a default and keys that the model computes.
    """
    sorts = ("assumed", "computed")
    fields = model.model_fields.items()
    return tuple(name for name, field in fields if detail(field, "sort") in sorts)


def _no_vibration() -> Assumption:
    """No source of vibration at all."""
    return Assumption(
        "vibration", "none", "", "no [[vibration]] given: the housing stands still", _STANDS_STILL
    )


def _of_material(material: Material, given: Mapping[str, Any]) -> Iterator[Assumption]:
    """Numbers of a material in use that are not in the file."""
    for name in NUMBERS:
        value = getattr(material, name)
        if name not in given and value is not None:
            field = MaterialTable.model_fields[name]
            yield Assumption(
                f"material.{material.name}.{name}",
                value,
                detail(field, "unit"),
                material.basis[name],
                detail(field, "effect"),
            )
