"""One step of the leapfrog method in its velocity form, with one right-hand side a step.

    x1 = x0 + h v0 + h^2/2 a0,   v* = v0 + h a0,   a1 = a(t1, x1, v*),   v1 = v0 + h/2 (a0 + a1)

Positions are those of Verlet (Phys. Rev. 159 (1967)), velocities those of Swope et al. (J. Chem.
Phys. 76 (1982)); forces that depend on the velocity see the predicted one, v*. Second order. An
undamped oscillation is stable up to w h = 2, a relaxation at the rate r up to r h = 1, both for one
evaluation (Dormand-Prince: about 0.5 each). Entries without a position (spins, the ledger) follow
the trapezoidal rule with the predicted state.

Rows of `Workspace.k` here: 0 rates at the beginning, 1 at the end, 2 at the beginning of the step
before, 3 estimated errors over their scales. `inside` holds the contact output at the beginning of
the step before.
"""

import math

from rollsim.kernels.control import (
    Clock,
    Status,
    behind_corner,
    first_bad,
    step_to_corner,
)
from rollsim.kernels.easing import ease_rates, soften_errors
from rollsim.kernels.jit import float_bits, float_from_bits, index, inline_kernel, kernel
from rollsim.kernels.layout import (
    friction_offset,
    planar_size,
    stretch,
    stretch_count,
)
from rollsim.kernels.rhs import active_size, rhs

_BUDGET = int(Status.BUDGET)
_BAD = int(Status.NON_FINITE)
_COLLAPSED = int(Status.STEP_COLLAPSED)
_PREVIOUS = int(Clock.PREVIOUS)
#: Rows of k.
ROWS = 4
_OLD, _NEW, _BEFORE, _ERROR = (index(row) for row in range(ROWS))
#: Error allowed over the error scales of the problem. Chosen so that at the same tolerance peaks of
#: pocket forces are about as good as those of Dormand-Prince (table in DEVELOPERS.md).
ALLOWANCE = 10.0
#: Weight of the error of a roller across its raceways: the oscillation there has to be stable, but
#: its phase says nothing about the pockets.
ACROSS = 0.1
#: An error above this is none.
_BOUNDLESS = 1e300
#: Greatest growth of the step from one to the next.
GROWTH = 2.0


@inline_kernel
def predict(step, work, model):
    """Positions at the end of the step, and velocities as far as they are known before it.

    Parameters
    ----------
    step : float, s
        Length h.
    work : Workspace
        y and k[0] given; trial is written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    y, trial, k = work.y, work.trial, work.k
    for i in range(index(active_size(model))):
        trial[i] = y[i] + step * k[_OLD, i]
    half = 0.5 * step * step
    for s in range(stretch_count(model.spatial)):
        first, count, shift = stretch(s, model.count)
        for i in range(first, first + count):
            trial[index(i)] += half * k[_OLD, index(i + shift)]


@inline_kernel
def correct(step, work, model):
    """Velocities at the end of the step by the trapezoidal rule, and with them rates of positions.

    The same rule gives the positions as they are: their rate at the end is v*, afterwards v1.

    Parameters
    ----------
    step : float, s
        Length h.
    work : Workspace
        y, trial, k[0], k[1] given; trial and k[1] are written, probe is overwritten.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    y, trial, k, change = work.y, work.trial, work.k, work.probe
    half = 0.5 * step
    for i in range(index(active_size(model))):
        change[i] = trial[i]
        trial[i] = y[i] + half * (k[_OLD, i] + k[_NEW, i])
        change[i] = trial[i] - change[i]
    for s in range(stretch_count(model.spatial)):
        first, count, shift = stretch(s, model.count)
        for i in range(first, first + count):
            k[_NEW, index(i)] += change[index(i + shift)]


@inline_kernel
def weaken_across(errors, trial, first, z):
    """Multiply the radial part of pairs of errors along x and y by ACROSS.

    Parameters
    ----------
    errors : ndarray (rows, state_size)
        Row 3 holds the errors, changed.
    trial : ndarray (state_size,)
        State, for the places of the rollers.
    first : int
        First error along x; those along y stand Z behind.
    z : int
        Rollers Z.

    Returns
    -------
    None
    """
    for j in range(z):
        x, y = trial[index(j)], trial[index(z + j)]
        along_x, along_y = index(first + j), index(first + z + j)
        ex, ey = errors[_ERROR, along_x], errors[_ERROR, along_y]
        less = (ACROSS - 1.0) * (ex * x + ey * y) / (x * x + y * y)
        errors[_ERROR, along_x] = ex + less * x
        errors[_ERROR, along_y] = ey + less * y


