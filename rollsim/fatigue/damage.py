"""Miner sum, life, and the factor on load at which the target life is just reached."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from rollsim.fatigue.counting import Cycles
from rollsim.fatigue.sn_curve import SNCurve

#: Load factors that are looked at; beyond them 0 or infinity is returned.
LEAST_FACTOR, LARGEST_FACTOR = 1e-4, 1e4
#: Rungs of the ladder of load factors where damage may fall again: 8 % apart.
RUNGS = 241


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
    """Least factor on the load at which the damage of the cycles equals what is allowed.

    Found on the logarithm of the factor. Preload does not scale, so a preload can use up all of
    the reserve (0) but does not grow with the load. Where damage does not always grow with the load
    (`grows_with_load`), the factor is the first of a fine ladder of factors at which too much is
    reached. Where damage jumps (no damage below the knee), it is the factor of the jump.

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
        Above 1 the load may grow; infinite where no load does too much, 0 where preload alone is
        too much.
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
    if not grows_with_load(cycles, curve, static):
        low, high = _first_too_much(excess, low, high)
    if excess(high) < 0.0:
        return math.inf
    return math.exp(brentq(excess, low, high, xtol=1e-10))


def grows_with_load(cycles: Cycles, curve: SNCurve, static: float = 0.0) -> bool:
    """Whether more load always means at least as much damage.

    Not so where a preload in tension is relieved by a load in compression, by laws that credit
    compression: Smith, Watson and Topper and Walker when the largest stress of a cycle falls with
    the load, FKM when the whole cycle moves into compression.

    Parameters
    ----------
    cycles : Cycles
        Counted cycles of the load stress.
    curve : SNCurve
        S-N line.
    static : float, Pa
        Constant stress (preload).

    Returns
    -------
    bool
    """
    if curve.mean_law in ("none", "goodman", "gerber"):
        return True
    return static <= 0.0 or bool(np.all(0.5 * cycles.range + cycles.mean >= 0.0))


def _first_too_much(
    excess: Callable[[float], float], low: float, high: float
) -> tuple[float, float]:
    """Rung of the ladder below and at the first excess; the whole ladder where there is none."""
    rungs = np.linspace(low, high, RUNGS)
    for below, above in itertools.pairwise(rungs):
        if excess(above) > 0.0:
            return float(below), float(above)
    return low, high
