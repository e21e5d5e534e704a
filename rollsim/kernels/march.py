"""March through time in compiled code: adaptive steps, samples on the output grid, maxima."""

import math
from enum import IntEnum
from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.record import catch_maxima, track_episodes
from rollsim.kernels.rhs import active_size, rhs
from rollsim.kernels.step import advance_stages, forces_inside


class Status(IntEnum):
    """Why a march came back."""

    BUDGET = 0
    SAMPLES_FULL = 1
    END_REACHED = 2
    EPISODES_FULL = 3
    NON_FINITE = 4
    STEP_COLLAPSED = 5


class Clock(IntEnum):
    """Entries of the clock array: everything of the integrator that is not a state."""

    TIME = 0
    STEP = 1
    ERROR = 2
    STEPS = 3
    REJECTED = 4
    EVALUATIONS = 5
    NEXT_SAMPLE = 6
    BAD_ENTRY = 7
    LAST_STEP = 8


CLOCK_SIZE = len(Clock)
_BUDGET = int(Status.BUDGET)
_SAMPLES = int(Status.SAMPLES_FULL)
_END = int(Status.END_REACHED)
_EPISODES = int(Status.EPISODES_FULL)
_BAD = int(Status.NON_FINITE)
_COLLAPSED = int(Status.STEP_COLLAPSED)


class Limits(NamedTuple):
    """Bounds of a march: end time [s], longest and shortest step [s], number of steps."""

    end: float
    longest: float
    shortest: float
    budget: int


class Grid(NamedTuple):
    """Output grid and its buffers for one block.

    Sample i (counted from 0 over the whole run) stands at i * interval. first is the sample in
    row 0 of the buffers, rows the number asked for; the buffers states (capacity, state_size),
    outputs (capacity, output_size) and maxima (capacity, force_count) have room for the samples
    of one longest step more.
    """

    interval: float
    first: int
    rows: int
    states: np.ndarray
    outputs: np.ndarray
    maxima: np.ndarray


@kernel
def first_stage(clock, work, model):
    """Evaluate the right-hand side at the current state, as the step expects it.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time.
    work : Workspace
        y given; k[0] and start written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    rhs(clock[0], work.y, work.k[0], work.start, model)
    clock[5] += 1.0


@inline_kernel
def next_factor(error, previous):
    """Factor for the next step length by proportional-integral control, 0.2 to 5.

    h' = h 0.9 err^(-0.7/5) err_prev^(0.4/5); Hairer, Norsett and Wanner I, section IV.2 in II.

    Parameters
    ----------
    error : float
        Error norm of this step.
    previous : float
        Error norm of the step before.

    Returns
    -------
    float
        Factor.
    """
    if error <= 1e-12:
        return 5.0
    factor = 0.9 * math.exp(0.08 * math.log(previous) - 0.14 * math.log(error))
    return min(5.0, max(0.2, factor))


@inline_kernel
def first_bad(values, count):
    """Index of the first non-finite value.

    Parameters
    ----------
    values : ndarray
        Values.
    count : int
        How many to look at.

    Returns
    -------
    int
        Index, or -1.
    """
    for i in range(count):
        if not math.isfinite(values[i]):
            return i
    return -1


@kernel
def try_step(clock, limits, work, model):
    """Make one accepted step; the state is left at its beginning, `trial` at its end.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time and step proposal; counters, proposal and error memory are written.
    limits : Limits
        Bounds.
    work : Workspace
        Arrays.
    model : Model
        Constants.

    Returns
    -------
    step : float
        Length of the accepted step, s; 0 on failure.
    status : int
        BUDGET when all is well, else NON_FINITE or STEP_COLLAPSED.
    """
    time = clock[0]
    step = min(clock[1], limits.longest)
    rejected = False
    while True:
        step = min(step, limits.end - time)
        error = advance_stages(time, step, work, model)
        clock[5] += 6.0
        if error <= 1.0:
            break
        clock[4] += 1.0
        if math.isfinite(error):
            step *= max(0.2, 0.9 * math.exp(-0.2 * math.log(error)))
        else:
            step *= 0.1
        rejected = True
        if step < limits.shortest:
            bad = first_bad(work.k[6], active_size(model))
            clock[7] = bad
            return 0.0, _BAD if bad >= 0 else _COLLAPSED
    factor = next_factor(error, max(clock[2], 1e-4))
    if rejected:
        factor = min(factor, 1.0)
    clock[1] = min(limits.longest, step * factor)
    clock[2] = error
    clock[3] += 1.0
    clock[8] = step
    return step, _BUDGET


@inline_kernel
def emit_samples(time, step, clock, grid, work, recorder, model):
    """Write every output sample that lies in the step; maxima go to the first of them.

    Parameters
    ----------
    time : float, s
        Beginning of the step.
    step : float, s
        Its length.
    clock : ndarray (CLOCK_SIZE,)
        Next sample, advanced.
    grid : Grid
        Buffers, written.
    work : Workspace
        Arrays.
    recorder : Recorder
        Running maxima, reset at each sample.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    forces = grid.maxima.shape[1]
    while True:
        at = clock[6] * grid.interval
        # The sample at the very end of a run may lie a rounding error behind the last step.
        if at > time + step + 1e-12:
            return
        row = int(clock[6]) - grid.first
        x = min(max((at - time) / step, 0.0), 1.0)
        state = grid.states[row]
        forces_inside(x, at, step, work, model, state, grid.outputs[row])
        for i in range(forces):
            grid.maxima[row, i] = max(recorder.maxima[i], grid.outputs[row, i])
            recorder.maxima[i] = work.end[i]
        clock[6] += 1.0


