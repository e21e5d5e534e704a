"""Maxima of contact forces and contact episodes, caught at every internal step."""

import math
from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import float_bits, float_from_bits, index, inline_kernel, kernel

#: Share of the greatest pocket force so far from which a step is looked at closely.
CLOSE_LOOK = 0.05


class Recorder(NamedTuple):
    """Arrays that outlive a block of steps.

    maxima (force_count,): greatest forces of the current output interval; top (force_count,):
    greatest forces of the step at hand; tracker (4 Z + 2, 6):
    open flag, start [s], peak [N], impulse [N s], approach speed [m/s], azimuth [rad] of every
    pocket face and land; threshold [N] of an episode; sums (sum_count,): impulses and friction
    works since the start of the run, smearing (2 Z,): greatest Q s^2 of the current output
    interval, both as in `wear`.
    """

    maxima: np.ndarray
    top: np.ndarray
    tracker: np.ndarray
    threshold: float
    sums: np.ndarray
    smearing: np.ndarray


@inline_kernel
def parabola_peak(first, middle, last):
    """Greatest value of the parabola through three equally spaced values within their span.

    Without a branch, so that a loop over contacts vectorises.

    Parameters
    ----------
    first : float
        Value at the beginning.
    middle : float
        Value in the middle.
    last : float
        Value at the end.

    Returns
    -------
    float
        The vertex when the middle is the greatest of the three, else the greatest.
    """
    edge = max(first, last)
    bend = max(2.0 * middle - first - last, 1e-300)
    tilt = last - first
    vertex = middle + tilt * tilt / (8.0 * bend)
    return vertex if middle > edge else edge


@kernel
def step_tops(work, recorder, count):
    """Greatest force of every contact in a step, from its beginning, middle and end.

    Parameters
    ----------
    work : Workspace
        Contact outputs start, inside, end.
    recorder : Recorder
        top, written.
    count : int
        Number of forces.

    Returns
    -------
    None
    """
    top = recorder.top
    start, inside, end = work.start, work.inside, work.end
    for i in range(index(count)):
        top[i] = parabola_peak(start[i], inside[i], end[i])


@kernel
def tops_so_far(step, previous, work, recorder, count):
    """Greatest force of every contact up to the end of a step whose middle is not known.

    The parabola through the ends of this step and of the one before has its vertex between them
    where the value between is the greatest: a peak is seen when the force has begun to fall.

    Parameters
    ----------
    step : float, s
        Length h of this step.
    previous : float, s
        Length g of the step before.
    work : Workspace
        Contact outputs inside (at the beginning of the step before), start, end.
    recorder : Recorder
        top, written.
    count : int
        Number of forces.

    Returns
    -------
    None
    """
    top = recorder.top
    before, start, end = work.inside, work.start, work.end
    by_step, by_previous, by_both = 1.0 / step, 1.0 / previous, 1.0 / (step + previous)
    share, rest = previous * by_both, step * by_both
    for i in range(index(count)):
        rise = (start[i] - before[i]) * by_previous
        fall = (start[i] - end[i]) * by_step
        tilt = rest * rise - share * fall
        bend = max((rise + fall) * by_both, 1e-300)
        edge = max(start[i], end[i])
        vertex = start[i] + tilt * tilt / (4.0 * bend)
        top[i] = vertex if start[i] > max(before[i], end[i]) else edge


@inline_kernel
def raise_tops(forces, recorder, count):
    """Raise the greatest forces of a step by those at one more instant in it.

    Parameters
    ----------
    forces : ndarray (output_size,)
        Contact output there.
    recorder : Recorder
        top, raised.
    count : int
        Number of forces.

    Returns
    -------
    None
    """
    top = recorder.top
    for i in range(index(count)):
        top[i] = max(top[i], forces[i])


@inline_kernel
def wants_close_look(work, recorder, count, largest):
    """Tell whether a pocket force that is among the great ones of the run peaks in this step.

    Films and impacts rise within microseconds. A peak is near where the parabola through the
    beginning, the middle and the end of the step has its vertex in the step or within a quarter of
    it outside. Such a step is looked at more closely when the force passes a twentieth of the
    greatest so far.

    Parameters
    ----------
    work : Workspace
        Contact outputs start, inside, end.
    recorder : Recorder
        top.
    count : int
        Rollers Z.
    largest : float, N
        Greatest pocket force so far.

    Returns
    -------
    bool
        True for a close look.
    """
    top = recorder.top
    start, inside, end = work.start, work.inside, work.end
    wanted = False
    for i in range(2 * count, 6 * count):
        if top[i] > CLOSE_LOOK * largest:
            first = inside[i] - start[i]
            second = end[i] - inside[i]
            if abs(first + second) <= 3.0 * (first - second):
                wanted = True
    return wanted


