"""Vibrations of the cage, driven by the forces on it and without effect on them.

Elastic modes of the free cage in its own frame, of unit modal mass (q in m sqrt(kg)):

    q'' + 2 z w q' + w^2 q = f(t),   f = sum over the loads of participation times load.

The turning of the frame (some Hz, against hundreds of Hz of the lowest mode) is left out of these
equations but for the centrifugal load. The force is taken as linear between beginning, middle and
end of every internal step, or between its ends alone (`_whole`); for such a force the result is
exact. Shapes of the formulas: Duhamel's integral of a linear force (Clough and Penzien, Dynamics of
Structures, section 7-2: value from memory), written by three functions of x = w h,

    R(x): answer to a ramp, R'' + 2 z R' + R = x;   r = R': to a step;   s = r': to a blow,

    q1 = (1 - r) q0 + s p0 + F0 r + (F1 - F0) R/x
    p1 = -s q0 + (1 - r - 2 z s) p0 + F0 s + (F1 - F0) r/x

with p = q'/w and F = f/w^2, the static share. Power series of R and r need no division and no
function of the library, so that the loop over the modes vectorises; intervals longer than
`LONGEST` are cut.
"""

import math
from typing import NamedTuple

import numpy as np

from rollsim.kernels.cage_loads import load_count, loads_of_output
from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.layout import cage_offset
from rollsim.kernels.types import Guidance

_INSIDE = int(Guidance.INNER_RING)
#: Longest interval x = w h of the power series; their last terms are then below 1e-14.
LONGEST = 0.5
#: Terms of the power series.
TERMS = 12


class ModeBank(NamedTuple):
    """Modes of the cage and their motion.

    damping: share of critical, of all modes; ramp, step: power series of R/x^3 and r/x^2, TERMS
    numbers each; speed (N,): w, rad/s, rising; share (loads, N): participation over w^2,
    m sqrt(kg)/N; loads (load_count,): scratch; place, pace (N,): q and q'/w at the beginning of
    the step, m sqrt(kg); start, middle, end (N,): static share F at beginning, middle and end of
    the step; samples (capacity, 2 N): q and q'/w of the output samples of a block. N = 0: no modes,
    all else is not looked at.
    """

    damping: float
    ramp: tuple
    step: tuple
    speed: np.ndarray
    share: np.ndarray
    loads: np.ndarray
    place: np.ndarray
    pace: np.ndarray
    start: np.ndarray
    middle: np.ndarray
    end: np.ndarray
    samples: np.ndarray


def ramp_series(damping):
    """Power series of R/x^3 and r/x^2.

    With R = sum a_n x^n the equation R'' + 2 z R' + R = x gives a_3 = 1/6 and
    (n + 2)(n + 1) a_(n+2) = -2 z (n + 1) a_(n+1) - a_n.

    Parameters
    ----------
    damping : float
        z, share of critical damping.

    Returns
    -------
    ramp, step : tuple of TERMS float
        Coefficients, lowest power first.

    Examples
    --------
    >>> ramp, step = ramp_series(0.0)  # R = x - sin x, r = 1 - cos x
    >>> [round(1.0 / a) for a in (ramp[0], ramp[2], step[0], step[2])]
    [6, -120, 2, -24]
    """
    terms = [0.0, 0.0, 0.0, 1.0 / 6.0]
    for n in range(2, TERMS + 1):
        terms.append(-(2.0 * damping * (n + 1) * terms[n + 1] + terms[n]) / ((n + 2) * (n + 1)))
    ramp = tuple(terms[3 : 3 + TERMS])
    return ramp, tuple((n + 3) * term for n, term in enumerate(ramp))


@inline_kernel
def series(c, x):
    """Value of a power series of TERMS coefficients.

    Parameters
    ----------
    c : tuple of TERMS float
        Coefficients, lowest power first.
    x : float
        Argument.

    Returns
    -------
    float
        Sum of c_n x^n.
    """
    high = c[6] + x * (c[7] + x * (c[8] + x * (c[9] + x * (c[10] + x * c[11]))))
    return c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * (c[4] + x * (c[5] + x * high)))))


@inline_kernel
def advance_piece(place, pace, ends, speed, bank, duration, piece):
    """Advance all modes over one piece of an interval in which their force is linear.

    Parameters
    ----------
    place : ndarray (N,)
        q, advanced.
    pace : ndarray (N,)
        q'/w, advanced.
    ends : tuple of 2 ndarray (N,)
        Static share at the beginning and at the end of the interval.
    speed : ndarray (N,), rad/s
        w.
    bank : tuple
        Damping and both power series.
    duration : float, s
        Length of the piece.
    piece : tuple of 2 float
        Where in the interval the piece begins and how long it is, as shares of the interval.

    Returns
    -------
    None
    """
    damping, ramp_terms, step_terms = bank
    first, last = ends
    begin, part = piece
    for i in range(place.shape[0]):
        x = speed[i] * duration
        ramp = x * x * series(ramp_terms, x)
        slope = x * series(step_terms, x)
        step = x * slope
        blow = x - 2.0 * damping * step - x * ramp
        rise = last[i] - first[i]
        force, more = first[i] + begin * rise, part * rise
        q, p = place[i], pace[i]
        place[i] = q - step * q + blow * p + force * step + more * ramp
        pace[i] = p - blow * q - (step + 2.0 * damping * blow) * p + force * blow + more * slope


