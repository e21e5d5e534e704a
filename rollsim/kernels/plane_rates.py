"""Rates in the plane of cage, rings and shaft; planar and spatial model share them.

Every function writes its rates and returns what goes into the books: power put in [W], heat [W],
external moment about the housing origin [N m] and, where a spring belongs to it, its energy [J].
What a lock holds back is put in from outside.

"""

from rollsim.kernels.driving import rotating_frame
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.layout import (
    cage_offset,
    inner_offset,
    inner_turn_offset,
    shaft_offset,
)
from rollsim.kernels.types import Parts


@inline_kernel
def cage_plane(dy, cage, trig, force, driving, parts):
    """Rates of the cage, whose mass centre may lie off its geometric centre G.

    C = G + e; theta'' = (M_G - e x F)/J; G'' = F/m + a - theta'' (z x e) + theta'^2 e with the
    body acceleration a at C. A locked coordinate gets the force that holds it.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    cage : Disc or Body
        Motion of G.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    force : tuple of 3 float
        Force of all contacts and moment about G with that of the drag.
    driving : Driving
        Accelerations.
    parts : Parts
        Constants.

    Returns
    -------
    work : float
        W.
    impulse : float
        N m.
    spin_rate : float
        theta'', rad/s^2.
    """
    free = parts.free
    m = parts.cage.mass
    fx, fy, moment = force
    ex = parts.offset.x * trig[0] - parts.offset.y * trig[1]
    ey = parts.offset.x * trig[1] + parts.offset.y * trig[0]
    x, y = cage.x + ex, cage.y + ey
    vx, vy = cage.vx - cage.spin * ey, cage.vy + cage.spin * ex
    ax, ay = rotating_frame(x, y, vx, vy, parts.duty.carrier_speed)
    ax += driving.ax
    ay += driving.ay
    square = cage.spin * cage.spin
    held_x, held_y, held_turn = 1.0 - free[3], 1.0 - free[4], 1.0 - free[5]
    tx = free[3] * fx - held_x * m * (ax + square * ex)
    ty = free[4] * fy - held_y * m * (ay + square * ey)
    inertia = parts.cage.axial + m * (held_x * ey * ey + held_y * ex * ex)
    spin_rate = (moment - ex * ty + ey * tx) / inertia * free[5]
    gx = ax + spin_rate * ey + square * ex
    gy = ay - spin_rate * ex + square * ey
    c = cage_offset(parts.count)
    dy[c] = cage.vx * free[3]
    dy[c + 1] = cage.vy * free[4]
    dy[c + 2] = cage.spin
    dy[c + 3] = (fx / m + gx) * free[3]
    dy[c + 4] = (fy / m + gy) * free[4]
    dy[c + 5] = spin_rate
    hx = -held_x * (fx + m * gx)
    hy = -held_y * (fy + m * gy)
    held = -held_turn * (moment - ex * (fy + hy) + ey * (fx + hx))
    work = m * (ax * vx + ay * vy) + held * cage.spin
    impulse = m * (x * ay - y * ax) + held + cage.x * hy - cage.y * hx
    return work, impulse, spin_rate


@inline_kernel
def inner_plane(dy, ring, y, force, driving, parts):
    """Rates of the centres of inner ring and shaft.

    Load and the rotor's share of the mass act on the shaft; without a shaft stiffness that is the
    ring itself.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    ring : Disc or Body
        Motion of the inner ring.
    y : ndarray (state_size,)
        State.
    force : tuple of 2 float
        Force of all contacts on the ring.
    driving : Driving
        Accelerations and load.
    parts : Parts
        Constants.

    Returns
    -------
    tuple of 4 float
        Work rate, heat, moment, energy.
    """
    free = parts.free
    m = parts.ring.mass
    ax, ay = rotating_frame(ring.x, ring.y, ring.vx, ring.vy, parts.duty.carrier_speed)
    fx = m * (ax + driving.ax)
    fy = m * (ay + driving.ay)
    sx = sy = 0.0
    books = (0.0, 0.0, 0.0, 0.0)
    if parts.shaft.moves:
        sx, sy, books = shaft_rates(
            dy, ring, y, driving, parts.shaft, parts.duty.carrier_speed, shaft_offset(parts.count)
        )
    else:
        fx += driving.fx
        fy += driving.fy
        _rest(dy, shaft_offset(parts.count))
    dfx = -parts.drag.rotor * ring.vx
    dfy = -parts.drag.rotor * ring.vy
    pull_x = force[0] + sx + fx + dfx
    pull_y = force[1] + sy + fy + dfy
    i = inner_offset(parts.count)
    dy[i] = ring.vx * free[6]
    dy[i + 1] = ring.vy * free[7]
    dy[i + 2] = pull_x / m * free[6]
    dy[i + 3] = pull_y / m * free[7]
    impulse = ring.x * (fy + dfy) - ring.y * (fx + dfx)
    impulse += ring.y * pull_x * (1.0 - free[6]) - ring.x * pull_y * (1.0 - free[7])
    return (
        books[0] + fx * ring.vx + fy * ring.vy,
        books[1] - dfx * ring.vx - dfy * ring.vy,
        books[2] + impulse,
        books[3],
    )