@kernel
def catch_maxima(recorder, roller_count, count):
    """Fold the greatest forces of a step into the running maxima.

    Parameters
    ----------
    recorder : Recorder
        top given; maxima written.
    roller_count : int
        Rollers Z.
    count : int
        Number of forces.

    Returns
    -------
    float
        Greatest pocket force of the step, N.
    """
    maxima, top = recorder.maxima, recorder.top
    for i in range(index(count)):
        maxima[i] = max(maxima[i], top[i])
    greatest = 0
    for i in range(2 * roller_count, 6 * roller_count):
        # Numbers that are not negative rank like their bit patterns, which vectorises.
        greatest = max(greatest, float_bits(top[index(i)]))
    return float_from_bits(greatest)


@inline_kernel
def contact_azimuth(index, count, work):
    """Orbit position of the roller of a pocket contact, or direction of a land force.

    Parameters
    ----------
    index : int
        Tracked contact: 4 Z pocket faces, then two lands.
    count : int
        Rollers Z.
    work : Workspace
        State and outputs at the end of the step.

    Returns
    -------
    float
        rad, -pi to pi.
    """
    if index < 4 * count:
        j = index % count
        return math.atan2(work.trial[count + j], work.trial[j])
    land = index - 4 * count
    return math.atan2(work.end[8 * count + 4 + land], work.end[8 * count + 2 + land])


@inline_kernel
def tracked_force(index, count):
    """Position of the force of a tracked contact in the contact output.

    Parameters
    ----------
    index : int
        Tracked contact.
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 2 * count + index if index < 4 * count else 4 * count + index


@kernel
def track_episodes(span, count, work, recorder, table, rows, rule):
    """Follow the contact episodes of all pocket faces and lands through one step.

    An episode begins when the force passes the threshold and ends when it falls below it.

    Parameters
    ----------
    span : tuple of 2 float, s
        Beginning and length of the step.
    count : int
        Rollers Z.
    work : Workspace
        State and contact outputs.
    recorder : Recorder
        Tracker, written.
    table : ndarray (capacity, 8)
        Finished episodes: roller, face, start, duration, peak, impulse, approach, azimuth.
    rows : int
        Rows in use; the caller keeps room for one row a contact.
    rule : tuple of 2 float
        SIMPSON or TRAPEZOID of `wear`.

    Returns
    -------
    int
        Rows in use afterwards.
    """
    time, step = span
    limit = recorder.threshold
    item = recorder.tracker
    start, inside, end = work.start, work.inside, work.end
    for i in range(4 * count + 2):
        at = index(tracked_force(i, count))
        if recorder.top[at] < limit and item[index(i), index(0)] == 0.0:
            continue
        first = start[at]
        middle = inside[at]
        last = end[at]
        if item[i, 0] == 0.0:
            speed = 8 * count + 7 + i
            item[i, 0] = 1.0
            item[i, 1] = time
            item[i, 2] = 0.0
            item[i, 3] = 0.0
            # A wedge film may carry while its surfaces part: no approach then.
            item[i, 4] = max(0.0, max(start[speed], max(inside[speed], end[speed])))
        item[i, 3] += step * (rule[0] * (first + last) + rule[1] * middle)
        peak = recorder.top[at]
        if peak > item[i, 2]:
            item[i, 2] = peak
            item[i, 5] = contact_azimuth(i, count, work)
        if last < limit:
            land = i >= 4 * count
            table[rows, 0] = -1.0 if land else i % count
            table[rows, 1] = 4 + i - 4 * count if land else i // count
            table[rows, 2] = item[i, 1]
            table[rows, 3] = time + step - item[i, 1]
            for column in range(4):
                table[rows, 4 + column] = item[i, 2 + column]
            rows += 1
            item[i, 0] = 0.0
    return rows
