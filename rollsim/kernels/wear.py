"""Sums that wear goes with: impulse and friction work of the contacts; greatest smearing measure.

Impulses and works are integrals over time, over each internal step from the contact output at its
beginning, at its end and, by Simpson's rule, in its middle. Order of the sums of Z rollers:
impulses [N s] leading[Z] trailing[Z] base[Z] cover[Z] land base, land cover; then friction works
[J] in the order of the normal forces of the contact output.
"""

from rollsim.kernels.jit import index, inline_kernel, kernel
from rollsim.kernels.layout import force_count, friction_offset, sliding_offset

#: Rules of integration: weights of each end and of `inside`, which the trapezoidal rule leaves out.
SIMPSON = (1.0 / 6.0, 4.0 / 6.0)
TRAPEZOID = (0.5, 0.0)


@inline_kernel
def work_offset(count):
    """First of the friction works among the sums.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 4 * count + 2


@inline_kernel
def sum_count(count):
    """Number of sums.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Count.
    """
    return 12 * count + 4


@inline_kernel
def add_integrals(target, place, work, first, count, weights):
    """target += outer (start + end) + middle inside for a stretch of the contact output.

    Parameters
    ----------
    target : ndarray
        Added to.
    place : int
        First entry of target.
    work : Workspace
        Contact outputs start, inside, end.
    first : int
        First entry of the contact output.
    count : int
        Entries.
    weights : tuple of 2 float, s
        outer and middle.

    Returns
    -------
    None
    """
    start, inside, end = work.start, work.inside, work.end
    outer, middle = weights
    for i in range(count):
        at = index(first + i)
        target[index(place + i)] += outer * (start[at] + end[at]) + middle * inside[at]


@kernel
def add_step(target, work, duration, count, rule):
    """Add the impulses and friction works of a step, or of a linear share of it.

    Parameters
    ----------
    target : ndarray (sum_count,)
        Added to.
    work : Workspace
        Contact outputs start, inside, end.
    duration : float, s
        Length of the step or of the share of it.
    count : int
        Rollers Z.
    rule : tuple of 2 float
        SIMPSON or TRAPEZOID.

    Returns
    -------
    None
    """
    weights = (duration * rule[0], duration * rule[1])
    add_integrals(target, 0, work, 2 * count, 4 * count, weights)
    add_integrals(target, 4 * count, work, 8 * count, 2, weights)
    place, first = work_offset(count), friction_offset(count)
    add_integrals(target, place, work, first, force_count(count), weights)


@inline_kernel
def raise_smearing(target, outputs, count):
    """Raise the greatest Q s^2 of every raceway contact by that of one instant.

    With the pressure p of a line contact going with the root of its force Q, the smearing measure
    p |s| goes with the root of Q s^2 (s: sliding speed); `smearing_channel` in
    `rollsim.simulation.wear_channels` makes it that.

    Parameters
    ----------
    target : ndarray (2 Z,), N m^2/s^2
        Raised: outer[Z] inner[Z].
    outputs : ndarray (output_size,)
        Contact output.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    sliding = sliding_offset(count)
    for i in range(2 * count):
        at = index(i)
        speed = outputs[index(sliding + i)]
        target[at] = max(target[at], outputs[at] * speed * speed)
