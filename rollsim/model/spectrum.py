"""Acceleration spectra: breakpoint tables, their integrals, and signals made from them.

A table is an array (n, 2) of frequency in Hz and one-sided density in unit^2/Hz, frequencies
rising, joined by straight lines in log-log and zero outside. Two rows of one frequency are a
step.
"""

import math

import numpy as np

SAMPLES_PER_PERIOD = 10
"""Table samples in a period of the highest frequency; see `hermite_error`."""

_SMALL = 1e-8


def density_at(table, frequencies):
    """Density of a breakpoint table at given frequencies.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.
    frequencies : array, Hz
        Where to read it, above zero.

    Returns
    -------
    array, unit^2/Hz
        Density, zero outside the table.

    Examples
    --------
    A slope of 3 dB an octave doubles the density with the frequency.

    >>> float(density_at(np.array([[20.0, 0.01], [80.0, 0.04]]), 40.0).round(6))
    0.02
    """
    table = np.asarray(table, dtype=float)
    frequencies = np.asarray(frequencies, dtype=float)
    logarithm = np.interp(np.log(frequencies), np.log(table[:, 0]), np.log(table[:, 1]))
    inside = (frequencies >= table[0, 0]) & (frequencies <= table[-1, 0])
    return np.where(inside, np.exp(logarithm), 0.0)


def _segments(table):
    """Left frequency, left density, slope and logarithmic length of every line of the table."""
    table = np.asarray(table, dtype=float)
    left, right = table[:-1], table[1:]
    wide = right[:, 0] > left[:, 0]
    left, right = left[wide], right[wide]
    length = np.log(right[:, 0] / left[:, 0])
    slope = np.log(right[:, 1] / left[:, 1]) / length
    return left[:, 0], left[:, 1], slope, length


def _segment_integral(start, density, power, length):
    """Integrate G1 (f/f1)^(power-1) from f1 over a logarithmic length, stable near power 0."""
    product = power * length
    safe = np.where(np.abs(power) > _SMALL, power, 1.0)
    exact = np.expm1(product) / safe
    return (
        density * start * np.where(np.abs(product) > _SMALL, exact, length + 0.5 * product * length)
    )


def spectral_moment(table, order=0):
    """Moment of a breakpoint table, m_k = int f^k G df, exact for log-log lines.

    A line G1 (f/f1)^b gives G1 f1^(k+1) ((f2/f1)^(b+k+1) - 1)/(b+k+1), or G1 f1^(k+1) ln(f2/f1)
    where b + k = -1.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.
    order : int
        k.

    Returns
    -------
    float, unit^2 Hz^k
        Moment; the mean square for order 0.
    """
    start, density, slope, length = _segments(table)
    parts = _segment_integral(start, density, slope + order + 1.0, length)
    return float(np.sum(parts * start**order))


def overall_level(table):
    """Root mean square of a spectrum, sqrt(m_0), by exact integration.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.

    Returns
    -------
    float, unit
        rms.

    Examples
    --------
    Component qualification spectrum of GSFC-STD-7000A, table 2.4-3: 14.1 g rms.

    >>> table = [[20, 0.026], [50, 0.16], [800, 0.16], [2000, 0.026]]
    >>> round(overall_level(table), 1)
    14.1
    """
    return math.sqrt(spectral_moment(table))


def cumulative_mean_square(table, frequencies):
    """Mean square below given frequencies, int_0^f G df, exact for log-log lines.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.
    frequencies : array, Hz
        Upper ends, any order.

    Returns
    -------
    array, unit^2
        Mean square up to each frequency.
    """
    start, density, slope, length = _segments(table)
    total = np.concatenate(
        [[0.0], np.cumsum(_segment_integral(start, density, slope + 1.0, length))]
    )
    clipped = np.clip(np.asarray(frequencies, dtype=float), start[0], None)
    index = np.clip(np.searchsorted(start, clipped, side="right") - 1, 0, len(start) - 1)
    reach = np.minimum(np.log(clipped / start[index]), length[index])
    return total[index] + _segment_integral(start[index], density[index], slope[index] + 1.0, reach)


def line_amplitudes(table, count, interval):
    """Amplitudes of the lines of a periodic signal, sqrt(2 int G df) over each line's band.

    Line k stands for the band from k - 1/2 to k + 1/2 times 1/(count interval), so that the sum
    of all lines has exactly the mean square of the table. Frequencies up to the one half of the
    sampling rate (excluded) are kept.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.
    count : int
        Samples in a period, even.
    interval : float, s
        Time between samples.

    Returns
    -------
    array (count/2 + 1,), unit
        Amplitude of each line; zero at zero and at half the sampling rate.
    """
    lines = count // 2 + 1
    edges = (np.arange(lines + 1) - 0.5) / (count * interval)
    below = cumulative_mean_square(table, edges)
    amplitudes = np.sqrt(2.0 * np.maximum(np.diff(below), 0.0))
    amplitudes[0] = amplitudes[-1] = 0.0
    return amplitudes


def random_lines(amplitudes, generator):
    """Complex amplitudes A_k exp(i phi_k) with random phases.

    Nearly Gaussian when many lines contribute (central limit); the rms over a period does not
    depend on the phases. Source: Shinozuka and Jan, J. Sound Vib. 25 (1972).

    Parameters
    ----------
    amplitudes : array (m,), unit
        A_k.
    generator : numpy.random.Generator
        Source of the phases, even in 0..2 pi.

    Returns
    -------
    array (m,), complex
        Amplitudes.
    """
    lines = 1j * generator.uniform(0.0, 2.0 * np.pi, len(amplitudes))
    np.exp(lines, out=lines)
    lines *= amplitudes
    return lines


def lines_to_signal(lines, count, interval):
    """Periodic signal sum Re(X_k exp(2 pi i k t/T)) and its exact time derivative.

    Parameters
    ----------
    lines : array (count/2 + 1,), complex
        X_k.
    count : int
        Samples in a period, even.
    interval : float, s
        Time between samples.

    Returns
    -------
    signal : array (count,)
        unit.
    derivative : array (count,)
        unit/s.
    """
    from scipy.fft import irfft

    signal = irfft(0.5 * count * lines, count, overwrite_x=True)
    slopes = 0.5j * count * (2.0 * np.pi * np.arange(len(lines)) / (count * interval))
    slopes *= lines
    return signal, irfft(slopes, count, overwrite_x=True)


def hermite_error(samples_per_period):
    """Largest error of cubic Hermite interpolation of a sine, over its amplitude.

    (omega h)^4/384 in the middle of an interval h, the remainder of two-point Hermite
    interpolation. Ten samples a period give 4.1e-4 of the amplitude and, averaged over place
    and phase, 2.6e-4 of the rms.

    Parameters
    ----------
    samples_per_period : float
        2 pi/(omega h).

    Returns
    -------
    float
        Error over amplitude.

    Examples
    --------
    >>> round(hermite_error(10) * 1e4, 1)
    4.1
    """
    return (2.0 * math.pi / samples_per_period) ** 4 / 384.0
