"""What drives the bearing, as the kernels take it: speeds and loads in time, drive, seat, shaft."""

import math

import numpy as np

from rollsim.case.schema import Assumption
from rollsim.kernels.duty_types import Course, Drive, Duty, Offset, Seat, Shaft
from rollsim.model.inertia import inner_ring_inertia, outer_ring_mass
from rollsim.units import DEG, G0, KN, MM, MRAD, N_PER_UM, NS_PER_MM, RPM_TO_RAD_S

#: Damping of seat and shaft over critical damping, where none is given.
DAMPING_RATIO = 0.02


def duty_constants(case):
    """Speeds and loads in SI: the nominal ones where tables give them in time.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    Duty
        Constants of the kernels.
    """
    duty = case.duty
    angle = DEG * duty.load_direction_deg
    load = KN * duty.radial_load_kN
    tilt_x, tilt_y = case.bearing.misalignment_mrad
    moment_x, moment_y = duty.tilting_moment_Nm
    return Duty(
        inner_speed=RPM_TO_RAD_S * duty.speed_rpm,
        outer_speed=RPM_TO_RAD_S * duty.outer_speed_rpm,
        force_x=load * math.cos(angle),
        force_y=load * math.sin(angle),
        force_z=KN * duty.axial_load_kN,
        rotating_force=KN * duty.rotating_load_kN,
        rotating_phase=DEG * duty.rotating_load_phase_deg,
        moment_x=float(moment_x),
        moment_y=float(moment_y),
        gravity=G0 if duty.gravity else 0.0,
        gravity_angle=DEG * duty.gravity_direction_deg,
        carrier_speed=RPM_TO_RAD_S * duty.carrier_speed_rpm,
        carrier_radius=MM * duty.carrier_radius_mm,
        outer_tilt_x=MRAD * tilt_x,
        outer_tilt_y=MRAD * tilt_y,
    )


def duty_course(case):
    """Tables in time; no rows where the constants hold.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    Course
        Tables in SI.
    """
    duty = case.duty
    load = np.array(duty.load_table or (), dtype=float).reshape(-1, 4) * [1.0, KN, DEG, KN]
    torque = np.array(duty.torque_table or (), dtype=float).reshape(-1, 2)
    tables = [_speeds(duty.speed_table), _speeds(duty.outer_speed_table), load, torque]
    corners = np.unique(np.concatenate([table[:, 0] for table in tables]))
    rows = [*tables, corners[:, None]]
    ends = np.cumsum([len(table) for table in tables]).tolist()
    whole = np.zeros((ends[-1] + len(corners), 4))
    for table, end in zip(rows, [*ends, len(whole)], strict=True):
        whole[end - len(table) : end, : table.shape[1]] = table
    return Course(int(len(corners) > 0), *ends, whole)


def course_table(course, name):
    """One of the tables in time.

    Parameters
    ----------
    course : Course
        Tables.
    name : str
        "inner", "outer", "load", "torque" or "corners".

    Returns
    -------
    ndarray (n, 4)
        Rows, filled up with zeros.
    """
    ends = dict(zip(("inner", "outer", "load", "torque"), course[1:5], strict=True))
    ends["corners"] = len(course.table)
    names = list(ends)
    start = ends[names[names.index(name) - 1]] if name != "inner" else 0
    return course.table[start : ends[name]]


def _speeds(table):
    """Rows time, speed, angle turned through up to the row."""
    rows = np.array(table or (), dtype=float).reshape(-1, 2)
    times, speeds = rows[:, 0], RPM_TO_RAD_S * rows[:, 1]
    turned = np.zeros(len(rows))
    turned[1:] = np.cumsum(0.5 * np.diff(times) * (speeds[1:] + speeds[:-1]))
    return np.column_stack([times, speeds, turned])


def drive_constants(case):
    """How the inner ring is driven.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    Drive
        Constants of the kernels.
    """
    duty = case.duty
    return Drive(
        by_torque=int(duty.drive == "torque"),
        torque=float(duty.drive_torque_Nm or 0.0),
        resistance=float(duty.drive_resistance_Nms or 0.0),
        inertia=inner_ring_inertia(case).axial + float(duty.drive_inertia_kgm2 or 0.0),
    )


def start_speeds(case):
    """Speeds of the inner and the outer ring at time zero.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple of 2 float
        rad/s.
    """
    duty = case.duty
    inner, outer = duty.speed_rpm, duty.outer_speed_rpm
    if duty.speed_table:
        inner = duty.speed_table[0][1]
    if duty.drive == "torque" and duty.start_speed_rpm is not None:
        inner = duty.start_speed_rpm
    if duty.outer_speed_table:
        outer = duty.outer_speed_table[0][1]
    return RPM_TO_RAD_S * inner, RPM_TO_RAD_S * outer


