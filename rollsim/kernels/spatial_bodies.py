"""Bodies of the spatial model other than the rollers: rates of cage, rings, shaft and ledger."""

from rollsim.kernels.bodies import along_axis, tilt_books, tilt_rates
from rollsim.kernels.driving import cage_drag
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.land_contact import cage_lands
from rollsim.kernels.layout import (
    cage_tail_offset,
    inner_tail_offset,
    ledger_offset,
    outer_offset,
    outer_tail_offset,
)
from rollsim.kernels.plane_rates import (
    cage_plane,
    inner_plane,
    inner_turning,
    outer_plane,
    parts_of,
)
from rollsim.kernels.round_contact import add, reaction
from rollsim.kernels.types import Guidance, Wrench

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


@inline_kernel
def body_rates(dy, out, model, driving, bodies, on_bodies, sums):
    """Add the guidance lands, then write the rates of cage, rings, shaft and ledger.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    out : ndarray (output_size,)
        Contact output, written.
    model : Model
        Constants.
    driving : Driving
        Accelerations, loads, torque.
    bodies : tuple of 3 Body, a tuple and the state
        Cage, inner ring, outer ring; cosine and sine of the cage angle; ndarray (state_size,).
    on_bodies : tuple of 3 Wrench
        What the rollers do to them.
    sums : tuple of 4 float
        Work rate, heat, elastic energy, external moment, all of the rollers.

    Returns
    -------
    None
    """
    z = model.count
    cage, inner, outer, trig, y = bodies
    on_cage, on_inner, on_outer = on_bodies
    work, heat, energy, impulse = sums
    if model.guidance == _OUTER or model.guidance == _INNER:
        guide = inner if model.guidance == _INNER else outer
        land = cage_lands(cage, guide, model, out)
        on_cage = add(on_cage, land)
        heat += land.heat
        energy += land.energy
        back = reaction(land, cage, guide)
        if model.guidance == _INNER:
            on_inner = add(on_inner, back)
        else:
            on_outer = add(on_outer, back)
    dm, loss = cage_drag(cage.spin, model.drag)
    parts = parts_of(model)
    w, i = _cage_rates(dy, cage, trig, on_cage, dm, driving, parts)
    ring = _inner_rates(dy, inner, y, on_inner, driving, parts)
    seat = _outer_rates(dy, outer, on_outer, driving, parts)
    ledger = ledger_offset(z)
    dy[ledger] = work + w + ring[0] + seat[0]
    dy[ledger + 1] = heat + loss + ring[1] + seat[1]
    dy[ledger + 2] = impulse + i + dm + ring[2] + seat[2]
    out[8 * z + 6] = energy + ring[3] + seat[3]


@inline_kernel
def _cage_rates(dy, cage, trig, total, drag, driving, parts):
    """Write the rates of the cage; return work rate and external moment.

    An offset of the mass centre acts in the plane; what it does to the tilt is left out.
    """
    free = parts.free
    m = parts.cage.mass
    carrier = parts.duty.carrier_speed
    force = (total.fx, total.fy, along_axis(total, cage) + drag)
    work, impulse, spin_rate = cage_plane(dy, cage, trig, force, driving, parts)
    tx, ty = tilt_rates(total, cage, parts.cage, spin_rate, carrier)
    fz = driving.az * m
    p = cage_tail_offset(parts.count)
    dy[p] = cage.vz * free[11]
    dy[p + 1] = cage.wx * free[12]
    dy[p + 2] = cage.wy * free[13]
    dy[p + 3] = (total.fz + fz) / m * free[11]
    dy[p + 4] = tx * free[12]
    dy[p + 5] = ty * free[13]
    tilting = tilt_books(cage, parts.cage, carrier)
    return work + fz * cage.vz + tilting[0], impulse + tilting[1]


@inline_kernel
def _inner_rates(dy, ring, y, contact, driving, parts):
    """Write the rates of inner ring and shaft; return work, heat, moment, energy."""
    free = parts.free
    duty = parts.duty
    damped = parts.drag.rotor_tilt
    stiff = parts.shaft.tilt
    turning = inner_turning(dy, ring, along_axis(contact, ring), contact.mz, driving, parts)
    plane = inner_plane(dy, ring, y, (contact.fx, contact.fy), driving, parts)
    # Along the axis the shaft is rigid.
    m = parts.ring.mass + parts.shaft.mass
    fz = driving.az * m + driving.fz
    gz = -parts.drag.rotor * ring.vz
    mx = contact.mx + duty.moment_x + damped * ring.wy + stiff * ring.uy
    my = contact.my + duty.moment_y - damped * ring.wx - stiff * ring.ux
    total = Wrench(0.0, 0.0, 0.0, mx, my, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    tx, ty = tilt_rates(total, ring, parts.ring, turning[3], duty.carrier_speed)
    p = inner_tail_offset(parts.count)
    dy[p] = ring.vz * free[14]
    dy[p + 1] = ring.wx * free[15]
    dy[p + 2] = ring.wy * free[16]
    dy[p + 3] = (contact.fz + fz + gz) / m * free[14]
    dy[p + 4] = tx * free[15]
    dy[p + 5] = ty * free[16]
    tilting = tilt_books(ring, parts.ring, duty.carrier_speed)
    work = fz * ring.vz + duty.moment_y * ring.wx - duty.moment_x * ring.wy + tilting[0]
    impulse = 0.0
    if parts.drive.by_torque:
        # The spin is in the book, and with it the share of a tilted axis in it.
        impulse = tilting[1] - ring.ux * (mx - contact.mx) - ring.uy * (my - contact.my)
    else:
        turned = ring.ux * ring.wy - ring.uy * ring.wx
        work += parts.ring.axial * driving.inner_rate * turned
    heat = damped * (ring.wx * ring.wx + ring.wy * ring.wy) - gz * ring.vz
    energy = 0.5 * stiff * (ring.ux * ring.ux + ring.uy * ring.uy)
    return (
        turning[0] + plane[0] + work,
        turning[1] + plane[1] + heat,
        turning[2] + plane[2] + impulse,
        plane[3] + energy,
    )


@inline_kernel
def _outer_rates(dy, ring, contact, driving, parts):
    """Write the rates of the outer ring in its seat; return work, heat, moment, energy."""
    seat = parts.seat
    start = outer_offset(parts.count)
    force = (contact.fx, contact.fy)
    plane = outer_plane(dy, ring, force, driving, seat, parts.duty.carrier_speed, start)
    work = plane[0] - along_axis(contact, ring) * ring.spin
    impulse = plane[2] - contact.mz
    p = outer_tail_offset(parts.count)
    if not seat.moves:
        dy[p] = 0.0
        dy[p + 1] = 0.0
        return work, plane[1], impulse, plane[3]
    fz = seat.mass * driving.az
    dy[p] = ring.vz
    dy[p + 1] = (contact.fz + fz - seat.stiffness_z * ring.z - seat.damping * ring.vz) / seat.mass
    return (
        work + fz * ring.vz,
        plane[1] + seat.damping * ring.vz * ring.vz,
        impulse,
        plane[3] + 0.5 * seat.stiffness_z * ring.z * ring.z,
    )