@kernel
def advance(place, pace, first, last, modes, duration, share):
    """Advance all modes over the first part of an interval in which their force is linear.

    Parameters
    ----------
    place : ndarray (N,)
        q, advanced.
    pace : ndarray (N,)
        q'/w, advanced.
    first : ndarray (N,)
        Static share at the beginning of the interval.
    last : ndarray (N,)
        Static share at its end.
    modes : ModeBank
        Constants.
    duration : float, s
        Length of the interval.
    share : float
        Part of it to advance over, 0 to 1.

    Returns
    -------
    None
    """
    bank = (modes.damping, modes.ramp, modes.step)
    speed = modes.speed
    pieces = max(1.0, math.ceil(speed[speed.shape[0] - 1] * duration * share / LONGEST))
    part = share / pieces
    for i in range(int(pieces)):
        advance_piece(place, pace, (first, last), speed, bank, duration * part, (i * part, part))


@kernel
def static_share(out, state, modes, model, target):
    """Static share of all modes under the forces at one instant.

    Parameters
    ----------
    out : ndarray (output_size,)
        Contact output there.
    state : ndarray (state_size,)
        State there.
    modes : ModeBank
        Constants; loads is overwritten.
    model : Model
        Constants.
    target : ndarray (N,)
        Written.

    Returns
    -------
    None
    """
    cage = cage_offset(model.count)
    speed = state[cage + 5] + model.duty.carrier_speed
    inside = 1 if model.guidance == _INSIDE else 0
    loads, share = modes.loads, modes.share
    loads_of_output(out, state[cage + 2], speed, inside, model.count, loads)
    for k in range(target.shape[0]):
        target[k] = 0.0
    # Most rollers touch no face of their pocket at a given instant.
    for i in range(load_count(model.count)):
        load = loads[i]
        if load != 0.0:
            for k in range(target.shape[0]):
                target[k] += load * share[i, k]


@kernel
def rest_modes(work, modes, model):
    """Put the modes at rest under the forces of the beginning, as if these had stood for ever.

    Parameters
    ----------
    work : Workspace
        y and start given.
    modes : ModeBank
        place, pace and start are written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    if modes.speed.shape[0] == 0:
        return
    static_share(work.start, work.y, modes, model, modes.start)
    for k in range(modes.speed.shape[0]):
        modes.place[k] = modes.start[k]
        modes.pace[k] = 0.0


@inline_kernel
def push_modes(work, modes, model):
    """Static shares in the middle and at the end of the step just made.

    Parameters
    ----------
    work : Workspace
        probe and inside of the middle, trial and end given.
    modes : ModeBank
        middle and end are written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    if modes.speed.shape[0] > 0:
        static_share(work.inside, work.probe, modes, model, modes.middle)
        static_share(work.end, work.trial, modes, model, modes.end)


@kernel
def sample_modes(x, step, row, modes):
    """Motion of the modes at an output sample within the step.

    Parameters
    ----------
    x : float
        Position in the step, 0 to 1.
    step : float, s
        Length of the step.
    row : int
        Row of the samples.
    modes : ModeBank
        samples is written.

    Returns
    -------
    None
    """
    count = modes.speed.shape[0]
    if count == 0:
        return
    sample = modes.samples[row]
    place, pace = sample[:count], sample[count:]
    for k in range(count):
        place[k] = modes.place[k]
        pace[k] = modes.pace[k]
    if x <= 0.5:
        advance(place, pace, modes.start, modes.middle, modes, 0.5 * step, 2.0 * x)
    else:
        advance(place, pace, modes.start, modes.middle, modes, 0.5 * step, 1.0)
        advance(place, pace, modes.middle, modes.end, modes, 0.5 * step, 2.0 * x - 1.0)


@kernel
def advance_modes(step, modes):
    """Advance all modes over the step just made; its end becomes the new beginning.

    Parameters
    ----------
    step : float, s
        Length of the step.
    modes : ModeBank
        place, pace and start are advanced.

    Returns
    -------
    None
    """
    count = modes.speed.shape[0]
    if count == 0:
        return
    advance(modes.place, modes.pace, modes.start, modes.middle, modes, 0.5 * step, 1.0)
    advance(modes.place, modes.pace, modes.middle, modes.end, modes, 0.5 * step, 1.0)
    for k in range(count):
        modes.start[k] = modes.end[k]


@inline_kernel
def push_modes_end(work, modes, model):
    """Static share at the end of the step just made, of a method that knows no middle.

    Parameters
    ----------
    work : Workspace
        trial and end given.
    modes : ModeBank
        end is written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    if modes.speed.shape[0] > 0:
        static_share(work.end, work.trial, modes, model, modes.end)


@kernel
def sample_modes_whole(x, step, row, modes):
    """Motion of the modes at an output sample, their force linear over the whole step.

    Parameters
    ----------
    x : float
        Position in the step, 0 to 1.
    step : float, s
        Length of the step.
    row : int
        Row of the samples.
    modes : ModeBank
        samples is written.

    Returns
    -------
    None
    """
    count = modes.speed.shape[0]
    if count == 0:
        return
    sample = modes.samples[row]
    place, pace = sample[:count], sample[count:]
    for k in range(count):
        place[k] = modes.place[k]
        pace[k] = modes.pace[k]
    advance(place, pace, modes.start, modes.end, modes, step, x)


@kernel
def advance_modes_whole(step, modes):
    """Advance all modes over the step just made, their force linear over it.

    Parameters
    ----------
    step : float, s
        Length of the step.
    modes : ModeBank
        place, pace and start are advanced.

    Returns
    -------
    None
    """
    count = modes.speed.shape[0]
    if count == 0:
        return
    advance(modes.place, modes.pace, modes.start, modes.end, modes, step, 1.0)
    for k in range(count):
        modes.start[k] = modes.end[k]
