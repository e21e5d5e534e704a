"""Rollers on a raceway in space, the slices of a roller in one loop that the compiler vectorises.

Along the roller axis everything is a polynomial of the slice position s. With m(s) = m0 + s m1
the part of the roller axis across the ring axis, seen from the ring, and m1 split into its part
along n0 = m0/|m0| and the rest c |m0|:

    w(s) = |m(s)| = w0 + s m1.n0 + s^2 |c|^2 w0/2        n(s) = n0 + s c

exact but for terms of third order in the tilts: 1e-12 m at 1 mrad. `round_contact.round_slice`
is the exact form of one slice.
"""

import math

from rollsim.kernels.bodies import counted, push_roller, roller_body
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.layout import friction_offset, sliding_offset
from rollsim.kernels.line_contact import ninth_root
from rollsim.kernels.round_contact import angular_velocity, no_wrench, reaction
from rollsim.kernels.traction import (
    dry_grip,
    friction_over_slip,
    grip,
    rolling_force,
)
from rollsim.kernels.types import TractionLaw, Wrench
from rollsim.kernels.vector import cross, dot, plus, scaled

_COULOMB = int(TractionLaw.COULOMB)
_EHL = int(TractionLaw.EHL)
_OTHER = int(TractionLaw.FOUR_PARAMETER)


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
def slice_normal(k, pair, depth, approach, tables):
    """Normal force of one slice.

    Parameters
    ----------
    k : int
        Slice.
    pair : RoundPair
        Laws.
    depth : tuple of 3 float
        As from `raceway_paths`.
    approach : tuple of 3 float
        Likewise.
    tables : Tables
        Slices.

    Returns
    -------
    normal : float
        N with dissipation, N.
    elastic : float
        Without, N.
    speed : float
        Approach speed of the slice, m/s.
    penetration : float
        m, negative without contact.
    """
    s = tables.slice_z[k]
    penetration = depth[0] + s * (depth[1] + s * depth[2]) - tables.slice_drop[k]
    speed = approach[0] + s * (approach[1] + s * approach[2])
    root = ninth_root(max(penetration, 1e-100))
    elastic = pair.constant * tables.slice_weight[k] * max(penetration, 0.0) * root
    normal = max(elastic * (1.0 + 1.5 * pair.damping * speed), 0.0)
    return normal, elastic, speed, penetration


@inline_kernel
def total_normal(pair, depth, approach, tables):
    """Normal force of the whole contact: what the oil film between the surfaces has to carry.

    Parameters
    ----------
    pair : RoundPair
        Laws.
    depth : tuple of 3 float
        As from `raceway_paths`.
    approach : tuple of 3 float
        Likewise.
    tables : Tables
        Slices.

    Returns
    -------
    float
        N.
    """
    total = 0.0
    for k in range(tables.slice_z.shape[0]):
        normal, _, _, _ = slice_normal(k, pair, depth, approach, tables)
        total += normal
    return total


@inline_kernel
def raceway_sums(pair, paths, held, tables, law):
    """Forces of all slices and their moments along the roller.

    Parameters
    ----------
    pair : RoundPair
        Laws.
    paths : tuple of 3 tuples
        Penetration, approach and sliding as from `raceway_paths`.
    held : Grip
        What the contact can hold.
    tables : Tables
        Slices.
    law : int
        Code of the law of traction, a constant that the compiler sees: without a choice in it the
        loop of Coulomb's law and of the lubricated one vectorises.

    Returns
    -------
    normal : tuple of 3 float
        Sums of N, N s, N s^2.
    factor : tuple of 3 float
        Sums of f, f s, f s^2, f being the friction over the sliding speed, N s/m.
    losses : tuple of 2 float
        Heat along the normal [W], elastic energy [J].
    """
    depth, approach, sliding = paths
    n0 = n1 = n2 = f0 = f1 = f2 = drained = stored = 0.0
    for k in range(tables.slice_z.shape[0]):
        normal, elastic, speed, penetration = slice_normal(k, pair, depth, approach, tables)
        s = tables.slice_z[k]
        along = sliding[0] + s * sliding[2]
        axial = sliding[1] + s * sliding[3]
        square = along * along + axial * axial
        if law == _OTHER:
            factor = normal * friction_over_slip(math.sqrt(square), pair.traction, held)
        else:
            factor = normal * held.friction / math.sqrt(square + held.scale * held.scale)
        if law == _EHL:
            sheared = held.film_friction / math.sqrt(square + held.film_scale * held.film_scale)
            factor += normal * sheared
        n0 += normal
        n1 += normal * s
        n2 += normal * s * s
        f0 += factor
        f1 += factor * s
        f2 += factor * s * s
        drained += (normal - elastic) * speed
        stored += elastic * penetration
    return (n0, n1, n2), (f0, f1, f2), (drained, 9.0 / 19.0 * stored)


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


