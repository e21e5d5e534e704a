"""The tail of the distribution of independent peaks and the return level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.declustering import SECONDS_PER_HOUR

FEWEST_EXCEEDANCES = 10
WANTED_EXCEEDANCES = 50
TAIL_SHARE = 0.10
RESAMPLES = 400
# Our own choice: beyond this multiple of the observed time the words say "extrapolation".
FAR_HORIZON = 100.0


@dataclass(frozen=True)
class TailFit:
    """Generalised Pareto distribution of the independent peaks above a threshold.

    Attributes
    ----------
    threshold : float, N
    shape : float
        xi; 0 is an exponential tail, below 0 the tail has an end.
    scale : float, N
        sigma.
    rate : float, 1/h
        Independent peaks above the threshold per hour.
    exceedances : int
        Number of peaks in the fit.
    observed_h : float, h
        Time in which they were seen.
    resampled : ndarray (n, 3)
        Shape, scale (N) and rate (1/h) of the bootstrap samples.
    """

    threshold: float
    shape: float
    scale: float
    rate: float
    exceedances: int
    observed_h: float
    resampled: np.ndarray


@dataclass(frozen=True)
class ReturnLevel:
    """Force that is exceeded once, on average, in a stated time.

    Attributes
    ----------
    horizon_h : float, h
    level : float, N
        Estimate.
    low, high : float, N
        Limits of the confidence interval.
    confidence : float
        Level of the interval, 0.9 for 90 %.
    warnings : tuple of str
        Why the estimate is weak, in plain words; empty where nothing is to be said.
    """

    horizon_h: float
    level: float
    low: float
    high: float
    confidence: float
    warnings: tuple[str, ...]


def fit_pareto(excess: np.ndarray) -> tuple[float, float]:
    """Fit a generalised Pareto distribution by maximum likelihood.

    With tau = xi/sigma the best shape is xi = mean(ln(1 + tau y)), so the likelihood is searched
    along one line: minimise ln(xi/tau) + xi (Davison & Smith 1990; Grimshaw 1993; both from
    memory). The limits of the search keep xi above about -0.9.

    Parameters
    ----------
    excess : ndarray (n,), N
        Amounts above the threshold, positive, n >= 2.

    Returns
    -------
    shape : float
        xi.
    scale : float, N
        sigma.
    """
    from scipy.optimize import minimize_scalar

    mean, largest = float(np.mean(excess)), float(np.max(excess))
    limits = (np.log(0.05), np.log1p(20.0 * largest / mean))

    def cost(s: float) -> float:
        """Negative log-likelihood per peak, less a constant, at tau = (e^s - 1)/max(y)."""
        tau = np.expm1(s) / largest
        if abs(tau) * mean < 1e-7:
            return float(np.log(mean))
        shape = float(np.mean(np.log1p(tau * excess)))
        return float(np.log(shape / tau) + shape)

    found = minimize_scalar(cost, bounds=limits, method="bounded", options={"xatol": 1e-7})
    tau = np.expm1(found.x) / largest
    if abs(tau) * mean < 1e-7:
        return 0.0, mean
    shape = float(np.mean(np.log1p(tau * excess)))
    return shape, shape / tau


def tail_threshold(peak: np.ndarray) -> float:
    """Return the threshold of the tail fit.

    The upper 10 % of the independent peaks, or the upper 50 peaks where 10 % are fewer, and never
    more than one half of them (our own choice, not published).

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks.

    Returns
    -------
    float, N
    """
    count = max(TAIL_SHARE * len(peak), min(WANTED_EXCEEDANCES, 0.5 * len(peak)))
    return float(np.sort(peak)[len(peak) - round(count) - 1])


def fit_tail(
    peak: np.ndarray, observed_h: float, threshold: float | None = None, seed: int = 1
) -> TailFit | None:
    """Fit the tail of the independent peaks and resample it.

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks.
    observed_h : float, h
        Time in which they were seen.
    threshold : float or None, N
        Threshold; None leaves the choice to `tail_threshold`.
    seed : int
        Seed of the bootstrap, so that the interval is the same at every call.

    Returns
    -------
    TailFit or None
        None where fewer than 10 peaks lie above the threshold.
    """
    if len(peak) < FEWEST_EXCEEDANCES:
        return None
    if threshold is None:
        threshold = tail_threshold(peak)
    excess = peak[peak > threshold] - threshold
    if len(excess) < FEWEST_EXCEEDANCES or not np.any(excess != excess[0]):
        return None
    shape, scale = fit_pareto(excess)
    rng = np.random.default_rng(seed)
    resampled = np.array([_resample(excess, observed_h, rng) for _ in range(RESAMPLES)])
    rate = len(excess) / observed_h
    return TailFit(threshold, shape, scale, rate, len(excess), observed_h, resampled)


def _resample(excess: np.ndarray, observed_h: float, rng) -> tuple[float, float, float]:
    """Draw one bootstrap sample, the number of events varying too, and fit it."""
    count = max(2, int(rng.poisson(len(excess))))
    shape, scale = fit_pareto(rng.choice(excess, count))
    return shape, scale, count / observed_h


def pareto_level(tail_odds: np.ndarray, threshold: float, shape, scale) -> np.ndarray:
    """Return the level that a peak above the threshold exceeds with a given probability.

    x = u + (sigma/xi) (p^-xi - 1), by `scipy.stats.genpareto.isf`.

    Parameters
    ----------
    tail_odds : ndarray
        Probability p, 0 < p <= 1.
    threshold : float, N
        u.
    shape : float or ndarray
        xi.
    scale : float or ndarray, N
        sigma.

    Returns
    -------
    ndarray, N
    """
    from scipy.stats import genpareto

    return genpareto.isf(tail_odds, shape, loc=threshold, scale=scale)


def return_level(tail: TailFit, horizon_h: float, confidence: float = 0.9) -> ReturnLevel:
    """Return the force exceeded once, on average, in a stated time.

    With rate r of peaks above the threshold, p = 1/(r T) in `pareto_level` (Coles 2001, "An
    Introduction to Statistical Modeling of Extreme Values", section 4.3.3, from memory).

    Parameters
    ----------
    tail : TailFit
        Fitted tail.
    horizon_h : float, h
        Time T.
    confidence : float
        Level of the interval, taken from the bootstrap samples.

    Returns
    -------
    ReturnLevel
    """
    level = float(pareto_level(_odds(tail.rate, horizon_h), tail.threshold, tail.shape, tail.scale))
    shape, scale, rate = tail.resampled.T
    spread = pareto_level(_odds(rate, horizon_h), tail.threshold, shape, scale)
    low, high = np.quantile(spread, [0.5 - confidence / 2.0, 0.5 + confidence / 2.0])
    warnings = _warnings(tail, horizon_h)
    return ReturnLevel(horizon_h, level, float(low), float(high), confidence, warnings)


def _odds(rate, horizon_h: float):
    """Probability that a peak above the threshold belongs to the once-in-T level."""
    return np.minimum(1.0, 1.0 / (np.asarray(rate) * horizon_h))


def _warnings(tail: TailFit, horizon_h: float) -> tuple[str, ...]:
    """Say why a return level is weak."""
    words = []
    if tail.exceedances < WANTED_EXCEEDANCES:
        words.append(
            f"Small sample: the tail rests on {tail.exceedances} independent peaks;"
            f" {WANTED_EXCEEDANCES} or more are wanted. Run longer."
        )
    factor = horizon_h / tail.observed_h
    if factor > FAR_HORIZON:
        words.append(
            f"Far extrapolation: {horizon_h:g} h is {factor:.1e} times the evaluated"
            f" {tail.observed_h * SECONDS_PER_HOUR:.4g} s. Read the level as an order of magnitude."
        )
    if tail.shape > 0.0 and np.quantile(tail.resampled[:, 0], 0.95) > 0.5:
        words.append("The tail is heavy and its shape uncertain: the upper limit means little.")
    return tuple(words)
