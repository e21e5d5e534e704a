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


def random_phase_signal(amplitudes, count, interval, generator):
    """Periodic random signal with given line amplitudes, and its exact time derivative.

    a(t) = sum A_k cos(2 pi k t/T + phi_k), phi_k even in 0..2 pi. Nearly Gaussian when many
    lines contribute (central limit); its rms over a period does not depend on the phases.
    Source: Shinozuka and Jan, J. Sound Vib. 25 (1972).

    Parameters
    ----------
    amplitudes : array (count/2 + 1,), unit
        Line amplitudes (see `line_amplitudes`).
    count : int
        Samples in a period, even.
    interval : float, s
        Time between samples.
    generator : numpy.random.Generator
        Source of the phases.

    Returns
    -------
    signal : array (count,)
        unit.
    derivative : array (count,)
        unit/s.
    """
    from scipy.fft import irfft

    phases = generator.uniform(0.0, 2.0 * np.pi, len(amplitudes))
    lines = 0.5 * count * amplitudes * np.exp(1j * phases)
    omega = 2.0 * np.pi * np.arange(len(amplitudes)) / (count * interval)
    return irfft(lines, count), irfft(1j * omega * lines, count)


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


def upcrossing_rate(table):
    """Mean rate of upward zero crossings of a Gaussian signal, sqrt(m_2/m_0) in 1/s.

    Source: S. O. Rice, Bell Syst. Tech. J. 24 (1945).

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.

    Returns
    -------
    float, 1/s
        nu_0.
    """
    return math.sqrt(spectral_moment(table, 2) / spectral_moment(table))


def irregularity(table):
    """Upward zero crossings over maxima of a Gaussian signal, m_2/sqrt(m_0 m_4).

    Source: S. O. Rice 1945. One for a narrow band (Rayleigh peaks), towards zero for a wide one.

    Parameters
    ----------
    table : array (n, 2), Hz and unit^2/Hz
        Breakpoints.

    Returns
    -------
    float
        Irregularity.
    """
    m0, m2, m4 = (spectral_moment(table, order) for order in (0, 2, 4))
    return m2 / math.sqrt(m0 * m4)


def peak_exceedance(level, irregularity_factor):
    """Share of the maxima of a Gaussian signal above a level, after Rice.

    P = Phi(-x/e) + g exp(-x^2/2) Phi(x g/e), e = sqrt(1 - g^2), x in standard deviations;
    g = 1 is Rayleigh's exp(-x^2/2). Source: S. O. Rice 1945; Cartwright and Longuet-Higgins 1956.

    Parameters
    ----------
    level : float
        x.
    irregularity_factor : float
        g, 0 to 1.

    Returns
    -------
    float
        Share.

    Examples
    --------
    >>> round(peak_exceedance(3.0, 1.0), 5)
    0.01111
    """
    rayleigh = math.exp(-0.5 * level**2)
    width = math.sqrt(max(1.0 - irregularity_factor**2, 0.0))
    if width < _SMALL:
        return rayleigh if level > 0.0 else 1.0
    upper = _normal(level * irregularity_factor / width)
    return _normal(-level / width) + irregularity_factor * rayleigh * upper


def _normal(value):
    """Distribution function of the standard normal law."""
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def gaussian_share_within(level):
    """Share of the time that a Gaussian signal spends within +-x standard deviations.

    Parameters
    ----------
    level : float
        x.

    Returns
    -------
    float
        erf(x/sqrt(2)).

    Examples
    --------
    >>> round(gaussian_share_within(3.0), 4)
    0.9973
    """
    return math.erf(level / math.sqrt(2.0))


def peak_factor(crossings):
    """Expected largest value over rms of a Gaussian signal, after Davenport.

    g = sqrt(2 ln N) + 0.5772/sqrt(2 ln N), N = nu_0 T. Source: A. G. Davenport, Proc. ICE 28
    (1964). Counts one side; double N for both.

    Parameters
    ----------
    crossings : float
        N > 1, zero upcrossings in the time looked at.

    Returns
    -------
    float
        Peak factor.

    Examples
    --------
    >>> round(peak_factor(1e3), 4), round(peak_factor(1e5), 4)
    (3.8722, 4.9188)
    """
    root = math.sqrt(2.0 * math.log(crossings))
    return root + 0.5772 / root


def miles_response(frequency, quality, density):
    """Rms absolute acceleration of a light resonator on a base with flat density, after Miles.

    sqrt(pi/2 f_n Q G). Source: J. W. Miles, J. Aeronaut. Sci. 21 (1954). Good for Q of 10 and
    more and a density flat around the resonance.

    Parameters
    ----------
    frequency : float, Hz
        Natural frequency f_n.
    quality : float
        Q = 1/(2 zeta).
    density : float, unit^2/Hz
        One-sided density G of the base acceleration.

    Returns
    -------
    float, unit
        rms.

    Examples
    --------
    >>> round(miles_response(100.0, 10.0, 0.04), 2)
    7.93
    """
    return math.sqrt(0.5 * math.pi * frequency * quality * density)


def white_noise_response(frequency, quality, density):
    """Rms absolute acceleration of a resonator on a base with white acceleration, exact.

    sqrt(pi/2 f_n Q G (1 + 1/Q^2)). Source: Crandall and Mark, Random Vibration in Mechanical
    Systems, 1963.

    Parameters
    ----------
    frequency : float, Hz
        Natural frequency f_n.
    quality : float
        Q = 1/(2 zeta).
    density : float, unit^2/Hz
        One-sided density G.

    Returns
    -------
    float, unit
        rms.
    """
    return miles_response(frequency, quality, density) * math.sqrt(1.0 + 1.0 / quality**2)
