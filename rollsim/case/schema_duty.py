"""Table of the case file for speed, loads and drive: duty."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    PRACTICE,
    FourTable,
    Pair,
    Section,
    Table,
    assumed,
    computed,
    conditional,
    needed,
)


class Duty(Section):
    """[duty]: speed, loads and duration."""

    speed_rpm: float = needed(
        "speed of the inner ring, positive counter-clockwise seen from +z; with a table or a "
        "torque drive the nominal speed, for which step length and rolling speeds are reported",
        "rpm",
        example=1200.0,
        ge=-2e5,
        le=2e5,
    )
    duration_s: float = needed("simulated time", "s", example=2.0, gt=0, le=1e5)
    radial_load_kN: float = needed(
        "radial load on the inner ring; with a table the nominal load",
        "kN",
        example=20.0,
        ge=0,
        le=1e5,
    )
    outer_speed_rpm: float = assumed(
        0.0,
        "speed of the outer ring; with a table the nominal speed, for which rolling speeds are "
        "reported",
        "rpm",
        why="outer ring at rest",
        ge=-2e5,
        le=2e5,
    )
    speed_table: Table | None = conditional(
        "speed of the inner ring in time, straight between rows, the last speed held",
        when="for a start, a stop or a change of speed; in place of the constant speed_rpm",
        example=((0.0, 0.0), (0.5, 1200.0)),
        form="a list of rows [time in s, speed in rpm]",
    )
    outer_speed_table: Table | None = conditional(
        "speed of the outer ring in time",
        when="in place of the constant outer_speed_rpm",
        example=((0.0, 0.0), (0.5, 300.0)),
        form="a list of rows [time in s, speed in rpm]",
    )
    load_table: FourTable | None = conditional(
        "loads on the inner ring in time, straight between rows (the direction turns evenly), the "
        "last ones held",
        when="in place of the constant radial_load_kN, load_direction_deg and axial_load_kN",
        example=((0.0, 5.0, -90.0, 0.0), (0.5, 20.0, -90.0, 0.0)),
        form="a list of rows [time in s, radial load in kN, direction in degrees, axial load in "
        "kN]",
    )
    drive: Literal["speed", "torque"] = assumed(
        "speed",
        "what drives the inner ring: a prescribed speed, or a torque against its inertia",
        why="the speed of the machine is known",
        effect="under a torque the bearing's own friction slows the shaft",
    )
    drive_torque_Nm: float | None = conditional(
        "torque on the shaft, positive counter-clockwise (0 lets it run down)",
        "N m",
        when="needed with drive = 'torque' unless torque_table is given",
        example=25.0,
        ge=-1e7,
        le=1e7,
    )
    torque_table: Table | None = conditional(
        "torque on the shaft in time, straight between rows, the last one held",
        when="with drive = 'torque', in place of drive_torque_Nm",
        example=((0.0, 25.0), (0.5, 25.0), (0.51, -200.0)),
        form="a list of rows [time in s, torque in N m]",
    )
    drive_inertia_kgm2: float | None = conditional(
        "moment of inertia of what turns with the inner ring, without the ring",
        "kg m2",
        when="needed with drive = 'torque'",
        example=0.8,
        ge=0,
        le=1e7,
    )
    drive_resistance_Nms: float | None = conditional(
        "resistance of the driven machine per rad/s",
        "N m s",
        when="with drive = 'torque'; not given: 0, only the bearing resists",
        example=0.2,
        ge=0,
        le=1e7,
    )
    start_speed_rpm: float | None = conditional(
        "speed of the inner ring at time zero",
        "rpm",
        when="with drive = 'torque'; not given: speed_rpm",
        example=0.0,
        ge=-2e5,
        le=2e5,
    )
    load_direction_deg: float = assumed(
        -90.0,
        "direction of the radial load, counter-clockwise from +x",
        "degrees",
        why="load downwards",
        ge=-360,
        le=360,
    )
    rotating_load_kN: float = assumed(
        0.0,
        "radial load that turns with the inner ring (unbalance)",
        "kN",
        why="no unbalance given",
        effect="turns the load zone with the shaft, as in vibrating screens",
        ge=0,
        le=1e5,
    )
    rotating_load_phase_deg: float = assumed(
        0.0,
        "direction of the rotating load at time zero",
        "degrees",
        why="starts along +x",
        ge=-360,
        le=360,
    )
    axial_load_kN: float = assumed(
        0.0,
        "axial load on the inner ring (+z), which flanges of both rings must take up",
        "kN",
        why="no axial load",
        ge=-1e5,
        le=1e5,
    )
    tilting_moment_Nm: Pair = assumed(
        (0.0, 0.0), "moment on the inner ring about x and y", "N m", why="no moment"
    )
    rotor_mass_kg: float | None = computed(
        "mass that moves with the inner ring, the ring included; with a shaft stiffness the mass "
        "behind it, the ring not included",
        "kg",
        how="inner ring alone",
        example=100.0,
        effect="sets the natural frequency of the rotor on its rollers",
        gt=0,
        le=1e7,
    )
    rotor_damping_Ns_per_mm: float | None = computed(
        "damping between inner ring and housing, per direction",
        "N s/mm",
        how="2 % of critical damping",
        example=5.0,
        ge=0,
        le=1e6,
    )
    shaft_stiffness_N_per_um: float | None = conditional(
        "radial stiffness of the shaft between the inner ring and the rotor, on which the loads "
        "act",
        "N/um",
        when="where the shaft bends; not given: a rigid shaft (needs rotor_mass_kg)",
        example=150.0,
        gt=0,
        le=1e6,
    )
    shaft_damping_Ns_per_mm: float | None = conditional(
        "damping parallel to the stiffness of the shaft",
        "N s/mm",
        when="with shaft_stiffness_N_per_um; not given: 2 % of critical damping",
        example=2.0,
        ge=0,
        le=1e6,
    )
    shaft_tilt_stiffness_Nm_per_mrad: float | None = conditional(
        "moment with which the shaft turns a tilted inner ring back, per tilt",
        "N m/mrad",
        when="in spatial motion; not given: the shaft lets the ring tilt freely",
        example=200.0,
        gt=0,
        le=1e9,
    )
    preview_s: float | None = computed(
        "time shown in previews and figures of the motion",
        "s",
        how="1 s, or the duration where that is shorter",
        example=0.5,
        gt=0,
        le=1e5,
    )
    ramp_s: float = assumed(
        0.05,
        "time over which the vibration is faded in",
        "s",
        why="a soft start; " + PRACTICE,
        ge=0,
        le=1e5,
    )
    settle_s: float = assumed(
        0.2,
        "time left out of all statistics at the start",
        "s",
        why="transients of the start; " + PRACTICE,
        ge=0,
        le=1e5,
    )
    gravity: bool = assumed(True, "weight acts", why="bearing on earth")
    gravity_direction_deg: float = assumed(
        -90.0,
        "direction of gravity in the x-y plane, counter-clockwise from +x",
        "degrees",
        why="y points up",
        ge=-360,
        le=360,
    )
    carrier_speed_rpm: float = assumed(
        0.0,
        "speed of the carrier (planet bearings)",
        "rpm",
        why="housing at rest",
        ge=-1e5,
        le=1e5,
    )
    carrier_radius_mm: float = assumed(
        0.0,
        "distance from the carrier axis to the bearing axis",
        "mm",
        why="housing at rest",
        ge=0,
        le=1e5,
    )
