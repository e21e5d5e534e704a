"""Friction on the raceways taken implicitly within a step of the leapfrog method.

Friction of a steep law holds a roller so firmly that its sliding settles within microseconds. Seen
with the predicted velocity v* alone it would bound the step. It is therefore taken as linear in the
velocity about v*, with the resistance G of each raceway, its friction over its sliding speed at v*:

    a(v1) = a(v*) - J (v1 - v*),   v1 = v0 + h/2 (a0 + a(v1))

which needs no further right-hand side. In the plane a roller has two unknowns, its speed v along
the orbit and w = R spin; the raceways slide with v + w (outer) and v - w (inner), so that
J = [(Go + Gi)/m, (Go - Gi)/m; (Go - Gi) R^2/I, (Go + Gi) R^2/I]. In space the speed along the axis
and the tilting rates feel the same resistances. The trapezoidal rule keeps its second order
whatever J is. G stands for the slope of the law, because within a step sliding may go from one side
of a steep law to the other, where its slope says nothing. What is added to the forces acts on both
bodies of a raceway and stands in the books: with the rings left out the noise of their rates alone
took twice the steps.
"""

from typing import NamedTuple

from rollsim.kernels.jit import index, inline_kernel, stack_array
from rollsim.kernels.layout import (
    friction_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    ledger_offset,
    outer_offset,
    planar_size,
    resistance_offset,
    sliding_offset,
)

#: Rollers of a group: the working space has a fixed size.
GROUP = 32
# Rows of the working space: more of the rates along x, y and of the spin; force on outer and inner
# ring along x and y [N], moment on them about their centres [N m]; what friction of both loses more
# [W], all losses [W], power and moment from outside [W, N m]; in space: more of the rates along z
# and of the tilts, force on the inner ring along z [N].
_X, _Y, _SPIN, _OUTER, _INNER, _TURNS, _FRICTION, _LOSS, _POWER, _IMPULSE = (
    0, 1, 2, 3, 5, 7, 9, 11, 12, 13,
)  # fmt: skip
_POWER_INNER, _Z, _WX, _WY, _PULL = 14, 15, 16, 17, 18
_space = stack_array(19, GROUP)
# Rows of `Workspace.k`, see `leapfrog`.
_OLD, _NEW, _ERROR = index(0), index(1), index(3)


class Hold(NamedTuple):
    """What friction on the raceways meets: mass, inertias over the squares of their levers [kg].

    mass; spin: I/R^2; across: of the tilting towards the raceways, whose lever is R; along: of the
    skewing, whose lever is spread over the length; radius R [m]; pitch: radius of the orbit [m].
    """

    mass: float
    spin: float
    across: float
    along: float
    radius: float
    pitch: float


@inline_kernel
def hold_of(model):
    """Constants of a roller.

    Parameters
    ----------
    model : Model
        Constants of everything.

    Returns
    -------
    Hold
        Those of the rollers.
    """
    radius, half = model.outer.arm, model.ends.half_length
    return Hold(
        model.roller.mass,
        model.roller.axial / (radius * radius),
        model.roller.transverse / (radius * radius),
        model.roller.transverse / (half * half / 3.0),
        radius,
        model.pocket.pitch_radius,
    )


@inline_kernel
def _missing(work, half, at):
    """How far the trapezoidal rule with the rates at v* would change an entry of v*."""
    y, trial, k = work.y, work.trial, work.k
    return y[at] + half * (k[_OLD, at] + k[_NEW, at]) - trial[at]


