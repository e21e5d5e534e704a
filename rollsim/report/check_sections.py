"""Sections of `rollsim check`: clearances, speeds, rating, load zone, films, as plain numbers."""

from __future__ import annotations

import math

from rollsim.model.kinematics import characteristic_frequencies
from rollsim.model.load_rating import minimum_load
from rollsim.model.operating import raceway_pressure, speed_factor
from rollsim.model.pairs import effective_length
from rollsim.model.roller_guidance import guidance_clearance
from rollsim.units import DEG, KN, MM, MPA, MPA_S, MRAD, RPM_TO_RAD_S, UM


def clearances(case, built) -> dict:
    """Clearances as given, and what they mean for the cage.

    Parameters
    ----------
    case : Case
        The case.
    built : BuiltModel
        Its model.

    Returns
    -------
    dict
        Name -> value, units in the names.
    """
    names = ("radial_um", "pocket_um", "guidance_um", "pocket_axial_um", "flange_axial_um")
    values = {name: getattr(case.clearance, name) for name in names}
    found = {name: value for name, value in values.items() if value is not None}
    play = case.clearance.guidance_um
    if case.cage.guidance != "roller" and play is not None:
        outside = case.cage.guidance == "outer_ring"
        diameter = case.cage.outer_diameter_mm if outside else case.cage.inner_diameter_mm
        found["guidance_over_cage_diameter_percent"] = 100.0 * play * UM / (MM * diameter)
        # Half the play over the distance of the lands from the middle of the pockets.
        tilt = 0.5 * UM * play / built.model.land_z
        found["cage_tilt_until_the_lands_touch_mrad"] = tilt / MRAD
    if case.cage.guidance == "roller":
        held = guidance_clearance(built.model)
        found |= {"cage_on_its_rollers_um": 2.0 * held / UM} if held > 0.0 else {}
    return found


def speeds(case, built) -> dict:
    """Kinematic speeds and frequencies without slip.

    Parameters
    ----------
    case : Case
        The case.
    built : BuiltModel
        Its model.

    Returns
    -------
    dict
        Name -> value, units in the names. Speeds count from the housing, which turns with the
        carrier of a planet; those from the ground follow where there is a carrier.
    """
    duty = built.model.duty
    found = characteristic_frequencies(
        (duty.inner_speed, duty.outer_speed),
        case.roller.count,
        MM * case.roller.diameter_mm,
        MM * case.bearing.pitch_diameter_mm,
    )
    numbers = {
        "cage_speed_rpm": built.cage_speed / RPM_TO_RAD_S,
        "roller_spin_rpm": built.roller_spin / RPM_TO_RAD_S,
        "inner_ring_Hz": found.inner,
        "outer_ring_Hz": found.outer,
        "cage_Hz": found.cage,
        "roller_on_own_axis_Hz": found.roller,
        "roller_defect_twice_a_turn_Hz": 2.0 * found.roller,
        "rollers_passing_outer_Hz": found.outer_pass,
        "rollers_passing_inner_Hz": found.inner_pass,
        "pitch_diameter_times_speed_mm_per_min": speed_factor(case),
    }
    carrier = case.duty.carrier_speed_rpm
    if carrier != 0.0:
        numbers["carrier_Hz"] = abs(carrier) / 60.0
        numbers["inner_ring_seen_from_ground_rpm"] = case.duty.speed_rpm + carrier
        numbers["outer_ring_seen_from_ground_rpm"] = case.duty.outer_speed_rpm + carrier
        numbers["cage_seen_from_ground_rpm"] = built.cage_speed / RPM_TO_RAD_S + carrier
    return numbers


def rating(point) -> dict:
    """Load rating, least load and the loads of the duty.

    Parameters
    ----------
    point : OperatingPoint
        The operating point.

    Returns
    -------
    dict
        Name -> value, units in the names.
    """
    return {
        "dynamic_load_rating_kN": point.rating / KN,
        "least_load_for_rolling_kN": minimum_load(point.rating) / KN,
        "smallest_load_kN": point.smallest_load / KN,
        "largest_load_kN": point.largest_load / KN,
        "largest_load_over_rating": point.largest_load / point.rating,
        "largest_pressure_inner_MPa": point.inner_pressure / MPA,
        "largest_pressure_outer_MPa": point.outer_pressure / MPA,
    }


def static_load(point) -> dict:
    """Static load distribution with the rollers where a run starts.

    Parameters
    ----------
    point : OperatingPoint
        The operating point.

    Returns
    -------
    dict
        Name -> value, units in the names; pressures with the profile of the rollers.
    """
    built, zone = point.built, point.zone
    inner, outer = float(zone.inner.max()), float(zone.outer.max())
    peak = point.along.peak if point.along else 1.0
    found = {
        "largest_roller_load_N": outer,
        "most_loaded_roller": zone.most_loaded + 1,
        "loaded_rollers": zone.loaded,
        "load_zone_deg": zone.extent / DEG,
        "load_zone_parameter_epsilon": None if math.isnan(zone.parameter) else zone.parameter,
        "centrifugal_force_of_a_roller_N": point.centrifugal,
        "inner_ring_displacement_um": math.hypot(*built.statics.displacement) / UM,
        "pressure_inner_MPa": raceway_pressure(built, built.model.inner, inner, peak) / MPA,
        "pressure_outer_MPa": raceway_pressure(built, built.model.outer, outer, peak) / MPA,
    }
    if point.along is not None:
        found["length_in_contact_mm"] = point.along.covered * effective_length(built.case) / MM
        found["largest_over_mean_line_load"] = point.along.peak
    return found


def load_zone_rows(point) -> list[dict]:
    """Every roller with its place and static forces, at time zero.

    Parameters
    ----------
    point : OperatingPoint
        The operating point.

    Returns
    -------
    list of dict
        roller (from 1), azimuth_deg (-180 to 180), inner_N, outer_N.
    """
    zone = point.zone
    rows = []
    for place, inner, outer in zip(zone.azimuths, zone.inner, zone.outer, strict=True):
        degrees = (float(place) / DEG + 180.0) % 360.0 - 180.0
        rows.append({"azimuth_deg": degrees, "inner_N": float(inner), "outer_N": float(outer)})
    return [{"roller": number, **row} for number, row in enumerate(rows, 1)]


def lubrication(point) -> dict:
    """Films of both raceways.

    Parameters
    ----------
    point : OperatingPoint
        The operating point.

    Returns
    -------
    dict
        Name -> value, units in the names; no film where nothing rolls or nothing is loaded.
    """
    films = point.films
    found = {
        "entrainment_speed_m_per_s": point.entrainment,
        "viscosity_mPas": films.viscosity / MPA_S,
        "pressure_viscosity_per_GPa": films.pressure_viscosity * 1e9,
    }
    for name in ("inner", "outer"):
        film = getattr(films, name)
        if film is not None:
            found[f"film_{name}_um"] = film.thickness / UM
            found[f"film_over_roughness_lambda_{name}"] = film.ratio
    return found
