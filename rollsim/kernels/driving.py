"""What drives the bodies: body forces, drag, loads."""

import math

from rollsim.kernels.course import integral_at, slope_at, value_at
from rollsim.kernels.duty_types import Driving
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.layout import inner_turn_offset
from rollsim.kernels.vibration import base_acceleration


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
def inner_turn(time, y, model):
    """Angle and speed of the inner ring: from the state where a torque drives it, else prescribed.

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
    angle : float
        rad.
    speed : float
        rad/s.
    """
    if model.drive.by_torque:
        turn = inner_turn_offset(model.count)
        return y[turn], y[turn + 1]
    table = model.course.inner
    if table.shape[0] > 0:
        return integral_at(table, time), value_at(table, time, 1)
    return model.duty.inner_speed * time, model.duty.inner_speed


@inline_kernel
def outer_speed(time, model):
    """Prescribed speed of the outer ring.

    Parameters
    ----------
    time : float, s
        Time.
    model : Model
        Constants.

    Returns
    -------
    float
        rad/s.
    """
    table = model.course.outer
    return value_at(table, time, 1) if table.shape[0] > 0 else model.duty.outer_speed


@inline_kernel
def load(time, angle, model):
    """Load on the inner ring: the steady or tabled part and the part that turns with the ring.

    F = F(t) + F_rotating (cos(theta_i + phase), sin(theta_i + phase))

    Parameters
    ----------
    time : float, s
        Time t.
    angle : float, rad
        Angle theta_i of the inner ring.
    model : Model
        Loads.

    Returns
    -------
    fx : float
        N.
    fy : float
        Likewise.
    fz : float
        Likewise.
    """
    duty, table = model.duty, model.course.load
    fx, fy, fz = duty.force_x, duty.force_y, duty.force_z
    if table.shape[0] > 0:
        force, direction = value_at(table, time, 1), value_at(table, time, 2)
        fx = force * math.cos(direction)
        fy = force * math.sin(direction)
        fz = value_at(table, time, 3)
    if duty.rotating_force != 0.0:
        fx += duty.rotating_force * math.cos(angle + duty.rotating_phase)
        fy += duty.rotating_force * math.sin(angle + duty.rotating_phase)
    return fx, fy, fz


@inline_kernel
def driving_at(time, y, model):
    """Everything that drives the bodies at one instant.

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
        Accelerations, loads, torque.
    """
    ax, ay, az = uniform_acceleration(time, model.duty, model.shaking)
    angle, _ = inner_turn(time, y, model)
    fx, fy, fz = load(time, angle, model)
    torque = model.drive.torque
    if model.course.torque.shape[0] > 0:
        torque = value_at(model.course.torque, time, 1)
    rate = 0.0
    if model.course.inner.shape[0] > 0:
        rate = slope_at(model.course.inner, time, 1)
    return Driving(ax, ay, az, fx, fy, fz, torque, rate)


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
