"""Working space of the spatial model: one column a roller, one row a quantity.

A loop over the columns of one row after the other vectorises. Rollers are taken in groups that fit
into a fixed space; groups are filled up to whole vectors with copies of their last roller, whose
results nobody reads.
"""

from rollsim.kernels.jit import index, inline_kernel, stack_array
from rollsim.kernels.layout import planar_size
from rollsim.kernels.types import Body

#: Rollers of a group.
GROUP = 32
#: Numbers of a vector: groups are filled up to a multiple of it.
VECTOR = 4
#: Least columns: with fewer the compiler takes a loop with many sums one column at a time.
FEWEST = 16
#: Most slices of a roller that the space holds; the case allows fewer.
MOST_SLICES = 48

body_space = stack_array(len(Body._fields), GROUP)


@inline_kernel
def filled_up(count):
    """Columns of a group with those that fill it up.

    Parameters
    ----------
    count : int
        Rollers of the group.

    Returns
    -------
    int
        The next multiple of a vector.
    """
    return max((count + VECTOR - 1) // VECTOR * VECTOR, FEWEST)


@inline_kernel
def fill_up(rows, count):
    """Copy the last column of a group to those that fill it up.

    Parameters
    ----------
    rows : ndarray (rows, GROUP)
        Working space, written.
    count : int
        Rollers of the group.

    Returns
    -------
    None
    """
    if count > 0:
        for i in range(count, filled_up(count)):
            for row in range(rows.shape[0]):
                rows[index(row), index(i)] = rows[index(row), index(count - 1)]


@inline_kernel
def load_bodies(y, bodies, start, count, rollers):
    """Take the motion of a group of rollers out of the state.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    bodies : ndarray (11, GROUP)
        Motion in the order of `Body`, written.
    start : int
        First roller.
    count : int
        Rollers of the group.
    rollers : int
        Rollers of the bearing, Z.

    Returns
    -------
    None
    """
    z, p = rollers, planar_size(rollers) + start
    _copy(y, start, bodies, 0, count)
    _copy(y, z + start, bodies, 1, count)
    _copy(y, p, bodies, 2, count)
    _copy(y, 2 * z + start, bodies, 3, count)
    _copy(y, 3 * z + start, bodies, 4, count)
    _copy(y, p + 3 * z, bodies, 5, count)
    _copy(y, p + z, bodies, 6, count)
    _copy(y, p + 2 * z, bodies, 7, count)
    _copy(y, p + 4 * z, bodies, 8, count)
    _copy(y, p + 5 * z, bodies, 9, count)
    _copy(y, 4 * z + start, bodies, 10, count)
    fill_up(bodies, count)


@inline_kernel
def _copy(y, place, bodies, row, count):
    """Copy a piece of the state to a row."""
    for i in range(count):
        bodies[index(row), index(i)] = y[index(place + i)]


@inline_kernel
def body_of(bodies, i):
    """Motion of one roller of a group.

    Parameters
    ----------
    bodies : ndarray (11, GROUP)
        As from `load_bodies`.
    i : int
        Column.

    Returns
    -------
    Body
        Motion.
    """
    i = index(i)
    return Body(
        bodies[0, i],
        bodies[1, i],
        bodies[2, i],
        bodies[3, i],
        bodies[4, i],
        bodies[5, i],
        bodies[6, i],
        bodies[7, i],
        bodies[8, i],
        bodies[9, i],
        bodies[10, i],
    )


@inline_kernel
def vector_of(rows, first, i):
    """Three rows of a column as a vector.

    Parameters
    ----------
    rows : ndarray (rows, GROUP)
        Working space.
    first : int
        First of the rows.
    i : int
        Column.

    Returns
    -------
    tuple of 3 float
        The vector.
    """
    return (
        rows[index(first), index(i)],
        rows[index(first + 1), index(i)],
        rows[index(first + 2), index(i)],
    )


@inline_kernel
def put_vector(rows, first, i, vector):
    """Write a vector to three rows of a column.

    Parameters
    ----------
    rows : ndarray (rows, GROUP)
        Working space, written.
    first : int
        First of the rows.
    i : int
        Column.
    vector : tuple of 3 float
        The vector.

    Returns
    -------
    None
    """
    rows[index(first), index(i)] = vector[0]
    rows[index(first + 1), index(i)] = vector[1]
    rows[index(first + 2), index(i)] = vector[2]


@inline_kernel
def put_force(forces, i, force, moment):
    """Write force and moment on a roller to its column.

    Parameters
    ----------
    forces : ndarray (at least 6 rows, GROUP)
        Written.
    i : int
        Column.
    force : tuple of 3 float
        N.
    moment : tuple of 3 float
        About the roller's centre, N m.

    Returns
    -------
    None
    """
    put_vector(forces, 0, i, force)
    put_vector(forces, 3, i, moment)
