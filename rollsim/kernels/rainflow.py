"""Rainflow counting after ASTM E1049-85 as a stream, and the damage of its cycles.

A stream keeps, for every stress history, the turning points that are not yet part of a closed
cycle (the residue, `stack`) and four numbers (`state`: depth of the residue, 1 once a value came,
last value, direction of the last change). Feeding a history in pieces gives the cycles that the
whole history gives; `close_stream` counts what is left as half cycles.
"""

import numpy as np

from rollsim.kernels.jit import allocating_kernel, inline_kernel, kernel

#: Room for turning points. The residue of a real history is some tens of points long; should it
#: ever outgrow this, its oldest range is counted as a half cycle.
STACK_SIZE = 256
STATE_SIZE = 4
DEPTH, STARTED, LAST, DIRECTION = range(STATE_SIZE)
#: Codes of the mean stress laws.
NO_MEAN, GOODMAN, GERBER = range(3)


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
    cycles[filled, 0] = abs(end - start)
    cycles[filled, 1] = 0.5 * (start + end)
    cycles[filled, 2] = count
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
    stack[depth] = value
    depth += 1
    while depth >= 3:
        last = abs(stack[depth - 1] - stack[depth - 2])
        before = abs(stack[depth - 2] - stack[depth - 3])
        if last < before:
            break
        if depth == 3:
            filled = write_cycle(cycles, filled, stack[0], stack[1], 0.5)
            stack[0] = stack[1]
            stack[1] = stack[2]
            depth = 2
        else:
            filled = write_cycle(cycles, filled, stack[depth - 3], stack[depth - 2], 1.0)
            stack[depth - 3] = stack[depth - 1]
            depth -= 2
    return depth, filled


@kernel
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
    depth, filled = int(state[DEPTH]), 0
    last, direction = state[LAST], state[DIRECTION]
    started = state[STARTED] > 0.0
    for value in series:
        if not started:
            started = True
            stack[0] = value
            depth = 1
            last = value
            continue
        if value == last:
            continue
        way = 1.0 if value > last else -1.0
        if way * direction < 0.0:
            depth, filled = push_turning_point(last, stack, depth, cycles, filled)
        last = value
        direction = way
    state[DEPTH], state[LAST], state[DIRECTION] = depth, last, direction
    state[STARTED] = 1.0 if started else 0.0
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


@inline_kernel
def equivalent_amplitude(amplitude, mean, ultimate, law):
    """Amplitude at zero mean stress that does the same damage.

    Goodman: S_a / (1 - S_m/S_u); Gerber: S_a / (1 - (S_m/S_u)^2). Compression earns no credit
    (S_m <= 0 gives S_a). Infinite from S_m = S_u on. Source: Shigley, Mechanical Engineering
    Design, fluctuating stresses.

    Parameters
    ----------
    amplitude : float, Pa
        Stress amplitude S_a.
    mean : float, Pa
        Mean stress S_m.
    ultimate : float, Pa
        Ultimate tensile strength S_u.
    law : int
        NO_MEAN, GOODMAN or GERBER.

    Returns
    -------
    float
        Pa.
    """
    if law == NO_MEAN or mean <= 0.0:
        return amplitude
    share = mean / ultimate
    if law == GERBER:
        share = share * share
    if share >= 1.0:
        return np.inf
    return amplitude / (1.0 - share)


@inline_kernel
def cycle_damage(stress_range, mean, line):
    """Share of life that one cycle uses up, 1/N on an S-N line with a knee.

    N = N_k (S_k/S)^k for S >= S_k, N_k (S_k/S)^k' below.

    Parameters
    ----------
    stress_range : float, Pa
        Range, twice the amplitude.
    mean : float, Pa
        Mean stress.
    line : tuple of six
        S_k in Pa, N_k, slope k, slope k' beyond the knee, ultimate strength in Pa, code of the
        mean stress law.

    Returns
    -------
    float
        1/N.
    """
    strength, knee, slope, beyond, ultimate, law = line
    amplitude = equivalent_amplitude(0.5 * stress_range, mean, ultimate, law)
    share = amplitude / strength
    if share <= 0.0:
        return 0.0
    return share ** (slope if share >= 1.0 else beyond) / knee


@inline_kernel
def sum_damage(cycles, filled, static, line):
    """Miner sum of counted cycles.

    Parameters
    ----------
    cycles : array (n, 3), Pa, Pa, -
        Range, mean, count.
    filled : int
        Cycles in use.
    static : float, Pa
        Constant stress (preload) added to every mean.
    line : tuple of six
        See `cycle_damage`.

    Returns
    -------
    float
        Sum of count/N.
    """
    total = 0.0
    for k in range(filled):
        total += cycles[k, 2] * cycle_damage(cycles[k, 0], cycles[k, 1] + static, line)
    return total


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
    line : tuple of six
        See `cycle_damage`.
    stacks : array (points, STACK_SIZE), Pa
        Residues, changed.
    states : array (points, 4)
        States, changed.
    totals : array (points, 3)
        Damage, least and largest stress in Pa without the constant part; changed.
    """
    series = np.empty(forces.shape[0])
    cycles = np.empty((forces.shape[0] + stacks.shape[1], 3))
    for p in range(coefficients.shape[0]):
        a, b, c = coefficients[p, 0], coefficients[p, 1], coefficients[p, 2]
        low, high = totals[p, 1], totals[p, 2]
        for k in range(forces.shape[0]):
            value = a * forces[k, 0] + b * forces[k, 1] + c * forces[k, 2]
            series[k] = value
            low = min(low, value)
            high = max(high, value)
        filled = feed_stream(series, stacks[p], states[p], cycles)
        totals[p, 0] += sum_damage(cycles, filled, static[p], line)
        totals[p, 1], totals[p, 2] = low, high


@allocating_kernel
def close_points(static, line, stacks, states, totals):
    """End the streams of all points of a section and add the damage of their residues.

    Parameters
    ----------
    static : array (points,), Pa
        Constant stress (preload) of every point.
    line : tuple of six
        See `cycle_damage`.
    stacks : array (points, STACK_SIZE), Pa
        Residues, changed.
    states : array (points, 4)
        States, set back.
    totals : array (points, 3)
        Damage is added to the first column.
    """
    cycles = np.empty((2 * stacks.shape[1], 3))
    for p in range(stacks.shape[0]):
        filled = close_stream(stacks[p], states[p], cycles)
        totals[p, 0] += sum_damage(cycles, filled, static[p], line)


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
