"""Right-hand side of the planar model: rollers, cage and inner ring in the plane of rotation."""

import math

from rollsim.kernels.driving import cage_drag, roller_drag, rotating_frame, uniform_acceleration
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.pocket import bar_planar
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc, Guidance

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


@inline_kernel
def roller_pocket(j, roller, cage, trig, model, out):
    """Both bars of pocket j on roller j.

    Parameters
    ----------
    j : int
        Roller.
    roller : Disc
        Roller.
    cage : Disc
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    model : Model
        Constants.
    out : ndarray (output_size,)
        Contact output, written.

    Returns
    -------
    tuple of 6 float
        Force x, y and moment on the roller, moment on the cage about its centre, heat, energy.
    """
    z = model.count
    tables = model.tables
    ex = trig[0] * tables.pocket_cos[j] - trig[1] * tables.pocket_sin[j]
    ey = trig[1] * tables.pocket_cos[j] + trig[0] * tables.pocket_sin[j]
    dx = roller.x - cage.x
    dy = roller.y - cage.y
    vx = roller.vx - cage.vx + cage.spin * dy
    vy = roller.vy - cage.vy - cage.spin * dx
    motion = (dy * ex - dx * ey, dx * ex + dy * ey, vy * ex - vx * ey, vx * ex + vy * ey)
    spin = roller.spin - cage.spin
    shift = tables.pocket_shift[j]
    extra = tables.pocket_extra[j]
    lead = bar_planar(motion, spin, model.pocket, 1.0, shift, extra)
    trail = bar_planar(motion, spin, model.pocket, -1.0, shift, extra)
    out[2 * z + j] = lead.normal
    out[3 * z + j] = trail.normal
    out[8 * z + 7 + j] = lead.approach
    out[9 * z + 7 + j] = trail.approach
    ft = lead.fx + trail.fx
    fr = lead.fy + trail.fy
    return (
        fr * ex - ft * ey,
        fr * ey + ft * ex,
        lead.moment + trail.moment,
        lead.reaction + trail.reaction,
        lead.heat + trail.heat,
        lead.energy + trail.energy,
    )


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
    free = model.tables.free
    spin_rate = duty.carrier_speed
    ax, ay, _ = uniform_acceleration(time, duty, model.shaking)
    c = 5 * z
    r = c + 6
    cage = Disc(y[c], y[c + 1], y[c + 3], y[c + 4], y[c + 5])
    inner = Disc(y[r], y[r + 1], y[r + 2], y[r + 3], duty.inner_speed)
    outer = Disc(0.0, 0.0, 0.0, 0.0, duty.outer_speed)
    trig = (math.cos(y[c + 2]), math.sin(y[c + 2]))
    cfx = cfy = cm = rfx = rfy = rm = om = heat = energy = work = impulse = 0.0
    m = model.roller.mass
    for j in range(z):
        b = Disc(y[j], y[z + j], y[2 * z + j], y[3 * z + j], y[4 * z + j])
        po = round_planar(b, outer, model.outer)
        pi = round_planar(b, inner, model.inner)
        px, py, pm, pr, ph, pe = roller_pocket(j, b, cage, trig, model, out)
        dfx, dfy, dm, dh = roller_drag(b.vx, b.vy, b.spin, model.drag)
        fx, fy = rotating_frame(b.x, b.y, b.vx, b.vy, spin_rate)
        fx = (fx + ax) * m
        fy = (fy + ay) * m
        work += fx * b.vx + fy * b.vy
        impulse += b.x * (fy + dfy) - b.y * (fx + dfx) + dm
        impulse += b.x * po.fy - b.y * po.fx + po.moment
        out[j] = po.normal
        out[z + j] = pi.normal
        cfx -= px
        cfy -= py
        cm += pr
        rfx -= pi.fx
        rfy -= pi.fy
        rm += pi.reaction
        om += po.reaction
        heat += po.heat + pi.heat + ph + dh
        energy += po.energy + pi.energy + pe
        dy[j] = b.vx * free[0]
        dy[z + j] = b.vy * free[1]
        dy[2 * z + j] = (fx + dfx + po.fx + pi.fx + px) / m * free[0]
        dy[3 * z + j] = (fy + dfy + po.fy + pi.fy + py) / m * free[1]
        dy[4 * z + j] = (po.moment + pi.moment + pm + dm) / model.roller.axial * free[2]
    totals = (cfx, cfy, cm, rfx, rfy, rm, om, heat, energy, work, impulse)
    _planar_bodies(y, dy, out, model, (ax, ay), (cage, outer, inner), totals)


@inline_kernel
def _planar_bodies(y, dy, out, model, uniform, bodies, totals):
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
    fx = (fx + uniform[0]) * model.cage.mass
    fy = (fy + uniform[1]) * model.cage.mass
    work += fx * cage.vx + fy * cage.vy
    impulse += cage.x * fy - cage.y * fx
    dy[c] = cage.vx * free[3]
    dy[c + 1] = cage.vy * free[4]
    dy[c + 2] = cage.spin
    dy[c + 3] = (cfx + fx) / model.cage.mass * free[3]
    dy[c + 4] = (cfy + fy) / model.cage.mass * free[4]
    dy[c + 5] = (cm + dm) / model.cage.axial * free[5]
    fx, fy = rotating_frame(inner.x, inner.y, inner.vx, inner.vy, duty.carrier_speed)
    fx = (fx + uniform[0]) * model.ring.mass + duty.force_x
    fy = (fy + uniform[1]) * model.ring.mass + duty.force_y
    work += fx * inner.vx + fy * inner.vy
    dfx = -drag.rotor * inner.vx
    dfy = -drag.rotor * inner.vy
    heat -= dfx * inner.vx + dfy * inner.vy
    impulse += inner.x * (fy + dfy) - inner.y * (fx + dfx) - rm
    dy[c + 6] = inner.vx * free[6]
    dy[c + 7] = inner.vy * free[7]
    dy[c + 8] = (rfx + fx + dfx) / model.ring.mass * free[6]
    dy[c + 9] = (rfy + fy + dfy) / model.ring.mass * free[7]
    dy[c + 10] = work - rm * duty.inner_speed - om * duty.outer_speed - work_guide
    dy[c + 11] = heat
    dy[c + 12] = impulse
    out[8 * z + 6] = energy
