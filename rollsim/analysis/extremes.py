"""The tail of the distribution of independent peaks and the return level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.tail_posterior import TailPosterior, tail_posterior
from rollsim.analysis.thresholds import (
    FEWEST_EXCEEDANCES,
    WANTED_EXCEEDANCES,
    tail_threshold,
)

# Our own choice: beyond this multiple of the observed time the words say "extrapolation".
FAR_HORIZON = 100.0


@dataclass(frozen=True)
class TailFit:
    """Generalised Pareto distribution of the independent peaks above a threshold.

    Attributes
    ----------
    threshold : float, N
    shape : float
        xi, mean of the posterior; 0 is an exponential tail, below 0 the tail has an end.
    scale : float, N
        sigma, mean of the posterior.
    rate : float, 1/h
        Independent peaks above the threshold per hour.
    exceedances : int
        Number of peaks in the fit.
    observed_h : float, h
        Time in which they were seen.
    posterior : TailPosterior
        Plausible tails with their weights.
    """

    threshold: float
    shape: float
    scale: float
    rate: float
    exceedances: int
    observed_h: float
    posterior: TailPosterior


@dataclass(frozen=True)
class ReturnLevel:
    """Force that is exceeded once, on average, in a stated time.

    Attributes
    ----------
    horizon_h : float, h
    level : float, N
        Estimate: as likely too high as too low.
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


def fit_tail(peak: np.ndarray, observed_h: float, threshold: float | None = None) -> TailFit | None:
    """Fit the tail of the independent peaks.

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks.
    observed_h : float, h
        Time in which they were seen.
    threshold : float or None, N
        Threshold; None leaves the choice to `rollsim.analysis.thresholds.tail_threshold`.

    Returns
    -------
    TailFit or None
        None where fewer than 10 different peaks lie above the threshold.
    """
    if len(peak) < FEWEST_EXCEEDANCES:
        return None
    if threshold is None:
        threshold = tail_threshold(peak)
    excess = peak[peak > threshold] - threshold
    if len(excess) < FEWEST_EXCEEDANCES or not np.any(excess != excess[0]):
        return None
    posterior = tail_posterior(excess, observed_h)
    shape, scale = posterior.mean()
    rate = len(excess) / observed_h
    return TailFit(float(threshold), shape, scale, rate, len(excess), observed_h, posterior)


def return_level(tail: TailFit, horizon_h: float, confidence: float = 0.9) -> ReturnLevel:
    """Return the force exceeded once, on average, in a stated time.

    Median and quantiles of x = u + (sigma/xi) ((r T)^xi - 1) over the posterior of xi, sigma and
    the rate r of exceedances (`TailPosterior.levels`).

    Parameters
    ----------
    tail : TailFit
        Fitted tail.
    horizon_h : float, h
        Time T.
    confidence : float
        Level of the interval; equal odds beyond either limit.

    Returns
    -------
    ReturnLevel
    """
    odds = [0.5 - confidence / 2.0, 0.5, 0.5 + confidence / 2.0]
    low, level, high = (tail.threshold + tail.posterior.levels(horizon_h, odds)).tolist()
    return ReturnLevel(horizon_h, level, low, high, confidence, _warnings(tail, horizon_h))


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
    if tail.shape > 0.0 and tail.posterior.shape_limits(0.9)[1] > 0.5:
        words.append("The tail is heavy and its shape uncertain: the upper limit means little.")
    return tuple(words)
