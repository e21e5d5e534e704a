"""Roller against the flat face of a bar in space, all slices in one loop.

A straight roller axis and a plane: gap, approach and sliding are linear along the roller.
`pocket_spatial` is the exact form of one slice, which also knows edges and concave faces.
"""

import math

from rollsim.kernels.jit import index, inline_kernel
from rollsim.kernels.line_contact import series_share
from rollsim.kernels.pocket import bar_film_damping
from rollsim.kernels.pocket_spatial import bar_bent
from rollsim.kernels.raceway_paths import sliding_drag
from rollsim.kernels.round_contact import angular_velocity, no_wrench
from rollsim.kernels.types import Wrench
from rollsim.kernels.vector import cross, dot, plus, scaled


@inline_kernel
def bar_place(roller, cage, frame, pocket, side):
    """Gap between a roller and the plane of a bar's face, linear along the roller.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket and its errors.
    pocket : Pocket
        Geometry.
    side : float
        +1 leading, -1 trailing.

    Returns
    -------
    gap : tuple of 2 float
        Thickness in the middle [m] and its slope.
    height : tuple of 2 float
        Place along the face from the pitch radius [m] and its slope.
    """
    b = (roller.ux, roller.uy, 1.0)
    centre = (roller.x - cage.x, roller.y - cage.y, roller.z - cage.z)
    t = (frame.tx, frame.ty, frame.tz)
    r = (frame.rx, frame.ry, frame.rz)
    along = side * (dot(centre, t) - frame.shift)
    along_slope = side * dot(b, t)
    outward = dot(centre, r) - pocket.pitch_radius
    outward_slope = dot(b, r)
    gap = pocket.half_clearance + frame.extra - along * pocket.cosine + outward * pocket.sine
    slope = outward_slope * pocket.sine - along_slope * pocket.cosine
    height = along * pocket.sine + outward * pocket.cosine
    height_slope = along_slope * pocket.sine + outward_slope * pocket.cosine
    return (gap, slope), (height, height_slope)


@inline_kernel
def bar_motion(roller, cage, frame, pocket, side):
    """Approach and sliding of a roller on a flat face, linear along the roller.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket.
    pocket : Pocket
        Geometry.
    side : float
        +1 leading, -1 trailing.

    Returns
    -------
    approach : tuple of 2 float
        m/s, and its slope in 1/s.
    sliding : tuple of 4 float
        Across and along the bar [m/s], their slopes [1/s].
    directions : tuple of 3 tuples
        Normal of the face seen from the roller, direction across the bar, along the bar.
    """
    b = (roller.ux, roller.uy, 1.0)
    centre = (roller.x - cage.x, roller.y - cage.y, roller.z - cage.z)
    t = (frame.tx, frame.ty, frame.tz)
    r = (frame.rx, frame.ry, frame.rz)
    n = plus(scaled(side * pocket.cosine, t), -pocket.sine, r)
    across = plus(scaled(-pocket.sine, t), -side * pocket.cosine, r)
    bar = (cage.ux, cage.uy, 1.0)
    spin = angular_velocity(cage)
    relative = plus(angular_velocity(roller), -1.0, spin)
    speed = (roller.vx - cage.vx, roller.vy - cage.vy, roller.vz - cage.vz)
    speed = plus(speed, -1.0, cross(spin, centre))
    speed = plus(speed, pocket.radius, cross(relative, n))
    rate = cross(relative, b)
    sliding = (dot(speed, across), dot(speed, bar), dot(rate, across), dot(rate, bar))
    return (dot(speed, n), dot(rate, n)), sliding, (n, across, bar)


@inline_kernel
def film_sums(pocket, gap, approach, tables):
    """Squeeze film of a bar that is not touched, summed over the slices.

    Parameters
    ----------
    pocket : Pocket
        Film.
    gap : tuple of 2 float
        As from `bar_place`.
    approach : tuple of 2 float
        As from `bar_motion`.
    tables : Tables
        Slices.

    Returns
    -------
    force : float
        N.
    lever : float
        Force times place along the roller, N m.
    heat : float
        W.
    """
    force = lever = heat = 0.0
    for k in range(tables.slice_z.shape[0]):
        s = tables.slice_z[index(k)]
        speed = max(approach[0] + s * approach[1], 0.0)
        thickness = gap[0] + s * gap[1]
        film = tables.slice_weight[index(k)] * speed * bar_film_damping(pocket, thickness)
        force += film
        lever += film * s
        heat += film * speed
    return force, lever, heat


