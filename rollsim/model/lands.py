"""Guiding lands of the cage from a case: solid contact and oil film."""

import math

from rollsim.kernels.types import LandFilm, RoundPair
from rollsim.model.pairs import pair_modulus, sliding_traction
from rollsim.model.stiffness import line_contact_constant
from rollsim.model.viscosity import running_viscosity
from rollsim.units import MM, UM


def land_width(case):
    """Width of one guiding land.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        m; the mean thickness of cover and base ring unless given.
    """
    cage = case.cage
    if cage.land_width_mm is not None:
        return MM * cage.land_width_mm
    return 0.5 * MM * (cage.base_ring_thickness_mm + cage.cover_thickness_mm)


def land_pair(case):
    """Cage in its guiding ring; the constant is that of both lands together.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    RoundPair
        The pair; unused values where the rollers guide the cage.
    """
    outside = case.cage.guidance != "inner_ring"
    diameter = case.cage.outer_diameter_mm if outside else case.cage.inner_diameter_mm
    arm = (0.5 if outside else -0.5) * MM * diameter
    gap = 0.5 * UM * (case.clearance.guidance_um or 0.0)
    modulus = pair_modulus(case, case.cage.material, "bearing_steel")
    constant = 2.0 * line_contact_constant(land_width(case), modulus)
    law = sliding_traction(case, case.lubricant.land_friction)
    return RoundPair(1.0, gap, arm, constant, case.contact.cage_damping_s_per_m, law)


def land_oil_fraction(case):
    """Share of a full film in the guiding lands.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        That of the pockets unless given.
    """
    given = case.lubricant.land_oil_fraction
    return case.lubricant.oil_fraction if given is None else given


def land_film(case, land, mass):
    """Oil film of both lands together.

    The impedance is that of the cage on the solid contact of the lands, sqrt(k m) with the
    stiffness k = (10/9) K delta^(1/9) at a deflection delta of the film floor. The floor is the
    roughness, but kept between 1e-4 of the clearance, where the closed integrals hold 8 digits,
    and half of it.

    Parameters
    ----------
    case : Case
        The case.
    land : RoundPair
        Solid contact of both lands.
    mass : float, kg
        Mass of the cage.

    Returns
    -------
    LandFilm
        Constants; squeeze and couette are 0 without a film.
    """
    oil = case.lubricant
    if case.cage.guidance == "roller" or oil.land_film == "none" or land.gap <= 0.0:
        return LandFilm(1.0, 0.5, 0.0, 0.0, math.inf, math.inf)
    viscosity = running_viscosity(case) * land_oil_fraction(case)
    radius, width, gap = abs(land.arm), land_width(case), land.gap
    floor = min(max(UM * oil.pocket_roughness_um, 1e-4 * gap), 0.5 * gap)
    stiffness = 10.0 / 9.0 * land.constant * floor ** (1.0 / 9.0)
    return LandFilm(
        clearance=gap,
        floor=floor,
        squeeze=2.0 * viscosity * radius * width**3 / gap**3,
        couette=2.0 * 2.0 * math.pi * viscosity * radius**3 * width / gap,
        impedance=math.sqrt(stiffness * mass),
        stiffness=stiffness,
    )
