"""Level, peaks and distribution of a signal, and its averaged density."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

#: Longest sections of the averaged spectrum: this many of them at least, half overlapping.
FEWEST_SECTIONS = 8
#: Level over rms above which maxima are counted.
HIGH_PEAK = 3.0


@dataclass(frozen=True)
class Statistics:
    """Level and peaks of a signal, without its mean unless it is a shock.

    mean, rms, peak (largest deviation either way): unit of the signal; crest: peak over rms;
    kurtosis: 3 for Gaussian, 1.5 for a sine; crossings: upward zero crossings a second;
    peaks: number of maxima and minima on the outer side; high_peaks: share of them beyond three
    rms (Rayleigh, narrow band: 1.11 %). Ratios are NaN for a signal that stands still.
    """

    mean: float
    rms: float
    peak: float
    crest: float
    kurtosis: float
    crossings: float
    peaks: int
    high_peaks: float


def statistics(signal, rate, remove_mean=True):
    """Level and peaks of a signal.

    Parameters
    ----------
    signal : array (n,)
        Evenly sampled.
    rate : float, Hz
        Samples a second.
    remove_mean : bool
        Measure from the mean; a shock is measured from zero.

    Returns
    -------
    Statistics

    Examples
    --------
    A sine of 50 Hz, amplitude 2: crest sqrt(2), kurtosis 3/2.

    >>> s = statistics(2.0 * np.sin(2 * np.pi * 50 * np.arange(10000) / 10000 + 0.3), 10000)
    >>> round(s.rms, 4), round(s.crest, 3), round(s.kurtosis, 3), round(s.crossings)
    (1.4142, 1.414, 1.5, 50)
    """
    signal = np.asarray(signal, dtype=float)
    mean = float(signal.mean())
    moving = signal - mean if remove_mean else signal
    rms = math.sqrt(float(np.mean(moving**2)))
    peak = float(np.abs(moving).max())
    # Rounding of a constant must not count as motion.
    if not rms > 1e-12 * abs(mean):
        nan = float("nan")
        return Statistics(mean, 0.0, 0.0, nan, nan, 0.0, 0, nan)
    tops = _outer_peaks(moving)
    return Statistics(
        mean=mean,
        rms=rms,
        peak=peak,
        crest=peak / rms,
        kurtosis=float(np.mean(moving**4)) / rms**4,
        crossings=upward_crossings(moving) * rate / len(moving),
        peaks=len(tops),
        high_peaks=float(np.mean(tops > HIGH_PEAK * rms)) if len(tops) else float("nan"),
    )


def upward_crossings(signal):
    """Number of upward zero crossings between samples.

    Parameters
    ----------
    signal : array (n,)
        Without its mean.

    Returns
    -------
    int
    """
    return int(np.count_nonzero((signal[:-1] < 0.0) & (signal[1:] >= 0.0)))


def _outer_peaks(signal):
    """Heights of maxima above and depths of minima below zero."""
    middle = signal[1:-1]
    top = (middle > signal[:-2]) & (middle >= signal[2:]) & (middle > 0.0)
    low = (middle < signal[:-2]) & (middle <= signal[2:]) & (middle < 0.0)
    return np.abs(middle[top | low])


def histogram(signal, bins=41, reach=4.5):
    """How often the signal lies where, in multiples of its rms about its mean.

    Parameters
    ----------
    signal : array (n,)
        Samples.
    bins : int
        Number of classes.
    reach : float
        Classes go to plus and minus so many rms, or to the peak where that lies farther out.

    Returns
    -------
    edges : array (bins + 1,)
        In rms.
    density : array (bins,)
        Share of the samples per rms; its sum times the width of a class is one. Zeros for a
        signal that stands still.
    """
    moving = np.asarray(signal, dtype=float) - np.mean(signal)
    rms = math.sqrt(float(np.mean(moving**2)))
    if not rms > 0.0:
        return np.linspace(-reach, reach, bins + 1), np.zeros(bins)
    scaled = moving / rms
    reach = max(reach, 1.0001 * float(np.abs(scaled).max()))
    density, edges = np.histogram(scaled, bins, (-reach, reach), density=True)
    return edges, density


def share_beyond(signal, levels):
    """Share of the samples that lie farther than so many rms from the mean.

    Parameters
    ----------
    signal : array (n,)
        Samples.
    levels : sequence of float
        In rms.

    Returns
    -------
    array (levels,)
        Zeros for a signal that stands still. Gaussian: 31.7, 4.55, 0.27 and 0.006 % beyond 1 to 4.

    Examples
    --------
    A sine is beyond its rms half of the time.

    >>> share_beyond(np.sin(2 * np.pi * (np.arange(1000) + 0.5) / 1000), [1.0, 2.0]).tolist()
    [0.5, 0.0]
    """
    moving = np.abs(signal - np.mean(signal))
    rms = math.sqrt(float(np.mean(moving**2)))
    if not rms > 0.0:
        return np.zeros(len(levels))
    return np.array([float(np.mean(moving > level * rms)) for level in levels])


def envelope(times, signal, cells=1200):
    """Least and greatest value in each of many short pieces of a signal, to be drawn.

    Parameters
    ----------
    times : array (n,), s
        Rising.
    signal : array (n, k)
        Channels.
    cells : int
        Most pieces.

    Returns
    -------
    times : array (m,), s
        First time of each piece.
    lowest, highest : arrays (m, k)

    Examples
    --------
    >>> t, low, high = envelope(np.arange(6.0), np.array([[0, 3, 1, -2, 5, 4.0]]).T, 2)
    >>> t.tolist(), low[:, 0].tolist(), high[:, 0].tolist()
    ([0.0, 3.0], [0.0, -2.0], [3.0, 5.0])
    """
    starts = np.arange(0, len(times), max(1, -(-len(times) // cells)))
    lowest = np.minimum.reduceat(signal, starts, axis=0)
    return times[starts], lowest, np.maximum.reduceat(signal, starts, axis=0)


def averaged_density(signal, rate, step):
    """One-sided power spectral density of a signal without its mean (Welch's method, Hann).

    Parameters
    ----------
    signal : array (n,)
        Evenly sampled.
    rate : float, Hz
        Samples a second.
    step : float, Hz
        Wanted distance of the frequencies; made wider where the signal is too short for it.

    Returns
    -------
    frequency : array, Hz
        Above zero.
    density : array
        Squared unit per Hz.
    """
    from scipy.signal import welch

    longest = max(16, 2 * len(signal) // (FEWEST_SECTIONS + 1))
    section = min(len(signal), longest, max(16, round(rate / step)))
    # Even, or the sections overlap by less than half and the last one finds no room.
    section -= section % 2
    frequency, density = welch(signal, rate, nperseg=section, detrend="constant")
    return frequency[1:], density[1:]