@inline_kernel
def touch_sums(pocket, gap, approach, sliding, tables):
    """Film and solid contact of a touched bar, summed over the slices.

    Parameters
    ----------
    pocket : Pocket
        Laws.
    gap : tuple of 2 float
        As from `bar_place`.
    approach : tuple of 2 float
        As from `bar_motion`.
    sliding : tuple of 4 float
        Likewise.
    tables : Tables
        Slices.

    Returns
    -------
    normal : tuple of 2 float
        Sums of N and N s of film and contact.
    factor : tuple of 3 float
        Sums of f, f s, f s^2, f being the friction over the sliding speed, N s/m.
    losses : tuple of 2 float
        Heat along the normal [W], elastic energy [J].
    """
    # Pockets know Coulomb's friction only: a choice of laws here would cost more than the law.
    scale = pocket.traction.slip_scale
    n0 = n1 = f0 = f1 = f2 = drained = stored = 0.0
    ratio = pocket.constant / pocket.backing
    for k in range(tables.slice_z.shape[0]):
        s = tables.slice_z[index(k)]
        weight = tables.slice_weight[index(k)]
        thickness = gap[0] + s * gap[1]
        speed = approach[0] + s * approach[1]
        film = weight * max(speed, 0.0) * bar_film_damping(pocket, thickness)
        penetration = max(-thickness, 1e-100)
        flat, power = series_share(penetration, ratio)
        bent = ratio * power
        elastic = weight * pocket.constant * power
        contact = max(elastic * (1.0 + 1.5 * pocket.damping * speed), 0.0)
        across = sliding[0] + s * sliding[2]
        along = sliding[1] + s * sliding[3]
        square = across * across + along * along + scale * scale
        factor = contact * pocket.traction.friction / math.sqrt(square)
        normal = contact + film
        n0 += normal
        n1 += normal * s
        f0 += factor
        f1 += factor * s
        f2 += factor * s * s
        drained += (normal - elastic) * speed
        stored += elastic * (9.0 / 19.0 * flat + 0.5 * bent)
    return (n0, n1), (f0, f1, f2), (drained, stored)


@inline_kernel
def bar_spatial(roller, cage, frame, pocket, side, tables):
    """Spatial contact of a roller with one bar, summed over the slices.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket and its errors.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    tables : Tables
        Slices.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    gap, height = bar_place(roller, cage, frame, pocket, side)
    reach = abs(tables.slice_z[0])
    swing = reach * abs(height[1])
    beyond = height[0] - swing < pocket.low or height[0] + swing > pocket.high
    if beyond or pocket.curvature > 0.0:
        return bar_bent(roller, cage, frame, pocket, side, tables)
    approach, sliding, directions = bar_motion(roller, cage, frame, pocket, side)
    fastest = approach[0] + reach * abs(approach[1])
    touched = gap[0] - reach * abs(gap[1]) < 0.0
    if fastest <= 0.0 and not touched:
        return no_wrench()
    n, across, bar = directions
    b = (roller.ux, roller.uy, 1.0)
    turned = cross(b, n)
    if not touched:
        force, lever, heat = film_sums(pocket, gap, approach, tables)
        tail = (force, heat, 0.0, fastest, 0.0, 0.0)
        return Wrench(*scaled(-force, n), *scaled(-lever, turned), *tail)
    normal, factor, losses = touch_sums(pocket, gap, approach, sliding, tables)
    rub, rub_lever, friction = sliding_drag(sliding, factor)
    drag = plus(scaled(-rub[0], across), -rub[1], bar)
    drag_lever = plus(scaled(-rub_lever[0], across), -rub_lever[1], bar)
    moment = plus(scaled(-normal[1], turned), pocket.radius, cross(n, drag))
    moment = plus(moment, 1.0, cross(b, drag_lever))
    tail = (normal[0], losses[0] + friction, losses[1], fastest, friction, 0.0)
    return Wrench(*plus(drag, -normal[0], n), *moment, *tail)