def housing_seat(case, added):
    """Outer ring in its seat.

    Parameters
    ----------
    case : Case
        The case.
    added : list of Assumption
        What is not given is added.

    Returns
    -------
    Seat
        Constants of the kernels; a fixed ring where no stiffness is given.
    """
    bearing = case.bearing
    if bearing.seat_stiffness_N_per_um is None:
        return Seat(0, 0.0, 0.0, 0.0, 0.0, 0.0)
    kx, ky, kz = (N_PER_UM * part for part in bearing.seat_stiffness_N_per_um)
    mass = bearing.outer_mass_kg
    if mass is None:
        mass = outer_ring_mass(case)
        added.append(
            Assumption(
                "bearing.outer_mass_kg", round(mass, 4), "kg", "computed: outline of the ring",
                "sets the natural frequency of the ring in its seat",
            )
        )  # fmt: skip
    damping = _damping(
        "bearing.seat_damping_Ns_per_mm", bearing.seat_damping_Ns_per_mm, min(kx, ky), mass, added
    )
    return Seat(1, mass, kx, ky, kz, damping)


def shaft_constants(case, added):
    """Rotor share behind the shaft stiffness.

    Parameters
    ----------
    case : Case
        The case.
    added : list of Assumption
        What is not given is added.

    Returns
    -------
    Shaft
        Constants of the kernels; a rigid shaft where no stiffness is given.
    """
    duty = case.duty
    tilt = float(duty.shaft_tilt_stiffness_Nm_per_mrad or 0.0) / MRAD
    if duty.shaft_stiffness_N_per_um is None:
        return Shaft(0, 0.0, 0.0, 0.0, tilt)
    stiffness, mass = N_PER_UM * duty.shaft_stiffness_N_per_um, duty.rotor_mass_kg
    damping = _damping(
        "duty.shaft_damping_Ns_per_mm", duty.shaft_damping_Ns_per_mm, stiffness, mass, added
    )
    return Shaft(1, mass, stiffness, damping, tilt)


def _damping(key, given, stiffness, mass, added):
    """Given damping, else a share of the critical one, N s/m."""
    if given is not None:
        return NS_PER_MM * given
    damping = 2.0 * DAMPING_RATIO * math.sqrt(stiffness * mass)
    added.append(
        Assumption(
            key, round(damping / NS_PER_MM, 4), "N s/mm", "2 % of critical damping",
            "limits the resonance",
        )
    )  # fmt: skip
    return damping


def duty_assumptions(case):
    """What drive, seat and shaft leave open.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of Assumption
        Keys that were not given.
    """
    duty = case.duty
    found = []
    if duty.drive == "torque":
        found += [
            Assumption(
                "duty.drive_resistance_Nms", 0.0, "N m s", "only the bearing resists",
                "without a resistance a steady torque speeds the shaft up without end",
            ),
            Assumption(
                "duty.start_speed_rpm", duty.speed_rpm, "rpm", "starts at speed_rpm",
            ),
        ]  # fmt: skip
    if duty.shaft_tilt_stiffness_Nm_per_mrad is None and case.solver.motion == "spatial":
        found.append(
            Assumption(
                "duty.shaft_tilt_stiffness_Nm_per_mrad", 0.0, "N m/mrad",
                "the shaft lets the ring tilt freely",
                "the rollers alone turn a tilted ring back",
            )
        )  # fmt: skip
    found += [
        Assumption(
            "duty.shaft_stiffness_N_per_um", "rigid", "", "no stiffness given",
            "a shaft that bends lets ring and rotor swing against each other",
        ),
        Assumption(
            "bearing.seat_stiffness_N_per_um", "rigid", "",
            "no stiffness given: the outer ring is fixed",
            "a seat that gives way softens the bearing",
        ),
    ]  # fmt: skip
    tables = {"duty": duty, "bearing": case.bearing}
    split = ((item, *item.key.split(".")) for item in found)
    return [item for item, table, key in split if getattr(tables[table], key) is None]


def cage_offset_of(case, mass):
    """Mass centre of the cage from its geometric centre.

    Parameters
    ----------
    case : Case
        The case.
    mass : float, kg
        Mass of the cage.

    Returns
    -------
    Offset
        m, in the axes of the cage.
    """
    arm = 1e-6 * case.cage.imbalance_gmm / mass
    angle = DEG * case.cage.imbalance_direction_deg
    return Offset(arm * math.cos(angle), arm * math.sin(angle))


def static_load(duty, course):
    """Load on the inner ring at time zero, without weight.

    Parameters
    ----------
    duty : Duty
        Constants.
    course : Course
        Tables.

    Returns
    -------
    ndarray (2,)
        N.
    """
    steady = np.array([duty.force_x, duty.force_y])
    table = course_table(course, "load")
    if len(table):
        force, direction = table[0, 1:3]
        steady = force * np.array([math.cos(direction), math.sin(direction)])
    phase = duty.rotating_phase
    return steady + duty.rotating_force * np.array([math.cos(phase), math.sin(phase)])


def weighed(load, mass, duty):
    """A load with the weight of a mass and, on a carrier, its centrifugal force.

    Parameters
    ----------
    load : ndarray (2,), N
        Load.
    mass : float, kg
        Mass.
    duty : Duty
        Gravity and carrier.

    Returns
    -------
    ndarray (2,)
        N.
    """
    weight = duty.gravity * np.array([math.cos(duty.gravity_angle), math.sin(duty.gravity_angle)])
    lift = np.array([0.0, duty.carrier_speed**2 * duty.carrier_radius])
    return load + mass * (weight + lift)
