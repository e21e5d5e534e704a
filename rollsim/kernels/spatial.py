"""Right-hand side of the spatial model: rollers, cage and inner ring with axial motion and tilt."""

import math

from rollsim.kernels.bodies import along_axis, cage_body, ring_body, roller_body, tilt_rates
from rollsim.kernels.driving import (
    cage_drag,
    radial_load,
    roller_drag,
    rotating_frame,
    uniform_acceleration,
)
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.planar import guide_speed
from rollsim.kernels.round_contact import add, no_wrench, reaction, round_spatial
from rollsim.kernels.spatial_pairs import cage_lands, roller_cage, roller_flanges
from rollsim.kernels.types import Body, Guidance, Wrench

_OUTER = int(Guidance.OUTER_RING)
_INNER = int(Guidance.INNER_RING)


@kernel
def spatial_rhs(time, y, dy, out, model):
    """Rates of the spatial state and contact forces.

    Sign convention and reference points: forces listed in `out` are magnitudes; moments act about
    body centres, right-handed. The ledger adds up work put in, heat and external moment about z.

    Parameters
    ----------
    time : float, s
        Time.
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates, written.
    out : ndarray (output_size,)
        Contact output, written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    z = model.count
    duty = model.duty
    for i in range(6 * z, 8 * z):
        out[i] = 0.0
    uniform = uniform_acceleration(time, duty, model.shaking)
    cage = cage_body(y, z)
    inner = ring_body(y, z, duty.inner_speed)
    outer = Body(
        0.0, 0.0, 0.0, 0.0, 0.0, 0.0, duty.outer_tilt_x, duty.outer_tilt_y, 0.0, 0.0,
        duty.outer_speed,
    )  # fmt: skip
    angle = y[5 * z + 2]
    trig = (math.cos(angle), math.sin(angle))
    on_cage = no_wrench()
    on_inner = no_wrench()
    on_outer = no_wrench()
    heat = energy = work = impulse = 0.0
    for j in range(z):
        body = roller_body(j, y, z)
        wo = round_spatial(body, outer, model.outer, model.tables)
        wi = round_spatial(body, inner, model.inner, model.tables)
        out[j] = wo.normal
        out[z + j] = wi.normal
        wo = add(wo, roller_flanges(j, body, outer, model.outer_flange, out, z))
        wi = add(wi, roller_flanges(j, body, inner, model.inner_flange, out, z))
        wc = roller_cage(j, body, cage, trig, model, out)
        on_cage = add(on_cage, reaction(wc, body, cage))
        on_inner = add(on_inner, reaction(wi, body, inner))
        on_outer = add(on_outer, reaction(wo, body, outer))
        total = add(add(wo, wi), wc)
        w, h, i = _roller_rates(j, body, total, uniform, dy, model)
        work += w
        impulse += i + body.x * wo.fy - body.y * wo.fx + wo.mz
        heat += h + total.heat
        energy += total.energy
    on_bodies = (on_cage, on_inner, on_outer)
    sums = (work, heat, energy, impulse)
    driving = (*uniform, *radial_load(time, duty))
    _spatial_bodies(dy, out, model, driving, (cage, inner, outer), on_bodies, sums)


@inline_kernel
def _roller_rates(j, body, total, uniform, dy, model):
    """Write the rates of roller j; return work rate, drag heat, external moment."""
    z = model.count
    free = model.tables.free
    m = model.roller.mass
    dfx, dfy, dm, dh = roller_drag(body.vx, body.vy, body.spin, model.drag)
    fx, fy = rotating_frame(body.x, body.y, body.vx, body.vy, model.duty.carrier_speed)
    fx = (fx + uniform[0]) * m
    fy = (fy + uniform[1]) * m
    fz = uniform[2] * m
    spin_rate = (along_axis(total, body) + dm) / model.roller.axial * free[2]
    tx, ty = tilt_rates(total, body, model.roller, spin_rate)
    p = 5 * z + 13 + j
    dy[j] = body.vx * free[0]
    dy[z + j] = body.vy * free[1]
    dy[2 * z + j] = (total.fx + fx + dfx) / m * free[0]
    dy[3 * z + j] = (total.fy + fy + dfy) / m * free[1]
    dy[4 * z + j] = spin_rate
    dy[p] = body.vz * free[8]
    dy[p + z] = body.wx * free[9]
    dy[p + 2 * z] = body.wy * free[10]
    dy[p + 3 * z] = (total.fz + fz) / m * free[8]
    dy[p + 4 * z] = tx * free[9]
    dy[p + 5 * z] = ty * free[10]
    # What a lock holds back is put in from outside: it keeps the books closed.
    held = -(along_axis(total, body) + dm) * (1.0 - free[2])
    work = fx * body.vx + fy * body.vy + fz * body.vz + held * body.spin
    impulse = body.x * (fy + dfy) - body.y * (fx + dfx) + dm + held
    impulse -= body.x * (total.fy + fy + dfy) * (1.0 - free[1])
    impulse += body.y * (total.fx + fx + dfx) * (1.0 - free[0])
    return work, dh, impulse


@inline_kernel
def _spatial_bodies(dy, out, model, driving, bodies, on_bodies, sums):
    """Add the guidance lands, then write the rates of cage, inner ring and ledger."""
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
    w, h, i = _ring_rates(dy, inner, on_inner, driving, model)
    work += w - along_axis(on_inner, inner) * inner.spin - along_axis(on_outer, outer) * outer.spin
    heat += h
    impulse += i
    dy[5 * z + 10] = work
    dy[5 * z + 11] = heat
    dy[5 * z + 12] = impulse
    out[8 * z + 6] = energy


@inline_kernel
def _cage_rates(dy, cage, total, uniform, model):
    """Write the rates of the cage; return work rate, drag heat, external moment."""
    z = model.count
    free = model.tables.free
    m = model.cage.mass
    speed = guide_speed(model)
    dm, on_guide, loss = cage_drag(cage.spin, speed, model.drag)
    fx, fy = rotating_frame(cage.x, cage.y, cage.vx, cage.vy, model.duty.carrier_speed)
    fx = (fx + uniform[0]) * m
    fy = (fy + uniform[1]) * m
    fz = uniform[2] * m
    spin_rate = (along_axis(total, cage) + dm) / model.cage.axial * free[5]
    tx, ty = tilt_rates(total, cage, model.cage, spin_rate)
    c = 5 * z
    p = 11 * z + 13
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
    work = fx * cage.vx + fy * cage.vy + fz * cage.vz - on_guide * speed + held * cage.spin
    impulse = cage.x * fy - cage.y * fx + dm + held
    impulse -= cage.x * (total.fy + fy) * (1.0 - free[4])
    impulse += cage.y * (total.fx + fx) * (1.0 - free[3])
    return work, loss, impulse


@inline_kernel
def _ring_rates(dy, ring, contact, driving, model):
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
        0.0, 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip
    tx, ty = tilt_rates(total, ring, model.ring, 0.0)
    r = 5 * z + 6
    p = 11 * z + 19
    dy[r] = ring.vx * free[6]
    dy[r + 1] = ring.vy * free[7]
    dy[r + 2] = (contact.fx + fx + gx) / m * free[6]
    dy[r + 3] = (contact.fy + fy + gy) / m * free[7]
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
