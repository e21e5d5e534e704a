"""Right-hand side of the planar model: rollers, cage and inner ring in the plane of rotation."""

import math

from rollsim.kernels.driving import from_tables, steady, with_locked, with_turning
from rollsim.kernels.jit import index, inline_kernel, kernel
from rollsim.kernels.layout import approach_offset, cage_offset, friction_offset
from rollsim.kernels.planar_bodies import (
    body_rates,
    held_back,
    planar_motion,
    roller_disc,
    roller_parts,
    roller_rates,
)
from rollsim.kernels.planar_lanes import roller_blocks, suits_blocks
from rollsim.kernels.pocket import bar_film, bar_planar, turned, with_backing, with_flat_sides
from rollsim.kernels.raceway_planar import raceway_loop


@inline_kernel
def pocket_motion(y, j, z, cage, ex, ey):
    """Motion of roller j relative to the cage material at its place.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    j : int
        Roller.
    z : int
        Rollers Z.
    cage : Disc
        Cage.
    ex : float
        Direction of the pocket.
    ey : float
        Likewise.

    Returns
    -------
    tuple of 4 float
        Position along t and r from the cage centre, velocity along t and r.
    """
    body = roller_disc(y, j, z)
    dx = body.x - cage.x
    dy = body.y - cage.y
    vx = body.vx - cage.vx + cage.spin * dy
    vy = body.vy - cage.vy - cage.spin * dx
    return dy * ex - dx * ey, dx * ex + dy * ey, vy * ex - vx * ey, vx * ex + vy * ey


@inline_kernel
def film_loop(y, dy, out, cage, trig, pocket, tables, z):
    """Squeeze films of all bars that are not touched; touched ones are marked by -1 in `out`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces on the rollers, added to.
    out : ndarray (output_size,)
        Normal forces and approach speeds, written.
    cage : Disc
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    pocket : Pocket
        Geometry and laws.
    tables : Tables
        Pocket angles and errors.
    z : int
        Rollers Z.

    Returns
    -------
    tuple of 5 float
        Sums: force x, y on the rollers, moment on the cage about its centre, heat, energy.
    """
    cosine, sine = tables.pocket_cos, tables.pocket_sin
    shift, extra, share = tables.pocket_shift, tables.pocket_extra, tables.bar_share
    sx = sy = moment = heat = 0.0
    for j in range(z):
        ex, ey = turned(trig, cosine[j], sine[j])
        motion = pocket_motion(y, j, z, cage, ex, ey)
        ahead, behind = with_backing(pocket, share[j]), with_backing(pocket, share[z + j])
        h1, f1, t1, r1, v1 = bar_film(motion, ahead, 1.0, shift[j], extra[j])
        h2, f2, t2, r2, v2 = bar_film(motion, behind, -1.0, shift[j], extra[j])
        out[2 * z + j] = f1 if h1 >= 0.0 else -1.0
        out[3 * z + j] = f2 if h2 >= 0.0 else -1.0
        out[8 * z + 7 + j] = v1
        out[9 * z + 7 + j] = v2
        ft = -f1 * t1 - f2 * t2
        fr = -f1 * r1 - f2 * r2
        fx = fr * ex - ft * ey
        fy = fr * ey + ft * ex
        dy[2 * z + j] += fx
        dy[3 * z + j] += fy
        sx += fx
        sy += fy
        # A film force acts along the line through the roller axis: no moment on the roller.
        moment += motion[0] * fr - motion[1] * ft
        heat += f1 * v1 + f2 * v2
    return sx, sy, moment, heat, 0.0


@inline_kernel
def bar_films(y, dy, out, cage, trig, model, z):
    """`film_loop`, which stands twice in the compiled code: for flat faces it vectorises.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces on the rollers, added to.
    out : ndarray (output_size,)
        Normal forces and approach speeds, written.
    cage : Disc
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    model : Model
        Constants.
    z : int
        Rollers Z.

    Returns
    -------
    tuple of 6 float
        As of `film_loop`.
    """
    pocket = model.pocket
    if pocket.curvature > 0.0:
        return film_loop(y, dy, out, cage, trig, pocket, model.tables, z)
    return film_loop(y, dy, out, cage, trig, with_flat_sides(pocket), model.tables, z)


