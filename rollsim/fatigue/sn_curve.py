"""S-N line with a knee, survival probability and surface factor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.materials import Material
from rollsim.errors import RollsimError
from rollsim.fatigue.mean_stress import equivalent_amplitudes, law_code

#: Standard deviation of the natural logarithm of fatigue strength: 8 % of the strength, the usual
#: value behind reliability factors (Shigley, Mechanical Engineering Design; value from memory).
STRENGTH_SCATTER = 0.08


@dataclass(frozen=True)
class SNCurve:
    """N = N_k (S_k/S)^k above the knee, with another exponent below it.

    Fields: strength Pa (amplitude S_k at the knee, all factors included), knee_cycles N_k, slope k,
    slope_beyond (below the knee; infinite for an endurance limit), ultimate Pa, mean_law (none,
    goodman, gerber).
    """

    strength: float
    knee_cycles: float
    slope: float
    slope_beyond: float
    ultimate: float
    mean_law: str = "goodman"

    @property
    def line(self) -> tuple[float, float, float, float, float, int]:
        """The six numbers that the compiled damage sum takes."""
        return (
            float(self.strength),
            float(self.knee_cycles),
            float(self.slope),
            float(self.slope_beyond),
            float(self.ultimate),
            law_code(self.mean_law),
        )

    def cycles(self, amplitude: np.ndarray) -> np.ndarray:
        """Cycles to failure at zero mean stress.

        Parameters
        ----------
        amplitude : ndarray, Pa
            Stress amplitude, not negative.

        Returns
        -------
        ndarray
            Infinite at zero amplitude.
        """
        with np.errstate(divide="ignore"):
            return 1.0 / self._damage(np.asarray(amplitude, dtype=float))

    def damage(self, stress_range: np.ndarray, mean: np.ndarray) -> np.ndarray:
        """Share of life that one cycle uses up, 1/N.

        Parameters
        ----------
        stress_range : ndarray, Pa
            Range.
        mean : ndarray, Pa
            Mean stress.

        Returns
        -------
        ndarray
        """
        half = 0.5 * np.asarray(stress_range, dtype=float)
        return self._damage(equivalent_amplitudes(half, mean, self.ultimate, self.mean_law))

    def _damage(self, amplitude: np.ndarray) -> np.ndarray:
        """1/N for equivalent amplitudes."""
        # Numbers beyond any life are cut: the Miner sum only has to come out far above 1.
        share = np.minimum(amplitude / self.strength, 1e12)
        with np.errstate(over="ignore"):
            power = share ** np.where(share >= 1.0, self.slope, self.slope_beyond)
        return np.minimum(power, 1e200) / self.knee_cycles


def survival_factor(probability: float, scatter: float = STRENGTH_SCATTER) -> float:
    """Strength that a share of parts reaches, over the median: exp(-z s), log-normal scatter.

    z is the normal quantile of the share. For 90 % and s = 0.08 this gives 0.903; the reliability
    factor of Shigley (1 - 0.08 z, normal scatter) is 0.897 (value from memory).

    Parameters
    ----------
    probability : float
        Share of parts that survive, 0 < p < 1.
    scatter : float
        Standard deviation s of the natural logarithm of the strength.

    Returns
    -------
    float

    Raises
    ------
    RollsimError
        The share is not between 0 and 1.

    Examples
    --------
    >>> survival_factor(0.5), round(survival_factor(0.9), 3)
    (1.0, 0.903)
    """
    from statistics import NormalDist

    if not 0.0 < probability < 1.0:
        raise RollsimError(f"A survival probability lies between 0 and 1, not {probability:g}.")
    return math.exp(-NormalDist().inv_cdf(probability) * scatter)


def sn_curve(
    material: Material, surface_factor: float, probability: float, mean_law: str = "goodman"
) -> SNCurve:
    """S-N line of a material with surface and survival factors; the notch is in the stress.

    Parameters
    ----------
    material : Material
        With strength and fatigue data.
    surface_factor : float
        Strength of the true surface over that of a polished one.
    probability : float
        Share of parts that survive.
    mean_law : str
        none, goodman or gerber.

    Returns
    -------
    SNCurve

    Raises
    ------
    RollsimError
        The material lacks data.
    """
    names = ("ultimate_MPa", "fatigue_strength_MPa", "knee_cycles", "slope", "slope_beyond")
    missing = [name for name in (*names, "yield_MPa") if getattr(material, name) is None]
    if missing:
        raise RollsimError(
            f"Material '{material.name}' has no {', '.join(missing)}: give them in"
            f" [material.{material.name}] for a fatigue verdict."
        )
    return SNCurve(
        material.fatigue_strength * surface_factor * survival_factor(probability),
        material.knee_cycles,
        material.slope,
        material.slope_beyond,
        material.ultimate_strength,
        mean_law,
    )
