"""Films of the raceways at the static load, for `rollsim check`."""

from dataclasses import dataclass

from rollsim.model import pairs
from rollsim.model.film_formulas import FILM_LAWS, PAN_HAMROCK, PAN_HAMROCK_LEAST, FilmGroups
from rollsim.model.raceway_oil import film_factor, lubricated_contact
from rollsim.model.viscosity import (
    D341_RANGE,
    kinematic_viscosity,
    running_pressure_viscosity,
    running_viscosity,
)
from rollsim.units import UM

_GROUP_NAMES = ("speed parameter U", "material parameter G", "load parameter W")


@dataclass(frozen=True)
class ContactFilm:
    """Film of one raceway at its most loaded roller, without slip.

    load: N; entrainment: m/s; thickness: m, starvation and heating included; ratio: lambda,
    thickness over composite roughness; least: m, least film where the formula tells it, else the
    thickness; pressure: mean Hertz pressure, Pa; rolling_force: N; groups: U, G, W.
    """

    load: float
    entrainment: float
    thickness: float
    least: float
    ratio: float
    pressure: float
    rolling_force: float
    groups: FilmGroups


@dataclass(frozen=True)
class RacewayFilms:
    """Films of both raceways; None where no roller is loaded or nothing rolls.

    viscosity: Pa s at running temperature; pressure_viscosity: 1/Pa; warnings: tuple of texts.
    """

    outer: ContactFilm | None
    inner: ContactFilm | None
    viscosity: float
    pressure_viscosity: float
    warnings: tuple


def rolling_speed(built, pair, ring_speed):
    """Entrainment at a raceway without slip, seen from the contact.

    Parameters
    ----------
    built : BuiltModel
        The model.
    pair : RoundPair
        Raceway.
    ring_speed : float, rad/s
        Speed of the ring.

    Returns
    -------
    float, m/s
        Positive.
    """
    return abs((ring_speed - built.cage_speed) * (pair.side * pair.gap + pair.arm))


def raceway_film(built):
    """Films of both raceways at the most loaded roller of the static state, without slip.

    Parameters
    ----------
    built : BuiltModel
        The model, whatever its law of traction.

    Returns
    -------
    RacewayFilms
        Films, and warnings where a formula is used outside its range.
    """
    case, model = built.case, built.model
    law = FILM_LAWS[case.lubricant.film_formula]
    length = pairs.effective_length(case)
    modulus = pairs.pair_modulus(case, case.roller.material, "bearing_steel")
    found, warnings = {}, list(_viscosity_warnings(case))
    for name, pair, forces, speed in (
        ("outer", model.outer, built.statics.outer_force, model.duty.outer_speed),
        ("inner", model.inner, built.statics.inner_force, model.duty.inner_speed),
    ):
        contact = lubricated_contact(case, pair, length, modulus)
        load, entrainment = float(forces.max()), rolling_speed(built, pair, speed)
        found[name] = None
        if load > 0.0 and entrainment > 0.0:
            found[name] = _contact_film(case, contact, law, load, entrainment)
            warnings += _range_warnings(name, law, found[name].groups)
    return RacewayFilms(
        found["outer"],
        found["inner"],
        running_viscosity(case),
        running_pressure_viscosity(case),
        tuple(warnings),
    )


def _contact_film(case, contact, law, load, entrainment):
    """Film of one contact."""
    groups = contact.groups(entrainment, load)
    size = film_factor(case) * contact.radius
    thickness = size * law.thickness(groups)
    least = size * PAN_HAMROCK_LEAST.thickness(groups) if law is PAN_HAMROCK else thickness
    return ContactFilm(
        load=load,
        entrainment=entrainment,
        thickness=thickness,
        least=least,
        ratio=thickness / (UM * case.lubricant.raceway_roughness_um),
        pressure=contact.mean_pressure(load),
        rolling_force=contact.rolling_force(entrainment, load),
        groups=groups,
    )


def _viscosity_warnings(case):
    """Texts about a viscosity outside the range of its formula."""
    kinematic = kinematic_viscosity(case)
    low, high = D341_RANGE
    if kinematic is not None and not low <= kinematic <= high:
        yield (
            f"viscosity of {kinematic:.3g} mm2/s at {case.lubricant.temperature_C:g} degrees C "
            f"is extrapolated: the formula (ASTM D341) holds from {low:g} to {high:.0e} mm2/s"
        )


def _range_warnings(name, law, groups):
    """Texts about dimensionless groups outside the range of a film formula."""
    values = (groups.speed, groups.material, groups.load)
    for label, value, (low, high) in zip(_GROUP_NAMES, values, law.ranges, strict=True):
        if not low <= value <= high:
            yield (
                f"{name} raceway: {label} = {value:.2e} lies outside {low:.0e} to {high:.0e}, "
                f"the range of the film formula {law.name} (approximate, from memory)"
            )
