"""The spectral side line: what a Gaussian stress of the same density would do, and why it is not.

All damage here is for one straight S-N line (the slope above the knee, carried on below it) and
without mean stress rule, since the spectral methods know neither knee nor mean.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rollsim.fatigue.counting import rainflow
from rollsim.fatigue.sn_curve import SNCurve
from rollsim.fatigue.spectral import METHODS, moments_of
from rollsim.signals.statistics import averaged_density, statistics
from rollsim.units import HOUR

#: Distance of the frequencies of the density that is asked for, Hz.
STEP_HZ = 2.0
#: Kurtosis up to which a stress is taken as near to a Gaussian one (3), and the least.
KURTOSIS_RANGE = (2.5, 3.5)
#: Fewest samples that give a density.
LEAST_SAMPLES = 64


@dataclass(frozen=True)
class SideLine:
    """Damage of a stress by rainflow and by spectral methods, on the same straight S-N line.

    Fields: bar (the first is 0); slope k; rainflow_per_h (rainflow counting of the samples);
    spectral_per_h (method -> damage per hour, as if the stress were stationary and Gaussian);
    kurtosis (Gaussian 3); crest (peak over rms); gaussian_crest (about what a Gaussian signal of
    that many zero crossings has, sqrt(2 ln n)); irregularity (zero crossings over maxima); rms Pa,
    without the mean.
    """

    bar: int
    slope: float
    rainflow_per_h: float
    spectral_per_h: dict[str, float]
    kurtosis: float
    crest: float
    gaussian_crest: float
    irregularity: float
    rms: float

    @property
    def ratios(self) -> dict[str, float]:
        """Method -> its damage over that of rainflow counting."""
        return {name: d / self.rainflow_per_h for name, d in self.spectral_per_h.items()}

    @property
    def looks_gaussian(self) -> bool:
        """Whether the kurtosis is near enough to 3 for the spectral methods to mean anything."""
        low, high = KURTOSIS_RANGE
        return low <= self.kurtosis <= high

    @property
    def reason(self) -> str:
        """One sentence: whether the spectral numbers may be believed, and why not."""
        found = (
            f"kurtosis {self.kurtosis:.3g} (Gaussian 3), crest factor {self.crest:.3g} (Gaussian"
            f" about {self.gaussian_crest:.2g} in this time)"
        )
        if self.looks_gaussian:
            return f"The stress is near to a Gaussian one: {found}."
        if self.kurtosis > KURTOSIS_RANGE[1]:
            return (
                f"NOT GAUSSIAN, {found}: a train of impacts, for which spectral methods, whatever"
                " they give, do not hold; rainflow counting does."
            )
        return f"NOT GAUSSIAN, {found}: nearer to a sine, for which spectral methods do not hold."


def side_line(stress: np.ndarray, interval: float, curve: SNCurve, bar: int = 0) -> SideLine | None:
    """Spectral damage of a stress beside that of rainflow counting.

    Parameters
    ----------
    stress : ndarray, Pa
        Evenly sampled local stress.
    interval : float, s
        Time between two samples.
    curve : SNCurve
        S-N line of the place; its slope above the knee is carried on.
    bar : int
        Bar of the place, the first is 0.

    Returns
    -------
    SideLine or None
        None for a stress that stands still, and for too few samples for a density.
    """
    if len(stress) < LEAST_SAMPLES:
        return None
    measured = statistics(stress, 1.0 / interval)
    if not measured.rms > 0.0:
        return None
    moments = moments_of(*averaged_density(stress, 1.0 / interval, STEP_HZ))
    # In units of the strength at the knee the line is N = N_k S^-k and no power overflows.
    scaled = moments._make(m / curve.strength**2 for m in moments)
    spectral = {
        name: HOUR * method(scaled, curve.slope, curve.knee_cycles)
        for name, method in METHODS.items()
    }
    crossings = max(moments.crossings * len(stress) * interval, math.e)
    return SideLine(
        bar=bar,
        slope=curve.slope,
        rainflow_per_h=straight_damage(stress, curve) / (len(stress) * interval) * HOUR,
        spectral_per_h=spectral,
        kurtosis=measured.kurtosis,
        crest=measured.crest,
        gaussian_crest=math.sqrt(2.0 * math.log(crossings)),
        irregularity=moments.irregularity,
        rms=measured.rms,
    )


def straight_damage(stress: np.ndarray, curve: SNCurve) -> float:
    """Miner sum of a stress on the straight line through the knee, without mean stress rule.

    Parameters
    ----------
    stress : ndarray, Pa
        Values in order of time.
    curve : SNCurve
        Its strength, knee and slope count.

    Returns
    -------
    float
    """
    cycles = rainflow(stress)
    amplitude = 0.5 * cycles.range / curve.strength
    return float(np.sum(cycles.count * amplitude**curve.slope)) / curve.knee_cycles
