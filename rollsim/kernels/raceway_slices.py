"""Slices of rollers on a raceway in space: sums of normal forces and of friction, and the grip.

One loop over the slices, and in it one over the rollers of a group that the compiler vectorises.
"""

import math

from rollsim.kernels.ehl import film_grip, film_rolling
from rollsim.kernels.elementary import inverse_root
from rollsim.kernels.jit import index, inline_kernel
from rollsim.kernels.line_contact import ninth_root
from rollsim.kernels.traction import dry_grip, friction_over_slip
from rollsim.kernels.types import TractionLaw

_EHL = int(TractionLaw.EHL)
_OTHER = int(TractionLaw.FOUR_PARAMETER)

# Rows of the polynomials: penetration, approach, sliding, mean speed of the surfaces, share of the
# rolling resistance, n0, c, t0 (see `raceway_paths`); tilt of the roller axis; place of the roller
# seen from the ring; its number in the group.
DEPTH, APPROACH, SLIDING, MEAN, LEVER = 0, 3, 6, 10, 11
NORMAL, BEND, ALONG, TILT, CENTRE, NUMBER = 12, 15, 18, 21, 23, 26
# Rows of the sums over the slices: N, N s, N s^2; heat along the normal, elastic energy; f, f s,
# f s^2 with the friction over the sliding speed f; then what the contact can hold as in `Grip`, but
# scales squared, and its rolling resistance.
FORCE, HEAT, ENERGY, FACTOR, GRIP, RESIST = 0, 3, 4, 5, 8, 12


@inline_kernel
def sum_normals(paths, normals, sums, pair, tables, count):
    """Normal forces of all slices and their sums.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Polynomials.
    normals : ndarray (MOST_SLICES, GROUP)
        Normal forces, written, N.
    sums : ndarray (13, GROUP)
        Written; rows at the head of this file.
    pair : RoundPair
        Laws.
    tables : Tables
        Slices.
    count : int
        Columns, whole vectors.

    Returns
    -------
    None
    """
    for row in range(index(GRIP)):
        for i in range(index(count)):
            sums[row, i] = 0.0
    damping = 1.5 * pair.damping
    for k in range(index(tables.slice_z.shape[0])):
        s, drop = tables.slice_z[k], tables.slice_drop[k]
        constant = pair.constant * tables.slice_weight[k]
        if constant == 0.0:
            continue
        for i in range(index(count)):
            depth = paths[0, i] + s * (paths[1, i] + s * paths[2, i]) - drop
            speed = paths[3, i] + s * (paths[4, i] + s * paths[5, i])
            elastic = constant * max(depth, 0.0) * ninth_root(max(depth, 1e-100))
            normal = max(elastic * (1.0 + damping * speed), 0.0)
            normals[k, i] = normal
            sums[FORCE, i] += normal
            sums[FORCE + 1, i] += normal * s
            sums[FORCE + 2, i] += normal * s * s
            sums[HEAT, i] += (normal - elastic) * speed
            sums[ENERGY, i] += 9.0 / 19.0 * elastic * depth


@inline_kernel
def write_grips(paths, sums, traction, law, count):
    """What the contacts can hold, from the force of all slices together; rolling resistance.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Polynomials.
    sums : ndarray (13, GROUP)
        Sums of normal forces; the grip is written.
    traction : Traction
        The law and its constants.
    law : int
        Code of the law of traction, a constant that the compiler sees.
    count : int
        Columns, whole vectors.

    Returns
    -------
    None
    """
    for i in range(index(count)):
        held = dry_grip(traction)
        resist = 0.0
        if law == _EHL:
            held = film_grip(sums[FORCE, i], paths[MEAN, i], traction)
            resist = film_rolling(sums[FORCE, i], paths[MEAN, i], traction.oil)
        sums[GRIP, i] = held.friction
        sums[GRIP + 1, i] = held.scale * held.scale
        sums[GRIP + 2, i] = held.film_friction
        sums[GRIP + 3, i] = held.film_scale * held.film_scale
        sums[RESIST, i] = resist


@inline_kernel
def sum_friction(paths, normals, sums, choice, tables, count):
    """Friction of all slices over their sliding speed, summed.

    Parameters
    ----------
    paths : ndarray (27, GROUP)
        Polynomials.
    normals : ndarray (MOST_SLICES, GROUP)
        Normal forces, N.
    sums : ndarray (13, GROUP)
        With what the contacts can hold; f, f s, f s^2 are added, N s/m.
    choice : tuple of Traction and int
        The law; its code, a constant that the compiler sees: without a choice in them the loops of
        Coulomb's law and of the lubricated one vectorise.
    tables : Tables
        Slices.
    count : int
        Columns, whole vectors.

    Returns
    -------
    None
    """
    traction, law = choice
    for k in range(index(tables.slice_z.shape[0])):
        s = tables.slice_z[k]
        if tables.slice_weight[k] == 0.0:
            continue
        for i in range(index(count)):
            along = paths[SLIDING, i] + s * paths[SLIDING + 2, i]
            axial = paths[SLIDING + 1, i] + s * paths[SLIDING + 3, i]
            square = along * along + axial * axial
            if law == _OTHER:
                factor = friction_over_slip(math.sqrt(square), traction, dry_grip(traction))
            else:
                factor = sums[GRIP, i] * inverse_root(square + sums[GRIP + 1, i])
            if law == _EHL:
                factor += sums[GRIP + 2, i] * inverse_root(square + sums[GRIP + 3, i])
            factor *= normals[k, i]
            sums[FACTOR, i] += factor
            sums[FACTOR + 1, i] += factor * s
            sums[FACTOR + 2, i] += factor * s * s
