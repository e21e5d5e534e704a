"""Step control: bounds, clock, trial steps until one is good enough."""

import math
from enum import IntEnum
from typing import NamedTuple

from rollsim.kernels.course import corner_margin, first_behind, next_corner
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.rhs import active_size, rhs
from rollsim.kernels.step import advance_stages


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
    LARGEST = 8
    PREVIOUS = 9


CLOCK_SIZE = len(Clock)
_BUDGET = int(Status.BUDGET)
_BAD = int(Status.NON_FINITE)
_COLLAPSED = int(Status.STEP_COLLAPSED)


class Limits(NamedTuple):
    """Bounds of a march: end time [s], longest and shortest step [s], number of steps."""

    end: float
    longest: float
    shortest: float
    budget: int


@inline_kernel
def next_factor(error, previous):
    """Factor for the next step length by proportional-integral control, 0.2 to 5.

    h' = h 0.9 err^(-0.17) err_prev^(0.04): Hairer, Norsett and Wanner, Solving ODE II, section IV.2

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
    factor = 0.9 * math.exp(0.04 * math.log(previous) - 0.17 * math.log(error))
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


@inline_kernel
def first_bad_stage(stages, count):
    """Index of the first non-finite rate of the earliest stage that has one.

    Later stages spread it over everything, so the earliest tells where it began.

    Parameters
    ----------
    stages : ndarray (7, state_size)
        Rates.
    count : int
        How many entries to look at.

    Returns
    -------
    int
        Index, or -1.
    """
    for stage in range(stages.shape[0]):
        bad = first_bad(stages[stage], count)
        if bad >= 0:
            return bad
    return -1


@inline_kernel
def corner_behind(time, model):
    """First time behind the present one at which a table in time or the vibration bends or jumps.

    Parameters
    ----------
    time : float, s
        Time.
    model : Model
        Constants.

    Returns
    -------
    float
        s; infinity where there is none.
    """
    return min(next_corner(model.course, time), first_behind(model.shaking.corners, time))


@inline_kernel
def step_to_corner(time, model):
    """Longest step from here that ends just before a table in time bends or the vibration jumps.

    Across such a corner an error estimate would see too little.

    Parameters
    ----------
    time : float, s
        Time.
    model : Model
        Constants.

    Returns
    -------
    float
        s; infinity where there is no corner ahead.
    """
    return corner_behind(time, model) - time - corner_margin(time)


@inline_kernel
def behind_corner(clock, step, model):
    """Time just behind the corner at which a step ends.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time at the beginning of the step.
    step : float, s
        Its length.
    model : Model
        Constants.

    Returns
    -------
    float
        s; 0 where the step ends at no corner.
    """
    corner = corner_behind(clock[0], model)
    end = clock[0] + step
    return max(end, corner + corner_margin(end)) if corner <= end + 1e-9 else 0.0


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
    wanted = min(clock[1], limits.longest)
    step = min(wanted, step_to_corner(time, model))
    cut = step < wanted
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
            bad = first_bad_stage(work.k, active_size(model))
            clock[7] = bad
            return 0.0, _BAD if bad >= 0 else _COLLAPSED
    factor = next_factor(error, max(clock[2], 1e-4))
    if rejected:
        factor = min(factor, 1.0)
    longest = step * factor
    if cut and not rejected:
        longest = max(longest, wanted)
    clock[1] = min(limits.longest, longest)
    clock[2] = error
    clock[3] += 1.0
    return step, _BUDGET


@inline_kernel
def accept(clock, step, work, model):
    """Make the end of the step the new beginning.

    Where the step ends at a corner, the rates are taken anew just behind it.

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
    behind = behind_corner(clock, step, model)
    clock[0] += step
    if behind > 0.0:
        rhs(behind, y, k[0], start, model)
        clock[5] += 1.0