@inline_kernel
def leap_error(step, previous, work, model):
    """Greatest estimated error of the step over its scale.

    Leading terms of what the method leaves out, from differences of the rates: h^3/6 a' for
    positions, h^3/12 a'' for all other entries.

    Parameters
    ----------
    step : float, s
        Length h.
    previous : float, s
        Length of the step before.
    work : Workspace
        Rates and trial given; k[3] is written.
    model : Model
        Constants.

    Returns
    -------
    float
        1 is just acceptable; not finite where a number is not.
    """
    k, inverse = work.k, work.inverse_scale
    n = active_size(model)
    ratio = step / previous
    bend = step * step / (6.0 * (step + previous) * ALLOWANCE)
    for i in range(index(n)):
        second = (k[_NEW, i] - k[_OLD, i]) - ratio * (k[_OLD, i] - k[_BEFORE, i])
        k[_ERROR, i] = bend * second * inverse[i]
    slope = step * step / (6.0 * ALLOWANCE)
    for s in range(stretch_count(model.spatial)):
        first, count, shift = stretch(s, model.count)
        for i in range(first, first + count):
            at = index(i + shift)
            k[_ERROR, index(i)] = slope * (k[_NEW, at] - k[_OLD, at]) * inverse[index(i)]
    weaken_across(k, work.trial, 0, model.count)
    weaken_across(k, work.trial, 2 * model.count, model.count)
    if model.spatial:
        # Tilting towards the raceways is the same oscillation.
        tail = planar_size(model.count)
        weaken_across(k, work.trial, tail + model.count, model.count)
        weaken_across(k, work.trial, tail + 4 * model.count, model.count)
    soften_errors(step, work, model)
    # Numbers that are not negative rank like their bit patterns, and what is not a number above
    # all: vectorises, and the optimiser cannot take it for granted that all are numbers.
    greatest = 0
    for i in range(index(n)):
        greatest = max(greatest, float_bits(abs(k[_ERROR, i])))
    return float_from_bits(greatest) if greatest < float_bits(_BOUNDLESS) else math.inf


@inline_kernel
def leap_factor(error):
    """Factor for the next step length, 0.2 to GROWTH: 0.9 err^(-1/3).

    Parameters
    ----------
    error : float
        Error norm of this step.

    Returns
    -------
    float
        Factor.
    """
    if error <= 1e-3:
        return GROWTH
    return min(GROWTH, max(0.2, 0.9 * math.exp(-math.log(error) / 3.0)))


@inline_kernel
def leap(clock, limits, work, model):
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
        predict(step, work, model)
        rhs(time + step, work.trial, work.k[1], work.end, model)
        clock[5] += 1.0
        ease_rates(step, work, model)
        correct(step, work, model)
        error = leap_error(step, clock[_PREVIOUS], work, model)
        if error <= 1.0:
            break
        clock[4] += 1.0
        step *= max(0.2, leap_factor(error)) if math.isfinite(error) else 0.1
        rejected = True
        if step < limits.shortest:
            bad = first_bad(work.k[1], active_size(model))
            clock[7] = bad
            return 0.0, _BAD if bad >= 0 else _COLLAPSED
    factor = leap_factor(error)
    longest = step * (min(factor, 1.0) if rejected else factor)
    if cut and not rejected:
        longest = max(longest, wanted)
    clock[1] = min(limits.longest, longest)
    clock[2] = error
    clock[3] += 1.0
    return step, _BUDGET


@inline_kernel
def land(clock, step, work, model):
    """Make the end of the step the new beginning.

    Where the step ends at a corner, the rates are taken anew just behind it, and those before it
    are forgotten.

    Parameters
    ----------
    clock : ndarray (CLOCK_SIZE,)
        Time, advanced.
    step : float, s
        Length of the step.
    work : Workspace
        Arrays; y, k[0], k[2], inside and start are overwritten.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    y, trial, k = work.y, work.trial, work.k
    before, start, end = work.inside, work.start, work.end
    for i in range(index(active_size(model))):
        y[i] = trial[i]
        k[_BEFORE, i] = k[_OLD, i]
        k[_OLD, i] = k[_NEW, i]
    # Of the step before only forces and approach speeds are looked at.
    for i in range(index(friction_offset(model.count))):
        before[i] = start[i]
    for i in range(index(start.shape[0])):
        start[i] = end[i]
    behind = behind_corner(clock, step, model)
    clock[0] += step
    clock[_PREVIOUS] = step
    if behind > 0.0:
        rhs(behind, y, k[0], start, model)
        clock[5] += 1.0
        for i in range(index(active_size(model))):
            k[_BEFORE, i] = k[_OLD, i]


@inline_kernel
def hermite(x, step):
    """Weights of the cubic through values and rates at both ends of a step.

    Parameters
    ----------
    x : float
        Position in the step, 0 to 1.
    step : float, s
        Length of the step.

    Returns
    -------
    tuple of 4 float
        Of the value at the beginning, at the end, of the rate at the beginning, at the end.
    """
    rest = 1.0 - x
    last = x * x * (3.0 - 2.0 * x)
    return 1.0 - last, last, step * x * rest * rest, -step * x * x * rest


@kernel
def leap_inside(x, time, step, work, model, state, out):
    """State and contact forces inside the step just made.

    Parameters
    ----------
    x : float
        Position in the step, 0 to 1.
    time : float, s
        Time there.
    step : float, s
        Length of the step.
    work : Workspace
        y, trial, k[0], k[1] given; probe is overwritten.
    model : Model
        Constants.
    state : ndarray (state_size,)
        Written.
    out : ndarray (output_size,)
        Contact output, written.

    Returns
    -------
    None
    """
    first, last, leaving, arriving = hermite(x, step)
    y, trial, k = work.y, work.trial, work.k
    for i in range(index(active_size(model))):
        state[i] = first * y[i] + last * trial[i] + leaving * k[_OLD, i] + arriving * k[_NEW, i]
    rhs(time, state, work.probe, out, model)
