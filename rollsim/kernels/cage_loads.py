"""Loads on the cage in its own frame, as the frame model of the cage takes them.

Order for Z pockets, each stretch Z long: cover, base (axial force of roller j on the cover and on
the base ring), bar (force on bar j between rollers j and j + 1, positive in the sense of positive
rotation), land base radial, land base tangential, land cover radial, land cover tangential (force
of the guide on the outside of a ring at pocket j, outward and in the sense of positive rotation);
last the square of the turning speed of the cage. All in N, the last in (rad/s)^2. It is the order
of `KINDS` in `rollsim.structure.cage_influence`.

What has no place in it is left out: friction of rollers in their pockets, drag, axial forces of
the lands, and where along its bar a roller pushes.
"""

import math

from rollsim.kernels.jit import inline_kernel, kernel

_TURN = 2.0 * math.pi


@inline_kernel
def load_count(count):
    """Number of loads.

    Parameters
    ----------
    count : int
        Pockets Z.

    Returns
    -------
    int
        Count.
    """
    return 7 * count + 1


@inline_kernel
def pocket_share(leading, trailing, base, cover, j, count, loads):
    """Loads of roller j on its pocket; bars have to be cleared before the first roller.

    The leading face of roller j pushes bar j forward, its trailing face bar j - 1 backward.

    Parameters
    ----------
    leading, trailing, base, cover : float, N
        Normal forces of roller j.
    j : int
        Roller.
    count : int
        Pockets Z.
    loads : ndarray (load_count,)
        Written; bars added to.

    Returns
    -------
    None
    """
    loads[j] = cover
    loads[count + j] = base
    loads[2 * count + j] += leading
    behind = j - 1 if j > 0 else count - 1
    loads[2 * count + behind] -= trailing


@kernel
def land_share(fx, fy, angle, inside, first, count, loads):
    """Force of a guiding land on a ring of the cage, shared between the two pockets nearest to it.

    A land pushes: the force acts where a contact without friction would give it, at the far side
    of where it points for a guide outside the cage and at the near side for one inside. Friction
    moves the true place by the angle of friction at most. Pocket j = floor(p) of the place
    p = Z theta/(2 pi) carries j + 1 - p of the force, pocket j + 1 the rest, each turned into its
    own radial and tangential direction: the sum of the forces is exact, their moment about the
    axis right to third order in the pitch.

    Parameters
    ----------
    fx : float, N
        Force on the cage in the housing frame.
    fy : float, N
        Force on the cage in the housing frame.
    angle : float, rad
        Turning angle of the cage.
    inside : int
        1 where the guide is the inner ring, else 0.
    first : int
        First load of the radial stretch; the tangential one follows it.
    count : int
        Pockets Z.
    loads : ndarray (load_count,)
        Added to.

    Returns
    -------
    None
    """
    if fx == 0.0 and fy == 0.0:
        return
    way = math.atan2(fy, fx) - angle
    size = math.sqrt(fx * fx + fy * fy)
    place = (way if inside else way + math.pi) * count / _TURN
    place -= count * math.floor(place / count)
    low = math.floor(place)
    share = place - low
    for step in range(2):
        j = (int(low) + step) % count
        part = size * (share if step else 1.0 - share)
        turn = way - _TURN * j / count
        loads[first + j] += part * math.cos(turn)
        loads[first + count + j] += part * math.sin(turn)


@kernel
def loads_of_output(out, angle, speed, inside, count, loads):
    """Loads on the cage from the contact output of the equations of motion.

    Parameters
    ----------
    out : ndarray (output_size,)
        Contact output as in `layout`.
    angle : float, rad
        Turning angle of the cage.
    speed : float, rad/s
        Turning speed of the cage, that of a turning carrier included.
    inside : int
        1 where the guide is the inner ring, else 0.
    count : int
        Pockets Z.
    loads : ndarray (load_count,)
        Written.

    Returns
    -------
    None
    """
    for i in range(2 * count, 7 * count):
        loads[i] = 0.0
    z = count
    for j in range(z):
        pocket_share(out[2 * z + j], out[3 * z + j], out[4 * z + j], out[5 * z + j], j, z, loads)
    for side in range(2):
        fx, fy = out[8 * z + 2 + side], out[8 * z + 4 + side]
        land_share(fx, fy, angle, inside, (3 + 2 * side) * z, z, loads)
    loads[7 * z] = speed * speed


@kernel
def loads_of_channels(pocket, land, angle, speed, inside, loads):
    """Loads on the cage at many instants, from the channels of a history.

    Parameters
    ----------
    pocket : ndarray (time, Z, 4), N
        Normal forces on leading, trailing, base and cover face.
    land : ndarray (time, 2, 2 or 3), N
        Force on the cage at base and cover in the housing frame.
    angle : ndarray (time,), rad
        Turning angle of the cage.
    speed : ndarray (time,), rad/s
        Turning speed of the cage, that of a turning carrier included.
    inside : int
        1 where the guide is the inner ring, else 0.
    loads : ndarray (time, load_count)
        Written.

    Returns
    -------
    None
    """
    z = pocket.shape[1]
    for i in range(pocket.shape[0]):
        row, faces = loads[i], pocket[i]
        for k in range(2 * z, 7 * z):
            row[k] = 0.0
        for j in range(z):
            pocket_share(faces[j, 0], faces[j, 1], faces[j, 2], faces[j, 3], j, z, row)
        for side in range(2):
            fx, fy = land[i, side, 0], land[i, side, 1]
            land_share(fx, fy, angle[i], inside, (3 + 2 * side) * z, z, row)
        row[7 * z] = speed[i] * speed[i]
