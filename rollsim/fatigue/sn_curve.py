"""S-N line with a knee, survival probability and surface factor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.materials import Material
from rollsim.case.schema_run import Fatigue
from rollsim.errors import RollsimError
from rollsim.fatigue.mean_stress import equivalent_amplitudes, law_code, mean_sensitivity

#: Standard deviation of the natural logarithm of fatigue strength: 8 % of the strength, the usual
#: value behind reliability factors (Shigley, Mechanical Engineering Design; value from memory).
STRENGTH_SCATTER = 0.08
#: Names of the Miner rules, by what damage lies beyond the knee.
DAMAGE_RULES = ("by_material", "original", "elementary", "modified")


@dataclass(frozen=True)
class SNCurve:
    """N = N_k (S_k/S)^k above the knee, with another exponent below it.

    Fields: strength Pa (amplitude S_k at the knee, all factors included), knee_cycles N_k, slope k,
    slope_beyond (below the knee; infinite for an endurance limit), ultimate Pa, mean_law (a name
    of `rollsim.fatigue.mean_stress.LAWS`), mean_parameter (sensitivity M of fkm, exponent g of
    walker).
    """

    strength: float
    knee_cycles: float
    slope: float
    slope_beyond: float
    ultimate: float
    mean_law: str = "goodman"
    mean_parameter: float = 0.0

    @property
    def line(self) -> tuple[float, float, float, float, float, int, float]:
        """The seven numbers that the compiled damage sum takes."""
        return (
            float(self.strength),
            float(self.knee_cycles),
            float(self.slope),
            float(self.slope_beyond),
            float(self.ultimate),
            law_code(self.mean_law),
            float(self.mean_parameter),
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

    def equivalent(self, stress_range: np.ndarray, mean: np.ndarray) -> np.ndarray:
        """Amplitude at zero mean stress that does the same damage as a cycle.

        Parameters
        ----------
        stress_range : ndarray, Pa
            Range.
        mean : ndarray, Pa
            Mean stress.

        Returns
        -------
        ndarray, Pa
        """
        half = 0.5 * np.asarray(stress_range, dtype=float)
        law, parameter = self.mean_law, self.mean_parameter
        return equivalent_amplitudes(half, mean, self.ultimate, law, parameter)

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
        return self._damage(self.equivalent(stress_range, mean))

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


def slope_beyond_knee(material: Material, damage_rule: str = "by_material") -> float:
    """S-N exponent beyond the knee by the names of the trade for the Miner rule.

    original: no damage below the knee (Miner 1945); elementary: the line goes on with its slope k;
    modified: 2 k - 1 (Haibach 1970, value from memory); by_material: what the material says.

    Parameters
    ----------
    material : Material
        With its slopes.
    damage_rule : str
        One of `DAMAGE_RULES`.

    Returns
    -------
    float
        Infinite for original.

    Raises
    ------
    RollsimError
        There is no rule of that name.

    Examples
    --------
    >>> from rollsim.case.materials import shipped_material
    >>> steel = shipped_material("rivet_steel")
    >>> [slope_beyond_knee(steel, rule) for rule in DAMAGE_RULES]
    [9.0, inf, 5.0, 9.0]
    """
    if damage_rule not in DAMAGE_RULES:
        raise RollsimError(f"No damage rule '{damage_rule}'; there are {', '.join(DAMAGE_RULES)}.")
    slopes = (material.slope_beyond, math.inf, material.slope, 2.0 * material.slope - 1.0)
    return dict(zip(DAMAGE_RULES, slopes, strict=True))[damage_rule]


def sn_curve(
    material: Material,
    strength_factor: float,
    probability: float,
    mean_law: str = "goodman",
    damage_rule: str = "by_material",
    scatter: float = STRENGTH_SCATTER,
    walker_exponent: float | None = None,
) -> SNCurve:
    """S-N line of a material with its factors; the notch is in the stress.

    Parameters
    ----------
    material : Material
        With strength and fatigue data.
    strength_factor : float
        Strength of the part over that of a polished test bar: surface factor times size factor.
    probability : float
        Share of parts that survive.
    mean_law : str
        A name of `rollsim.fatigue.mean_stress.LAWS`.
    damage_rule : str
        One of `DAMAGE_RULES`.
    scatter : float
        Standard deviation of the natural logarithm of the strength.
    walker_exponent : float or None
        For the law walker.

    Returns
    -------
    SNCurve

    Raises
    ------
    RollsimError
        The material lacks data, the law does not fit it, or there is no such rule.
    """
    names = ("ultimate_MPa", "fatigue_strength_MPa", "knee_cycles", "slope", "slope_beyond")
    missing = [name for name in (*names, "yield_MPa") if getattr(material, name) is None]
    if missing:
        raise RollsimError(
            f"Material '{material.name}' has no {', '.join(missing)}: give them in"
            f" [material.{material.name}] for a fatigue verdict."
        )
    return SNCurve(
        material.fatigue_strength * strength_factor * survival_factor(probability, scatter),
        material.knee_cycles,
        material.slope,
        slope_beyond_knee(material, damage_rule),
        material.ultimate_strength,
        mean_law,
        _mean_parameter(material, mean_law, walker_exponent),
    )


def _mean_parameter(material: Material, law: str, walker_exponent: float | None) -> float:
    """Number that a mean stress law needs beside the ultimate strength."""
    if law == "fkm":
        return mean_sensitivity(material.group, material.ultimate_MPa)
    if law != "walker":
        return 0.0
    if walker_exponent is None:
        raise RollsimError("The mean stress law walker needs an exponent (walker_exponent).")
    return float(walker_exponent)


def case_sn_curve(material: Material, settings: Fatigue) -> SNCurve:
    """S-N line of a material by the rules and factors of a case.

    Parameters
    ----------
    material : Material
        With strength and fatigue data.
    settings : Fatigue
        The table [fatigue] of the case.

    Returns
    -------
    SNCurve
    """
    return sn_curve(
        material,
        settings.surface_factor * settings.size_factor,
        settings.survival_probability,
        settings.mean_stress,
        settings.damage_rule,
        settings.strength_scatter,
        settings.walker_exponent,
    )
