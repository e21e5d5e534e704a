"""Bodies of the planar model: their motion out of the state, their rates, the ledger."""

from typing import NamedTuple

from rollsim.kernels.driving import (
    cage_drag,
    roller_drag,
    rotating_frame,
)
from rollsim.kernels.jit import index, inline_kernel
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
from rollsim.kernels.types import Disc, Drag, Guidance, Inertia

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
def roller_disc(y, j, z):
    """Motion of one roller out of the state vector.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    j : int
        Roller.
    z : int
        Rollers Z.

    Returns
    -------
    Disc
        Roller.
    """
    return Disc(
        y[index(j)],
        y[index(z + j)],
        y[index(2 * z + j)],
        y[index(3 * z + j)],
        y[index(4 * z + j)],
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


class RollerParts(NamedTuple):
    """What the rates of a roller need: mass [kg] and inertia [kg m^2], resistance of the oil-air
    mixture, speed of the carrier [rad/s], locks of x, y and spin.
    """

    inertia: Inertia
    drag: Drag
    carrier_speed: float
    free: tuple


@inline_kernel
def roller_parts(model):
    """Constants of the rates of a roller, to be read before a loop over the rollers.

    Read inside it they keep the loop from vectorising, because the compiler cannot know that they
    do not change.

    Parameters
    ----------
    model : Model
        Constants of everything.

    Returns
    -------
    RollerParts
        Those of the rollers.
    """
    free = model.tables.free
    speed = model.duty.carrier_speed
    return RollerParts(model.roller, model.drag, speed, (free[0], free[1], free[2]))


@inline_kernel
def roller_rate(body, force, driving, parts):
    """Rates of one roller, and what it adds to the books.

    Parameters
    ----------
    body : Disc
        Roller.
    force : tuple of 3 float
        Force x, y [N] and moment [N m] of its contacts.
    driving : Driving
        Accelerations.
    parts : RollerParts
        Constants.

    Returns
    -------
    rate : tuple of 5 float
        Rates of x, y, vx, vy, spin.
    books : tuple of 3 float
        Work rate [W], drag heat [W], external moment about the housing origin [N m].
    """
    free_x, free_y, free_spin = parts.free
    m = parts.inertia.mass
    dfx, dfy, dm, heat = roller_drag(body.vx, body.vy, body.spin, parts.drag)
    fx, fy = rotating_frame(body.x, body.y, body.vx, body.vy, parts.carrier_speed)
    fx = (fx + driving.ax) * m
    fy = (fy + driving.ay) * m
    px, py, pm = force[0] + fx + dfx, force[1] + fy + dfy, force[2] + dm
    work, impulse = held_back(body, (px, py, pm), parts.free)
    work += fx * body.vx + fy * body.vy
    impulse += body.x * (fy + dfy) - body.y * (fx + dfx) + dm
    by_mass = 1.0 / m
    rate_x, rate_y = px * by_mass * free_x, py * by_mass * free_y
    turning = pm * (free_spin / parts.inertia.axial)
    rate = (body.vx * free_x, body.vy * free_y, rate_x, rate_y, turning)
    return rate, (work, heat, impulse)


@inline_kernel
def held_back(body, force, free):
    """What the locks of a roller put in: the books stay closed.

    Parameters
    ----------
    body : Disc
        Roller.
    force : tuple of 3 float
        Force x, y [N] and moment [N m] that a locked coordinate holds back.
    free : tuple of 3 float
        Locks of x, y and spin, 1 for free.

    Returns
    -------
    work : float
        W.
    impulse : float
        N m.
    """
    held_x = -force[0] * (1.0 - free[0])
    held_y = -force[1] * (1.0 - free[1])
    held = -force[2] * (1.0 - free[2])
    return held * body.spin, body.x * held_y - body.y * held_x + held


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
    parts = roller_parts(model)
    work = heat = impulse = 0.0
    for j in range(z):
        body = roller_disc(y, j, z)
        force = (dy[2 * z + j], dy[3 * z + j], dy[4 * z + j])
        rate, books = roller_rate(body, force, driving, parts)
        dy[j] = rate[0]
        dy[z + j] = rate[1]
        dy[2 * z + j] = rate[2]
        dy[3 * z + j] = rate[3]
        dy[4 * z + j] = rate[4]
        work += books[0]
        heat += books[1]
        impulse += books[2]
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
