"""Kurtosis and coherence of random vibration, asked and applied."""

from __future__ import annotations

import numpy as np

from rollsim.report.look import Look
from rollsim.report.plain_data import number, wrapped

_AXES = "xyz"
#: Pairs of axes.
PAIRS = ((0, 1), (0, 2), (1, 2))


def random_lines(look: Look) -> list[str]:
    """Kurtosis and coherence of the random part, where they are asked.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    list of str
        Empty where neither is asked.
    """
    lines = []
    for i, name in enumerate(_AXES):
        if look.asked_kurtosis[i] > 3.0:
            lines += wrapped(
                f"  kurtosis of the random part along {name}: {number(look.asked_kurtosis[i])}"
                f" asked, {number(look.measures.axes[i].rest_kurtosis)} applied"
            )
    for i, j in PAIRS:
        asked, phase = coherence(look.asked_cross, i, j)
        applied, angle = coherence(look.measures.cross, i, j)
        if asked > 1e-9:
            lines += wrapped(
                f"  coherence of {_AXES[i]} and {_AXES[j]}: {asked:.3f} asked, {applied:.3f}"
                f" applied; phase of {_AXES[j]} over {_AXES[i]}: {phase:.1f} degrees asked,"
                f" {angle:.1f} applied"
            )
    return ["", *lines] if lines else []


def coherence(cross, i: int, j: int) -> tuple[float, float]:
    """Coherence of two axes and the phase of the second over the first.

    Parameters
    ----------
    cross : array (3, 3), complex
        Mean products E[a_i conj(a_j)].
    i : int
        First axis.
    j : int
        Second axis.

    Returns
    -------
    tuple of two floats
        |c_ij|^2/(c_ii c_jj), 0 to 1, and degrees; NaN where one axis stands still.
    """
    power = float((cross[i, i] * cross[j, j]).real)
    if not power > 0.0:
        return float("nan"), float("nan")
    return float(abs(cross[i, j]) ** 2) / power, float(np.angle(cross[j, i], deg=True))
