"""Right-hand side of the planar model: rollers, cage and inner ring in the plane of rotation."""

import math

from rollsim.kernels.driving import (
    cage_drag,
    radial_load,
    roller_drag,
    rotating_frame,
    uniform_acceleration,
)
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.pocket import bar_film, bar_planar, turned
from rollsim.kernels.raceway_planar import raceway_loop
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc, Guidance

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


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
    dx = y[j] - cage.x
    dy = y[z + j] - cage.y
    vx = y[2 * z + j] - cage.vx + cage.spin * dy
    vy = y[3 * z + j] - cage.vy - cage.spin * dx
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
    tuple of 6 float
        Sums: force x, y on the rollers, 0, moment on the cage about its centre, heat, energy.
    """
    cosine, sine = tables.pocket_cos, tables.pocket_sin
    shift, extra = tables.pocket_shift, tables.pocket_extra
    sx = sy = moment = heat = 0.0
    for j in range(z):
        ex, ey = turned(trig, cosine[j], sine[j])
        motion = pocket_motion(y, j, z, cage, ex, ey)
        h1, f1, t1, r1, v1 = bar_film(motion, pocket, 1.0, shift[j], extra[j])
        h2, f2, t2, r2, v2 = bar_film(motion, pocket, -1.0, shift[j], extra[j])
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
    return sx, sy, 0.0, moment, heat, 0.0


@inline_kernel
def touch_loop(y, dy, out, cage, trig, pocket, tables, z):
    """Bars that are touched, found by their mark in `out`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Normal forces, written.
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
    tuple of 6 float
        Sums: force x, y on the rollers, 0, moment on the cage about its centre, heat, energy.
    """
    sx = sy = moment = heat = energy = 0.0
    for k in range(2 * z):
        if out[2 * z + k] >= 0.0:
            continue
        j = k % z
        ex, ey = turned(trig, tables.pocket_cos[j], tables.pocket_sin[j])
        motion = pocket_motion(y, j, z, cage, ex, ey)
        side = 1.0 if k < z else -1.0
        spin = y[4 * z + j] - cage.spin
        p = bar_planar(motion, spin, pocket, side, tables.pocket_shift[j], tables.pocket_extra[j])
        out[2 * z + k] = p.normal
        fx = p.fy * ex - p.fx * ey
        fy = p.fy * ey + p.fx * ex
        dy[2 * z + j] += fx
        dy[3 * z + j] += fy
        dy[4 * z + j] += p.moment
        sx += fx
        sy += fy
        moment += p.reaction
        heat += p.heat
        energy += p.energy
    return sx, sy, 0.0, moment, heat, energy


@inline_kernel
def cage_land(cage, outer, inner, model, out):
    """Contact of the cage with its guiding ring; both lands carry alike.

    Parameters
    ----------
    cage : Disc
        Cage.
    outer : Disc
        Outer ring.
    inner : Disc
        Inner ring.
    model : Model
        Constants.
    out : ndarray (output_size,)
        Contact output, written.

    Returns
    -------
    PlanarPair
        On the cage, of both lands together.
    """
    z = model.count
    guide = inner if model.guidance == _INNER else outer
    pair = round_planar(cage, guide, model.land)
    for side in range(2):
        out[8 * z + side] = 0.5 * pair.normal
        out[8 * z + 2 + side] = 0.5 * pair.fx
        out[8 * z + 4 + side] = 0.5 * pair.fy
        out[12 * z + 7 + side] = pair.approach
    return pair


@inline_kernel
def guide_speed(model):
    """Speed of the ring whose film drags the cage; its own speed when rollers guide it.

    Parameters
    ----------
    model : Model
        Constants.

    Returns
    -------
    float
        rad/s.
    """
    return model.duty.inner_speed if model.guidance == _INNER else model.duty.outer_speed


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
    duty = model.duty
    ax, ay, _ = uniform_acceleration(time, duty, model.shaking)
    c = 5 * z
    r = c + 6
    cage = Disc(y[c], y[c + 1], y[c + 3], y[c + 4], y[c + 5])
    inner = Disc(y[r], y[r + 1], y[r + 2], y[r + 3], duty.inner_speed)
    outer = Disc(0.0, 0.0, 0.0, 0.0, duty.outer_speed)
    trig = (math.cos(y[c + 2]), math.sin(y[c + 2]))
    for i in range(2 * z, 5 * z):
        dy[i] = 0.0
    po = raceway_loop(y, dy, out[:z], outer, model.outer, z)
    pi = raceway_loop(y, dy, out[z : 2 * z], inner, model.inner, z)
    film = film_loop(y, dy, out, cage, trig, model.pocket, model.tables, z)
    touch = touch_loop(y, dy, out, cage, trig, model.pocket, model.tables, z)
    work, loss, impulse = _roller_rates(y, dy, (ax, ay), model)
    heat = loss + po[4] + pi[4] + film[4] + touch[4]
    energy = po[5] + pi[5] + touch[5]
    on_cage = (-film[0] - touch[0], -film[1] - touch[1], film[3] + touch[3])
    on_ring = (-pi[0], -pi[1], pi[3])
    totals = (*on_cage, *on_ring, po[3], heat, energy, work, impulse + po[2])
    driving = (ax, ay, *radial_load(time, duty))
    _planar_bodies(y, dy, out, model, driving, (cage, outer, inner), totals)


@inline_kernel
def _roller_rates(y, dy, uniform, model):
    """Turn the forces gathered in `dy` into rates; return work rate, drag heat, moment."""
    z = model.count
    free = model.tables.free
    free_x, free_y, free_spin = free[0], free[1], free[2]
    m = model.roller.mass
    by_mass = 1.0 / m
    by_inertia = free_spin / model.roller.axial
    work = heat = impulse = 0.0
    for j in range(z):
        x, vx, vy, spin = y[j], y[2 * z + j], y[3 * z + j], y[4 * z + j]
        dfx, dfy, dm, dh = roller_drag(vx, vy, spin, model.drag)
        fx, fy = rotating_frame(x, y[z + j], vx, vy, model.duty.carrier_speed)
        fx = (fx + uniform[0]) * m
        fy = (fy + uniform[1]) * m
        work += fx * vx + fy * vy
        impulse += x * (fy + dfy) - y[z + j] * (fx + dfx) + dm
        heat += dh
        # What a lock holds back is put in from outside: it keeps the books closed.
        held_x = -(dy[2 * z + j] + fx + dfx) * (1.0 - free_x)
        held_y = -(dy[3 * z + j] + fy + dfy) * (1.0 - free_y)
        held = -(dy[4 * z + j] + dm) * (1.0 - free_spin)
        work += held * spin
        impulse += x * held_y - y[z + j] * held_x + held
        dy[j] = vx * free_x
        dy[z + j] = vy * free_y
        dy[2 * z + j] = (dy[2 * z + j] + fx + dfx) * by_mass * free_x
        dy[3 * z + j] = (dy[3 * z + j] + fy + dfy) * by_mass * free_y
        dy[4 * z + j] = (dy[4 * z + j] + dm) * by_inertia
    return work, heat, impulse


@inline_kernel
def _planar_bodies(y, dy, out, model, driving, bodies, totals):
    """Rates of the cage, the inner ring and the ledger."""
    z = model.count
    duty = model.duty
    drag = model.drag
    free = model.tables.free
    cfx, cfy, cm, rfx, rfy, rm, om, heat, energy, work, impulse = totals
    cage, outer, inner = bodies
    c = 5 * z
    if model.guidance == _OUTER or model.guidance == _INNER:
        pair = cage_land(cage, outer, inner, model, out)
        cfx += pair.fx
        cfy += pair.fy
        cm += pair.moment
        heat += pair.heat
        energy += pair.energy
        if model.guidance == _INNER:
            rfx -= pair.fx
            rfy -= pair.fy
            rm += pair.reaction
        else:
            om += pair.reaction
            impulse += cage.x * pair.fy - cage.y * pair.fx + pair.moment
    dm, on_guide, loss = cage_drag(cage.spin, guide_speed(model), drag)
    heat += loss
    impulse += dm
    work_guide = on_guide * guide_speed(model)
    fx, fy = rotating_frame(cage.x, cage.y, cage.vx, cage.vy, duty.carrier_speed)
    fx = (fx + driving[0]) * model.cage.mass
    fy = (fy + driving[1]) * model.cage.mass
    work += fx * cage.vx + fy * cage.vy
    impulse += cage.x * fy - cage.y * fx
    held = -(cm + dm) * (1.0 - free[5])
    work += held * cage.spin
    impulse += held - cage.x * (cfy + fy) * (1.0 - free[4]) + cage.y * (cfx + fx) * (1.0 - free[3])
    dy[c] = cage.vx * free[3]
    dy[c + 1] = cage.vy * free[4]
    dy[c + 2] = cage.spin
    dy[c + 3] = (cfx + fx) / model.cage.mass * free[3]
    dy[c + 4] = (cfy + fy) / model.cage.mass * free[4]
    dy[c + 5] = (cm + dm) / model.cage.axial * free[5]
    fx, fy = rotating_frame(inner.x, inner.y, inner.vx, inner.vy, duty.carrier_speed)
    fx = (fx + driving[0]) * model.ring.mass + driving[2]
    fy = (fy + driving[1]) * model.ring.mass + driving[3]
    work += fx * inner.vx + fy * inner.vy
    dfx = -drag.rotor * inner.vx
    dfy = -drag.rotor * inner.vy
    heat -= dfx * inner.vx + dfy * inner.vy
    impulse += inner.x * (fy + dfy) - inner.y * (fx + dfx) - rm
    impulse -= inner.x * (rfy + fy + dfy) * (1.0 - free[7])
    impulse += inner.y * (rfx + fx + dfx) * (1.0 - free[6])
    dy[c + 6] = inner.vx * free[6]
    dy[c + 7] = inner.vy * free[7]
    dy[c + 8] = (rfx + fx + dfx) / model.ring.mass * free[6]
    dy[c + 9] = (rfy + fy + dfy) / model.ring.mass * free[7]
    dy[c + 10] = work - rm * duty.inner_speed - om * duty.outer_speed - work_guide
    dy[c + 11] = heat
    dy[c + 12] = impulse
    out[8 * z + 6] = energy
