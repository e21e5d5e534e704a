"""What drives the bodies: body forces, drag, loads."""

import math

from rollsim.kernels.course import integral_at, slope_at, value_at
from rollsim.kernels.duty_types import Driving
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.layout import inner_turn_offset
from rollsim.kernels.vibration import base_acceleration, locked_acceleration


@inline_kernel
def uniform_acceleration(time, duty, shaking):
    """Acceleration that acts alike on all bodies: gravity, carrier centre, minus the vibration.

    In a frame that turns with the carrier at Omega about an axis at distance R below the housing
    origin (-y) gravity turns backwards and the origin's centrifugal acceleration is Omega^2 R up.

    Parameters
    ----------
    time : float, s
        Time.
    duty : Duty
        Gravity and carrier.
    shaking : Shaking
        Imposed vibration.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    bx, by, bz = base_acceleration(time, shaking)
    angle = duty.gravity_angle - duty.carrier_speed * time
    gx = duty.gravity * math.cos(angle)
    gy = duty.gravity * math.sin(angle)
    return gx - bx, gy - by + duty.carrier_speed * duty.carrier_speed * duty.carrier_radius, -bz


@inline_kernel
def steady(time, duty, drive, shaking):
    """What drives the bodies without tables and without the load that turns with the ring.

    Parameters
    ----------
    time : float, s
        Time.
    duty : Duty
        Speeds, loads, gravity, carrier.
    drive : Drive
        Torque.
    shaking : Shaking
        Imposed vibration.

    Returns
    -------
    Driving
        Accelerations, loads, torque, turning of the rings.
    """
    ax, ay, az = uniform_acceleration(time, duty, shaking)
    return Driving(
        ax, ay, az, duty.force_x, duty.force_y, duty.force_z, drive.torque,
        0.0, duty.inner_speed * time, duty.inner_speed, duty.outer_speed,
    )  # fmt: skip


@kernel
def from_tables(time, constant, course):
    """Replace what the duty holds constant by what its tables say.

    Not merged into its callers, and called by the right-hand sides themselves where a table has
    rows: elsewhere the compiler would count references to the model's arrays, which costs more
    than all the rest.

    Parameters
    ----------
    time : float, s
        Time.
    constant : Driving
        From the constants.
    course : Course
        Tables.

    Returns
    -------
    Driving
        Without the load that turns with the ring.
    """
    angle, speed, rate = constant.inner_angle, constant.inner_speed, constant.inner_rate
    outer, torque = constant.outer_speed, constant.torque
    fx, fy, fz = constant.fx, constant.fy, constant.fz
    if course.inner > 0:
        table = course.table[: course.inner]
        angle = integral_at(table, time)
        speed = value_at(table, time, 1)
        rate = slope_at(table, time, 1)
    if course.outer > course.inner:
        outer = value_at(course.table[course.inner : course.outer], time, 1)
    if course.load > course.outer:
        table = course.table[course.outer : course.load]
        force, direction = value_at(table, time, 1), value_at(table, time, 2)
        fx = force * math.cos(direction)
        fy = force * math.sin(direction)
        fz = value_at(table, time, 3)
    if course.torque > course.load:
        torque = value_at(course.table[course.load : course.torque], time, 1)
    return Driving(
        constant.ax, constant.ay, constant.az, fx, fy, fz, torque, rate, angle, speed, outer
    )


@inline_kernel
def with_turning(driving, y, duty, drive, count):
    """Angle and speed of a ring driven by a torque, out of the state; the load that turns with it.

    F = F(t) + F_rotating (cos(theta_i + phase), sin(theta_i + phase))

    Parameters
    ----------
    driving : Driving
        Steady or tabled part.
    y : ndarray (state_size,)
        State.
    duty : Duty
        Rotating load.
    drive : Drive
        Kind of drive.
    count : int
        Rollers Z.

    Returns
    -------
    Driving
        All of it.
    """
    angle, speed = driving.inner_angle, driving.inner_speed
    if drive.by_torque:
        turn = inner_turn_offset(count)
        angle, speed = y[turn], y[turn + 1]
    fx, fy = driving.fx, driving.fy
    if duty.rotating_force != 0.0:
        fx += duty.rotating_force * math.cos(angle + duty.rotating_phase)
        fy += duty.rotating_force * math.sin(angle + duty.rotating_phase)
    return Driving(
        driving.ax, driving.ay, driving.az, fx, fy, driving.fz, driving.torque,
        driving.inner_rate, angle, speed, driving.outer_speed,
    )  # fmt: skip


@kernel
def with_locked(time, driving, shaking):
    """Add the exciters that follow the angle of the inner ring; its turning has to be known.

    Called by the right-hand sides where there is such an exciter.

    Parameters
    ----------
    time : float, s
        Time.
    driving : Driving
        With the turning of the inner ring.
    shaking : Shaking
        Imposed vibration.

    Returns
    -------
    Driving
        With the acceleration that all bodies feel in addition.
    """
    angle, speed, rate = driving.inner_angle, driving.inner_speed, driving.inner_rate
    bx, by, bz = locked_acceleration(time, angle, speed, rate, shaking)
    return Driving(
        driving.ax - bx, driving.ay - by, driving.az - bz,
        driving.fx, driving.fy, driving.fz, driving.torque,
        rate, angle, speed, driving.outer_speed,
    )  # fmt: skip


@kernel
def driving_at(time, y, model):
    """Everything that drives the bodies at one instant; the right-hand sides do the same.

    Parameters
    ----------
    time : float, s
        Time.
    y : ndarray (state_size,)
        State.
    model : Model
        Constants.

    Returns
    -------
    Driving
        Accelerations, loads, torque, turning of the rings.
    """
    driving = steady(time, model.duty, model.drive, model.shaking)
    if model.course.varies:
        driving = from_tables(time, driving, model.course)
    driving = with_turning(driving, y, model.duty, model.drive, model.count)
    if model.shaking.locked.shape[0]:
        driving = with_locked(time, driving, model.shaking)
    return driving


@inline_kernel
def rotating_frame(x, y, vx, vy, carrier_speed):
    """Centrifugal (about the origin) and Coriolis acceleration in the carrier frame.

    a = Omega^2 (x, y) + 2 Omega (vy, -vx)

    Parameters
    ----------
    x : float, m
        Position.
    y : float, m
        Likewise.
    vx : float, m/s
        Velocity in the carrier frame.
    vy : float, m/s
        Likewise.
    carrier_speed : float, rad/s
        Omega.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    """
    square = carrier_speed * carrier_speed
    return square * x + 2.0 * carrier_speed * vy, square * y - 2.0 * carrier_speed * vx


@inline_kernel
def roller_drag(vx, vy, spin, drag):
    """Resistance of the oil-air mixture to the orbit and the spin of a roller.

    F = -k_F |v| v with k_F = rho C_D A / 2; M = -k_M |omega| omega. Common practice, no source
    for the coefficients; they are inputs.

    Parameters
    ----------
    vx : float, m/s
        Velocity.
    vy : float, m/s
        Likewise.
    spin : float, rad/s
        Spin.
    drag : Drag
        Coefficients.

    Returns
    -------
    fx : float
        Force in N.
    fy : float
        Likewise.
    moment : float
        Moment about the axis in N m.
    heat : float
        Power lost in W.
    """
    speed = math.sqrt(vx * vx + vy * vy)
    factor = drag.roller_force * speed
    moment = -drag.roller_spin * abs(spin) * spin
    return -factor * vx, -factor * vy, moment, factor * speed * speed - moment * spin


@inline_kernel
def cage_drag(spin, drag):
    """Windage of the cage, M = -k |omega| omega.

    Common practice, no source for the coefficient.

    Parameters
    ----------
    spin : float, rad/s
        Cage speed omega.
    drag : Drag
        Coefficients.

    Returns
    -------
    moment : float
        On the cage, N m.
    heat : float
        Power lost in W.
    """
    moment = -drag.cage_spin * abs(spin) * spin
    return moment, -moment * spin
