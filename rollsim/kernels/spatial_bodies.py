"""Bodies of the spatial model other than the rollers: rates of cage, rings, shaft and ledger."""

from rollsim.kernels.bodies import along_axis, tilt_rates
from rollsim.kernels.driving import cage_drag, rotating_frame
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.land_contact import cage_lands
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    ledger_offset,
    outer_offset,
    outer_tail_offset,
    shaft_offset,
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
    driving : tuple of 5 float
        Uniform acceleration [m/s^2] and radial load on the inner ring [N].
    bodies : tuple of 3 Body
        Cage, inner ring, outer ring.
    on_bodies : tuple of 3 Wrench
        What the rollers do to them.
    sums : tuple of 4 float
        Work rate, heat, elastic energy, external moment, all of the rollers.

    Returns
    -------
    None
    """
    z = model.count
    cage, inner, outer = bodies
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
            impulse += cage.x * land.fy - cage.y * land.fx + land.mz
    w, h, i = _cage_rates(dy, cage, on_cage, driving, model)
    work += w
    heat += h
    impulse += i
    w, h, i = _inner_rates(dy, inner, on_inner, driving, model)
    work += w - along_axis(on_inner, inner) * inner.spin - along_axis(on_outer, outer) * outer.spin
    heat += h
    impulse += i
    _fixed_bodies(dy, z)
    ledger = ledger_offset(z)
    dy[ledger] = work
    dy[ledger + 1] = heat
    dy[ledger + 2] = impulse
    out[8 * z + 6] = energy


@inline_kernel
def _cage_rates(dy, cage, total, uniform, model):
    """Write the rates of the cage; return work rate, drag heat, external moment."""
    z = model.count
    free = model.tables.free
    m = model.cage.mass
    dm, loss = cage_drag(cage.spin, model.drag)
    fx, fy = rotating_frame(cage.x, cage.y, cage.vx, cage.vy, model.duty.carrier_speed)
    fx = (fx + uniform[0]) * m
    fy = (fy + uniform[1]) * m
    fz = uniform[2] * m
    spin_rate = (along_axis(total, cage) + dm) / model.cage.axial * free[5]
    tx, ty = tilt_rates(total, cage, model.cage, spin_rate)
    c = cage_offset(z)
    p = cage_tail_offset(z)
    dy[c] = cage.vx * free[3]
    dy[c + 1] = cage.vy * free[4]
    dy[c + 2] = cage.spin
    dy[c + 3] = (total.fx + fx) / m * free[3]
    dy[c + 4] = (total.fy + fy) / m * free[4]
    dy[c + 5] = spin_rate
    dy[p] = cage.vz * free[11]
    dy[p + 1] = cage.wx * free[12]
    dy[p + 2] = cage.wy * free[13]
    dy[p + 3] = (total.fz + fz) / m * free[11]
    dy[p + 4] = tx * free[12]
    dy[p + 5] = ty * free[13]
    held = -(along_axis(total, cage) + dm) * (1.0 - free[5])
    work = fx * cage.vx + fy * cage.vy + fz * cage.vz + held * cage.spin
    impulse = cage.x * fy - cage.y * fx + dm + held
    impulse -= cage.x * (total.fy + fy) * (1.0 - free[4])
    impulse += cage.y * (total.fx + fx) * (1.0 - free[3])
    return work, loss, impulse


@inline_kernel
def _inner_rates(dy, ring, contact, driving, model):
    """Write the rates of the inner ring; return work rate, damping heat, external moment."""
    z = model.count
    free = model.tables.free
    duty = model.duty
    drag = model.drag
    m = model.ring.mass
    fx, fy = rotating_frame(ring.x, ring.y, ring.vx, ring.vy, duty.carrier_speed)
    fx = (fx + driving[0]) * m + driving[3]
    fy = (fy + driving[1]) * m + driving[4]
    fz = driving[2] * m + duty.force_z
    mx = duty.moment_x
    my = duty.moment_y
    gx = -drag.rotor * ring.vx
    gy = -drag.rotor * ring.vy
    gz = -drag.rotor * ring.vz
    damped = drag.rotor_tilt
    total = Wrench(
        0.0, 0.0, 0.0, contact.mx + mx + damped * ring.wy, contact.my + my - damped * ring.wx,
        0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip
    tx, ty = tilt_rates(total, ring, model.ring, 0.0)
    r = inner_offset(z)
    p = inner_tail_offset(z)
    dy[r] = ring.vx * free[6]
    dy[r + 1] = ring.vy * free[7]
    dy[r + 2] = (contact.fx + fx + gx) / m * free[6]
    dy[r + 3] = (contact.fy + fy + gy) / m * free[7]
    turn = inner_turn_offset(z)
    dy[turn] = ring.spin
    dy[turn + 1] = 0.0
    dy[p] = ring.vz * free[14]
    dy[p + 1] = ring.wx * free[15]
    dy[p + 2] = ring.wy * free[16]
    dy[p + 3] = (contact.fz + fz + gz) / m * free[14]
    dy[p + 4] = tx * free[15]
    dy[p + 5] = ty * free[16]
    work = fx * ring.vx + fy * ring.vy + fz * ring.vz + my * ring.wx - mx * ring.wy
    heat = -(gx * ring.vx + gy * ring.vy + gz * ring.vz)
    heat += damped * (ring.wx * ring.wx + ring.wy * ring.wy)
    impulse = ring.x * (fy + gy) - ring.y * (fx + gx) - contact.mz
    impulse -= ring.x * (contact.fy + fy + gy) * (1.0 - free[7])
    impulse += ring.y * (contact.fx + fx + gx) * (1.0 - free[6])
    return work, heat, impulse


@inline_kernel
def _fixed_bodies(dy, count):
    """Outer ring and shaft stay where they are."""
    o, s, p = outer_offset(count), shaft_offset(count), outer_tail_offset(count)
    for i in range(4):
        dy[o + i] = 0.0
        dy[s + i] = 0.0
    dy[p] = 0.0
    dy[p + 1] = 0.0
