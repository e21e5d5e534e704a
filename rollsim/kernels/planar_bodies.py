"""Bodies of the planar model: their motion out of the state, their rates, the ledger."""

from rollsim.kernels.driving import cage_drag, roller_drag, rotating_frame
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.land_contact import land_planar
from rollsim.kernels.layout import (
    cage_offset,
    friction_offset,
    inner_offset,
    inner_turn_offset,
    ledger_offset,
    outer_offset,
    shaft_offset,
)
from rollsim.kernels.types import Disc, Guidance

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


@inline_kernel
def planar_motion(y, model):
    """Motion of cage and rings out of the state vector.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    model : Model
        Constants.

    Returns
    -------
    cage : Disc
        Cage.
    outer : Disc
        Outer ring.
    inner : Disc
        Inner ring.
    """
    z = model.count
    c, i, o = cage_offset(z), inner_offset(z), outer_offset(z)
    return (
        Disc(y[c], y[c + 1], y[c + 3], y[c + 4], y[c + 5]),
        Disc(y[o], y[o + 1], y[o + 2], y[o + 3], model.duty.outer_speed),
        Disc(y[i], y[i + 1], y[i + 2], y[i + 3], model.duty.inner_speed),
    )


@inline_kernel
def cage_land(cage, outer, inner, model, out):
    """Contact and film of the cage with its guiding ring; both lands carry alike.

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
    pair = land_planar(cage, guide, model.land, model.land_film)
    for side in range(2):
        out[8 * z + side] = 0.5 * pair.normal
        out[8 * z + 2 + side] = 0.5 * pair.fx
        out[8 * z + 4 + side] = 0.5 * pair.fy
        out[12 * z + 7 + side] = pair.approach
        out[friction_offset(z) + 8 * z + side] = 0.5 * pair.friction
    return pair


@inline_kernel
def roller_rates(y, dy, uniform, model):
    """Turn the forces gathered in `dy` into rates.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, turned into rates.
    uniform : tuple of 2 float, m/s^2
        Acceleration that acts alike on all bodies.
    model : Model
        Constants.

    Returns
    -------
    tuple of 3 float
        Work rate [W], drag heat [W], external moment about the housing origin [N m].
    """
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
def body_rates(y, dy, out, model, driving, bodies, totals):
    """Rates of cage, rings, shaft and ledger; the guidance land is computed here.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates, written.
    out : ndarray (output_size,)
        Contact output, written.
    model : Model
        Constants.
    driving : tuple of 4 float
        Uniform acceleration [m/s^2] and load on the inner ring [N].
    bodies : tuple of 3 Disc
        Cage, outer ring, inner ring.
    totals : tuple of 11 float
        Force and moment on the cage, on the inner ring, moment on the outer ring, heat, energy,
        work rate, external moment, all of the rollers.

    Returns
    -------
    None
    """
    z = model.count
    cfx, cfy, cm, rfx, rfy, rm, om, heat, energy, work, impulse = totals
    cage, outer, inner = bodies
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
    w, h, i = _cage_rates(dy, cage, (cfx, cfy, cm), driving, model)
    work += w
    heat += h
    impulse += i
    w, h, i = _inner_rates(dy, inner, (rfx, rfy, rm), driving, model)
    work += w - om * model.duty.outer_speed
    heat += h
    impulse += i
    _fixed_bodies(dy, z)
    ledger = ledger_offset(z)
    dy[ledger] = work
    dy[ledger + 1] = heat
    dy[ledger + 2] = impulse
    out[8 * z + 6] = energy


@inline_kernel
def _cage_rates(dy, cage, contact, driving, model):
    """Write the rates of the cage; return work rate, drag heat, external moment."""
    free = model.tables.free
    m = model.cage.mass
    cfx, cfy, cm = contact
    dm, loss = cage_drag(cage.spin, model.drag)
    fx, fy = rotating_frame(cage.x, cage.y, cage.vx, cage.vy, model.duty.carrier_speed)
    fx = (fx + driving[0]) * m
    fy = (fy + driving[1]) * m
    held = -(cm + dm) * (1.0 - free[5])
    work = fx * cage.vx + fy * cage.vy + held * cage.spin
    impulse = cage.x * fy - cage.y * fx + dm + held
    impulse -= cage.x * (cfy + fy) * (1.0 - free[4])
    impulse += cage.y * (cfx + fx) * (1.0 - free[3])
    c = cage_offset(model.count)
    dy[c] = cage.vx * free[3]
    dy[c + 1] = cage.vy * free[4]
    dy[c + 2] = cage.spin
    dy[c + 3] = (cfx + fx) / m * free[3]
    dy[c + 4] = (cfy + fy) / m * free[4]
    dy[c + 5] = (cm + dm) / model.cage.axial * free[5]
    return work, loss, impulse


@inline_kernel
def _inner_rates(dy, inner, contact, driving, model):
    """Write the rates of the inner ring; return work rate, damping heat, external moment."""
    free = model.tables.free
    m = model.ring.mass
    rfx, rfy, rm = contact
    fx, fy = rotating_frame(inner.x, inner.y, inner.vx, inner.vy, model.duty.carrier_speed)
    fx = (fx + driving[0]) * m + driving[2]
    fy = (fy + driving[1]) * m + driving[3]
    dfx = -model.drag.rotor * inner.vx
    dfy = -model.drag.rotor * inner.vy
    work = fx * inner.vx + fy * inner.vy - rm * inner.spin
    heat = -(dfx * inner.vx + dfy * inner.vy)
    impulse = inner.x * (fy + dfy) - inner.y * (fx + dfx) - rm
    impulse -= inner.x * (rfy + fy + dfy) * (1.0 - free[7])
    impulse += inner.y * (rfx + fx + dfx) * (1.0 - free[6])
    i = inner_offset(model.count)
    dy[i] = inner.vx * free[6]
    dy[i + 1] = inner.vy * free[7]
    dy[i + 2] = (rfx + fx + dfx) / m * free[6]
    dy[i + 3] = (rfy + fy + dfy) / m * free[7]
    turn = inner_turn_offset(model.count)
    dy[turn] = inner.spin
    dy[turn + 1] = 0.0
    return work, heat, impulse


@inline_kernel
def _fixed_bodies(dy, count):
    """Outer ring and shaft stay where they are."""
    o, s = outer_offset(count), shaft_offset(count)
    for i in range(4):
        dy[o + i] = 0.0
        dy[s + i] = 0.0
