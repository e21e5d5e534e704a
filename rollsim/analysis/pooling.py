"""One tail from several independent runs, with an interval that respects the spread between them.

Peaks of one run share what the run was dealt (start, vibration, class of whirl). Where runs
differ more than the number of their peaks explains, the peaks of a pool are not independent, and
the interval of the pool alone is too narrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.analysis.extremes import ReturnLevel, TailFit, fit_tail, return_level
from rollsim.errors import RollsimError

_STEP = 1e-4


@dataclass(frozen=True)
class RunPeaks:
    """Independent peaks of one run.

    Attributes
    ----------
    peak : ndarray (n,), N
        May be empty: a run without peaks counts with its time.
    observed_h : float, h
        Time in which they were seen.
    """

    peak: np.ndarray
    observed_h: float


@dataclass(frozen=True)
class PooledTail:
    """Tail of the pooled peaks of several runs.

    Attributes
    ----------
    tail : TailFit
        Fit to all peaks together.
    exceedances : tuple of int
        Peaks above the threshold, by run.
    scores : ndarray (runs, 3)
        Pull of each run on shape, logarithm of the scale and logarithm of the rate.
    covariance : ndarray (3, 3)
        Covariance of these three, were all peaks independent.
    """

    tail: TailFit
    exceedances: tuple[int, ...]
    scores: np.ndarray
    covariance: np.ndarray


@dataclass(frozen=True)
class PooledLevel:
    """Return level of a pool.

    Attributes
    ----------
    level : ReturnLevel
        With the widened interval.
    widening : float
        Factor on the distance of either limit from the estimate, in the logarithm; 1 where the runs
        agree as well as independent peaks would.
    runs : int
        Number of runs.
    """

    level: ReturnLevel
    widening: float
    runs: int


def pool_tail(runs: Sequence[RunPeaks], threshold: float | None = None) -> PooledTail | None:
    """Fit one tail to the independent peaks of several runs.

    Parameters
    ----------
    runs : sequence of RunPeaks
        Two or more runs of the same case with seeds of their own.
    threshold : float or None, N
        Threshold; None leaves it to the rule of `rollsim.analysis.thresholds`, over all peaks.

    Returns
    -------
    PooledTail or None
        None where fewer than 10 different peaks lie above the threshold.

    Raises
    ------
    RollsimError
        Fewer than two runs, or a run without time.
    """
    if len(runs) < 2:
        raise RollsimError(f"A pool needs 2 runs or more; {len(runs)} given.")
    if not all(run.observed_h > 0.0 for run in runs):
        raise RollsimError("Every run of a pool needs an observed time above 0 h.")
    tail = fit_tail(
        np.concatenate([run.peak for run in runs]), sum(run.observed_h for run in runs), threshold
    )
    if tail is None:
        return None
    excess = [run.peak[run.peak > tail.threshold] - tail.threshold for run in runs]
    scores = np.array(
        [
            _score(one, run.observed_h * tail.rate, tail.shape, tail.scale)
            for one, run in zip(excess, runs, strict=True)
        ]
    )
    counts = tuple(len(one) for one in excess)
    return PooledTail(tail, counts, scores, _covariance(tail))


def _score(excess: np.ndarray, expected: float, shape: float, scale: float) -> np.ndarray:
    """Gradient of the log-likelihood of one run by xi, ln sigma and ln rate.

    ln L = n ln(rate T) - rate T - n ln sigma - (1 + 1/xi) sum ln(1 + xi y/sigma).
    """
    from scipy.stats import genpareto

    def likelihood(xi: float, log_scale: float) -> float:
        """Log-likelihood of the amounts above the threshold."""
        # A peak beyond the end of a bounded tail pulls as hard as one close to its end.
        end = np.exp(log_scale) / -xi if xi < 0.0 else np.inf
        inside = np.minimum(excess, 0.999 * end)
        return float(genpareto.logpdf(inside, xi, scale=np.exp(log_scale)).sum())

    if len(excess) == 0:
        return np.array([0.0, 0.0, -expected])
    place = np.log(scale)
    by_shape = likelihood(shape + _STEP, place) - likelihood(shape - _STEP, place)
    by_scale = likelihood(shape, place + _STEP) - likelihood(shape, place - _STEP)
    return np.array([by_shape / (2 * _STEP), by_scale / (2 * _STEP), len(excess) - expected])


def _covariance(tail: TailFit) -> np.ndarray:
    """Posterior covariance of xi, ln sigma and ln rate."""
    posterior = tail.posterior
    shape, log_scale = posterior.shape, np.log(posterior.scale)
    of_shape, of_scale = posterior.weight.sum(1), posterior.weight.sum(0)
    shape, log_scale = shape - of_shape @ shape, log_scale - of_scale @ log_scale
    found = np.zeros((3, 3))
    found[0, 0], found[1, 1] = of_shape @ shape**2, of_scale @ log_scale**2
    found[0, 1] = found[1, 0] = shape @ posterior.weight @ log_scale
    found[2, 2] = 1.0 / tail.exceedances
    return found


def pooled_level(pool: PooledTail, horizon_h: float, confidence: float = 0.9) -> PooledLevel:
    """Return the level of a pool, its interval widened by the spread between the runs.

    With the scores g_j of the runs and the covariance C of the fit, the spread between runs gives
    the sandwich covariance V = C [R/(R-1) sum g_j g_j'] C (Huber 1967; White 1982; both from
    memory), the limit of resampling whole runs, which 3 to 10 runs are too few to resample. Along
    the gradient d of ln level the widening is sqrt(d'Vd / d'Cd) times t/z, Student's t with R - 1
    degrees of freedom over the normal quantile, and never below 1. The limit of 1 and the t are our
    own choice among five such rules, not published.

    Coverage at 90 %, measured on draws that the choice did not see: 500 repeats of 150 exponential
    peaks in 3, 5 or 10 runs, 10 and 1000 times the observed time; scale and number of peaks of a
    run lognormal and independent, with a standard deviation of the logarithm of 0 and 0.2: 90 to
    95 %; 0.4: 85 to 92 %, with 9 to 13 % (3 runs), 6 to 10 % (5) and 6 to 9 % (10) instead of 5 %
    of true levels above the interval. Runs that differ so much deserve a higher confidence.

    Parameters
    ----------
    pool : PooledTail
        Fit of `pool_tail`.
    horizon_h : float, h
        Time T.
    confidence : float
        Level of the interval.

    Returns
    -------
    PooledLevel
    """
    alone = return_level(pool.tail, horizon_h, confidence)
    widening = _widening(pool, horizon_h, confidence)
    low, high = (
        float(alone.level * (limit / alone.level) ** widening) for limit in (alone.low, alone.high)
    )
    words = _spread_words(pool, widening)
    level = ReturnLevel(horizon_h, alone.level, low, high, confidence, alone.warnings + words)
    return PooledLevel(level, widening, len(pool.scores))


def _widening(pool: PooledTail, horizon_h: float, confidence: float) -> float:
    """Factor of `pooled_level`."""
    from scipy.stats import norm, t

    gradient = _gradient(pool.tail, horizon_h)
    if not np.any(gradient):
        return 1.0
    runs = len(pool.scores)
    pull = (pool.scores - pool.scores.mean(axis=0)) @ pool.covariance @ gradient
    ratio = runs / (runs - 1.0) * float(pull @ pull)
    ratio /= float(gradient @ pool.covariance @ gradient)
    odds = 0.5 + confidence / 2.0
    return max(1.0, float(np.sqrt(ratio) * t.ppf(odds, runs - 1) / norm.ppf(odds)))


def _gradient(tail: TailFit, horizon_h: float) -> np.ndarray:
    """Derivatives of the excess that is passed once in T by xi, ln sigma and ln rate."""
    from scipy.stats import genpareto

    def excess(xi: float, log_scale: float, log_rate: float) -> float:
        """Excess once in T."""
        odds = min(1.0, float(np.exp(-log_rate) / horizon_h))
        return float(genpareto.isf(odds, xi, scale=np.exp(log_scale)))

    place = np.array([tail.shape, np.log(tail.scale), np.log(tail.rate)])
    steps = _STEP * np.eye(3)
    return np.array([excess(*(place + s)) - excess(*(place - s)) for s in steps]) / (2 * _STEP)


def _spread_words(pool: PooledTail, widening: float) -> tuple[str, ...]:
    """What the runs say about each other."""
    runs, words = len(pool.scores), []
    if widening > 1.0:
        words.append(
            f"The {runs} runs differ: the interval was widened by a factor of {widening:.2g}."
        )
    largest = max(pool.exceedances) / sum(pool.exceedances)
    if largest > max(0.5, 2.0 / runs):
        words.append(f"One run holds {100 * largest:.0f} % of the peaks of the pool.")
    return tuple(words)
