"""Rollers on a raceway in space: loops over rollers, slice by slice, that the compiler vectorises.

Penetration, approach and sliding are polynomials along the roller (`raceway_paths`). A group of
rollers goes through in steps: polynomials, those that may touch, normal forces of all
slices, what the film can hold, friction of all slices, forces and moments.
"""

import math

from rollsim.kernels.columns import (
    GROUP,
    MOST_SLICES,
    body_of,
    body_space,
    fill_up,
    filled_up,
    load_bodies,
    put_force,
    put_vector,
    vector_of,
)
from rollsim.kernels.jit import index, inline_kernel, stack_array
from rollsim.kernels.layout import friction_offset, planar_size, resistance_offset, sliding_offset
from rollsim.kernels.raceway_paths import raceway_paths, sliding_drag
from rollsim.kernels.raceway_slices import (
    ALONG,
    APPROACH,
    BEND,
    CENTRE,
    DEPTH,
    ENERGY,
    FACTOR,
    FORCE,
    HEAT,
    LEVER,
    MEAN,
    NORMAL,
    NUMBER,
    RESIST,
    SLIDING,
    TILT,
    sum_friction,
    sum_normals,
    write_grips,
)
from rollsim.kernels.types import TractionLaw, Wrench
from rollsim.kernels.vector import cross, dot, plus, scaled

_COULOMB = int(TractionLaw.COULOMB)
_EHL = int(TractionLaw.EHL)
_OTHER = int(TractionLaw.FOUR_PARAMETER)

# Rows of the results behind force and moment: normal force, heat, energy, power of the sliding,
# sliding speed, resistance.
_RESULT = 6

_path_space = stack_array(27, GROUP)
_slice_space = stack_array(MOST_SLICES, GROUP)
_sum_space = stack_array(13, GROUP)
_force_space = stack_array(12, GROUP)


@inline_kernel
def write_paths(bodies, ring, pair, paths, count):
    """Polynomials of a group of rollers.

    Parameters
    ----------
    bodies : ndarray (11, GROUP)
        Motion of the rollers.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry.
    paths : ndarray (27, GROUP)
        Written; rows at the head of `raceway_slices`.
    count : int
        Rollers of the group.

    Returns
    -------
    None
    """
    for i in range(index(filled_up(count))):
        body = body_of(bodies, i)
        depth, approach, sliding, rolling, directions = raceway_paths(body, ring, pair)
        put_vector(paths, DEPTH, i, depth)
        put_vector(paths, APPROACH, i, approach)
        paths[SLIDING, i] = sliding[0]
        paths[SLIDING + 1, i] = sliding[1]
        paths[SLIDING + 2, i] = sliding[2]
        paths[SLIDING + 3, i] = sliding[3]
        paths[MEAN, i] = rolling[0]
        paths[LEVER, i] = rolling[1]
        put_vector(paths, NORMAL, i, directions[0])
        put_vector(paths, BEND, i, directions[1])
        put_vector(paths, ALONG, i, directions[2])
        paths[TILT, i] = body.ux
        paths[TILT + 1, i] = body.uy
        put_vector(paths, CENTRE, i, (body.x - ring.x, body.y - ring.y, body.z - ring.z))


@inline_kernel
def keep_near(paths, tables, count):
    """Move the rollers that may touch to the front; the others need no further look.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Rearranged.
    tables : Tables
        Slices.
    count : int
        Rollers of the group.

    Returns
    -------
    int
        Rollers that may touch.
    """
    reach = abs(tables.slice_z[0])
    kept = 0
    for i in range(count):
        edge = abs(paths[DEPTH + 1, index(i)]) + reach * max(paths[DEPTH + 2, index(i)], 0.0)
        if paths[DEPTH, index(i)] + reach * edge > 0.0:
            if kept < i:
                for row in range(NUMBER):
                    paths[index(row), index(kept)] = paths[index(row), index(i)]
            paths[NUMBER, index(kept)] = i
            kept += 1
    fill_up(paths, kept)
    return kept


