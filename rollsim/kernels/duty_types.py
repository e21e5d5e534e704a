"""Constants of what drives and holds the bodies: duty, tables in time, drive, seat, shaft."""

from typing import NamedTuple

import numpy as np


class Duty(NamedTuple):
    """What drives the bearing: speeds, loads, gravity, carrier rotation (SI)."""

    inner_speed: float
    outer_speed: float
    force_x: float
    force_y: float
    force_z: float
    rotating_force: float
    rotating_phase: float
    moment_x: float
    moment_y: float
    gravity: float
    gravity_angle: float
    carrier_speed: float
    carrier_radius: float
    outer_tilt_x: float
    outer_tilt_y: float


class Course(NamedTuple):
    """Speeds, load and torque in time, straight between rows, held behind the last.

    Tables stand in one array, one behind the other, because references to every array of a model
    are counted. inner, outer: ends of the rows [time s, speed rad/s, angle turned through rad];
    load: end of the rows [time s, radial load N, its direction rad, axial load N]; torque: end of
    the rows [time s, drive torque N m]; then rows [time s] at which any of them bends. A table
    without rows: the constants of `Duty` hold; varies is 0 where no table has rows.
    """

    varies: int
    inner: int
    outer: int
    load: int
    torque: int
    table: np.ndarray


class Drive(NamedTuple):
    """Inner ring driven by a torque where `by_torque` is 1, else its speed is prescribed.

    torque [N m]; resistance [N m s]; inertia [kg m^2] of inner ring and rotor about the axis.
    """

    by_torque: int
    torque: float
    resistance: float
    inertia: float


class Seat(NamedTuple):
    """Outer ring in a compliant housing seat where `moves` is 1, else it is fixed.

    mass [kg], stiffness [N/m] along x, y, z, damping [N s/m] in every direction.
    """

    moves: int
    mass: float
    stiffness_x: float
    stiffness_y: float
    stiffness_z: float
    damping: float


class Shaft(NamedTuple):
    """Rotor share behind a radial shaft stiffness where `moves` is 1, else it is in the ring.

    mass [kg], stiffness [N/m], damping [N s/m]; tilt [N m/rad]: moment per tilt that turns the
    inner ring back towards the axis of the housing.
    """

    moves: int
    mass: float
    stiffness: float
    damping: float
    tilt: float


class Offset(NamedTuple):
    """Mass centre of the cage from its geometric centre, in the axes of the cage [m]."""

    x: float
    y: float


class Driving(NamedTuple):
    """What drives the bodies at one instant.

    Acceleration that acts alike on all bodies [m/s^2], load on the shaft [N], torque of the drive
    [N m], rate of a prescribed inner speed [rad/s^2], angle and speed of the inner ring [rad,
    rad/s], speed of the outer ring [rad/s].
    """

    ax: float
    ay: float
    az: float
    fx: float
    fy: float
    fz: float
    torque: float
    inner_rate: float
    inner_angle: float
    inner_speed: float
    outer_speed: float
