"""Second route to the motion of an oscillator: a digital filter, exact for linear pieces."""

from __future__ import annotations

import numpy as np
from scipy.linalg import expm


def oscillator_filter(speed: float, damping: float, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Digital filter from force to displacement of q'' + 2 z w q' + w^2 q = f, f linear by steps.

    Exact at the instants for a force that is linear between them: with the exponential of the
    equations of q, q' and the force over one step.

    Parameters
    ----------
    speed : float, rad/s
        w.
    damping : float
        z.
    step : float, s
        Time between instants.

    Returns
    -------
    numerator, denominator : ndarray, (3,)
        As `scipy.signal.lfilter` takes them.
    """
    # Times are counted in 1/w so that the matrix is of order one; states: q w^2, q' w, f, slope.
    matrix = np.zeros((4, 4))
    matrix[0, 1], matrix[2, 3] = 1.0, 1.0
    matrix[1] = -1.0, -2.0 * damping, 1.0, 0.0
    pace = speed * step
    over = expm(matrix * pace)
    turn, ends = over[:2, :2], over[:2, 3] / pace
    starts = over[:2, 2] - ends
    first = turn @ ends + starts
    trace, product = np.trace(turn), np.linalg.det(turn)
    answer = ends[0], first[0], (turn @ first)[0]
    numerator = np.array(
        [
            answer[0],
            answer[1] - trace * answer[0],
            answer[2] - trace * answer[1] + product * answer[0],
        ]
    )
    return numerator / speed**2, np.array([1.0, -trace, product])