@inline_kernel
def accept(clock, step, work, model):
    """Make the end of the step the new beginning.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time, advanced.
    step : float, s
        Length of the step.
    work : Workspace
        Arrays; y, k[0] and start are overwritten.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    y, trial, k, start, end = work.y, work.trial, work.k, work.start, work.end
    for i in range(active_size(model)):
        y[i] = trial[i]
        k[0, i] = k[6, i]
    for i in range(start.shape[0]):
        start[i] = end[i]
    clock[0] += step


@kernel
def march(clock, limits, grid, work, recorder, table, model):
    """Advance until the buffers are full, the end or the budget is reached, or a step fails.

    The march leaves the integrator where it is, usually a little past the last sample, and takes
    it up there again: results do not depend on the size of a block.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time, step, counters.
    limits : Limits
        Bounds.
    grid : Grid
        Output grid and buffers.
    work : Workspace
        Arrays of the integration.
    recorder : Recorder
        Running maxima and episodes.
    table : ndarray (capacity, 8)
        Finished episodes.
    model : Model
        Constants.

    Returns
    -------
    status : int
        A member of `Status`.
    rows : int
        Rows of the episode table in use.
    """
    count = model.count
    forces = grid.maxima.shape[1]
    rows = 0
    margin = 4 * count + 2
    for _ in range(limits.budget):
        time = clock[0]
        if time >= limits.end:
            return _END, rows
        if rows + margin > table.shape[0]:
            return _EPISODES, rows
        if int(clock[6]) - grid.first >= grid.rows:
            return _SAMPLES, rows
        step, failure = try_step(clock, limits, work, model)
        if failure != _BUDGET:
            return failure, rows
        forces_inside(0.5, time + 0.5 * step, step, work, model, work.probe, work.inside)
        clock[5] += 1.0
        catch_maxima(work, recorder, forces)
        rows = track_episodes(time, step, count, work, recorder, table, rows)
        emit_samples(time, step, clock, grid, work, recorder, model)
        accept(clock, step, work, model)
    return _BUDGET, rows


class Trail(NamedTuple):
    """Internal steps of a block for dense output: beginnings, lengths, states and stages."""

    times: np.ndarray
    steps: np.ndarray
    states: np.ndarray
    stages: np.ndarray


@kernel
def march_trail(clock, limits, work, trail, model):
    """Advance a number of steps without recording, keeping them for dense output.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time, step, counters.
    limits : Limits
        Bounds; the budget is at most the length of the trail.
    work : Workspace
        Arrays of the integration.
    trail : Trail
        Written.
    model : Model
        Constants.

    Returns
    -------
    status : int
        A member of `Status`.
    used : int
        Steps made.
    """
    n = active_size(model)
    for used in range(limits.budget):
        if clock[0] >= limits.end:
            return _END, used
        time = clock[0]
        step, failure = try_step(clock, limits, work, model)
        if failure != _BUDGET:
            return failure, used
        trail.times[used] = time
        trail.steps[used] = step
        for i in range(n):
            trail.states[used, i] = work.y[i]
            for q in range(7):
                trail.stages[used, q, i] = work.k[q, i]
        accept(clock, step, work, model)
    return _BUDGET, limits.budget
