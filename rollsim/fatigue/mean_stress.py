"""Mean stress: equivalent amplitudes, and the safety factors that go with them."""

from __future__ import annotations

import math

import numpy as np

from rollsim.case.materials import MEAN_SENSITIVITY
from rollsim.errors import RollsimError
from rollsim.kernels.cycle_damage import (
    FKM,
    GERBER,
    GOODMAN,
    NO_MEAN,
    SMITH_WATSON_TOPPER,
    WALKER,
)

#: Mean stress laws by name.
LAWS = {
    "none": NO_MEAN,
    "goodman": GOODMAN,
    "gerber": GERBER,
    "smith_watson_topper": SMITH_WATSON_TOPPER,
    "fkm": FKM,
    "walker": WALKER,
}


def law_code(name: str) -> int:
    """Code of a mean stress law.

    Parameters
    ----------
    name : str
        One of `LAWS`.

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


def mean_sensitivity(group: str, ultimate_MPa: float) -> float:
    """Mean stress sensitivity M = a_M R_m/1000 + b_M, not below 0, of a group of materials.

    Source: FKM guideline, analytical strength assessment (constants from memory). Copper alloys
    are not in it.

    Parameters
    ----------
    group : str
        One of `rollsim.case.materials.MEAN_SENSITIVITY`.
    ultimate_MPa : float, MPa
        Ultimate tensile strength R_m.

    Returns
    -------
    float

    Raises
    ------
    RollsimError
        The guideline has no constants for that group.

    Examples
    --------
    Steel of 700 MPa: 0.35 0.7 - 0.1.

    >>> round(mean_sensitivity("steel", 700.0), 3), mean_sensitivity("steel", 280.0)
    (0.145, 0.0)
    """
    if group not in MEAN_SENSITIVITY:
        raise RollsimError(
            "The FKM guideline gives a mean stress sensitivity for"
            f" {', '.join(name.replace('_', ' ') for name in MEAN_SENSITIVITY)}; not for"
            f" {group.replace('_', ' ') if group else 'a material of unknown group'}."
        )
    slope, start = MEAN_SENSITIVITY[group]
    return max(slope * ultimate_MPa / 1000.0 + start, 0.0)


def equivalent_amplitudes(
    amplitude: np.ndarray, mean: np.ndarray, ultimate: float, law: str, parameter: float = 0.0
) -> np.ndarray:
    """Amplitudes at zero mean stress that do the same damage.

    Goodman S_a / (1 - S_m/S_u), Gerber S_a / (1 - (S_m/S_u)^2), both without credit for compression
    and infinite from S_m = S_u on (Shigley, Mechanical Engineering Design); Smith, Watson and
    Topper sqrt(S_max S_a) (J. Materials 5, 1970) and Walker S_max^(1 - g) S_a^g (ASTM STP 462,
    1970), zero where S_max <= 0; FKM by `fkm_amplitudes`.

    Parameters
    ----------
    amplitude : ndarray, Pa
        Stress amplitude S_a.
    mean : ndarray, Pa
        Mean stress S_m.
    ultimate : float, Pa
        Ultimate tensile strength S_u.
    law : str
        One of `LAWS`.
    parameter : float
        Mean stress sensitivity M of fkm, exponent g of walker; the others have none.

    Returns
    -------
    ndarray, Pa
    """
    code = law_code(law)
    amplitude, mean = np.asarray(amplitude, dtype=float), np.asarray(mean, dtype=float)
    if code == NO_MEAN:
        return amplitude.copy()
    if code == FKM:
        return fkm_amplitudes(amplitude, mean, parameter)
    if code in (SMITH_WATSON_TOPPER, WALKER):
        power = parameter if code == WALKER else 0.5
        return np.maximum(amplitude + mean, 0.0) ** (1.0 - power) * amplitude**power
    share = np.maximum(mean, 0.0) / ultimate
    if code == GERBER:
        share = share**2
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(share >= 1.0, np.inf, amplitude / (1.0 - share))


def fkm_amplitudes(amplitude: np.ndarray, mean: np.ndarray, sensitivity: float) -> np.ndarray:
    """Amplitudes at zero mean stress by the mean stress sensitivity M, constant stress ratio R.

    R > 1: S_a (1 - M); R <= 0: S_a + M S_m; 0 < R < 0.5: (1 + M)/(1 + M/3) (S_a + M/3 S_m);
    R >= 0.5: S_a (1 + M)^2/(1 + M/3). Source: FKM guideline, analytical strength assessment
    (value from memory).

    Parameters
    ----------
    amplitude : ndarray, Pa
        Stress amplitude S_a.
    mean : ndarray, Pa
        Mean stress S_m.
    sensitivity : float
        M, 0 <= M < 1.

    Returns
    -------
    ndarray, Pa

    Examples
    --------
    M = 0.3 at R = -1, 0 and 0.8 (mean 0, 1 and 9 amplitudes):

    >>> fkm_amplitudes(np.full(3, 100.0), np.array([0.0, 100.0, 900.0]), 0.3).round(2).tolist()
    [100.0, 130.0, 153.64]
    """
    third = sensitivity / 3.0
    low = amplitude + sensitivity * np.clip(mean, -amplitude, amplitude)
    beyond = amplitude + third * np.clip(mean, amplitude, 3.0 * amplitude)
    return np.where(mean <= amplitude, low, (1.0 + sensitivity) / (1.0 + third) * beyond)


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