@inline_kernel
def shaft_rates(dy, ring, y, driving, shaft, carrier, start):
    """Rates of the rotor share behind the shaft stiffness, S = k (x_s - x_i) + c (v_s - v_i).

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    ring : Disc or Body
        Motion of the inner ring.
    y : ndarray (state_size,)
        State.
    driving : Driving
        Accelerations and load.
    shaft : Shaft
        Constants.
    carrier : float, rad/s
        Speed of the carrier.
    start : int
        First entry of the shaft in the state.

    Returns
    -------
    sx : float
        Force of the shaft on the ring, N.
    sy : float
        Likewise.
    books : tuple of 4 float
        Work rate, heat, moment, energy.
    """
    s = start
    x1, x2, v1, v2 = y[s], y[s + 1], y[s + 2], y[s + 3]
    m = shaft.mass
    ax, ay = rotating_frame(x1, x2, v1, v2, carrier)
    fx = m * (ax + driving.ax) + driving.fx
    fy = m * (ay + driving.ay) + driving.fy
    d1, d2, u1, u2 = x1 - ring.x, x2 - ring.y, v1 - ring.vx, v2 - ring.vy
    sx = shaft.stiffness * d1 + shaft.damping * u1
    sy = shaft.stiffness * d2 + shaft.damping * u2
    dy[s] = v1
    dy[s + 1] = v2
    dy[s + 2] = (fx - sx) / m
    dy[s + 3] = (fy - sy) / m
    # A damping force does not lie along the line of centres: the couple that is left over comes
    # from outside, from the bearings of the shaft.
    impulse = x1 * fy - x2 * fx - d1 * sy + d2 * sx
    heat = shaft.damping * (u1 * u1 + u2 * u2)
    energy = 0.5 * shaft.stiffness * (d1 * d1 + d2 * d2)
    return sx, sy, (fx * v1 + fy * v2, heat, impulse, energy)


@inline_kernel
def outer_plane(dy, ring, force, driving, seat, carrier, start):
    """Rates of the outer ring in its housing seat; a fixed ring rests.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    ring : Disc or Body
        Motion of the outer ring.
    force : tuple of 2 float
        Force of all contacts on the ring.
    driving : Driving
        Accelerations.
    seat : Seat
        Constants.
    carrier : float, rad/s
        Speed of the carrier.
    start : int
        First entry of the ring in the state.

    Returns
    -------
    tuple of 4 float
        Work rate, heat, moment, energy.
    """
    o = start
    if not seat.moves:
        _rest(dy, o)
        return 0.0, 0.0, 0.0, 0.0
    m = seat.mass
    ax, ay = rotating_frame(ring.x, ring.y, ring.vx, ring.vy, carrier)
    fx = m * (ax + driving.ax)
    fy = m * (ay + driving.ay)
    sx = -seat.stiffness_x * ring.x - seat.damping * ring.vx
    sy = -seat.stiffness_y * ring.y - seat.damping * ring.vy
    dy[o] = ring.vx
    dy[o + 1] = ring.vy
    dy[o + 2] = (force[0] + fx + sx) / m
    dy[o + 3] = (force[1] + fy + sy) / m
    return (
        fx * ring.vx + fy * ring.vy,
        seat.damping * (ring.vx * ring.vx + ring.vy * ring.vy),
        ring.x * (fy + sy) - ring.y * (fx + sx),
        0.5 * (seat.stiffness_x * ring.x * ring.x + seat.stiffness_y * ring.y * ring.y),
    )


@inline_kernel
def inner_turning(dy, ring, moment, about_z, driving, parts):
    """Rates of angle and speed of the inner ring.

    Driven by a torque: J omega' = T - c omega + M with the moment M of contacts and films. At a
    prescribed speed the drive supplies what they take.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    ring : Disc or Body
        Motion of the inner ring.
    moment : float, N m
        Moment M about the ring's own axis.
    about_z : float, N m
        The same about the bearing axis.
    driving : Driving
        Torque and prescribed acceleration.
    parts : Parts
        Constants.

    Returns
    -------
    tuple of 4 float
        Work rate, heat, moment, rate of the speed.
    """
    turn = inner_turn_offset(parts.count)
    dy[turn] = ring.spin
    drive = parts.drive
    if not drive.by_torque:
        dy[turn + 1] = driving.inner_rate
        return -moment * ring.spin, 0.0, -about_z, driving.inner_rate
    resistance = drive.resistance * ring.spin
    rate = (driving.torque - resistance + moment) / drive.inertia
    dy[turn + 1] = rate
    external = driving.torque - resistance
    return driving.torque * ring.spin, resistance * ring.spin, external, rate


@inline_kernel
def _rest(dy, start):
    """A body that is not there stays where it is."""
    dy[start] = 0.0
    dy[start + 1] = 0.0
    dy[start + 2] = 0.0
    dy[start + 3] = 0.0


@inline_kernel
def parts_of(model):
    """Constants of cage, rings and shaft.

    Parameters
    ----------
    model : Model
        Constants of everything.

    Returns
    -------
    Parts
        Those of the bodies.
    """
    return Parts(
        model.count,
        model.cage,
        model.ring,
        model.drag,
        model.duty,
        model.drive,
        model.seat,
        model.shaft,
        model.offset,
        model.tables.free,
    )