@inline_kernel
def write_forces(paths, sums, forces, ring, pair, count):
    """Force and moment on the rollers, and what goes into the books.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Polynomials.
    sums : ndarray (13, GROUP)
        Over the slices.
    forces : ndarray (12, GROUP)
        Force and moment about the roller's centre, normal force, heat, energy, power of the
        sliding, sliding speed, resistance; written.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry.
    count : int
        Columns, whole vectors.

    Returns
    -------
    None
    """
    tilt = (ring.ux, ring.uy, 1.0)
    e = scaled(1.0 / math.sqrt(dot(tilt, tilt)), tilt)
    for i in range(index(count)):
        n, c = vector_of(paths, NORMAL, i), vector_of(paths, BEND, i)
        t = vector_of(paths, ALONG, i)
        b = (paths[TILT, i], paths[TILT + 1, i], 1.0)
        normal, factor = vector_of(sums, FORCE, i), vector_of(sums, FACTOR, i)
        resist = sums[RESIST, i]
        push = plus(scaled(-pair.side * normal[0], n), -pair.side * normal[1], c)
        lever = plus(scaled(-pair.side * normal[1], n), -pair.side * normal[2], c)
        sliding = (
            paths[SLIDING, i],
            paths[SLIDING + 1, i],
            paths[SLIDING + 2, i],
            paths[SLIDING + 3, i],
        )
        along, along_lever, friction = sliding_drag(sliding, factor)
        drag = plus(scaled(-along[0], t), -along[1], e)
        drag_lever = plus(scaled(-along_lever[0], t), -along_lever[1], e)
        force = plus(plus(push, 1.0, drag), resist * paths[LEVER, i], t)
        moment = plus(cross(b, lever), pair.arm, cross(n, drag))
        moment = plus(moment, 1.0, cross(plus(b, pair.arm, c), drag_lever))
        put_force(forces, i, force, plus(moment, -pair.arm * resist, e))
        forces[_RESULT, i] = normal[0]
        forces[_RESULT + 1, i] = sums[HEAT, i] + friction + 2.0 * resist * paths[MEAN, i]
        forces[_RESULT + 2, i] = sums[ENERGY, i]
        forces[_RESULT + 3, i] = friction
        forces[_RESULT + 4, i] = sliding[0] if normal[0] > 0.0 else 0.0
        forces[_RESULT + 5, i] = factor[0]


@inline_kernel
def raceway_group(space, ring, pair, tables, law, count):
    """A group of rollers on one raceway.

    Parameters
    ----------
    space : tuple of 5 ndarray
        Motion of the rollers; working space for polynomials, slices, sums and results.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry and laws.
    tables : Tables
        Slice positions, drops and weights.
    law : int
        Code of the law of traction, a constant that the compiler sees.
    count : int
        Rollers of the group.

    Returns
    -------
    int
        Rollers that may touch: so many columns of the results count.
    """
    bodies, paths, normals, sums, forces = space
    write_paths(bodies, ring, pair, paths, count)
    kept = keep_near(paths, tables, count)
    if kept > 0:
        columns = filled_up(kept)
        sum_normals(paths, normals, sums, pair, tables, columns)
        write_grips(paths, sums, pair.traction, law, columns)
        sum_friction(paths, normals, sums, (pair.traction, law), tables, columns)
        write_forces(paths, sums, forces, ring, pair, columns)
    return kept


