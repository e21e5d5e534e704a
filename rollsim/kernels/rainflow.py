"""Rainflow counting after ASTM E1049-85 as a stream, summing the damage of its cycles on the way.

A stream keeps, for every stress history, the turning points that are not yet part of a closed
cycle (the residue, `stack`) and four numbers (`state`: depth of the residue, 1 once a value came,
last value, direction of the last change). Feeding a history in pieces gives the cycles that the
whole history gives; `close_stream` counts what is left as half cycles.
"""

import math

import numpy as np

from rollsim.kernels.cycle_damage import sum_damage
from rollsim.kernels.jit import allocating_kernel, index, inline_kernel, kernel

#: Room for turning points. The residue of a real history is some tens of points long; should it
#: ever outgrow this, its oldest range is counted as a half cycle.
STACK_SIZE = 256
STATE_SIZE = 4
DEPTH, STARTED, LAST, DIRECTION = range(STATE_SIZE)
#: Values that are worked on at a time: they stay in the nearest cache.
CHUNK = 2048


@inline_kernel
def write_cycle(cycles, filled, start, end, count):
    """Write one cycle between two turning points: range, mean, count.

    Parameters
    ----------
    cycles : array (n, 3), Pa, Pa, -
        Receives the cycle.
    filled : int
        Cycles written before.
    start : float, Pa
        First turning point.
    end : float, Pa
        Second turning point.
    count : float
        1 for a cycle, 0.5 for half a cycle.

    Returns
    -------
    int
        Cycles written now.
    """
    place = index(filled)
    cycles[place, 0] = abs(end - start)
    cycles[place, 1] = 0.5 * (start + end)
    cycles[place, 2] = count
    return filled + 1


@inline_kernel
def push_turning_point(value, stack, depth, cycles, filled):
    """Add a turning point to the residue and take out the cycles that it closes.

    ASTM E1049-85, 5.4.4: with X the last range and Y the one before, count Y when X >= Y: as half
    a cycle if it holds the start of the residue, else as a cycle.

    Parameters
    ----------
    value : float, Pa
        Turning point.
    stack : array, Pa
        Residue, changed.
    depth : int
        Points in it.
    cycles : array (n, 3), Pa, Pa, -
        Receives closed cycles.
    filled : int
        Cycles written before.

    Returns
    -------
    depth : int
        Points in the residue now.
    filled : int
        Cycles written now.
    """
    if depth == stack.size:
        filled = write_cycle(cycles, filled, stack[0], stack[1], 0.5)
        for k in range(1, depth):
            stack[k - 1] = stack[k]
        depth -= 1
    while depth >= 2:
        top, below = stack[index(depth - 1)], stack[index(depth - 2)]
        if abs(value - top) < abs(top - below):
            break
        if depth == 2:
            filled = write_cycle(cycles, filled, below, top, 0.5)
            stack[0] = top
            depth = 1
            break
        filled = write_cycle(cycles, filled, below, top, 1.0)
        depth -= 2
    stack[index(depth)] = value
    return depth + 1, filled


@inline_kernel
def find_turns(series, first, count, state, turns):
    """Turning points of a piece; a value turns when the next one goes the other way.

    Free of branches on the values: noise has a turn at two values of three, which no processor
    foresees.

    Parameters
    ----------
    series : array, Pa
        Values in order of time.
    first : int
        Where the piece begins.
    count : int
        Its length.
    state : array (4,)
        Last value and direction, changed.
    turns : array (count + 1,), Pa
        Receives the turning points.

    Returns
    -------
    int
        Turning points found.
    """
    last, way = state[LAST], state[DIRECTION]
    found = 0
    for k in range(index(first), index(first + count)):
        value = series[k]
        change = value - last
        turns[index(found)] = last
        found += 1 if change * way < 0.0 else 0
        way = way if change == 0.0 else math.copysign(1.0, change)
        last = value
    state[LAST], state[DIRECTION] = last, way
    return found


@inline_kernel
def begin_stream(value, stack, state):
    """Take the first value of a history as the start of its residue.

    Parameters
    ----------
    value : float, Pa
        First value.
    stack : array, Pa
        Residue, changed.
    state : array (4,)
        State of the stream, changed.
    """
    stack[0] = value
    state[DEPTH], state[STARTED], state[LAST], state[DIRECTION] = 1.0, 1.0, value, 0.0


@allocating_kernel
def feed_stream(series, stack, state, cycles):
    """Feed a piece of a history.

    Parameters
    ----------
    series : array, Pa
        Values in order of time.
    stack : array, Pa
        Residue, changed.
    state : array (4,)
        State of the stream, changed.
    cycles : array (n, 3), Pa, Pa, -
        Receives closed cycles; room for len(series) + len(stack) is always enough.

    Returns
    -------
    int
        Cycles written.
    """
    if series.size == 0:
        return 0
    if state[STARTED] == 0.0:
        begin_stream(series[0], stack, state)
    turns = np.empty(CHUNK + 1)
    depth, filled = int(state[DEPTH]), 0
    for first in range(0, series.size, CHUNK):
        found = find_turns(series, first, min(CHUNK, series.size - first), state, turns)
        for k in range(found):
            depth, filled = push_turning_point(turns[k], stack, depth, cycles, filled)
    state[DEPTH] = depth
    return filled


