"""Plausible values of a statistic of the distribution that replicates are drawn from.

Positive results are taken as lognormal (`rollsim.analysis.intervals`). Where some are 0 (no damage,
no contact), a share p of runs is above 0, with the posterior of Jeffreys p ~ beta(m + 1/2, n - m +
1/2) for m of n, and those m are lognormal: the delta distribution (Aitchison 1955, from memory).
Where some are negative, or one alone is above 0, the values themselves are taken as normal.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from rollsim.errors import RollsimError

FEWEST_REPLICATES = 2
DRAWS = 20000
# Three replicates can reach beyond the largest number.
_LARGEST_LOG = 700.0


def checked_replicates(values) -> np.ndarray:
    """Return replicates as an array.

    Parameters
    ----------
    values : array_like (n,)
        One result of each replicate.

    Returns
    -------
    ndarray (n,)

    Raises
    ------
    RollsimError
        Fewer than two values, or values that are not finite numbers.
    """
    values = np.ravel(np.asarray(values, dtype=float))
    if len(values) < FEWEST_REPLICATES:
        raise RollsimError(
            f"An interval needs {FEWEST_REPLICATES} replicates or more; {len(values)} given."
            " Run more replicates."
        )
    if not np.isfinite(values).all():
        raise RollsimError(
            "Replicates must be finite numbers. Where a life is infinite, take its damage rate, 0."
        )
    return values


def statistic_draws(values: np.ndarray, statistic: str | float, rng) -> np.ndarray:
    """Return equally plausible values of a statistic.

    Parameters
    ----------
    values : ndarray (n,)
        Replicates, any unit, n >= 2.
    statistic : str or float
        "mean", "median", or the probability of a quantile.
    rng : numpy.random.Generator
        Source of the draws.

    Returns
    -------
    ndarray (DRAWS,)
        In the unit of the values; not negative where the values are not.

    Raises
    ------
    RollsimError
        Unknown statistic.
    """
    known = statistic in ("mean", "median")
    if not known and not (isinstance(statistic, float) and 0.0 < statistic < 1.0):
        raise RollsimError(
            f"The statistic {statistic!r} is not known: give 'mean', 'median' or a probability"
            " between 0 and 1."
        )
    positive = values[values > 0.0]
    if len(positive) == len(values):
        logs = _log_draws(*_normal_draws(np.log(values), rng), statistic, np.ones(DRAWS))
        return np.exp(np.minimum(logs, _LARGEST_LOG))
    if values.min() < 0.0 or len(positive) < FEWEST_REPLICATES:
        mu, sigma = _normal_draws(values, rng)
        drawn = mu if known else mu + NormalDist().inv_cdf(statistic) * sigma
        return drawn if values.min() < 0.0 else np.maximum(drawn, 0.0)
    share = rng.beta(len(positive) + 0.5, len(values) - len(positive) + 0.5, DRAWS)
    logs = _log_draws(*_normal_draws(np.log(positive), rng), statistic, share)
    return np.exp(np.minimum(logs, _LARGEST_LOG))


def _normal_draws(values: np.ndarray, rng) -> tuple[np.ndarray, np.ndarray]:
    """Plausible means and standard deviations of a normal sample."""
    count, spread = len(values), float(np.std(values, ddof=1))
    sigma = spread * np.sqrt((count - 1) / rng.chisquare(count - 1, DRAWS))
    return float(np.mean(values)) - rng.standard_normal(DRAWS) * sigma / np.sqrt(count), sigma


def _log_draws(mu, sigma, statistic: str | float, share: np.ndarray) -> np.ndarray:
    """Logarithm of the statistic where a share of results is lognormal and the rest 0.

    Mean p exp(mu + sigma^2/2); quantile q of all is quantile 1 - (1 - q)/p of the lognormal part.
    """
    from scipy.special import ndtri

    if statistic == "mean":
        return mu + 0.5 * sigma**2 + np.log(share)
    odds = 0.5 if statistic == "median" else statistic
    inside = 1.0 - (1.0 - odds) / share
    return np.where(inside > 0.0, mu + ndtri(np.maximum(inside, 1e-300)) * sigma, -np.inf)