@inline_kernel
def raceway_spatial(body, ring, pair, tables, law):
    """Spatial contact of a roller with a raceway, summed over the slices.

    Parameters
    ----------
    body : Body
        Roller.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry and laws.
    tables : Tables
        Slice positions, drops and weights.
    law : int
        Code of the law of traction as for `raceway_sums`.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    depth, approach, sliding, rolling, directions = raceway_paths(body, ring, pair)
    reach = abs(tables.slice_z[0])
    if depth[0] + reach * (abs(depth[1]) + reach * max(depth[2], 0.0)) <= 0.0:
        return no_wrench()
    resist = 0.0
    held = dry_grip(pair.traction)
    if law == _EHL:
        load = total_normal(pair, depth, approach, tables)
        held = grip(load, rolling[0], pair.traction)
        resist = rolling_force(load, rolling[0], pair.traction)
    normal, factor, losses = raceway_sums(pair, (depth, approach, sliding), held, tables, law)
    n, c, t, e = directions
    b = (body.ux, body.uy, 1.0)
    push = plus(scaled(-pair.side * normal[0], n), -pair.side * normal[1], c)
    lever = plus(scaled(-pair.side * normal[1], n), -pair.side * normal[2], c)
    along, along_lever, friction = sliding_drag(sliding, factor)
    drag = plus(scaled(-along[0], t), -along[1], e)
    drag_lever = plus(scaled(-along_lever[0], t), -along_lever[1], e)
    force = plus(plus(push, 1.0, drag), resist * rolling[1], t)
    moment = plus(cross(b, lever), pair.arm, cross(n, drag))
    moment = plus(moment, 1.0, cross(plus(b, pair.arm, c), drag_lever))
    moment = plus(moment, -pair.arm * resist, e)
    heat = losses[0] + friction + 2.0 * resist * rolling[0]
    slip = sliding[0] if normal[0] > 0.0 else 0.0
    tail = (normal[0], heat, losses[1], approach[0], friction, slip)
    return Wrench(*force, *moment, *tail)


@inline_kernel
def raceway_loop(y, dy, out, which, ring, model):
    """All rollers on one raceway; their wrenches are added to `dy`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Contact output, written.
    which : int
        0 outer, 1 inner raceway.
    ring : Body
        The ring.
    model : Model
        Constants.

    Returns
    -------
    Wrench
        On the ring about its centre, with heat and energy of all contacts.
    """
    # Once for each law in the compiled code: where the law is known the loop over the slices holds
    # no choice and vectorises.
    pair = model.inner if which else model.outer
    if pair.traction.law == _COULOMB:
        return _loop(y, dy, out, (which, pair, _COULOMB), ring, model)
    if pair.traction.law == _EHL:
        return _loop(y, dy, out, (which, pair, _EHL), ring, model)
    return _loop(y, dy, out, (which, pair, _OTHER), ring, model)


@inline_kernel
def _loop(y, dy, out, choice, ring, model):
    """As `raceway_loop` for a pair and a kind of law."""
    which, pair, law = choice
    z = model.count
    friction, sliding = friction_offset(z) + which * z, sliding_offset(z) + which * z
    total = no_wrench()
    for j in range(z):
        body = roller_body(j, y, z)
        wrench = raceway_spatial(body, ring, pair, model.tables, law)
        out[which * z + j] = wrench.normal
        out[friction + j] = wrench.friction
        out[sliding + j] = wrench.slip
        push_roller(dy, j, z, wrench)
        total = counted(total, reaction(wrench, body, ring), wrench)
    return total
