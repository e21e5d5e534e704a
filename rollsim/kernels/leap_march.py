"""March through time by the leapfrog method: one right-hand side and one look at the forces a step.

The method and what it keeps where: `leapfrog`. Samples, maxima and episodes as in `march`.
"""

from rollsim.kernels.control import Clock, Status
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.leapfrog import land, leap, leap_inside
from rollsim.kernels.march import emit_wear
from rollsim.kernels.modes import advance_modes_whole, push_modes_end, sample_modes_whole
from rollsim.kernels.record import catch_maxima, tops_so_far, track_episodes
from rollsim.kernels.wear import TRAPEZOID, add_step, raise_smearing

_BUDGET = int(Status.BUDGET)
_SAMPLES = int(Status.SAMPLES_FULL)
_END = int(Status.END_REACHED)
_EPISODES = int(Status.EPISODES_FULL)
_PREVIOUS = int(Clock.PREVIOUS)


@inline_kernel
def emit_leap(span, clock, grid, work, recorder, model, modes):
    """Write every output sample that lies in the step; maxima go to the first of them.

    Parameters
    ----------
    span : tuple of 2 float, s
        Beginning and length of the step.
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
    time, step = span
    forces = grid.maxima.shape[1]
    while True:
        at = clock[6] * grid.interval
        # The sample at the very end of a run may lie a rounding error behind the last step.
        if at > time + step + 1e-12:
            return
        row = int(clock[6]) - grid.first
        x = min(max((at - time) / step, 0.0), 1.0)
        leap_inside(x, at, step, work, model, grid.states[row], grid.outputs[row])
        for i in range(forces):
            grid.maxima[row, i] = max(recorder.maxima[i], grid.outputs[row, i])
            recorder.maxima[i] = work.end[i]
        emit_wear(x * step, row, grid, work, recorder, model.count, TRAPEZOID)
        sample_modes_whole(x, step, row, modes)
        clock[6] += 1.0


@kernel
def leap_march(clock, limits, grid, work, recorder, table, model, modes):
    """Advance until the buffers are full, the end or the budget is reached, or a step fails.

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
        step, failure = leap(clock, limits, work, model)
        if failure != _BUDGET:
            return failure, rows
        push_modes_end(work, modes, model)
        tops_so_far(step, clock[_PREVIOUS], work, recorder, forces)
        clock[8] = max(clock[8], catch_maxima(recorder, count, forces))
        rows = track_episodes((time, step), count, work, recorder, table, rows, TRAPEZOID)
        raise_smearing(recorder.smearing, work.end, count)
        emit_leap((time, step), clock, grid, work, recorder, model, modes)
        add_step(recorder.sums, work, step, count, TRAPEZOID)
        advance_modes_whole(step, modes)
        land(clock, step, work, model)
    return _BUDGET, rows
