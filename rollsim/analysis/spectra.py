"""Two-sided spectrum of a complex signal and the kinematic frequencies to look for in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# Our own choice: a frequency step of about one twentieth of the cage speed, 8 averages at least.
LINES_PER_TURN = 20.0
FEWEST_AVERAGES = 8
# In a short run a step of one quarter of the cage speed comes before averages, down to 3 of them.
FEWEST_LINES_PER_TURN = 4.0
FEWEST_AVERAGES_OF_SHORT_RUN = 3
# Peaks with less of the power than this are not named (our own choice).
SMALLEST_SHARE = 0.002


@dataclass(frozen=True)
class FullSpectrum:
    """Power per Hz of a complex signal, counter-clockwise motion at positive frequency.

    Attributes
    ----------
    frequency : ndarray (n,), Hz
        Ascending, negative (clockwise) to positive.
    density : ndarray (n,), 1/Hz
        Squared unit of the signal per Hz; its integral is the mean square.
    step : float, Hz
        Distance of the frequencies.
    averages : int
        Number of half-overlapping sections that were averaged.
    """

    frequency: np.ndarray
    density: np.ndarray
    step: float
    averages: int

    @property
    def power(self) -> float:
        """Integral of the density: the mean square of the signal."""
        return float(np.sum(self.density) * self.step)


@dataclass(frozen=True)
class KinematicLine:
    """A frequency that the motion of the bearing or an imposed vibration explains.

    Attributes
    ----------
    name : str
    frequency : float, Hz
        Positive when the motion turns counter-clockwise.
    imposed : bool
        It is imposed from outside: exciter or sine.
    both_senses : bool
        It turns in both senses at once: motion along a line.
    """

    name: str
    frequency: float
    imposed: bool = False
    both_senses: bool = False

    def distance(self, frequency: float) -> float:
        """Return how far a frequency lies from the line, in the sense in which it turns.

        Parameters
        ----------
        frequency : float, Hz
            Counter-clockwise positive.

        Returns
        -------
        float
            Hz.
        """
        away = abs(frequency - self.frequency)
        return min(away, abs(frequency + self.frequency)) if self.both_senses else away


def full_spectrum(
    signal: np.ndarray, rate: float, section: int | None = None, window: str = "hann"
) -> FullSpectrum:
    """Return the two-sided power spectral density of a complex signal (Welch's method).

    The mean is not removed here. With one section and the window "boxcar" the integral of the
    density is the mean square of the signal exactly (Parseval).

    Parameters
    ----------
    signal : ndarray of complex (n,)
        Evenly sampled.
    rate : float, Hz
        Samples per second.
    section : int or None
        Samples in a section; None takes the whole signal at once.
    window : str
        Name of a window known to scipy.signal.

    Returns
    -------
    FullSpectrum
    """
    from scipy.signal import welch

    section = len(signal) if section is None else min(section, len(signal))
    frequency, density = welch(
        np.asarray(signal, dtype=complex),
        rate,
        window=window,
        nperseg=section,
        noverlap=section // 2 if section < len(signal) else 0,
        detrend=False,
        return_onesided=False,
        scaling="density",
    )
    averages = (
        1 if section >= len(signal) else 1 + (len(signal) - section) // (section - section // 2)
    )
    order = np.argsort(frequency)
    return FullSpectrum(frequency[order], density[order], rate / section, averages)


def section_length(samples: int, rate: float, slowest: float) -> int:
    """Return the number of samples in a section of the averaged spectrum.

    Parameters
    ----------
    samples : int
        Length of the signal.
    rate : float, Hz
        Samples per second.
    slowest : float, Hz
        Lowest frequency that must show as a line of its own (the cage speed).

    Returns
    -------
    int
    """
    turn = rate / max(abs(slowest), 1e-9)
    smooth = min(LINES_PER_TURN * turn, samples * 2.0 / (FEWEST_AVERAGES + 1))
    sharp = min(FEWEST_LINES_PER_TURN * turn, samples * 2.0 / (FEWEST_AVERAGES_OF_SHORT_RUN + 1))
    return max(16, min(samples, int(max(smooth, sharp))))


def circulation(signal: np.ndarray) -> float:
    """Return (P+ - P-)/(P+ + P-), P being the power at positive and negative frequencies.

    +1 turns counter-clockwise only, -1 clockwise only, 0 moves to and fro on a line. An ellipse
    with semi-axes a, b gives 2 a b/(a^2 + b^2).

    Parameters
    ----------
    signal : ndarray of complex (n,)
        Signal; its mean is removed.

    Returns
    -------
    float
        NaN for a signal without motion.
    """
    spectrum = np.abs(np.fft.fft(signal - signal.mean())) ** 2
    half = (len(signal) + 1) // 2
    forward, backward = float(spectrum[1:half].sum()), float(spectrum[-(half - 1) :].sum())
    total = forward + backward
    return (forward - backward) / total if total > 0.0 else float("nan")


def kinematic_lines(
    cage_speed: float, ring_speeds: tuple[float, float], rollers: int
) -> tuple[KinematicLine, ...]:
    """Return the frequencies of the steady motion.

    A point of the outer ring meets Z (f_c - f_o) rollers a second and a point of the inner ring
    Z (f_i - f_c); both are taken with the sign of that relative rotation. What stands still has no
    line: nothing at 0 Hz can be told from the mean position.

    Parameters
    ----------
    cage_speed : float, rad/s
        Mean speed of the cage.
    ring_speeds : tuple of two floats, rad/s
        Speeds of the inner and of the outer ring.
    rollers : int
        Number of rollers Z.

    Returns
    -------
    tuple of KinematicLine

    Examples
    --------
    >>> speeds = [2 * np.pi * f for f in (8, 20, 0)]
    >>> [(line.name, round(line.frequency)) for line in kinematic_lines(speeds[0], speeds[1:], 18)]
    ... # doctest: +NORMALIZE_WHITESPACE
    [('cage speed', 8), ('inner ring speed', 20), ('roller passing, outer ring', 144),
     ('roller passing, inner ring', 216)]
    """
    inner, outer = ring_speeds
    named = (
        ("cage speed", cage_speed),
        ("inner ring speed", inner),
        ("outer ring speed", outer),
        ("roller passing, outer ring", rollers * (cage_speed - outer)),
        ("roller passing, inner ring", rollers * (inner - cage_speed)),
    )
    return tuple(KinematicLine(name, speed / (2.0 * np.pi)) for name, speed in named if speed)


@dataclass(frozen=True)
class SpectrumPeak:
    """A peak of a spectrum.

    Attributes
    ----------
    frequency : float, Hz
        Positive for counter-clockwise motion.
    share : float
        Power within two frequency steps to either side over the whole power.
    """

    frequency: float
    share: float


def strongest_peaks(spectrum: FullSpectrum, count: int) -> tuple[SpectrumPeak, ...]:
    """Return the strongest separate peaks of a spectrum, the strongest first.

    Parameters
    ----------
    spectrum : FullSpectrum
        Spectrum of a signal without its mean.
    count : int
        Greatest number of peaks.

    Returns
    -------
    tuple of SpectrumPeak
        Empty for a signal without power.
    """
    from scipy.signal import find_peaks

    total = float(spectrum.density.sum())
    if not total > 0.0:
        return ()
    # Padding lets the first and the last frequency be a peak too.
    padded = np.concatenate([[0.0], spectrum.density, [0.0]])
    places = find_peaks(padded, distance=5)[0] - 1
    places = places[np.argsort(spectrum.density[places])[::-1][:count]]
    sums = np.concatenate([[0.0], np.cumsum(spectrum.density)])
    last = len(spectrum.density)
    low, high = np.maximum(places - 2, 0), np.minimum(places + 3, last)
    shares = (sums[high] - sums[low]) / total
    return tuple(
        SpectrumPeak(float(spectrum.frequency[place]), float(share))
        for place, share in zip(places, shares, strict=True)
        if share >= SMALLEST_SHARE
    )


def share_near(spectrum: FullSpectrum, frequencies: list[float]) -> float:
    """Return the share of the power in lines at some frequencies, above what lies beside them.

    A line is all within two frequency steps; what broadband motion puts there is taken off at the
    median level of three to eight steps to either side (our own choice).

    Parameters
    ----------
    spectrum : FullSpectrum
        Spectrum of a signal without its mean.
    frequencies : list of float, Hz
        Counter-clockwise positive.

    Returns
    -------
    float
        NaN without frequencies or without power.
    """
    total = float(spectrum.density.sum())
    if not frequencies or not total > 0.0:
        return float("nan")
    away = np.abs(spectrum.frequency[:, None] - np.asarray(frequencies)[None, :]) / spectrum.step
    near = away <= 2.0
    power = 0.0
    seen = np.zeros(len(spectrum.frequency), dtype=bool)
    for line in range(near.shape[1]):
        own = near[:, line] & ~seen
        seen |= own
        beside = (away[:, line] > 2.5) & (away[:, line] <= 8.5)
        level = float(np.median(spectrum.density[beside])) if beside.any() else 0.0
        power += max(0.0, float(spectrum.density[own].sum()) - level * int(own.sum()))
    return power / total
