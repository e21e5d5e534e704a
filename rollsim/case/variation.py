"""How far the values of a case may be off: the table behind one-at-a-time variation.

One entry a key: by which factor, amount or other values it is varied, why so far, and whether it is
varied even where the case gives it. Entries stand in the order in which they are worth computing
time, what is known to move the peak pocket force most first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any

#: Basis of a variation that rests on judgement alone.
CHOICE = "engineering choice"

#: Keys that neither the motion nor the forces of a run depend on: structure and fatigue only.
#: Those that may change the stiffness of the cage are compared by it before a run is saved.
WITHOUT_RUN = (
    "fatigue.*",
    "material.*.yield_MPa",
    "material.*.ultimate_MPa",
    "material.*.fatigue_strength_MPa",
    "material.*.knee_cycles",
    "material.*.slope",
    "material.*.slope_beyond",
    "material.*.group",
    "cage.pocket_fillet_mm",
    "cage.closure.preload_N",
    "cage.closure.head_fillet_mm",
    "cage.closure.root_fillet_mm",
)


@dataclass(frozen=True)
class Variation:
    """How one key is varied.

    Fields: key (pattern: "material.*.slope"); how ("factor" times the value, "amount" added to it,
    "values" in its place); amounts (one or more: factors, amounts in the unit of the key, or
    values); basis (why so far); given_too (varied where the case gives it as well).
    """

    key: str
    how: str
    amounts: tuple[Any, ...]
    basis: str = CHOICE
    given_too: bool = False

    def values(self, base: Any) -> tuple[Any, ...]:
        """Values that are tried beside that of the case.

        Parameters
        ----------
        base : any
            Value in force; None where it is not known.

        Returns
        -------
        tuple
            Without the value of the case itself; empty where nothing can be made of it.

        Examples
        --------
        >>> Variation("a", "factor", (0.5, 2.0)).values(3.0)
        (1.5, 6.0)
        >>> Variation("a", "values", (0.0, 1.0)).values(1.0)
        (0.0,)
        """
        if self.how == "values":
            return tuple(value for value in self.amounts if value != base)
        if base is None or isinstance(base, bool | str | tuple | list):
            return ()
        found = (base * a if self.how == "factor" else base + a for a in self.amounts)
        return tuple(value for value in (float(f"{v:.6g}") for v in found) if value != base)


_TENTH, _FIFTH, _TWICE = (0.9, 1.1), (0.8, 1.2), (0.5, 2.0)
_OWN_KIND = f"{CHOICE}: half and twice"
_COEFFICIENT = f"{CHOICE}: boundary and mixed friction of oiled steel and brass"

#: In the order of expected effect.
VARIATIONS = (
    Variation(
        "lubricant.oil_fraction",
        "values",
        (0.0, 1.0),
        "its bounds: how much oil stands in a pocket is not measured",
        given_too=True,
    ),
    Variation(
        "cage.bar_stiffness_N_per_um",
        "factor",
        _TWICE,
        f"{CHOICE}: section of the bar, place of the force along it, support by the cover",
    ),
    Variation(
        "lubricant.raceway_slip_scale_m_per_s",
        "values",
        (0.02, 0.2),
        f"{CHOICE}; below 0.02 m/s the equations become stiff",
    ),
    Variation(
        "cage.end_stiffness_N_per_um",
        "factor",
        _TWICE,
        f"{CHOICE}: place of the force on the ring",
    ),
    Variation(
        "vibration[*].gain",
        "factor",
        (0.71, 1.41),
        "3 dB either way, the usual tolerance of random vibration tests; value from memory",
    ),
    Variation(
        "lubricant.viscosity_mPas",
        "factor",
        (0.6, 1.7),
        f"{CHOICE}: some 12 degrees C either way",
        given_too=True,
    ),
    Variation(
        "lubricant.temperature_C", "amount", (-12.0, 12.0), CHOICE, given_too=True
    ),
    Variation(
        "clearance.pocket_um",
        "factor",
        _FIFTH,
        f"{CHOICE}: making and temperature",
        given_too=True,
    ),
    Variation(
        "clearance.guidance_um",
        "factor",
        _FIFTH,
        f"{CHOICE}: making and temperature of cage and ring",
        given_too=True,
    ),
    Variation(
        "clearance.pocket_axial_um",
        "factor",
        (0.7, 1.3),
        f"{CHOICE}: making of pocket and roller length",
        given_too=True,
    ),
    Variation(
        "clearance.radial_um",
        "amount",
        (-20.0, 20.0),
        f"{CHOICE}: width of a clearance class, fits, temperature of the rings",
        given_too=True,
    ),
    Variation(
        "cage.pocket_pitch_tolerance_um",
        "values",
        (50.0,),
        f"{CHOICE}: bored or milled pockets",
    ),
    Variation(
        "cage.pocket_clearance_tolerance_um",
        "values",
        (50.0,),
        f"{CHOICE}: bored or milled pockets",
    ),
    Variation("lubricant.raceway_friction", "factor", (0.6, 1.6), _COEFFICIENT),
    Variation("lubricant.pocket_friction", "factor", _TWICE, _COEFFICIENT),
    Variation("contact.cage_damping_s_per_m", "factor", _TWICE, _OWN_KIND),
    Variation(
        "contact.raceway_damping_s_per_m",
        "values",
        (0.1, 0.3),
        "0.1 to 0.3 s/m is usual; common practice, no source",
    ),
    Variation(
        "cage.closure.hole_fit",
        "values",
        ("tight", "free"),
        "the other fit",
        given_too=True,
    ),
    Variation(
        "lubricant.land_oil_fraction",
        "values",
        (0.0, 1.0),
        "its bounds, dry land and full film",
    ),
    Variation("lubricant.land_friction", "factor", _TWICE, _COEFFICIENT),
    Variation("lubricant.end_friction", "factor", _TWICE, _COEFFICIENT),
    Variation("lubricant.flange_friction", "factor", _TWICE, _COEFFICIENT),
    Variation("lubricant.sliding_slip_scale_m_per_s", "factor", _TWICE, _OWN_KIND),
    Variation("lubricant.pocket_roughness_um", "factor", _TWICE, _OWN_KIND),
    Variation("lubricant.raceway_roughness_um", "factor", _TWICE, _OWN_KIND),
    Variation("lubricant.raceway_traction", "values", ("coulomb", "ehl"), "the other law"),
    Variation("clearance.flange_axial_um", "factor", _TWICE, _OWN_KIND, given_too=True),
    Variation("contact.flange_stiffness_N_per_um", "factor", _TWICE, _OWN_KIND),
    Variation(
        "contact.end_contact_spread",
        "values",
        (0.15, 0.9),
        "domed and hollow roller ends; " + CHOICE,
    ),
    Variation("lubricant.oil_air_density_kg_per_m3", "factor", _TWICE, _OWN_KIND),
    Variation(
        "bearing.misalignment_mrad",
        "values",
        ((0.5, 0.0),),
        f"{CHOICE}: 0.5 mrad about one axis, spatial motion only",
    ),
    Variation("cage.imbalance_gmm", "values", (50.0,), f"{CHOICE}: 1 kg, 0.05 mm off centre"),
    Variation(
        "cage.mode_damping",
        "factor",
        _TWICE,
        f"{CHOICE}: riveted and machined parts",
    ),
    Variation(
        "fatigue.mean_stress",
        "values",
        ("goodman", "gerber", "smith_watson_topper"),
        "rules that hold for every metal",
    ),
    Variation(
        "fatigue.damage_rule",
        "values",
        ("elementary", "modified"),
        "the other rules that hold for metals without an endurance limit",
    ),
    Variation(
        "fatigue.survival_probability", "values", (0.5, 0.99), f"{CHOICE}: median cage, one in 100"
    ),
    Variation(
        "fatigue.strength_scatter", "values", (0.05, 0.15), f"{CHOICE}: even and uneven making"
    ),
    Variation(
        "fatigue.surface_factor", "values", (0.75, 1.0), f"{CHOICE}: rough and polished surface"
    ),
    Variation("fatigue.size_factor", "values", (0.85,), f"{CHOICE}: sections above test bars"),
    Variation(
        "fatigue.notch_factor", "factor", (0.75, 1.33), f"{CHOICE}: factors of kindred shapes"
    ),
    Variation("cage.pocket_fillet_mm", "factor", _TWICE, _OWN_KIND),
    Variation(
        "cage.closure.preload_N",
        "factor",
        (0.0, 2.0),
        f"{CHOICE}: none left and twice; not measured after closing",
        given_too=True,
    ),
    Variation("cage.closure.head_fillet_mm", "factor", _TWICE, _OWN_KIND),
    Variation("cage.closure.root_fillet_mm", "factor", _TWICE, _OWN_KIND),
    Variation(
        "material.*.fatigue_strength_MPa", "factor", _FIFTH, f"{CHOICE}: between melts and makings"
    ),
    Variation("material.*.ultimate_MPa", "factor", _TENTH, f"{CHOICE}: between melts"),
    Variation("material.*.yield_MPa", "factor", _TENTH, f"{CHOICE}: between melts"),
    Variation("material.*.slope", "factor", _FIFTH, f"{CHOICE}: scatter of S-N lines"),
    Variation("material.*.slope_beyond", "factor", _FIFTH, f"{CHOICE}: scatter of S-N lines"),
)  # fmt: skip


def fits(pattern: str, key: str) -> bool:
    """Whether a key is meant by a pattern.

    Parameters
    ----------
    pattern : str
        Key with * for any text; numbers of sources as "vibration[*].gain".
    key : str
        Dotted key.

    Returns
    -------
    bool

    Examples
    --------
    >>> fits("vibration[*].gain", "vibration[2].gain"), fits("fatigue.*", "cage.mass_kg")
    (True, False)
    """
    return fnmatchcase(key.replace("[", "("), pattern.replace("[", "("))


def variation_of(key: str) -> Variation | None:
    """Variation of a key.

    Parameters
    ----------
    key : str
        Dotted key.

    Returns
    -------
    Variation or None
        None where the table has none.
    """
    return next((entry for entry in VARIATIONS if fits(entry.key, key)), None)


def needs_no_run(key: str) -> bool:
    """Whether the motion does not depend on a key, its stiffness of the cage apart.

    Parameters
    ----------
    key : str
        Dotted key.

    Returns
    -------
    bool
    """
    return any(fits(pattern, key) for pattern in WITHOUT_RUN)


def keys_in_force(case: Any) -> Iterator[tuple[str, Any, bool]]:
    """Keys of a case that can be varied: what was assumed, then what was given.

    Parameters
    ----------
    case : Case
        A valid case.

    Yields
    ------
    key : str
        Dotted key.
    value : any
        In force; None where the model computes it.
    given : bool
        Whether the case gives it.
    """
    assumed = {item.key for item in case.assumptions}
    for item in case.assumptions:
        yield item.key, item.value, False
    for entry in VARIATIONS:
        if entry.given_too and "*" not in entry.key and entry.key not in assumed:
            found = value_in(case, entry.key)
            if found is not None:
                yield entry.key, found, True


def value_in(case: Any, key: str) -> Any:
    """Value of a key in a case.

    Parameters
    ----------
    case : Case
        A valid case.
    key : str
        Dotted key, without numbered tables.

    Returns
    -------
    any
        None where the case has no such key, or no value for it.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> value_in(SimpleNamespace(cage=SimpleNamespace(mass_kg=1.5)), "cage.mass_kg")
    1.5
    """
    if key.startswith("material."):
        _, name, number = key.split(".", 2)
        return getattr(case.materials.get(name), number, None)
    place = case
    for step in key.split("."):
        place = getattr(place, step, None)
    return place
