"""Where a case stands before it runs: load zone, pressures, speeds, rating, films."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.model import pairs
from rollsim.model.hertz import hertz_line_pressure
from rollsim.model.kinematics import centrifugal_force, entrainment_speed
from rollsim.model.load_rating import case_rating
from rollsim.model.lubrication import raceway_film
from rollsim.model.profile import profile_drop, slice_centres
from rollsim.model.raceway_oil import reduced_radius
from rollsim.model.slice_load import FINE, approach_under, slice_forces
from rollsim.model.statics import StaticContacts, load_zone_parameter, static_equilibrium
from rollsim.units import DEG, G0, KN, MM, RPM_TO_RAD_S, UM


@dataclass(frozen=True)
class LoadZone:
    """Static load zone at time zero.

    extent: rad, of the continuous zone, 2 pi where every roller is loaded and 0 where none is;
    parameter: eps, NaN without displacement; most_loaded: index of a roller; inner, outer: arrays
    (Z,), N; azimuths: array (Z,), rad; loaded: number of rollers that the inner ring loads.
    """

    extent: float
    parameter: float
    most_loaded: int
    inner: np.ndarray
    outer: np.ndarray
    azimuths: np.ndarray
    loaded: int


@dataclass(frozen=True)
class AlongRoller:
    """Load along the most loaded roller on the inner raceway (slice model).

    peak, end: largest line load, and that at the heavier end, over the mean; covered: share of
    the effective length that carries; coarse: error of the force with the slices of the case, as
    a share, at the approach that many slices find.
    """

    peak: float
    end: float
    covered: float
    coarse: float


@dataclass(frozen=True)
class OperatingPoint:
    """What the range rules look at, SI.

    zone; along (None where no roller is loaded); inner_pressure, outer_pressure: Pa, largest Hertz
    pressure at the largest load; largest_load, smallest_load: N, on the inner ring over a turn of
    a rotating load; centrifugal: N, of one roller; rating: N, C; entrainment: m/s, without slip;
    tilt: rad, between the rings; films: RacewayFilms.
    """

    built: object
    zone: LoadZone
    along: AlongRoller | None
    inner_pressure: float
    outer_pressure: float
    largest_load: float
    smallest_load: float
    centrifugal: float
    rating: float
    entrainment: float
    tilt: float
    films: object


def operating_point(built):
    """Numbers that say whether the formulas of a case are used within their range.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    OperatingPoint
        See there.
    """
    case, duty = built.case, built.model.duty
    zone = load_zone(built)
    smallest, largest = load_span(built)
    heavy = _heaviest(built, largest)
    tilt = math.hypot(duty.outer_tilt_x, duty.outer_tilt_y)
    inner, outer = float(heavy.inner_force.max()), float(heavy.outer_force.max())
    along = along_roller(built, inner, 0.5 * tilt) if inner > 0.0 else None
    peak = along.peak if along else 1.0
    return OperatingPoint(
        built=built,
        zone=zone,
        along=along,
        inner_pressure=raceway_pressure(built, built.model.inner, inner, peak),
        outer_pressure=raceway_pressure(built, built.model.outer, outer, peak),
        largest_load=largest,
        smallest_load=smallest,
        centrifugal=_centrifugal(built),
        rating=case_rating(case),
        entrainment=entrainment_speed(
            duty.inner_speed,
            duty.outer_speed,
            MM * case.roller.diameter_mm,
            MM * case.bearing.pitch_diameter_mm,
        ),
        tilt=tilt,
        films=raceway_film(built),
    )


def load_zone(built):
    """Static load zone of a built model, cos(half extent) = P_d/(2 delta_r) = 1 - 2 eps.

    Source: Sjovall 1933; Harris, Rolling Bearing Analysis.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    LoadZone
        At time zero.
    """
    statics = built.statics
    inner = statics.inner_force
    displacement = float(np.hypot(*statics.displacement))
    clearance = UM * built.case.clearance.radial_um
    loaded = int(np.sum(inner > 0.0))
    parameter, extent = math.nan, 2.0 * math.pi if loaded == len(inner) else 0.0
    if displacement > 0.0:
        parameter = load_zone_parameter(displacement, clearance)
        extent = 2.0 * math.acos(min(max(1.0 - 2.0 * parameter, -1.0), 1.0))
    azimuths = np.mod(built.azimuths, 2.0 * math.pi)
    return LoadZone(
        extent, parameter, int(np.argmax(inner)), inner, statics.outer_force, azimuths, loaded
    )


def load_span(built):
    """Smallest and largest radial force on the inner ring over the duty.

    The steady part, at every row of a load table, has the weight of the rotor and, in a planet,
    its centrifugal force; a rotating part adds to it and takes from it once a turn.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    smallest : float, N
        |steady - rotating|.
    largest : float, N
        steady + rotating.
    """
    duty = built.case.duty
    steady = [_steady_load(built, *load) for load in _load_rows(duty)]
    rotating = KN * duty.rotating_load_kN
    smallest = [abs(load - rotating) for load in steady]
    if min(steady) <= rotating <= max(steady):
        smallest.append(0.0)
    return min(smallest), max(steady) + rotating


def _load_rows(duty):
    """Radial load in kN and its direction in degrees: the constant one, or rows of a table."""
    rows = getattr(duty, "load_table", None)
    if rows:
        return [row[1:3] for row in rows]
    return [(duty.radial_load_kN, duty.load_direction_deg)]


def _steady_load(built, load, direction):
    """Size of a radial load with weight and centrifugal force of inner ring and rotor share, N."""
    duty = built.case.duty
    mass = built.model.ring.mass + built.model.shaft.mass
    angle, down = DEG * direction, DEG * duty.gravity_direction_deg
    weight = mass * G0 if duty.gravity else 0.0
    lift = mass * (RPM_TO_RAD_S * duty.carrier_speed_rpm) ** 2 * MM * duty.carrier_radius_mm
    return math.hypot(
        KN * load * math.cos(angle) + weight * math.cos(down),
        KN * load * math.sin(angle) + weight * math.sin(down) + lift,
    )


def _heaviest(built, load):
    """Static state under the largest load, with a roller straight under it."""
    model = built.model
    contacts = StaticContacts(
        model.outer.constant,
        model.inner.constant,
        UM * built.case.clearance.radial_um,
        _centrifugal(built),
    )
    even = 2.0 * math.pi * np.arange(model.count) / model.count
    return static_equilibrium(contacts, even, np.array([load, 0.0]))


def _centrifugal(built):
    """Centrifugal force of a roller, seen from rest."""
    model = built.model
    speed = built.cage_speed + model.duty.carrier_speed
    return centrifugal_force(model.roller.mass, model.outer.gap, speed)


def along_roller(built, force, tilt):
    """Load along a roller pressed against the inner raceway, with the profile of the case.

    Parameters
    ----------
    built : BuiltModel
        The model.
    force : float, N
        Force on the roller.
    tilt : float, rad
        Angle between roller and raceway.

    Returns
    -------
    AlongRoller
        See there.
    """
    case = built.case
    length = pairs.effective_length(case)
    constant = built.model.inner.constant
    x = slice_centres(length, FINE)
    drop = profile_drop(case.roller, x, length)
    approach = approach_under(force, constant, tilt, x, drop)
    shares = slice_forces(constant, approach, tilt, x, drop) * FINE / force
    few = slice_centres(length, case.roller.slices)
    coarse = slice_forces(constant, approach, tilt, few, profile_drop(case.roller, few, length))
    return AlongRoller(
        peak=float(shares.max()),
        end=float(max(shares[0], shares[-1])),
        covered=float(np.mean(shares > 0.0)),
        coarse=abs(float(coarse.sum()) / force - 1.0),
    )


def raceway_pressure(built, pair, force, peak=1.0):
    """Hertz pressure of a roller on a raceway.

    Parameters
    ----------
    built : BuiltModel
        The model.
    pair : RoundPair
        The raceway.
    force : float, N
        Force on the roller.
    peak : float
        Largest line load over the mean one.

    Returns
    -------
    float, Pa
        Largest pressure; 0 without load.
    """
    case = built.case
    modulus = pairs.pair_modulus(case, case.roller.material, "bearing_steel")
    line_load = peak * force / pairs.effective_length(case)
    return hertz_line_pressure(line_load, reduced_radius(pair), modulus)


def speed_factor(case):
    """Speed factor of a bearing, d_m n: pitch diameter times largest relative speed of the rings.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        mm/min.
    """
    duty = case.duty
    inner = np.array(duty.speed_table or ((0.0, duty.speed_rpm),), dtype=float).T
    outer = np.array(duty.outer_speed_table or ((0.0, duty.outer_speed_rpm),), dtype=float).T
    times = np.union1d(inner[0], outer[0])
    relative = np.interp(times, *inner) - np.interp(times, *outer)
    return case.bearing.pitch_diameter_mm * float(np.abs(relative).max())


def sliding_scales(case):
    """Slip scales of the friction laws in use.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    dict
        Key of the case -> m/s.
    """
    oil = case.lubricant
    scales = {"lubricant.sliding_slip_scale_m_per_s": oil.sliding_slip_scale_m_per_s}
    if oil.raceway_traction == "coulomb":
        scales["lubricant.raceway_slip_scale_m_per_s"] = oil.raceway_slip_scale_m_per_s
    return scales
