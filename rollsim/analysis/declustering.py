"""Independent peaks among many, and how often a level is passed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

SECONDS_PER_HOUR = 3600.0
LEVELS = 200


@dataclass(frozen=True)
class Exceedance:
    """Rate of peaks above a level.

    Attributes
    ----------
    level : ndarray (n,), N
        Ascending; the last is the greatest peak.
    rate_all : ndarray (n,), 1/h
        Every contact episode counted.
    rate_independent : ndarray (n,), 1/h
        Independent peaks only.
    separation_s : float, s
        Half width of the window within which one peak counts.
    """

    level: np.ndarray
    rate_all: np.ndarray
    rate_independent: np.ndarray
    separation_s: float


def exceedance_curve(
    peak: np.ndarray, independent: np.ndarray, observed_h: float, separation_s: float
) -> Exceedance:
    """Count the peaks at or above each level.

    Parameters
    ----------
    peak : ndarray (n,), N
        Peak force of every episode.
    independent : ndarray of bool (n,)
        Mark of `independent_peaks`.
    observed_h : float, h
        Time in which the peaks were seen.
    separation_s : float, s
        Half width of the window used for the mark.

    Returns
    -------
    Exceedance
    """
    if len(peak) == 0:
        none = np.zeros(0)
        return Exceedance(none, none, none, separation_s)
    level = np.linspace(peak.min(), peak.max(), LEVELS)
    return Exceedance(
        level,
        _count_above(peak, level) / observed_h,
        _count_above(peak[independent], level) / observed_h,
        separation_s,
    )


def _count_above(peak: np.ndarray, level: np.ndarray) -> np.ndarray:
    """Number of peaks at or above each level."""
    return len(peak) - np.searchsorted(np.sort(peak), level, side="left")


def independent_peaks(time: np.ndarray, peak: np.ndarray, separation: float) -> np.ndarray:
    """Mark the peaks that are the greatest within a separation time before and after.

    One shock throws several rollers against the cage, and each bounces: those peaks belong to one
    event. A peak is kept when no greater one lies within +-separation. Of equal peaks the first is
    kept. The set does not depend on a threshold, so the rate above a level falls with the level.

    Parameters
    ----------
    time : ndarray (n,), s
        Start of each episode, ascending.
    peak : ndarray (n,), N
        Peak force of each episode.
    separation : float, s
        Half width of the time window.

    Returns
    -------
    ndarray of bool (n,)

    Examples
    --------
    >>> independent_peaks(np.array([0.0, 0.004, 0.03]), np.array([5.0, 9.0, 1.0]), 0.01).tolist()
    [False, True, True]
    """
    if len(time) == 0:
        return np.zeros(0, dtype=bool)
    # Ranks are unique, so equal peaks are settled by their order in time.
    rank = np.empty(len(peak), dtype=np.int64)
    rank[np.lexsort((-np.arange(len(peak)), peak))] = np.arange(len(peak))
    left = np.searchsorted(time, time - separation, side="left")
    right = np.searchsorted(time, time + separation, side="right")
    return _range_maximum(rank, left, right) == rank


def _range_maximum(values: np.ndarray, left: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Return max(values[left:right]) for many ranges, by doubling the table of window maxima."""
    width = right - left
    result = np.empty_like(values)
    table, span = values, 1
    while True:
        # Two overlapping windows of `span` samples cover a range of span..2 span - 1 samples.
        here = (width >= span) & (width < 2 * span)
        result[here] = np.maximum(table[left[here]], table[right[here] - span])
        if 2 * span > width.max():
            return result
        table = np.maximum(table[: len(table) - span], table[span:])
        span *= 2
