"""Miner sum, life, and the factor on load at which the target life is just reached."""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq

from rollsim.fatigue.counting import Cycles
from rollsim.fatigue.sn_curve import SNCurve

#: Load factors that are looked at; beyond them 0 or infinity is returned.
LEAST_FACTOR, LARGEST_FACTOR = 1e-4, 1e4


def miner_sum(cycles: Cycles, curve: SNCurve, static: float = 0.0, scale: float = 1.0) -> float:
    """Damage of cycles: sum of count/N, failure at 1.

    Source: Palmgren 1924, Miner 1945.

    Parameters
    ----------
    cycles : Cycles
        Counted cycles of the load stress.
    curve : SNCurve
        S-N line.
    static : float, Pa
        Constant stress (preload), added to every mean and not scaled.
    scale : float
        Factor on the load stress: on ranges and means.

    Returns
    -------
    float
    """
    each = curve.damage(scale * cycles.range, scale * cycles.mean + static)
    return float(np.sum(cycles.count * each))


def life_hours(damage_per_hour: float) -> float:
    """Life at which the Miner sum reaches 1.

    Parameters
    ----------
    damage_per_hour : float, 1/h
        Damage of an hour of service.

    Returns
    -------
    float
        h; infinite without damage.
    """
    return math.inf if damage_per_hour <= 0.0 else 1.0 / damage_per_hour


def reserve_factor(cycles: Cycles, curve: SNCurve, allowed: float, static: float = 0.0) -> float:
    """Factor on the load at which the damage of the cycles just equals what is allowed.

    Found on the logarithm of the factor, where damage grows steadily. Preload does not scale, so a
    preload can use up all of the reserve (0) but does not grow with the load.

    Parameters
    ----------
    cycles : Cycles
        Counted cycles of the load stress.
    curve : SNCurve
        S-N line.
    allowed : float
        Damage that these cycles may do: their duration over the target life.
    static : float, Pa
        Constant stress (preload).

    Returns
    -------
    float
        Above 1 the load may grow; infinite where nothing changes, 0 where preload alone is too
        much.
    """
    if not len(cycles.range) or not np.any(cycles.range > 0.0):
        return math.inf

    def excess(log_factor: float) -> float:
        """Logarithm of damage over allowed damage."""
        total = miner_sum(cycles, curve, static, math.exp(log_factor))
        return math.log(max(total, 1e-300) / allowed)

    low, high = math.log(LEAST_FACTOR), math.log(LARGEST_FACTOR)
    if excess(low) > 0.0:
        return 0.0
    if excess(high) < 0.0:
        return math.inf
    return math.exp(brentq(excess, low, high, xtol=1e-10))
