"""Materials: the shipped ones with source and basis of every number, and the user's own.

Fatigue data of a cage alloy depend on its making; a shipped value is a start, not a licence.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from rollsim.case.fields import MEMORY, Section, assumed, computed, conditional
from rollsim.units import GPA, MPA

_STRENGTH = {"gt": 0, "le": 1e5}
_FOR_FATIGUE = "needed for the material of a cage or closure that is not shipped"

#: Groups of materials: they decide which rules of fatigue may be used.
GROUPS = (
    "steel",
    "cast_steel",
    "nodular_iron",
    "malleable_iron",
    "grey_iron",
    "wrought_aluminium",
    "cast_aluminium",
    "copper_alloy",
    "other",
)
#: Constants a_M and b_M of the mean stress sensitivity M = a_M R_m/1000 + b_M, R_m in MPa. Source:
#: FKM guideline, analytical strength assessment (values from memory). None for copper alloys.
MEAN_SENSITIVITY = {
    "steel": (0.35, -0.1),
    "cast_steel": (0.35, 0.05),
    "nodular_iron": (0.35, 0.08),
    "malleable_iron": (0.35, 0.13),
    "grey_iron": (0.0, 0.5),
    "wrought_aluminium": (1.0, -0.04),
    "cast_aluminium": (1.0, 0.2),
}


class MaterialTable(Section):
    """[material.NAME]: a material of the user, or new values for a shipped one."""

    youngs_modulus_GPa: float | None = conditional(
        "modulus of elasticity",
        "GPa",
        when="needed for a new material",
        example=97.0,
        gt=0,
        le=2000,
    )
    poisson: float | None = conditional(
        "Poisson's ratio", when="needed for a new material", example=0.35, gt=0, lt=0.5
    )
    density_kg_per_m3: float | None = conditional(
        "density", "kg/m3", when="needed for a new material", example=8440.0, gt=100, le=25000
    )
    yield_MPa: float | None = conditional(
        "yield strength", "MPa", when=_FOR_FATIGUE, example=220.0, **_STRENGTH
    )
    ultimate_MPa: float | None = conditional(
        "ultimate tensile strength", "MPa", when=_FOR_FATIGUE, example=430.0, **_STRENGTH
    )
    fatigue_strength_MPa: float | None = conditional(
        "fatigue strength: amplitude at R = -1 at the knee",
        "MPa",
        when=_FOR_FATIGUE,
        example=138.0,
        **_STRENGTH,
    )
    knee_cycles: float | None = conditional(
        "cycles at the knee of the S-N line", when=_FOR_FATIGUE, example=1e8, ge=1e4, le=1e12
    )
    slope: float | None = computed(
        "S-N exponent k below the knee, N ~ S^-k",
        how="line from 0.9 ultimate strength at 1000 cycles to the knee",
        example=11.0,
        effect="life changes with stress to this power",
        gt=1,
        le=50,
    )
    slope_beyond: float | None = computed(
        "S-N exponent beyond the knee",
        how="2 k - 1 for a material that is not shipped (Haibach; value from memory)",
        example=11.0,
        gt=1,
        le=100,
    )
    group: Literal[GROUPS] | None = conditional(
        "what sort of metal it is",
        when='needed with fatigue.mean_stress = "fkm" for a material that is not shipped; a '
        "copper_alloy has no endurance limit",
        example="copper_alloy",
    )
    source: str = assumed(
        "given in the case file, no source named",
        "where the values come from",
        why="no source named",
        max_length=500,
    )


@dataclass(frozen=True)
class Material:
    """One material, ready for use. Units in the names; properties without a unit are SI.

    Fields: name; youngs_modulus_GPa; poisson; density_kg_per_m3; yield_MPa; ultimate_MPa;
    fatigue_strength_MPa (amplitude at R = -1 at the knee); knee_cycles; slope (k below the knee);
    slope_beyond; source (text); basis (one text a number: where it comes from); group (one of
    `GROUPS`). Strength and fatigue data and the group are None where the user gave none for a
    material of his own.
    """

    name: str
    youngs_modulus_GPa: float
    poisson: float
    density_kg_per_m3: float
    yield_MPa: float | None
    ultimate_MPa: float | None
    fatigue_strength_MPa: float | None
    knee_cycles: float | None
    slope: float | None
    slope_beyond: float | None
    source: str
    basis: dict[str, str]
    group: str | None = None

    @property
    def youngs_modulus(self) -> float:
        """Modulus of elasticity in Pa."""
        return self.youngs_modulus_GPa * GPA

    @property
    def density(self) -> float:
        """Density in kg/m3."""
        return self.density_kg_per_m3

    @property
    def yield_strength(self) -> float:
        """Yield strength in Pa."""
        return self.yield_MPa * MPA

    @property
    def ultimate_strength(self) -> float:
        """Ultimate tensile strength in Pa."""
        return self.ultimate_MPa * MPA

    @property
    def fatigue_strength(self) -> float:
        """Fatigue strength (amplitude, R = -1, at the knee) in Pa."""
        return self.fatigue_strength_MPa * MPA


NUMBERS = tuple(name for name in MaterialTable.model_fields if name not in ("source", "group"))


def slope_from_strength(ultimate: float, fatigue_strength: float, knee_cycles: float) -> float:
    """S-N exponent of the straight log-log line from 1000 cycles to the knee.

    k = log10(N_knee / 1000) / log10(0.9 R_m / S_f), with the ultimate strength R_m and the
    fatigue strength S_f at N_knee cycles. Valid for 0.9 R_m > S_f and N_knee > 1000.
    Source: the usual estimate with 0.9 R_m at 1000 cycles; value from memory.

    Parameters
    ----------
    ultimate : float, MPa
        Ultimate tensile strength.
    fatigue_strength : float, MPa
        Amplitude at R = -1 at the knee.
    knee_cycles : float
        Cycles at the knee.

    Returns
    -------
    float
        Exponent k.

    Examples
    --------
    >>> round(slope_from_strength(1000.0, 90.0, 1e6), 6)
    3.0
    """
    return math.log10(knee_cycles / 1e3) / math.log10(0.9 * ultimate / fatigue_strength)


_COPPER_SHEET = "copper institute data sheet 2.0402 (text read)"
_ALLOY_DATA = "published alloy data for C86300 (text read)"
_LINE = "computed: line from 0.9 ultimate strength at 1000 cycles to the knee; estimate"
_NO_LIMIT = "copper alloys have no endurance limit: the line goes on with its slope"
_QUARTER = "estimate: a quarter of the ultimate strength at 1e8 cycles, near the 0.23 of C86300"
_TESTED = "common cast test bar, published alloy data"
_RIVET_LINE = {
    "knee_cycles": (1e6, f"steel, normal stress; {MEMORY}"),
    "slope": (5.0, f"steel, normal stress, parts with notches; {MEMORY}"),
    "slope_beyond": (9.0, f"2 k - 1 (Haibach); {MEMORY}"),
}


def _copper_fatigue(ultimate: float, strength: float) -> dict[str, tuple[float, str]]:
    """Knee and slopes of a copper alloy with its strength known at 1e8 cycles."""
    slope = round(slope_from_strength(ultimate, strength, 1e8), 2)
    return {
        "knee_cycles": (1e8, f"cycles for which the strength is tabled; {MEMORY}"),
        "slope": (slope, _LINE),
        "slope_beyond": (slope, _NO_LIMIT),
    }


SHIPPED: dict[str, dict[str, tuple[float, str]]] = {
    "bearing_steel": {
        "youngs_modulus_GPa": (206.0, f"through-hardened bearing steel; {MEMORY}"),
        "poisson": (0.3, f"steel; {MEMORY}"),
        "density_kg_per_m3": (7860.0, f"Harris, Rolling Bearing Analysis; {MEMORY}"),
        "yield_MPa": (1800.0, f"hardened to about 60 HRC; {MEMORY}"),
        "ultimate_MPa": (2300.0, f"hardened to about 60 HRC; {MEMORY}"),
        "fatigue_strength_MPa": (750.0, f"plain bending, not rolling contact; {MEMORY}"),
        "knee_cycles": (1e7, MEMORY),
        "slope": (10.0, f"steep line of hard steels; {MEMORY}"),
        "slope_beyond": (19.0, f"2 k - 1 (Haibach); {MEMORY}"),
    },
    "CuZn40Pb2": {
        "youngs_modulus_GPa": (97.0, _COPPER_SHEET),
        "poisson": (0.35, f"brass; {MEMORY}"),
        "density_kg_per_m3": (8440.0, _COPPER_SHEET),
        "yield_MPa": (220.0, f"drawn, temper R430; {MEMORY}"),
        "ultimate_MPa": (430.0, f"drawn, temper R430; {MEMORY}"),
        "fatigue_strength_MPa": (
            138.0,
            f"20 ksi at 1e8 cycles of the kindred free-cutting brass C36000; {MEMORY}",
        ),
        **_copper_fatigue(430.0, 138.0),
    },
    "CuZn37Mn3Al2PbSi": {
        "youngs_modulus_GPa": (93.0, f"special brass; {MEMORY}"),
        "poisson": (0.35, f"brass; {MEMORY}"),
        "density_kg_per_m3": (8100.0, f"special brass; {MEMORY}"),
        "yield_MPa": (280.0, f"bar, temper R540, minimum; {MEMORY}"),
        "ultimate_MPa": (540.0, f"bar, temper R540, minimum; {MEMORY}"),
        "fatigue_strength_MPa": (135.0, _QUARTER),
        **_copper_fatigue(540.0, 135.0),
    },
    "C86300": {
        "youngs_modulus_GPa": (97.9, f"14.2 Msi, {_ALLOY_DATA}"),
        "poisson": (0.34, f"manganese bronze; {MEMORY}"),
        "density_kg_per_m3": (7833.0, f"0.283 lb/in3, {_ALLOY_DATA}"),
        "yield_MPa": (427.0, f"62 ksi, {_ALLOY_DATA}"),
        "ultimate_MPa": (758.0, f"110 ksi minimum, {_ALLOY_DATA}"),
        "fatigue_strength_MPa": (172.0, f"25 ksi at 1e8 cycles; {MEMORY}"),
        **_copper_fatigue(758.0, 172.0),
    },
    "CuSn8": {
        "youngs_modulus_GPa": (110.0, f"wrought tin bronze, 16 Msi; {MEMORY}"),
        "poisson": (0.34, f"tin bronze; {MEMORY}"),
        "density_kg_per_m3": (8800.0, f"wrought tin bronze, 0.318 lb/in3; {MEMORY}"),
        "yield_MPa": (280.0, f"bar, temper R450, minimum; {MEMORY}"),
        "ultimate_MPa": (450.0, f"bar, temper R450, minimum; {MEMORY}"),
        "fatigue_strength_MPa": (112.0, _QUARTER),
        **_copper_fatigue(450.0, 112.0),
    },
    "C90500": {
        "youngs_modulus_GPa": (103.0, f"15 Msi, {_TESTED}; {MEMORY}"),
        "poisson": (0.34, f"tin bronze; {MEMORY}"),
        "density_kg_per_m3": (8720.0, f"0.315 lb/in3, {_TESTED}; {MEMORY}"),
        "yield_MPa": (152.0, f"22 ksi, {_TESTED}; {MEMORY}"),
        "ultimate_MPa": (310.0, f"45 ksi, {_TESTED}; {MEMORY}"),
        "fatigue_strength_MPa": (90.0, f"13 ksi at 1e8 cycles; {MEMORY}"),
        **_copper_fatigue(310.0, 90.0),
    },
    "C95400": {
        "youngs_modulus_GPa": (107.0, f"15.5 Msi, {_TESTED}; {MEMORY}"),
        "poisson": (0.32, f"aluminium bronze; {MEMORY}"),
        "density_kg_per_m3": (7450.0, f"0.269 lb/in3, {_TESTED}; {MEMORY}"),
        "yield_MPa": (241.0, f"35 ksi, {_TESTED}; {MEMORY}"),
        "ultimate_MPa": (586.0, f"85 ksi, {_TESTED}; {MEMORY}"),
        "fatigue_strength_MPa": (193.0, f"28 ksi at 1e8 cycles; {MEMORY}"),
        **_copper_fatigue(586.0, 193.0),
    },
    "rivet_steel": {
        "youngs_modulus_GPa": (206.0, f"steel; {MEMORY}"),
        "poisson": (0.3, f"steel; {MEMORY}"),
        "density_kg_per_m3": (7850.0, f"steel; {MEMORY}"),
        "yield_MPa": (280.0, f"low carbon cold heading steel, as headed; {MEMORY}"),
        "ultimate_MPa": (400.0, f"low carbon cold heading steel, as headed; {MEMORY}"),
        "fatigue_strength_MPa": (180.0, f"0.45 of the ultimate strength; {MEMORY}"),
        **_RIVET_LINE,
    },
    "34CrMo4": {
        "youngs_modulus_GPa": (206.0, f"steel; {MEMORY}"),
        "poisson": (0.3, f"steel; {MEMORY}"),
        "density_kg_per_m3": (7850.0, f"steel; {MEMORY}"),
        "yield_MPa": (
            800.0,
            f"EN 10083-3, quenched and tempered, up to 16 mm, minimum; {MEMORY}",
        ),
        "ultimate_MPa": (
            1000.0,
            f"EN 10083-3, quenched and tempered, up to 16 mm, minimum; {MEMORY}",
        ),
        "fatigue_strength_MPa": (450.0, f"0.45 of the ultimate strength; {MEMORY}"),
        **_RIVET_LINE,
    },
}
MADE_OF = {
    "bearing_steel": "through-hardened bearing steel",
    "CuZn40Pb2": "brass of machined cages",
    "CuZn37Mn3Al2PbSi": "high strength brass",
    "C86300": "manganese bronze",
    "CuSn8": "wrought tin bronze",
    "C90500": "cast tin bronze",
    "C95400": "cast aluminium bronze",
    "rivet_steel": "low carbon cold heading steel",
    "34CrMo4": "quenched and tempered steel of highly loaded rivets",
}
STEELS = ("bearing_steel", "rivet_steel", "34CrMo4")
GROUP_OF = {name: "steel" if name in STEELS else "copper_alloy" for name in SHIPPED}


def shipped_material(name: str) -> Material:
    """A shipped material.

    Parameters
    ----------
    name : str
        One of the names in `SHIPPED`.

    Returns
    -------
    Material
        With the basis of every number.
    """
    return resolve_material(name, {})


def resolve_material(name: str, given: dict[str, Any]) -> Material:
    """Material from the shipped values and those that the user gave.

    Parameters
    ----------
    name : str
        Name in the case file.
    given : dict
        Keys of [material.NAME] that the user gave, already validated.

    Returns
    -------
    Material
        Given values first, then shipped ones, then estimates of the slopes.
    """
    shipped = SHIPPED.get(name, {})
    values = {key: value for key, (value, _) in shipped.items()}
    basis = {key: text for key, (_, text) in shipped.items()}
    numbers = {key: value for key, value in given.items() if key in NUMBERS}
    basis.update(dict.fromkeys(numbers, "given in the case file"))
    values.update(numbers)
    if not shipped:
        _estimate_slopes(values, basis)
    source = given.get("source") or _source(name, basis, bool(numbers))
    return Material(
        name=name,
        source=source,
        basis=basis,
        group=given.get("group") or GROUP_OF.get(name),
        **{key: values.get(key) for key in NUMBERS},
    )


def _estimate_slopes(values: dict[str, Any], basis: dict[str, str]) -> None:
    """Fill in the S-N exponents of a new material where its strengths allow it."""
    wanted = ("ultimate_MPa", "fatigue_strength_MPa", "knee_cycles")
    if "slope" not in values and all(values.get(key) for key in wanted):
        values["slope"] = slope_from_strength(*(values[key] for key in wanted))
        basis["slope"] = _LINE
    if "slope_beyond" not in values and "slope" in values:
        values["slope_beyond"] = 2.0 * values["slope"] - 1.0
        basis["slope_beyond"] = f"2 k - 1 (Haibach); {MEMORY}"


def _source(name: str, basis: dict[str, str], changed: bool) -> str:
    """One text for the whole material where the user named no source."""
    if name not in SHIPPED:
        return MaterialTable.model_fields["source"].default
    tail = "; some values from the case file" if changed else ""
    return f"{MADE_OF[name]}: see the basis of every number{tail}"
