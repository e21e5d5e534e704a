"""How many replicates are enough: go on until an interval is as narrow as asked."""

import math

from rollsim.analysis.intervals import ReplicateInterval, replicate_interval
from rollsim.errors import RollsimError

#: Fewer replicates tell too little about their own scatter to be asked whether they are enough.
LEAST = 5


def median_interval(values) -> ReplicateInterval | None:
    """Median of a quantity over runs with its 90 % interval.

    Parameters
    ----------
    values : sequence of float
        One a replicate.

    Returns
    -------
    ReplicateInterval or None
        None for fewer than two values, or values that are not positive and finite.
    """
    if min(values, default=0.0) <= 0.0:
        # A width over an estimate of 0 would say nothing.
        return None
    try:
        return replicate_interval(values, "median")
    except RollsimError:
        return None


def half_width(interval: ReplicateInterval) -> float:
    """Half width of an interval over its estimate: the larger of the two sides.

    Parameters
    ----------
    interval : ReplicateInterval
        Of a positive quantity.

    Returns
    -------
    float
    """
    middle = interval.estimate
    return max(interval.high - middle, middle - interval.low) / middle


def next_count(width, count, within, most):
    """How many replicates there should be in the next round; `count` when they are enough.

    The width falls with the square root of the number: n (w / w0)^2, at least one more, at most
    twice as many, because the scatter of few replicates is not well known. It depends on finished
    rounds only, so neither the order nor the number of processes matters.

    Parameters
    ----------
    width : float
        Relative half width from `count` replicates.
    count : int
        Number of replicates there are.
    within : float
        Relative half width asked for.
    most : int
        Largest number allowed.

    Returns
    -------
    int

    >>> next_count(0.2, 8, 0.15, 100), next_count(0.1, 8, 0.15, 100), next_count(0.9, 8, 0.1, 100)
    (15, 8, 16)
    """
    if width <= within:
        return count
    wanted = max(count + 1, math.ceil(count * (width / within) ** 2))
    return max(count, min(wanted, 2 * count, most))
