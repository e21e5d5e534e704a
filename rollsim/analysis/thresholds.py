"""Threshold of the tail fit: the rule, the diagnostics and what other thresholds would give."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.pareto import fit_odds
from rollsim.analysis.tail_posterior import tail_posterior

FEWEST_EXCEEDANCES = 10
WANTED_EXCEEDANCES = 50
# More peaks narrow the interval, but it then covers too seldom where a distribution reaches its
# tail slowly: normal parents, 2000 peaks, level of 1000 times the run (measured).
MOST_EXCEEDANCES = 150
TAIL_SHARE = 0.10
# A threshold is raised where a true generalised Pareto sample fits this badly more seldom.
LEAST_ODDS = 0.10
CONFIDENCE = 0.9
_FEWEST_TESTED = 20
_SHOWN = 9

RULE = (
    f"the upper {100 * TAIL_SHARE:.0f} % of the independent peaks, but at least"
    f" {WANTED_EXCEEDANCES} and at most {MOST_EXCEEDANCES} of them, and never more than one half;"
    " raised step by step while the Anderson-Darling test finds the fit worse than"
    f" {100 * LEAST_ODDS:.0f} % of true samples would be, down to {_FEWEST_TESTED} peaks (our own"
    " choice, not published)"
)


@dataclass(frozen=True)
class Threshold:
    """One threshold and what the peaks above it say.

    Attributes
    ----------
    level : float, N
        u.
    exceedances : int
        Peaks above it.
    mean_excess, mean_low, mean_high : float, N
        Mean residual life e(u) = mean(x - u | x > u) with its 90 % interval (Student t); a straight
        line of slope xi/(1 - xi) above a good threshold (Davison & Smith 1990; Coles 2001, section
        4.3.1; both from memory).
    shape, shape_low, shape_high : float
        xi, posterior mean and 90 % interval; constant above a good threshold.
    modified_scale : float, N
        sigma - xi u; constant above a good threshold (Coles 2001, section 4.3.4, from memory).
    fit_odds : float
        Probability that a true sample fits no better, Anderson-Darling, 0.001 to 0.9.
    median, low, high : float, N
        Level passed once in the horizon, from this threshold, with its 90 % interval.
    """

    level: float
    exceedances: int
    mean_excess: float
    mean_low: float
    mean_high: float
    shape: float
    shape_low: float
    shape_high: float
    modified_scale: float
    fit_odds: float
    median: float
    low: float
    high: float


@dataclass(frozen=True)
class ThresholdStudy:
    """The threshold that was used among its alternatives.

    Attributes
    ----------
    rule : str
        How the threshold was chosen.
    chosen : Threshold
        The one used.
    candidates : tuple of Threshold
        Alternatives, the lowest first; the chosen one is among them.
    raised : bool
        The test raised the threshold above where the rule starts.
    horizon_h : float, h
        Time of the compared levels.
    words : tuple of str
        The diagnostics in plain words.
    """

    rule: str
    chosen: Threshold
    candidates: tuple[Threshold, ...]
    raised: bool
    horizon_h: float
    words: tuple[str, ...]


def start_count(peaks: int) -> int:
    """Return the number of exceedances with which the rule starts.

    Parameters
    ----------
    peaks : int
        Number of independent peaks.

    Returns
    -------
    int

    Examples
    --------
    >>> [start_count(peaks) for peaks in (60, 200, 800, 5000)]
    [30, 50, 80, 150]
    """
    wanted = max(TAIL_SHARE * peaks, WANTED_EXCEEDANCES)
    return round(min(wanted, MOST_EXCEEDANCES, 0.5 * peaks))


def tail_threshold(peak: np.ndarray) -> float:
    """Return the threshold of the tail fit by `RULE`.

    Where no threshold passes the test, the one that fits least badly is taken.

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks.

    Returns
    -------
    float, N
    """
    ordered = np.sort(peak)
    best, best_odds = None, -1.0
    for count in _tested_counts(start_count(len(peak))):
        level = float(ordered[len(peak) - count - 1])
        excess = ordered[ordered > level] - level
        if not _can_be_fitted(excess):
            continue
        odds = fit_odds(excess)
        if odds > best_odds:
            best, best_odds = level, odds
        if odds >= LEAST_ODDS:
            break
    return float(ordered[len(peak) - start_count(len(peak)) - 1]) if best is None else best


def _tested_counts(start: int) -> list[int]:
    """Numbers of exceedances that the rule tries, each four fifths of the one before."""
    counts = [start]
    while 0.8 * counts[-1] >= _FEWEST_TESTED:
        counts.append(int(0.8 * counts[-1]))
    return counts


def _can_be_fitted(excess: np.ndarray) -> bool:
    """Enough exceedances, and not all equal."""
    return len(excess) >= FEWEST_EXCEEDANCES and bool(np.any(excess != excess[0]))


def threshold_study(
    peak: np.ndarray, observed_h: float, threshold: float, horizon_h: float, given: bool = False
) -> ThresholdStudy:
    """Describe the chosen threshold and its alternatives.

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks.
    observed_h : float, h
        Time in which they were seen.
    threshold : float, N
        The one used; at least 10 different peaks lie above it.
    horizon_h : float, h
        Time of the levels that are compared.
    given : bool
        The user gave the threshold.

    Returns
    -------
    ThresholdStudy
    """
    ordered = np.sort(peak)
    start = start_count(len(peak))
    count = len(peak) - int(np.searchsorted(ordered, threshold, side="right"))
    # A neighbour with nearly the same peaks would say nothing new.
    shown = [level for level, n in _shown_levels(ordered, start) if abs(n - count) > 0.1 * count]
    levels = {threshold, *shown}
    found = [
        describe_threshold(ordered, observed_h, level, horizon_h)
        for level in sorted(levels)
        if _can_be_fitted(ordered[ordered > level])
    ]
    chosen = next(one for one in found if one.level == threshold)
    raised = not given and chosen.exceedances < start
    rule = "given by the user" if given else RULE
    words = _words(chosen, found, raised, start)
    return ThresholdStudy(rule, chosen, tuple(found), raised, horizon_h, words)


def _shown_levels(ordered: np.ndarray, start: int) -> list[tuple[float, int]]:
    """Thresholds on either side of the start of the rule, with the number of peaks above."""
    size = len(ordered)
    most, least = min(4 * start, size // 2), max(start // 4, FEWEST_EXCEEDANCES)
    counts = np.unique(np.geomspace(least, max(most, least), _SHOWN).round().astype(int))
    return [(float(ordered[size - count - 1]), int(count)) for count in counts]


def describe_threshold(
    peak: np.ndarray, observed_h: float, level: float, horizon_h: float
) -> Threshold:
    """Return the diagnostics of one threshold.

    Parameters
    ----------
    peak : ndarray (n,), N
        Independent peaks; at least 10 different ones above the threshold.
    observed_h : float, h
        Time in which they were seen.
    level : float, N
        Threshold.
    horizon_h : float, h
        Time of the level.

    Returns
    -------
    Threshold
    """
    from scipy.stats import t

    excess = peak[peak > level] - level
    posterior = tail_posterior(excess, observed_h)
    shape, scale = posterior.mean()
    mean = float(excess.mean())
    half = float(t.ppf(0.5 + CONFIDENCE / 2.0, len(excess) - 1) * excess.std(ddof=1))
    half /= np.sqrt(len(excess))
    odds = [0.5 - CONFIDENCE / 2.0, 0.5, 0.5 + CONFIDENCE / 2.0]
    low, median, high = (level + posterior.levels(horizon_h, odds)).tolist()
    shape_low, shape_high = posterior.shape_limits(CONFIDENCE)
    return Threshold(
        level=level,
        exceedances=len(excess),
        mean_excess=mean,
        mean_low=mean - half,
        mean_high=mean + half,
        shape=shape,
        shape_low=shape_low,
        shape_high=shape_high,
        modified_scale=scale - shape * level,
        fit_odds=fit_odds(excess),
        median=median,
        low=low,
        high=high,
    )


def _words(chosen: Threshold, found: list[Threshold], raised: bool, start: int) -> tuple[str, ...]:
    """The diagnostics in plain words."""
    words = [_fit_words(chosen)]
    if raised:
        words.append(
            f"The threshold was raised: with the {start} peaks where the rule starts, the fit was"
            " rejected."
        )
    higher = [one for one in found if one.level > chosen.level]
    if higher:
        words.append(_stability_words(chosen, higher))
    return (*words, _tail_words(chosen))


def _fit_words(chosen: Threshold) -> str:
    """Goodness of fit."""
    percent = 100.0 * chosen.fit_odds
    if chosen.fit_odds < LEAST_ODDS:
        return (
            f"The fit is poor: only {percent:.2g} % of true samples would fit as badly"
            " (Anderson-Darling). Read the level with care."
        )
    more = "or more " if chosen.fit_odds >= 0.9 else ""
    return f"The fit holds: {percent:.0f} % {more}of true samples would fit as badly or worse."


def _stability_words(chosen: Threshold, higher: list[Threshold]) -> str:
    """Whether higher thresholds tell the same shape."""
    off = [one for one in higher if not chosen.shape_low <= one.shape <= chosen.shape_high]
    if not off:
        return "Shape stable: higher thresholds stay within the interval of the chosen one."
    return (
        f"Shape not stable: {len(off)} of {len(higher)} higher thresholds leave the interval of the"
        " chosen one. The tail may not be reached yet."
    )


def _tail_words(chosen: Threshold) -> str:
    """What the shape says about the tail."""
    span = f"shape {chosen.shape:+.2f}, {chosen.shape_low:+.2f} to {chosen.shape_high:+.2f}"
    if chosen.shape_high < 0.0:
        return f"The tail has an end ({span})."
    if chosen.shape_low > 0.0:
        return f"The tail is heavier than exponential ({span})."
    return f"An exponential tail is within the interval ({span})."
