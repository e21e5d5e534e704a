"""What `rollsim check` says about duty in time, drive, housing seat, shaft and cage imbalance."""

from __future__ import annotations

import math

from rollsim.units import RPM_TO_RAD_S


def drive_and_mounts(built) -> dict:
    """Numbers of a duty that changes in time and of what gives way under load.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    dict
        Name -> value, units in the names; empty for a rigid, balanced bearing in a steady duty.
    """
    return {**_course(built.case.duty), **_drive(built), **_mounts(built.model), **_cage(built)}


def _course(duty):
    """Ranges of the tables in time."""
    found = {}
    tables = (
        ("inner_ring", "rpm", duty.speed_table, 1),
        ("outer_ring", "rpm", duty.outer_speed_table, 1),
        ("radial_load", "kN", duty.load_table, 1),
        ("drive_torque", "Nm", duty.torque_table, 1),
    )
    for name, unit, rows, column in tables:
        if rows:
            values = [row[column] for row in rows]
            found[f"{name}_from_table_least_{unit}"] = float(min(values))
            found[f"{name}_from_table_greatest_{unit}"] = float(max(values))
            found[f"{name}_table_ends_after_s"] = float(rows[-1][0])
    return found


def _drive(built):
    """Drive by a torque: inertia, and how fast the shaft speeds up without resistance."""
    drive = built.model.drive
    if not drive.by_torque:
        return {}
    found = {"driven_inertia_kg_m2": drive.inertia}
    if built.case.duty.torque_table is None:
        found["drive_torque_Nm"] = drive.torque
        speeding = drive.torque / drive.inertia / RPM_TO_RAD_S
        found["speed_change_per_s_without_resistance_rpm"] = speeding
    if drive.resistance > 0.0:
        found["run_down_time_constant_s"] = drive.inertia / drive.resistance
    return found


def _mounts(model):
    """Natural frequencies of outer ring and rotor on their own springs."""
    found = {}
    seat, shaft = model.seat, model.shaft
    if seat.moves:
        found["outer_ring_mass_kg"] = seat.mass
        for axis in "xyz":
            stiffness = getattr(seat, f"stiffness_{axis}")
            found[f"outer_ring_in_its_seat_{axis}_Hz"] = _frequency(stiffness, seat.mass)
    if shaft.moves:
        found["rotor_on_a_fixed_ring_Hz"] = _frequency(shaft.stiffness, shaft.mass)
    if shaft.tilt > 0.0 and model.spatial:
        found["inner_ring_tilting_on_the_shaft_Hz"] = _frequency(shaft.tilt, model.ring.transverse)
    return found


def _frequency(stiffness, inertia):
    """sqrt(k/m)/(2 pi), Hz."""
    return math.sqrt(stiffness / inertia) / (2.0 * math.pi)


def _cage(built):
    """Centrifugal force of an unbalanced cage at its rolling speed seen from rest, m e omega^2."""
    arm = math.hypot(*built.model.offset)
    if arm == 0.0:
        return {}
    speed = built.cage_speed + built.model.duty.carrier_speed
    force = built.model.cage.mass * arm * speed**2
    return {"cage_mass_centre_off_by_um": 1e6 * arm, "cage_imbalance_force_N": force}
