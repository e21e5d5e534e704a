"""Tables in time: straight lines between rows, the last row held; their slope and integral."""

import math

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def row_at(table, time):
    """Row at or before a time, found by halving.

    Parameters
    ----------
    table : ndarray (n, k)
        Rows that begin with a time, rising; n at least 1.
    time : float, s
        Time.

    Returns
    -------
    int
        Row; 0 before the first time.
    """
    low, high = 0, table.shape[0]
    while high - low > 1:
        middle = (low + high) // 2
        if table[middle, 0] <= time:
            low = middle
        else:
            high = middle
    return low


@inline_kernel
def slope_at(table, time, column):
    """Rate of change of a column; 0 behind the last row.

    Parameters
    ----------
    table : ndarray (n, k)
        Rows that begin with a time.
    time : float, s
        Time.
    column : int
        Column.

    Returns
    -------
    float
        Its unit per second.
    """
    i = row_at(table, time)
    if i + 1 == table.shape[0]:
        return 0.0
    return (table[i + 1, column] - table[i, column]) / (table[i + 1, 0] - table[i, 0])


@inline_kernel
def value_at(table, time, column):
    """Value of a column.

    Parameters
    ----------
    table : ndarray (n, k)
        Rows that begin with a time.
    time : float, s
        Time.
    column : int
        Column.

    Returns
    -------
    float
        Value.
    """
    i = row_at(table, time)
    return table[i, column] + slope_at(table, time, column) * (time - table[i, 0])


@inline_kernel
def integral_at(table, time):
    """Integral of column 1 from time 0: that up to the row stands in column 2.

    theta = theta_i + (t - t_i) (omega_i + omega) / 2

    Parameters
    ----------
    table : ndarray (n, 3)
        Rows time, value, integral up to it.
    time : float, s
        Time.

    Returns
    -------
    float
        Unit of the value times s.
    """
    i = row_at(table, time)
    return table[i, 2] + 0.5 * (time - table[i, 0]) * (table[i, 1] + value_at(table, time, 1))


@inline_kernel
def next_corner(course, time):
    """First time behind the present one at which a table bends.

    One that comes within a nanosecond counts as reached: steps end on corners but for rounding.

    Parameters
    ----------
    course : Course
        Tables.
    time : float, s
        Time.

    Returns
    -------
    float
        s; infinity where there is none.
    """
    for i in range(course.torque, course.table.shape[0]):
        if course.table[i, 0] > time + 1e-9:
            return course.table[i, 0]
    return math.inf


@inline_kernel
def first_behind(times, time):
    """First of rising times behind the present one, found by halving.

    One that comes within a nanosecond counts as reached, as in `next_corner`.

    Parameters
    ----------
    times : ndarray (n,), s
        Rising times.
    time : float, s
        Time.

    Returns
    -------
    float
        s; infinity where there is none.
    """
    low, high = 0, times.shape[0]
    while low < high:
        middle = (low + high) // 2
        if times[middle] <= time + 1e-9:
            low = middle + 1
        else:
            high = middle
    return times[low] if low < times.shape[0] else math.inf


@inline_kernel
def corner_margin(time):
    """How far before a corner a step ends, and behind it the next one begins to look.

    Larger than the rounding of a sum of times, so that both sides of a jump are seen as they are;
    the motion does not notice it.

    Parameters
    ----------
    time : float, s
        Time of the corner.

    Returns
    -------
    float
        s.
    """
    return 1e-12 + 1e-15 * time
