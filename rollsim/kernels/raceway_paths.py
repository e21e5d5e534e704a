"""Roller on a raceway in space: penetration, approach and sliding along the roller.

Along the roller axis everything is a polynomial of the slice position s. With m(s) = m0 + s m1
the part of the roller axis across the ring axis, seen from the ring, and m1 split into its part
along n0 = m0/|m0| and the rest c |m0|:

    w(s) = |m(s)| = w0 + s m1.n0 + s^2 |c|^2 w0/2        n(s) = n0 + s c

exact but for terms of third order in the tilts: 1e-12 m at 1 mrad. `round_contact.round_slice`
is the exact form of one slice.
"""

import math

from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.round_contact import angular_velocity
from rollsim.kernels.vector import cross, dot, plus, scaled


@inline_kernel
def raceway_paths(body, ring, pair):
    """Polynomials of the slice position: penetration, approach and sliding of a raceway contact.

    Parameters
    ----------
    body : Body
        Roller.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry.

    Returns
    -------
    depth : tuple of 3 float
        Penetration without profile: value [m], slope, bend [1/m].
    approach : tuple of 3 float
        Approach speed likewise, from m/s on.
    sliding : tuple of 4 float
        Sliding speed along the orbit and along the axis [m/s], their slopes [1/s].
    rolling : tuple of 2 float
        Mean speed of both surfaces seen from the middle of the contact [m/s], share of the
        rolling resistance that pushes the roller along its orbit.
    directions : tuple of 4 tuples
        n0, c [1/m], t0 along the orbit, e along the ring axis.
    """
    axis = (body.ux, body.uy, 1.0)
    tilt = (ring.ux, ring.uy, 1.0)
    square = 1.0 / dot(tilt, tilt)
    centre = (body.x - ring.x, body.y - ring.y, body.z - ring.z)
    across = plus(centre, -dot(centre, tilt) * square, tilt)
    w = max(math.sqrt(dot(across, across)), 1e-15)
    by_w = 1.0 / w
    n = scaled(by_w, across)
    turn = plus(axis, -dot(axis, tilt) * square, tilt)
    slope = dot(turn, n)
    c = scaled(by_w, plus(turn, -slope, n))
    e = scaled(math.sqrt(square), tilt)
    t = cross(e, n)
    spin = angular_velocity(ring)
    relative = plus(angular_velocity(body), -1.0, spin)
    speed = (body.vx - ring.vx, body.vy - ring.vy, body.vz - ring.vz)
    lever = (w + 2.0 * pair.arm) * by_w
    mean = body.spin * pair.arm + ring.spin * (w + pair.arm)
    mean = 0.5 * (mean - dot(speed, t) * lever)
    speed = plus(speed, -1.0, cross(spin, centre))
    speed = plus(speed, pair.arm, cross(relative, n))
    rate = cross(relative, plus(axis, pair.arm, c))
    side = pair.side
    return (
        (side * w - pair.gap, side * slope, 0.5 * side * w * dot(c, c)),
        (side * dot(speed, n), side * (dot(rate, n) + dot(speed, c)), side * dot(rate, c)),
        (dot(speed, t), dot(speed, e), dot(rate, t), dot(rate, e)),
        (mean, lever),
        (n, c, t, e),
    )


@inline_kernel
def sliding_drag(sliding, factor):
    """Friction of all slices, from the sums of its factor: sliding is linear along the roller.

    Parameters
    ----------
    sliding : tuple of 4 float
        Speed in two directions [m/s] and its slopes [1/s].
    factor : tuple of 3 float
        Sums of f, f s, f s^2, N s/m.

    Returns
    -------
    drag : tuple of 2 float
        Force on the other body in both directions, N.
    lever : tuple of 2 float
        The same times s, N m.
    power : float
        Turned into heat, W.
    """
    first = sliding[0] * factor[0] + sliding[2] * factor[1]
    second = sliding[1] * factor[0] + sliding[3] * factor[1]
    first_lever = sliding[0] * factor[1] + sliding[2] * factor[2]
    second_lever = sliding[1] * factor[1] + sliding[3] * factor[2]
    power = sliding[0] * first + sliding[1] * second
    power += sliding[2] * first_lever + sliding[3] * second_lever
    return (first, second), (first_lever, second_lever), power