@inline_kernel
def reactions(paths, forces, total, count):
    """What a group of rollers does to the ring.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Places of the rollers.
    forces : ndarray (12, GROUP)
        On the rollers.
    total : Wrench
        On the ring so far.
    count : int
        Columns that count.

    Returns
    -------
    Wrench
        On the ring about its centre, with heat and energy of all contacts.
    """
    fx, fy, fz, mx, my, mz = total.fx, total.fy, total.fz, total.mx, total.my, total.mz
    heat, energy = total.heat, total.energy
    for i in range(count):
        force, moment = vector_of(forces, 0, i), vector_of(forces, 3, i)
        about = plus(moment, 1.0, cross(vector_of(paths, CENTRE, i), force))
        fx -= force[0]
        fy -= force[1]
        fz -= force[2]
        mx -= about[0]
        my -= about[1]
        mz -= about[2]
        heat += forces[_RESULT + 1, index(i)]
        energy += forces[_RESULT + 2, index(i)]
    return Wrench(fx, fy, fz, mx, my, mz, 0.0, heat, energy, 0.0, 0.0, 0.0)


@inline_kernel
def raceway_loop(y, dy, out, rings, model):
    """All rollers on both raceways; their wrenches are added to `dy`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Contact output, written.
    rings : tuple of 2 Body
        Outer and inner ring.
    model : Model
        Constants.

    Returns
    -------
    tuple of 2 Wrench
        On outer and inner ring about its centre, with heat and energy of all contacts.
    """
    z = model.count
    space = (body_space(), _path_space(), _slice_space(), _sum_space(), _force_space())
    none = Wrench(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    total = (none, none)
    for start in range(0, z, GROUP):
        count = min(z - start, GROUP)
        load_bodies(y, space[0], start, count, z)
        for which in range(2):
            pair = model.inner if which else model.outer
            ring = rings[1] if which else rings[0]
            kept = _by_law(space, ring, pair, model.tables, count)
            before = total[1] if which else total[0]
            after = reactions(space[1], space[4], before, kept)
            total = (total[0], after) if which else (after, total[1])
            _note(out, space, (which, start, count, kept), z)
            _push(dy, space, start, kept, z)
    return total


@inline_kernel
def _by_law(space, ring, pair, tables, count):
    """`raceway_group`, once for each law in the compiled code."""
    if pair.traction.law == _COULOMB:
        return raceway_group(space, ring, pair, tables, _COULOMB, count)
    if pair.traction.law == _EHL:
        return raceway_group(space, ring, pair, tables, _EHL, count)
    return raceway_group(space, ring, pair, tables, _OTHER, count)


@inline_kernel
def _note(out, space, place, rollers):
    """Write normal force, friction and sliding of a group to the contact output."""
    which, start, count, kept = place
    paths, forces = space[1], space[4]
    force = which * rollers + start
    friction, sliding = friction_offset(rollers) + force, sliding_offset(rollers) + force
    resistance = resistance_offset(rollers) + force
    for i in range(count):
        out[index(force + i)] = 0.0
        out[index(friction + i)] = 0.0
        out[index(sliding + i)] = 0.0
        out[index(resistance + i)] = 0.0
    for i in range(kept):
        j = int(paths[NUMBER, index(i)])
        out[index(force + j)] = forces[_RESULT, index(i)]
        out[index(friction + j)] = forces[_RESULT + 3, index(i)]
        out[index(sliding + j)] = forces[_RESULT + 4, index(i)]
        out[index(resistance + j)] = forces[_RESULT + 5, index(i)]


@inline_kernel
def _push(dy, space, start, kept, rollers):
    """Add forces and moments of a group to the entries of the accelerations of its rollers."""
    paths, forces = space[1], space[4]
    z, p = rollers, planar_size(rollers)
    for i in range(kept):
        j = start + int(paths[NUMBER, index(i)])
        dy[index(2 * z + j)] += forces[0, index(i)]
        dy[index(3 * z + j)] += forces[1, index(i)]
        dy[index(p + 3 * z + j)] += forces[2, index(i)]
        dy[index(p + 4 * z + j)] += forces[3, index(i)]
        dy[index(p + 5 * z + j)] += forces[4, index(i)]
        dy[index(4 * z + j)] += forces[5, index(i)]
