"""Bodies of the planar model: their motion out of the state, their rates, the ledger."""

from rollsim.kernels.driving import (
    cage_drag,
    roller_drag,
    rotating_frame,
)
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.land_contact import land_planar
from rollsim.kernels.layout import (
    cage_offset,
    friction_offset,
    inner_offset,
    ledger_offset,
    outer_offset,
)
from rollsim.kernels.plane_rates import (
    cage_plane,
    inner_plane,
    inner_turning,
    outer_plane,
    parts_of,
)
from rollsim.kernels.types import Disc, Guidance

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


@inline_kernel
def planar_motion(y, driving, model):
    """Motion of cage and rings out of the state vector and the duty.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    driving : Driving
        Speeds of the rings.
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
        Disc(y[o], y[o + 1], y[o + 2], y[o + 3], driving.outer_speed),
        Disc(y[i], y[i + 1], y[i + 2], y[i + 3], driving.inner_speed),
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
def roller_rates(y, dy, driving, model):
    """Turn the forces gathered in `dy` into rates.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, turned into rates.
    driving : Driving
        Accelerations.
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
        fx = (fx + driving.ax) * m
        fy = (fy + driving.ay) * m
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
    driving : Driving
        Accelerations, loads, torque.
    bodies : tuple of 3 Disc and a tuple
        Cage, outer ring, inner ring; cosine and sine of the cage angle.
    totals : tuple of 13 float
        Force and moment on the cage, on the inner ring, on the outer ring, heat, energy, work
        rate, external moment, all of the rollers.

    Returns
    -------
    None
    """
    z = model.count
    cfx, cfy, cm, rfx, rfy, rm, ofx, ofy, om, heat, energy, work, impulse = totals
    cage, outer, inner, trig = bodies
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
            ofx -= pair.fx
            ofy -= pair.fy
            om += pair.reaction
    dm, loss = cage_drag(cage.spin, model.drag)
    parts = parts_of(model)
    w, i, _ = cage_plane(dy, cage, trig, (cfx, cfy, cm + dm), driving, parts)
    turning = inner_turning(dy, inner, rm, rm, driving, parts)
    ring = inner_plane(dy, inner, y, (rfx, rfy), driving, parts)
    seat = outer_plane(
        dy, outer, (ofx, ofy), driving, parts.seat, parts.duty.carrier_speed, outer_offset(z)
    )
    ledger = ledger_offset(z)
    dy[ledger] = work + w + turning[0] + ring[0] + seat[0] - om * outer.spin
    dy[ledger + 1] = heat + loss + turning[1] + ring[1] + seat[1]
    dy[ledger + 2] = impulse + i + dm + turning[2] + ring[2] + seat[2] - om
    out[8 * z + 6] = energy + ring[3] + seat[3]
