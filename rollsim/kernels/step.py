"""One step of the Dormand-Prince 5(4) pair with first-same-as-last stages and dense output.

Source: Dormand and Prince, J. Comput. Appl. Math. 6 (1980); dense output of fourth order after
Shampine, Math. Comp. 46 (1986).
"""

import math
from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.rhs import active_size, rhs


class Workspace(NamedTuple):
    """Arrays of one integration: stages k (7, n), states, contact outputs, inverse error scales.

    y is the state at the beginning of the step, trial at its end, probe anywhere else. start, end
    and inside are the contact outputs at the beginning, the end and elsewhere.
    """

    y: np.ndarray
    trial: np.ndarray
    probe: np.ndarray
    k: np.ndarray
    start: np.ndarray
    end: np.ndarray
    inside: np.ndarray
    inverse_scale: np.ndarray


@inline_kernel
def start_sum(target, base, factor, rates, count):
    """target = base + factor * rates, element by element.

    Few arrays in a loop keep it free of the alias doubts that stop vectorising.

    Parameters
    ----------
    target : ndarray
        Written.
    base : ndarray
        First term.
    factor : float
        Factor of the second term.
    rates : ndarray
        Second term.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] = base[i] + factor * rates[i]


@inline_kernel
def add_pair(target, first, one, second, two, count):
    """target += first * one + second * two, element by element.

    Parameters
    ----------
    target : ndarray
        Added to.
    first : float
        Factor.
    one : ndarray
        Rates.
    second : float
        Factor.
    two : ndarray
        Rates.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] += first * one[i] + second * two[i]


@inline_kernel
def add_one(target, factor, rates, count):
    """target += factor * rates, element by element.

    Parameters
    ----------
    target : ndarray
        Added to.
    factor : float
        Factor.
    rates : ndarray
        Rates.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] += factor * rates[i]


@kernel
def error_norm(step, work, count):
    """Root mean square of the embedded error estimate over its scale.

    Parameters
    ----------
    step : float, s
        Length h.
    work : Workspace
        Stages; probe is overwritten.
    count : int
        State entries.

    Returns
    -------
    float
        1 is just acceptable.
    """
    e, k = work.probe, work.k
    h = abs(step)
    for i in range(count):
        e[i] = h * (-71.0 / 57600.0) * k[0, i]
    add_pair(e, h * 71.0 / 16695.0, k[2], h * (-71.0 / 1920.0), k[3], count)
    add_pair(e, h * 17253.0 / 339200.0, k[4], h * (-22.0 / 525.0), k[5], count)
    add_one(e, h / 40.0, k[6], count)
    total = 0.0
    for i in range(count):
        scaled = e[i] * work.inverse_scale[i]
        total += scaled * scaled
    return math.sqrt(total / count)


@kernel
def advance_stages(time, step, work, model):
    """Compute the seven stages and the fifth-order result of one trial step.

    Parameters
    ----------
    time : float, s
        Beginning of the step.
    step : float, s
        Length h.
    work : Workspace
        y and k[0] given; trial, k[1..6] and end are written.
    model : Model
        Constants.

    Returns
    -------
    float
        Root mean square of the error estimate over its scale; 1 is just acceptable.
    """
    n = active_size(model)
    h = step
    y, p, k, t = work.y, work.probe, work.k, work.trial
    k0, k1, k2, k3, k4, k5, k6 = k[0], k[1], k[2], k[3], k[4], k[5], k[6]
    scratch = work.inside
    start_sum(p, y, 0.2 * h, k0, n)
    rhs(time + 0.2 * h, p, k1, scratch, model)
    start_sum(p, y, 3.0 / 40.0 * h, k0, n)
    add_one(p, 9.0 / 40.0 * h, k1, n)
    rhs(time + 0.3 * h, p, k2, scratch, model)
    start_sum(p, y, 44.0 / 45.0 * h, k0, n)
    add_pair(p, -56.0 / 15.0 * h, k1, 32.0 / 9.0 * h, k2, n)
    rhs(time + 0.8 * h, p, k3, scratch, model)
    start_sum(p, y, 19372.0 / 6561.0 * h, k0, n)
    add_pair(p, -25360.0 / 2187.0 * h, k1, 64448.0 / 6561.0 * h, k2, n)
    add_one(p, -212.0 / 729.0 * h, k3, n)
    rhs(time + 8.0 / 9.0 * h, p, k4, scratch, model)
    start_sum(p, y, 9017.0 / 3168.0 * h, k0, n)
    add_pair(p, -355.0 / 33.0 * h, k1, 46732.0 / 5247.0 * h, k2, n)
    add_pair(p, 49.0 / 176.0 * h, k3, -5103.0 / 18656.0 * h, k4, n)
    rhs(time + h, p, k5, scratch, model)
    start_sum(t, y, 35.0 / 384.0 * h, k0, n)
    add_pair(t, 500.0 / 1113.0 * h, k2, 125.0 / 192.0 * h, k3, n)
    add_pair(t, -2187.0 / 6784.0 * h, k4, 11.0 / 84.0 * h, k5, n)
    rhs(time + h, t, k6, work.end, model)
    return error_norm(step, work, n)


@inline_kernel
def dense_weights(x):
    """Weights of the stages in y(t + x h) = y + h sum b_i k_i, 0 <= x <= 1.

    Parameters
    ----------
    x : float
        Position in the step.

    Returns
    -------
    tuple of 6 float
        b_0, b_2, b_3, b_4, b_5, b_6 (b_1 is 0).
    """
    b0 = x * (
        1.0
        + x
        * (
            -8048581381.0 / 2820520608.0
            + x * (8663915743.0 / 2820520608.0 - x * 12715105075.0 / 11282082432.0)
        )
    )
    x2 = x * x
    b2 = x2 * (
        131558114200.0 / 32700410799.0
        + x * (-68118460800.0 / 10900136933.0 + x * 87487479700.0 / 32700410799.0)
    )
    b3 = x2 * (
        -1754552775.0 / 470086768.0
        + x * (14199869525.0 / 1410260304.0 - x * 10690763975.0 / 1880347072.0)
    )
    b4 = x2 * (
        127303824393.0 / 49829197408.0
        + x * (-318862633887.0 / 49829197408.0 + x * 701980252875.0 / 199316789632.0)
    )
    b5 = x2 * (
        -282668133.0 / 205662961.0
        + x * (2019193451.0 / 616988883.0 - x * 1453857185.0 / 822651844.0)
    )
    b6 = x2 * (
        40617522.0 / 29380423.0 + x * (-110615467.0 / 29380423.0 + x * 69997945.0 / 29380423.0)
    )
    return b0, b2, b3, b4, b5, b6


@kernel
def dense_state(x, step, work, model, target):
    """State inside the step just made, fourth order.

    Parameters
    ----------
    x : float
        Position in the step, 0 to 1.
    step : float, s
        Length of the step.
    work : Workspace
        y and all stages.
    model : Model
        Constants.
    target : ndarray (state_size,)
        Written.

    Returns
    -------
    None
    """
    b0, b2, b3, b4, b5, b6 = dense_weights(x)
    k = work.k
    n = active_size(model)
    start_sum(target, work.y, step * b0, k[0], n)
    add_pair(target, step * b2, k[2], step * b3, k[3], n)
    add_pair(target, step * b4, k[4], step * b5, k[5], n)
    add_one(target, step * b6, k[6], n)