@inline_kernel
def ease_plane(space, work, step, model, start, count):
    """Added forces of a group of rollers in the plane, and what they do to the rings.

    Parameters
    ----------
    space : ndarray (19, GROUP)
        Written; rows at the head of this file.
    work : Workspace
        y, trial, k[0], k[1], end given.
    step : float, s
        Length h.
    model : Model
        Constants.
    start : int
        First roller.
    count : int
        Rollers of the group.

    Returns
    -------
    None
    """
    y, trial, out = work.y, work.trial, work.end
    z, half, hold = model.count, 0.5 * step, hold_of(model)
    first, sliding = resistance_offset(z), sliding_offset(z)
    o, i = outer_offset(z), inner_offset(z)
    by_mass, by_spin = 1.0 / hold.mass, 1.0 / hold.spin
    damped_outer, damped_inner = 1.5 * model.outer.damping, 1.5 * model.inner.damping
    ox, oy, ovx, ovy = y[o], y[o + 1], trial[o + 2], trial[o + 3]
    ix, iy, ivx, ivy = y[i], y[i + 1], trial[i + 2], trial[i + 3]
    free_x, free_y, free_spin = model.tables.free[0], model.tables.free[1], model.tables.free[2]
    for n in range(count):
        j, at = start + n, index(n)
        x, height = y[index(j)], y[index(z + j)]
        nx, ny = x / hold.pitch, height / hold.pitch
        mx, my = _missing(work, half, index(2 * z + j)), _missing(work, half, index(3 * z + j))
        q = _missing(work, half, index(4 * z + j)) * hold.radius
        # Across the raceways.
        co, ci = damped_outer * out[index(j)], damped_inner * out[index(z + j)]
        dr = (mx * nx + my * ny) / (1.0 + half * (co + ci) * by_mass)
        ro, ri = -co * dr, -ci * dr
        # Along them.
        p = my * nx - mx * ny
        go, gi = out[index(first + j)], out[index(first + z + j)]
        both, less = half * (go + gi), half * (go - gi)
        a, b, c, d = 1.0 + both * by_mass, less * by_mass, less * by_spin, 1.0 + both * by_spin
        by_det = 1.0 / (a * d - b * c)
        dv, dw = (d * p - b * q) * by_det, (a * q - c * p) * by_det
        fo, fi = -go * (dv + dw), -gi * (dv - dw)
        outer_x, outer_y = ro * nx - fo * ny, ro * ny + fo * nx
        inner_x, inner_y = ri * nx - fi * ny, ri * ny + fi * nx
        fx, fy = outer_x + inner_x, outer_y + inner_y
        space[_X, at] = fx * by_mass * free_x
        space[_Y, at] = fy * by_mass * free_y
        space[_SPIN, at] = (fo - fi) * by_spin / hold.radius * free_spin
        space[_OUTER, at], space[_OUTER + 1, at] = -outer_x, -outer_y
        space[_INNER, at], space[_INNER + 1, at] = -inner_x, -inner_y
        couple, lever = (fo - fi) * hold.radius, x * nx + height * ny
        space[_TURNS, at] = ox * outer_y - oy * outer_x - fo * (lever + hold.radius)
        space[_TURNS + 1, at] = ix * inner_y - iy * inner_x - fi * (lever - hold.radius)
        so, si = out[index(sliding + j)], out[index(sliding + z + j)]
        rub_outer = go * (dv + dw) * (2.0 * so + dv + dw)
        rub_inner = gi * (dv - dw) * (2.0 * si + dv - dw)
        space[_FRICTION, at], space[_FRICTION + 1, at] = rub_outer, rub_inner
        vx, vy, spin = trial[index(2 * z + j)], trial[index(3 * z + j)], trial[index(4 * z + j)]
        leaving = 2.0 * (vx * nx + vy * ny) + dr
        squeezed = co * dr * (leaving - 2.0 * (ovx * nx + ovy * ny))
        squeezed += ci * dr * (leaving - 2.0 * (ivx * nx + ivy * ny))
        space[_LOSS, at] = rub_outer + rub_inner + squeezed
        # What locks hold back comes from outside.
        held = -couple * (1.0 - free_spin)
        w = spin * hold.radius
        slower_outer, slower_inner = ovy * nx - ovx * ny + so, ivy * nx - ivx * ny + si
        v = vy * nx - vx * ny
        space[_POWER, at] = fo * (v + w - slower_outer) + held * spin
        space[_POWER_INNER, at] = fi * (v - w - slower_inner)
        held += height * fx * (1.0 - free_x) - x * fy * (1.0 - free_y)
        space[_IMPULSE, at] = held


@inline_kernel
def _row_sum(space, row, count):
    """Sum over the rollers of a group."""
    total = 0.0
    for n in range(count):
        total += space[index(row), index(n)]
    return total


@inline_kernel
def add_plane(space, work, model, start, count):
    """Add what `ease_plane` found to rates and powers, and the sums of it to rings and books.

    Parameters
    ----------
    space : ndarray (19, GROUP)
        From `ease_plane`.
    work : Workspace
        k[1] and end, added to.
    model : Model
        Constants.
    start : int
        First roller.
    count : int
        Rollers of the group.

    Returns
    -------
    None
    """
    y, k, out = work.y, work.k, work.end
    z = model.count
    friction = friction_offset(z)
    for row in range(3):
        for n in range(count):
            k[_NEW, index((2 + row) * z + start + n)] += space[index(row), index(n)]
    for row in range(2):
        for n in range(count):
            at = index(friction + row * z + start + n)
            out[at] += space[index(_FRICTION + row), index(n)]
    free, ledger = model.tables.free, ledger_offset(z)
    i, o = inner_offset(z), outer_offset(z)
    fx, fy = _row_sum(space, _INNER, count), _row_sum(space, _INNER + 1, count)
    k[_NEW, i + 2] += fx / model.ring.mass * free[6]
    k[_NEW, i + 3] += fy / model.ring.mass * free[7]
    power, impulse = _row_sum(space, _POWER, count), _row_sum(space, _IMPULSE, count)
    impulse += y[i + 1] * fx * (1.0 - free[6]) - y[i] * fy * (1.0 - free[7])
    if model.seat.moves:
        k[_NEW, o + 2] += _row_sum(space, _OUTER, count) / model.seat.mass
        k[_NEW, o + 3] += _row_sum(space, _OUTER + 1, count) / model.seat.mass
    turning = _row_sum(space, _TURNS + 1, count)
    if model.drive.by_torque:
        k[_NEW, inner_turn_offset(z) + 1] += turning / model.drive.inertia
    else:
        power += _row_sum(space, _POWER_INNER, count)
        impulse -= turning
    k[_NEW, ledger] += power
    k[_NEW, ledger + 1] += _row_sum(space, _LOSS, count)
    k[_NEW, ledger + 2] += impulse - _row_sum(space, _TURNS, count)


