"""Maxima of contact forces and contact episodes, caught at every internal step."""

import math
from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import inline_kernel, kernel


class Recorder(NamedTuple):
    """Arrays that outlive a block of steps.

    maxima (force_count,): greatest forces of the current output interval; tracker (4 Z + 2, 6):
    open flag, start [s], peak [N], impulse [N s], approach speed [m/s], azimuth [rad] of every
    pocket face and land; threshold [N] of an episode.
    """

    maxima: np.ndarray
    tracker: np.ndarray
    threshold: float


@inline_kernel
def parabola_peak(first, middle, last):
    """Greatest value of the parabola through three equally spaced values within their span.

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
        The vertex when it lies inside and is a maximum, else the greatest of the three.
    """
    top = max(first, max(middle, last))
    bend = 2.0 * middle - first - last
    tilt = last - first
    if middle < top or bend <= 0.0 or abs(tilt) >= 2.0 * bend:
        return top
    return middle + tilt * tilt / (8.0 * bend)


@kernel
def catch_maxima(work, recorder, count):
    """Fold the forces at beginning, middle and end of a step into the running maxima.

    Parameters
    ----------
    work : Workspace
        Contact outputs start, inside, end.
    recorder : Recorder
        maxima, written.
    count : int
        Number of forces.

    Returns
    -------
    None
    """
    maxima = recorder.maxima
    for i in range(count):
        a = work.start[i]
        b = work.inside[i]
        c = work.end[i]
        # The vertex of the parabola matters only where the middle is on top.
        bend = 2.0 * b - a - c
        top = max(a, max(b, c))
        if b >= top and bend > 0.0:
            top = b + (c - a) * (c - a) / (8.0 * bend)
        maxima[i] = max(maxima[i], top)


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
def track_episodes(time, step, count, work, recorder, table, rows):
    """Follow the contact episodes of all pocket faces and lands through one step.

    An episode begins when the force passes the threshold and ends when it falls below it.

    Parameters
    ----------
    time : float, s
        Beginning of the step.
    step : float, s
        Its length.
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

    Returns
    -------
    int
        Rows in use afterwards.
    """
    limit = recorder.threshold
    for i in range(4 * count + 2):
        at = tracked_force(i, count)
        first = work.start[at]
        middle = work.inside[at]
        last = work.end[at]
        item = recorder.tracker[i]
        if item[0] == 0.0:
            if first < limit and middle < limit and last < limit:
                continue
            speed = 8 * count + 7 + i
            item[0] = 1.0
            item[1] = time
            item[2] = 0.0
            item[3] = 0.0
            item[4] = max(work.start[speed], max(work.inside[speed], work.end[speed]))
        item[3] += step / 6.0 * (first + 4.0 * middle + last)
        peak = parabola_peak(first, middle, last)
        if peak > item[2]:
            item[2] = peak
            item[5] = contact_azimuth(i, count, work)
        if last < limit:
            land = i >= 4 * count
            table[rows, 0] = -1.0 if land else i % count
            table[rows, 1] = 4 + i - 4 * count if land else i // count
            table[rows, 2] = item[1]
            table[rows, 3] = time + step - item[1]
            table[rows, 4] = item[2]
            table[rows, 5] = item[3]
            table[rows, 6] = item[4]
            table[rows, 7] = item[5]
            rows += 1
            item[0] = 0.0
    return rows
