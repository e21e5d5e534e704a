"""Relations of the materials: names that exist, data that are complete and fit together."""

from __future__ import annotations

from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.materials import SHIPPED
from rollsim.case.problems import known_text, nearest

ELASTIC = ("youngs_modulus_GPa", "poisson", "density_kg_per_m3")
STRENGTH = ("yield_MPa", "ultimate_MPa", "fatigue_strength_MPa", "knee_cycles")
USES = (
    "roller.material",
    "cage.material",
    "cage.closure.material",
    "cage.closure.boss_material",
)


def user_materials(v: Values) -> list[str]:
    """Names of the [material.NAME] tables of the file.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    list of str
        In the order of the file.
    """
    return [str(path[1]) for path in v.blocks if path[0] == "material"]


def _name_known(use: str):
    """Check that the material named at one key exists."""

    def check(v: Values) -> Iterator[Finding]:
        known = [*SHIPPED, *(name for name in user_materials(v) if name not in SHIPPED)]
        name = v[use]
        if name not in known:
            yield Finding(
                use,
                f"unknown material; known: {known_text(known)}, or describe it in a table "
                "[material.NAME]",
                nearest(name, known),
            )

    return check


def _new_complete(v: Values) -> Iterator[Finding]:
    """A material that is not shipped has all data that its use asks for."""
    for name in user_materials(v):
        if name in SHIPPED:
            continue
        wanted = ELASTIC + (STRENGTH if name in _names_in_cage(v) else ())
        missing = [key for key in wanted if not v.given(("material", name, key))]
        if missing:
            yield Finding(
                ("material", name),
                f"[material.{name}] needs {known_text(missing)}: it is not a shipped material"
                + (" and the cage or its closures are made of it" if wanted != ELASTIC else ""),
            )


def _names_in_cage(v: Values) -> list[str]:
    """Names of the materials of cage and closures, as far as they are known."""
    names = []
    for use in USES[1:]:
        try:
            names.append(v[use])
        except Unknown:
            continue
    return names


def material_number(v: Values, name: str, key: str) -> float:
    """A number of a material: given, or shipped.

    Parameters
    ----------
    v : Values
        The valid values.
    name : str
        The material.
    key : str
        Key of its table.

    Returns
    -------
    float
        In the unit of the key; Unknown is raised where nobody gave it.
    """
    value = v.find(("material", name, key)) if ("material", name) in v.blocks else None
    if value is None and name in SHIPPED:
        value = SHIPPED[name][key][0]
    if value is None:
        raise Unknown(key)
    return value


def _strengths_in_order(v: Values) -> Iterator[Finding]:
    """Yield strength and fatigue strength lie below the ultimate strength."""
    for name in user_materials(v):
        try:
            yield from _one_in_order(v, name)
        except Unknown:
            continue


def _one_in_order(v: Values, name: str) -> Iterator[Finding]:
    """The strengths of one material."""
    ultimate = material_number(v, name, "ultimate_MPa")
    blame = "ultimate_MPa" if v.given(("material", name, "ultimate_MPa")) else None
    if material_number(v, name, "yield_MPa") > ultimate:
        value = material_number(v, name, "yield_MPa")
        yield Finding(
            ("material", name, blame or "yield_MPa"),
            f"yield strength of {value:g} MPa is above the ultimate strength of {ultimate:g} MPa",
        )
    if material_number(v, name, "fatigue_strength_MPa") >= 0.9 * ultimate:
        value = material_number(v, name, "fatigue_strength_MPa")
        yield Finding(
            ("material", name, blame or "fatigue_strength_MPa"),
            f"fatigue strength of {value:g} MPa must be less than 0.9 of the ultimate strength "
            f"of {ultimate:g} MPa",
        )


CHECKS = (*(_name_known(use) for use in USES), _new_complete, _strengths_in_order)