@kernel
def close_stream(stack, state, cycles):
    """End a history: its last value turns, the residue is counted as half cycles; start anew.

    Parameters
    ----------
    stack : array, Pa
        Residue, changed.
    state : array (4,)
        State of the stream, set back.
    cycles : array (n, 3), Pa, Pa, -
        Receives the cycles; room for 2 len(stack) is always enough.

    Returns
    -------
    int
        Cycles written.
    """
    depth, filled = int(state[DEPTH]), 0
    if state[DIRECTION] != 0.0:
        depth, filled = push_turning_point(state[LAST], stack, depth, cycles, filled)
    for k in range(1, depth):
        filled = write_cycle(cycles, filled, stack[k - 1], stack[k], 0.5)
    state[:] = 0.0
    return filled


@allocating_kernel
def feed_points(forces, coefficients, static, line, stacks, states, totals):
    """Feed section forces to the streams of all points of a section; sum their damage.

    Parameters
    ----------
    forces : array (n, 3), N, N m, N m
        Axial force and two moments in order of time.
    coefficients : array (points, 3), Pa/N, Pa/(N m), Pa/(N m)
        Stress for one unit of each.
    static : array (points,), Pa
        Constant stress (preload) of every point.
    line : tuple of seven
        See `rollsim.kernels.cycle_damage.cycle_damage`.
    stacks : array (points, STACK_SIZE), Pa
        Residues, changed.
    states : array (points, 4)
        States, changed.
    totals : array (points, 3)
        Damage, least and largest stress in Pa without the constant part; changed.
    """
    series, turns = np.empty(CHUNK), np.empty(CHUNK + 1)
    cycles, room = np.empty((CHUNK + stacks.shape[1], 3)), np.empty(CHUNK + stacks.shape[1])
    for p in range(coefficients.shape[0]):
        a, b, c = coefficients[p, 0], coefficients[p, 1], coefficients[p, 2]
        low, high = totals[p, 1], totals[p, 2]
        for first in range(0, forces.shape[0], CHUNK):
            count = min(CHUNK, forces.shape[0] - first)
            own = forces[first : first + count]
            for k in range(index(count)):
                series[k] = a * own[k, 0] + b * own[k, 1] + c * own[k, 2]
            if states[p, STARTED] == 0.0:
                begin_stream(series[0], stacks[p], states[p])
            found = find_turns(series, 0, count, states[p], turns)
            # Extremes stand at turning points, at the first value or at the last.
            turns[found] = series[count - 1]
            low, high = min(low, series[0]), max(high, series[0])
            depth, filled = int(states[p, DEPTH]), 0
            for k in range(found):
                low, high = min(low, turns[k]), max(high, turns[k])
                depth, filled = push_turning_point(turns[k], stacks[p], depth, cycles, filled)
            states[p, DEPTH] = depth
            low, high = min(low, turns[found]), max(high, turns[found])
            totals[p, 0] += sum_damage(cycles, filled, static[p], line, room)
        totals[p, 1], totals[p, 2] = low, high


@allocating_kernel
def close_points(static, line, stacks, states, totals):
    """End the streams of all points of a section and add the damage of their residues.

    Parameters
    ----------
    static : array (points,), Pa
        Constant stress (preload) of every point.
    line : tuple of seven
        See `rollsim.kernels.cycle_damage.cycle_damage`.
    stacks : array (points, STACK_SIZE), Pa
        Residues, changed.
    states : array (points, 4)
        States, set back.
    totals : array (points, 3)
        Damage is added to the first column.
    """
    cycles, room = np.empty((2 * stacks.shape[1], 3)), np.empty(2 * stacks.shape[1])
    for p in range(stacks.shape[0]):
        filled = close_stream(stacks[p], states[p], cycles)
        totals[p, 0] += sum_damage(cycles, filled, static[p], line, room)


@kernel
def bin_cycles(cycles, filled, table, limits):
    """Sort cycles into a table of range and mean; every field keeps the sums of its cycles.

    Parameters
    ----------
    cycles : array (n, 3), Pa, Pa, -
        Range, mean, count.
    filled : int
        Cycles in use.
    table : array (ranges, means, 3)
        Count, count times range, count times mean; changed.
    limits : array (3,), Pa
        Largest range, least and largest mean.
    """
    ranges, means = table.shape[0], table.shape[1]
    width = limits[2] - limits[1]
    for k in range(filled):
        i = int(cycles[k, 0] / limits[0] * ranges) if limits[0] > 0.0 else 0
        j = int((cycles[k, 1] - limits[1]) / width * means) if width > 0.0 else 0
        i, j = min(max(i, 0), ranges - 1), min(max(j, 0), means - 1)
        table[i, j, 0] += cycles[k, 2]
        table[i, j, 1] += cycles[k, 2] * cycles[k, 0]
        table[i, j, 2] += cycles[k, 2] * cycles[k, 1]
