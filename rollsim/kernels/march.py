"""March through time in compiled code: adaptive steps, samples on the output grid, maxima."""

from typing import NamedTuple

import numpy as np

from rollsim.kernels.control import Status, accept, try_step
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.modes import advance_modes, push_modes, sample_modes
from rollsim.kernels.record import (
    catch_maxima,
    raise_tops,
    step_tops,
    track_episodes,
    wants_close_look,
)
from rollsim.kernels.rhs import active_size, rhs
from rollsim.kernels.step import forces_inside
from rollsim.kernels.wear import SIMPSON, add_step, raise_smearing

_BUDGET = int(Status.BUDGET)
_SAMPLES = int(Status.SAMPLES_FULL)
_END = int(Status.END_REACHED)
_EPISODES = int(Status.EPISODES_FULL)
#: Parts of a step at whose ends forces are looked at when a pocket force is great.
CLOSE_INTERVALS = 8


class Grid(NamedTuple):
    """Output grid and its buffers for one block.

    Sample i (counted from 0 over the whole run) stands at i * interval. first is the sample in
    row 0 of the buffers, rows the number asked for; the buffers states (capacity, state_size),
    outputs (capacity, output_size), maxima (capacity, force_count), sums (capacity, sum_count) and
    smearing (capacity, 2 Z) have room for the samples of one longest step more.
    """

    interval: float
    first: int
    rows: int
    states: np.ndarray
    outputs: np.ndarray
    maxima: np.ndarray
    sums: np.ndarray
    smearing: np.ndarray


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


@kernel
def look_closely(time, step, work, recorder, forces, model):
    """Raise the greatest forces of a step by those at more instants in it.

    Parameters
    ----------
    time : float, s
        Beginning of the step.
    step : float, s
        Its length.
    work : Workspace
        State and stages; probe and spare are overwritten.
    recorder : Recorder
        top, raised.
    forces : int
        Number of forces.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    for i in range(1, CLOSE_INTERVALS):
        if 2 * i != CLOSE_INTERVALS:
            x = i / CLOSE_INTERVALS
            forces_inside(x, time + x * step, step, work, model, work.probe, work.spare)
            raise_tops(work.spare, recorder, forces)


@inline_kernel
def emit_wear(duration, row, grid, work, recorder, count, rule):
    """Sums and smearing measure of an output sample in the step.

    Parameters
    ----------
    duration : float, s
        From the beginning of the step to the sample.
    row : int
        Row of the buffers.
    grid : Grid
        Buffers, written; its outputs given.
    work : Workspace
        Contact outputs.
    recorder : Recorder
        Sums at the beginning of the step; smearing, reset.
    count : int
        Rollers Z.
    rule : tuple of 2 float
        SIMPSON or TRAPEZOID of `wear`.

    Returns
    -------
    None
    """
    sums, smearing = grid.sums[row], grid.smearing[row]
    for i in range(sums.shape[0]):
        sums[i] = recorder.sums[i]
    add_step(sums, work, duration, count, rule)
    for i in range(smearing.shape[0]):
        smearing[i] = recorder.smearing[i]
        recorder.smearing[i] = 0.0
    raise_smearing(smearing, grid.outputs[row], count)
    raise_smearing(recorder.smearing, work.end, count)


@inline_kernel
def emit_samples(time, step, clock, grid, work, recorder, model, modes):
    """Write every output sample that lies in the step; maxima go to the first of them.

    Sums of a sample inside the step take the linear share of what the step adds to them.

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
    modes : ModeBank
        Vibrations of the cage; samples, written.

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
        emit_wear(x * step, row, grid, work, recorder, model.count, SIMPSON)
        sample_modes(x, step, row, modes)
        clock[6] += 1.0


@kernel
def march(clock, limits, grid, work, recorder, table, model, modes):
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
    modes : ModeBank
        Vibrations of the cage, which these forces drive; empty where the case asks for none.

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
        push_modes(work, modes, model)
        step_tops(work, recorder, forces)
        if wants_close_look(work, recorder, count, clock[8]):
            look_closely(time, step, work, recorder, forces, model)
            clock[5] += CLOSE_INTERVALS - 2.0
        clock[8] = max(clock[8], catch_maxima(recorder, count, forces))
        rows = track_episodes((time, step), count, work, recorder, table, rows, SIMPSON)
        raise_smearing(recorder.smearing, work.inside, count)
        raise_smearing(recorder.smearing, work.end, count)
        emit_samples(time, step, clock, grid, work, recorder, model, modes)
        add_step(recorder.sums, work, step, count, SIMPSON)
        advance_modes(step, modes)
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