@inline_kernel
def roller_loops(y, dy, out, bodies, driving, model):
    """Contacts and rates of all rollers, whatever the laws; see `planar_lanes.roller_blocks`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates of the rollers, written.
    out : ndarray (output_size,)
        Contact output, written; bars that are touched are marked by -1.
    bodies : tuple of 3 Disc and a tuple
        Cage, outer ring, inner ring; cosine and sine of the cage angle.
    driving : Driving
        Accelerations.
    model : Model
        Constants.

    Returns
    -------
    tuple of 13 float
        As of `planar_lanes.roller_blocks`.
    """
    z = model.count
    cage, outer, inner, trig = bodies
    for i in range(2 * z, 5 * z):
        dy[i] = 0.0
    po = raceway_loop(y, dy, out, outer, model.outer, z, 0)
    pi = raceway_loop(y, dy, out, inner, model.inner, z, z)
    film = bar_films(y, dy, out, cage, trig, model, z)
    work, loss, impulse = roller_rates(y, dy, driving, model)
    on_cage = (-film[0], -film[1], film[2])
    on_ring = (-pi[0], -pi[1], pi[2])
    on_outer = (-po[0], -po[1], po[2])
    heat = loss + po[3] + pi[3] + film[3]
    return (*on_cage, *on_ring, *on_outer, heat, po[4] + pi[4], work, impulse)


@inline_kernel
def touch_loop(y, dy, out, cage, trig, model):
    """Bars that are touched, found by their mark in `out`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates of the rollers, added to.
    out : ndarray (output_size,)
        Normal forces, friction powers and approach speeds, written.
    cage : Disc
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    model : Model
        Constants.

    Returns
    -------
    tuple of 7 float
        Sums: force x, y on the cage, moment on it about its centre, heat, energy, work rate and
        external moment of locks.
    """
    z, tables = model.count, model.tables
    parts = roller_parts(model)
    free = parts.free
    by_mass, by_inertia = 1.0 / parts.inertia.mass, free[2] / parts.inertia.axial
    sx = sy = moment = heat = energy = work = impulse = 0.0
    friction, approach = friction_offset(z) + 2 * z, approach_offset(z)
    for k in range(2 * z):
        out[index(friction + k)] = 0.0
    for k in range(2 * z):
        if out[index(2 * z + k)] >= 0.0:
            continue
        j, side = (k, 1.0) if k < z else (k - z, -1.0)
        ex, ey = turned(trig, tables.pocket_cos[index(j)], tables.pocket_sin[index(j)])
        motion = pocket_motion(y, j, z, cage, ex, ey)
        spin = y[index(4 * z + j)] - cage.spin
        own = with_backing(model.pocket, tables.bar_share[index(k)])
        shift, extra = tables.pocket_shift[index(j)], tables.pocket_extra[index(j)]
        p = bar_planar(motion, spin, own, side, shift, extra)
        out[index(2 * z + k)] = p.normal
        out[index(friction + k)] = p.friction
        out[index(approach + k)] = p.approach
        fx = p.fy * ex - p.fx * ey
        fy = p.fy * ey + p.fx * ex
        dy[index(2 * z + j)] += fx * by_mass * free[0]
        dy[index(3 * z + j)] += fy * by_mass * free[1]
        dy[index(4 * z + j)] += p.moment * by_inertia
        body = roller_disc(y, j, z)
        held = held_back(body, (fx, fy, p.moment), free)
        sx -= fx
        sy -= fy
        moment += p.reaction
        heat += p.heat
        energy += p.energy
        work += held[0]
        impulse += held[1]
    return sx, sy, moment, heat, energy, work, impulse


@kernel
def planar_rhs(time, y, dy, out, model):
    """Rates of the planar state and contact forces.

    Sign convention and reference points: every force listed in `out` is a magnitude, moments act
    about body centres, counter-clockwise positive. The ledger adds up the work put in (body
    forces, loads, ring drives), the heat and the external moment about the housing origin.

    Parameters
    ----------
    time : float, s
        Time.
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates, written up to planar_size.
    out : ndarray (output_size,)
        Contact output, written; entries of spatial contacts are left as they are (0).
    model : Model
        Constants.

    Returns
    -------
    None
    """
    z = model.count
    driving = steady(time, model.duty, model.drive, model.shaking)
    if model.course.varies:
        driving = from_tables(time, driving, model.course)
    driving = with_turning(driving, y, model.duty, model.drive, z)
    if model.shaking.locked.shape[0]:
        driving = with_locked(time, driving, model.shaking)
    cage, outer, inner = planar_motion(y, driving, model)
    angle = y[cage_offset(z) + 2]
    bodies = (cage, outer, inner, (math.cos(angle), math.sin(angle)))
    if suits_blocks(model):
        sums = roller_blocks(y, dy, out, bodies, driving, model)
    else:
        sums = roller_loops(y, dy, out, bodies, driving, model)
    touch = touch_loop(y, dy, out, cage, bodies[3], model)
    on_cage = (sums[0] + touch[0], sums[1] + touch[1], sums[2] + touch[2])
    books = (sums[9] + touch[3], sums[10] + touch[4], sums[11] + touch[5], sums[12] + touch[6])
    body_rates(y, dy, out, model, driving, bodies, (*on_cage, *sums[3:9], *books))
