"""One step of the Dormand-Prince 5(4) pair with first-same-as-last stages and dense output.

Source: Dormand and Prince, J. Comput. Appl. Math. 6 (1980); dense output of fourth order after
Shampine, Math. Comp. 46 (1986).
"""

import math
from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.rhs import active_size, rhs

#: Times of the stages within the step.
NODES = np.array([0.0, 1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0, 1.0, 1.0])
#: Weights of the earlier stages in each stage; the last row is the fifth-order result.
STAGES = np.array(
    [
        [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0, 0.0],
        [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0, 0.0],
        [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0,
         0.0, 0.0],
        [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0, 0.0],
    ]
)  # fmt: skip


class Workspace(NamedTuple):
    """Arrays of one integration: stages k (7, n), states, contact outputs, inverse error scales.

    y is the state at the beginning of the step, trial at its end, probe anywhere else. start, end
    and inside are the contact outputs at the beginning, the end and the middle, spare anywhere.
    """

    y: np.ndarray
    trial: np.ndarray
    probe: np.ndarray
    k: np.ndarray
    start: np.ndarray
    end: np.ndarray
    inside: np.ndarray
    spare: np.ndarray
    inverse_scale: np.ndarray


@inline_kernel
def start_sum(target, base, factor, stages, row, count):
    """target = base + factor * stages[row], element by element.

    Few arrays in a loop keep it free of the alias doubts that stop vectorising; a row is taken by
    its index, because a view of it would cost more than the sum.

    Parameters
    ----------
    target : ndarray
        Written.
    base : ndarray
        First term.
    factor : float
        Factor of the second term.
    stages : ndarray (7, state_size)
        Rates.
    row : int
        Stage of the second term.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] = base[i] + factor * stages[row, i]


@inline_kernel
def add_pair(target, stages, first, one, second, two, count):
    """target += first * stages[one] + second * stages[two], element by element.

    Parameters
    ----------
    target : ndarray
        Added to.
    stages : ndarray (7, state_size)
        Rates.
    first : float
        Factor.
    one : int
        Stage.
    second : float
        Factor.
    two : int
        Stage.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] += first * stages[one, i] + second * stages[two, i]


@inline_kernel
def add_one(target, stages, factor, row, count):
    """target += factor * stages[row], element by element.

    Parameters
    ----------
    target : ndarray
        Added to.
    stages : ndarray (7, state_size)
        Rates.
    factor : float
        Factor.
    row : int
        Stage.
    count : int
        Elements.

    Returns
    -------
    None
    """
    for i in range(count):
        target[i] += factor * stages[row, i]


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
    add_pair(e, k, h * 71.0 / 16695.0, 2, h * (-71.0 / 1920.0), 3, count)
    add_pair(e, k, h * 17253.0 / 339200.0, 4, h * (-22.0 / 525.0), 5, count)
    add_one(e, k, h / 40.0, 6, count)
    total = 0.0
    for i in range(count):
        scaled = e[i] * work.inverse_scale[i]
        total += scaled * scaled
    return math.sqrt(total / count)


@kernel
def advance_stages(time, step, work, model):
    """Compute the seven stages and the fifth-order result of one trial step.

    One loop with one call of the right-hand side: the compiler's work grows with every place
    where that is called.

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
    k = work.k
    for stage in range(1, 7):
        target = work.trial if stage == 6 else work.probe
        start_sum(target, work.y, step * STAGES[stage, 0], k, 0, n)
        for q in range(1, stage, 2):
            first, second = step * STAGES[stage, q], step * STAGES[stage, q + 1]
            if q + 1 < stage:
                add_pair(target, k, first, q, second, q + 1, n)
            else:
                add_one(target, k, first, q, n)
        rhs(time + NODES[stage] * step, target, k[stage], work.end, model)
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
    start_sum(target, work.y, step * b0, k, 0, n)
    add_pair(target, k, step * b2, 2, step * b3, 3, n)
    add_pair(target, k, step * b4, 4, step * b5, 5, n)
    add_one(target, k, step * b6, 6, n)


@kernel
def forces_inside(x, time, step, work, model, state, out):
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
        y and all stages; k[1], which dense output does not use, is overwritten.
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
    dense_state(x, step, work, model, state)
    rhs(time, state, work.k[1], out, model)