@inline_kernel
def ease_space(space, work, step, model, start, count):
    """Less of the rates along the axis and of the tilting of a group of rollers.

    Both raceways act together here; couples across the bearing axis are not passed on to the rings.

    Parameters
    ----------
    space : ndarray (19, GROUP)
        Rows of the rates in space, written.
    work : Workspace
        y, trial, k[0], k[1], end given.
    step : float, s
        Length h.
    model : Model
        Constants.
    start : int
        First roller.
    count : int
        Rollers of the group.

    Returns
    -------
    None
    """
    y, out = work.y, work.end
    z, p, half, hold = model.count, planar_size(model.count), 0.5 * step, hold_of(model)
    first, free = resistance_offset(z), model.tables.free
    free_z, free_x, free_y = free[8], free[9], free[10]
    for n in range(count):
        j = start + n
        nx, ny = y[index(j)] / hold.pitch, y[index(z + j)] / hold.pitch
        gi = out[index(first + z + j)]
        g = out[index(first + j)] + gi
        dz = _missing(work, half, index(p + 3 * z + j)) / (1.0 + half * g / hold.mass)
        wx = _missing(work, half, index(p + 4 * z + j))
        wy = _missing(work, half, index(p + 5 * z + j))
        across, along = g / hold.across, g / hold.along
        across *= (wx * nx + wy * ny) / (1.0 + half * across)
        along *= (wy * nx - wx * ny) / (1.0 + half * along)
        space[_Z, index(n)] = -g * dz / hold.mass * free_z
        space[_WX, index(n)] = -(across * nx - along * ny) * free_x
        space[_WY, index(n)] = -(across * ny + along * nx) * free_y
        space[_PULL, index(n)] = gi * dz


@inline_kernel
def ease_rates(step, work, model):
    """Make the rates at the end of the step those at v1, from those at v*.

    Parameters
    ----------
    step : float, s
        Length h.
    work : Workspace
        y, trial, k[0] given; k[1], and the powers of friction in end, are changed.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    z, k, space = model.count, work.k, _space()
    for start in range(0, z, GROUP):
        count = min(z - start, GROUP)
        ease_plane(space, work, step, model, start, count)
        add_plane(space, work, model, start, count)
        if model.spatial:
            p = planar_size(z) + start
            ease_space(space, work, step, model, start, count)
            pull = 0.0
            for n in range(count):
                k[_NEW, index(p + 3 * z + n)] += space[_Z, index(n)]
                k[_NEW, index(p + 4 * z + n)] += space[_WX, index(n)]
                k[_NEW, index(p + 5 * z + n)] += space[_WY, index(n)]
                pull += space[_PULL, index(n)]
            mass = model.ring.mass + model.shaft.mass
            k[_NEW, inner_tail_offset(z) + 3] += pull / mass * model.tables.free[14]


@inline_kernel
def soften_errors(step, work, model):
    """Weaken the errors of velocities that friction holds: what is held forgets them in the step.

    The estimate comes from differences of the rates; of an implicit method it is divided by
    1 + h J/2, as the method does with what it adds.

    Parameters
    ----------
    step : float, s
        Length h.
    work : Workspace
        y and end given; k[3] is changed.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    y, k, out = work.y, work.k, work.end
    z, p, half, hold = model.count, planar_size(model.count), 0.5 * step, hold_of(model)
    first = resistance_offset(z)
    damped_outer, damped_inner = 1.5 * model.outer.damping, 1.5 * model.inner.damping
    for j in range(z):
        nx, ny = y[index(j)] / hold.pitch, y[index(z + j)] / hold.pitch
        g = half * (out[index(first + j)] + out[index(first + z + j)])
        c = half * (damped_outer * out[index(j)] + damped_inner * out[index(z + j)])
        vx, vy = index(2 * z + j), index(3 * z + j)
        ex, ey = k[_ERROR, vx], k[_ERROR, vy]
        across = -c / (hold.mass + c) * (ex * nx + ey * ny)
        along = -g / (hold.mass + g) * (ey * nx - ex * ny)
        k[_ERROR, vx] = ex + across * nx - along * ny
        k[_ERROR, vy] = ey + across * ny + along * nx
        k[_ERROR, index(4 * z + j)] *= hold.spin / (hold.spin + g)
    if model.spatial:
        least = max(hold.across, hold.along)
        for j in range(z):
            g = half * (out[index(first + j)] + out[index(first + z + j)])
            k[_ERROR, index(p + 3 * z + j)] *= hold.mass / (hold.mass + g)
            k[_ERROR, index(p + 4 * z + j)] *= least / (least + g)
            k[_ERROR, index(p + 5 * z + j)] *= least / (least + g)
