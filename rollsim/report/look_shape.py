"""Distribution and shock response of imposed vibration in words."""

from __future__ import annotations

import numpy as np

from rollsim.model.random_response import gaussian_share_within
from rollsim.report.plain_data import number, percent, table, wrapped
from rollsim.signals.measure import BEYOND


def beyond_lines(shares) -> list[str]:
    """How the acceleration is distributed: share of the time beyond one to four rms.

    Parameters
    ----------
    shares : dict
        Axis -> array of shares beyond `rollsim.signals.measure.BEYOND`.

    Returns
    -------
    list of str
        Text and table; empty where nothing moves.
    """
    moving = {name: values for name, values in shares.items() if any(values)}
    if not moving:
        return []
    rows = [[name, *(percent(value, 3) for value in values)] for name, values in moving.items()]
    gaussian = [percent(1.0 - gaussian_share_within(level), 3) for level in BEYOND]
    head = ["share of the time beyond", *(f"{level:g} rms" for level in BEYOND)]
    return table(head, [*rows, ["Gaussian", *gaussian]])


def response_lines(frequencies, responses, quality: float, afterwards: bool) -> list[str]:
    """Shock response spectrum by octaves, and its largest value.

    Parameters
    ----------
    frequencies : sequence of float, Hz
        Of the resonators, twelve an octave.
    responses : dict
        Axis -> largest absolute acceleration of each, m/s2.
    quality : float
        Q of the resonators.
    afterwards : bool
        Whether what they do after the end counts.

    Returns
    -------
    list of str
        Empty where nothing moves.
    """
    if not len(frequencies) or not responses:
        return []
    rows = [
        [number(frequencies[k]), *(number(values[k]) for values in responses.values())]
        for k in range(0, len(frequencies), 12)
    ]
    best = [int(np.argmax(values)) for values in responses.values()]
    largest = [values[k] for values, k in zip(responses.values(), best, strict=True)]
    rows.append(["largest", *(number(value) for value in largest)])
    rows.append(["  at Hz", *(number(frequencies[k]) for k in best)])
    text = (
        f"Shock response: largest absolute acceleration in m/s2, either sign, of a light resonator"
        f" (Q = {quality:g}) on the housing"
        + (", also after the end." if afterwards else " within this time.")
    )
    return ["", *wrapped(text), *table(["natural Hz", *responses], rows)]
