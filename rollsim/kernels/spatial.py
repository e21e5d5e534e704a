"""Right-hand side of the spatial model: rollers, cage and inner ring with axial motion and tilt."""

import math

from rollsim.kernels.bodies import (
    along_axis,
    cage_body,
    clear_rollers,
    inner_body,
    outer_body,
    roller_body,
    roller_wrench,
    tilt_books,
    tilt_rates,
)
from rollsim.kernels.driving import (
    from_tables,
    roller_drag,
    rotating_frame,
    steady,
    with_locked,
    with_turning,
)
from rollsim.kernels.jit import index, inline_kernel, kernel
from rollsim.kernels.layout import cage_offset, friction_offset, planar_size
from rollsim.kernels.raceway_spatial import raceway_loop
from rollsim.kernels.spatial_bodies import body_rates
from rollsim.kernels.spatial_pairs import flange_loop, pocket_loop


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
    friction = friction_offset(z)
    for i in range(6 * z, 8 * z):
        out[index(i)] = 0.0
        out[index(friction + i)] = 0.0
    driving = steady(time, model.duty, model.drive, model.shaking)
    if model.course.varies:
        driving = from_tables(time, driving, model.course)
    driving = with_turning(driving, y, model.duty, model.drive, z)
    if model.shaking.locked.shape[0]:
        driving = with_locked(time, driving, model.shaking)
    cage = cage_body(y, z)
    inner = inner_body(y, driving, model)
    outer = outer_body(y, driving, model)
    angle = y[index(cage_offset(z) + 2)]
    trig = (math.cos(angle), math.sin(angle))
    clear_rollers(dy, z)
    on_outer, on_inner = raceway_loop(y, dy, out, (outer, inner), model)
    on_outer = flange_loop(y, dy, out, (outer, model.outer_flange), on_outer, z)
    on_inner = flange_loop(y, dy, out, (inner, model.inner_flange), on_inner, z)
    on_cage = pocket_loop(y, dy, out, cage, trig, model)
    work, heat, impulse = _all_rollers(y, dy, driving, model)
    heat += on_outer.heat + on_inner.heat + on_cage.heat
    energy = on_outer.energy + on_inner.energy + on_cage.energy
    on_bodies = (on_cage, on_inner, on_outer)
    sums = (work, heat, energy, impulse)
    bodies = (cage, inner, outer, trig, y)
    body_rates(dy, out, model, driving, bodies, on_bodies, sums)


@inline_kernel
def _all_rollers(y, dy, driving, model):
    """Turn the wrenches gathered in `dy` into rates; return work rate, drag heat, moment."""
    work = heat = impulse = 0.0
    for j in range(model.count):
        body = roller_body(j, y, model.count)
        total = roller_wrench(dy, j, model.count)
        w, h, i = _roller_rates(j, body, total, driving, dy, model)
        work += w
        heat += h
        impulse += i
    return work, heat, impulse


@inline_kernel
def _roller_rates(j, body, total, driving, dy, model):
    """Write the rates of roller j; return work rate, drag heat, external moment."""
    z = model.count
    free = model.tables.free
    m = model.roller.mass
    dfx, dfy, dm, dh = roller_drag(body.vx, body.vy, body.spin, model.drag)
    fx, fy = rotating_frame(body.x, body.y, body.vx, body.vy, model.duty.carrier_speed)
    fx = (fx + driving.ax) * m
    fy = (fy + driving.ay) * m
    fz = driving.az * m
    spin_rate = (along_axis(total, body) + dm) / model.roller.axial * free[2]
    tx, ty = tilt_rates(total, body, model.roller, spin_rate, model.duty.carrier_speed)
    p = planar_size(z) + j
    dy[index(j)] = body.vx * free[0]
    dy[index(z + j)] = body.vy * free[1]
    dy[index(2 * z + j)] = (total.fx + fx + dfx) / m * free[0]
    dy[index(3 * z + j)] = (total.fy + fy + dfy) / m * free[1]
    dy[index(4 * z + j)] = spin_rate
    dy[index(p)] = body.vz * free[8]
    dy[index(p + z)] = body.wx * free[9]
    dy[index(p + 2 * z)] = body.wy * free[10]
    dy[index(p + 3 * z)] = (total.fz + fz) / m * free[8]
    dy[index(p + 4 * z)] = tx * free[9]
    dy[index(p + 5 * z)] = ty * free[10]
    # What a lock holds back is put in from outside: it keeps the books closed.
    held = -(along_axis(total, body) + dm) * (1.0 - free[2])
    work = fx * body.vx + fy * body.vy + fz * body.vz + held * body.spin
    impulse = body.x * (fy + dfy) - body.y * (fx + dfx) + dm + held
    tilting = tilt_books(body, model.roller, model.duty.carrier_speed)
    impulse -= body.x * (total.fy + fy + dfy) * (1.0 - free[1])
    impulse += body.y * (total.fx + fx + dfx) * (1.0 - free[0])
    return work + tilting[0], dh, impulse + tilting[1]
