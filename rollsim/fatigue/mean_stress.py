"""Mean stress: equivalent amplitudes, and the safety factors that go with them."""

from __future__ import annotations

import math

import numpy as np

from rollsim.errors import RollsimError
from rollsim.kernels.rainflow import GERBER, GOODMAN, NO_MEAN

#: Mean stress laws by name.
LAWS = {"none": NO_MEAN, "goodman": GOODMAN, "gerber": GERBER}


def law_code(name: str) -> int:
    """Code of a mean stress law.

    Parameters
    ----------
    name : str
        none, goodman or gerber.

    Returns
    -------
    int

    Raises
    ------
    RollsimError
        There is no law of that name.
    """
    if name not in LAWS:
        raise RollsimError(f"No mean stress law '{name}'; there are {', '.join(LAWS)}.")
    return LAWS[name]


def equivalent_amplitudes(
    amplitude: np.ndarray, mean: np.ndarray, ultimate: float, law: str
) -> np.ndarray:
    """Amplitudes at zero mean stress that do the same damage.

    Goodman S_a / (1 - S_m/S_u), Gerber S_a / (1 - (S_m/S_u)^2); no credit for compression;
    infinite from S_m = S_u on. Source: Shigley, Mechanical Engineering Design.

    Parameters
    ----------
    amplitude : ndarray, Pa
        Stress amplitude S_a.
    mean : ndarray, Pa
        Mean stress S_m.
    ultimate : float, Pa
        Ultimate tensile strength S_u.
    law : str
        none, goodman or gerber.

    Returns
    -------
    ndarray, Pa
    """
    code = law_code(law)
    amplitude, mean = np.asarray(amplitude, dtype=float), np.asarray(mean, dtype=float)
    if code == NO_MEAN:
        return amplitude.copy()
    share = np.maximum(mean, 0.0) / ultimate
    if code == GERBER:
        share = share**2
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(share >= 1.0, np.inf, amplitude / (1.0 - share))


def goodman_factor(amplitude: float, mean: float, endurance: float, ultimate: float) -> float:
    """Safety factor for endless life, 1/n = S_a/S_e + S_m/S_u.

    Source: Shigley, Mechanical Engineering Design, example 6-11 of the 8th edition (value from
    memory): 8.38 and 8.38 kpsi with S_e = 33.9 and S_u = 100 kpsi give 3.02.

    Parameters
    ----------
    amplitude : float, Pa
        S_a.
    mean : float, Pa
        S_m, not negative.
    endurance : float, Pa
        Endurance limit S_e.
    ultimate : float, Pa
        S_u.

    Returns
    -------
    float

    Examples
    --------
    >>> round(goodman_factor(8.38, 8.38, 33.9, 100.0), 2)
    3.02
    """
    return 1.0 / (amplitude / endurance + mean / ultimate)


def gerber_factor(amplitude: float, mean: float, endurance: float, ultimate: float) -> float:
    """Safety factor for endless life from n S_a/S_e + (n S_m/S_u)^2 = 1.

    Source: Shigley, Mechanical Engineering Design, example 6-11 of the 8th edition (value from
    memory): 8.38 and 8.38 kpsi with S_e = 33.9 and S_u = 100 kpsi give 3.66.

    Parameters
    ----------
    amplitude : float, Pa
        S_a.
    mean : float, Pa
        S_m, positive.
    endurance : float, Pa
        Endurance limit S_e.
    ultimate : float, Pa
        S_u.

    Returns
    -------
    float

    Examples
    --------
    >>> round(gerber_factor(8.38, 8.38, 33.9, 100.0), 2)
    3.66
    """
    term = 2.0 * mean * endurance / (ultimate * amplitude)
    scale = 0.5 * (ultimate / mean) ** 2 * amplitude / endurance
    return scale * (math.sqrt(1.0 + term**2) - 1.0)
