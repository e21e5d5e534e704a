"""What drives the bodies: body forces, drag, loads."""

import math

from rollsim.kernels.jit import inline_kernel
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
def radial_load(time, duty):
    """Radial load on the inner ring: the steady part and the part that turns with the ring.

    F = F_steady + F_rotating (cos(omega_i t + phase), sin(omega_i t + phase))

    Parameters
    ----------
    time : float, s
        Time t.
    duty : Duty
        Loads and speed.

    Returns
    -------
    fx : float
        N.
    fy : float
        Likewise.
    """
    angle = duty.inner_speed * time + duty.rotating_phase
    return (
        duty.force_x + duty.rotating_force * math.cos(angle),
        duty.force_y + duty.rotating_force * math.sin(angle),
    )


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
