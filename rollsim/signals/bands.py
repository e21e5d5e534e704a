"""Third-octave bands: centres, edges, and the rms of a signal in each."""

from __future__ import annotations

import math

import numpy as np

#: Ratio of one octave in base ten, 10^(3/10).
OCTAVE = 10.0**0.3
#: Reference frequency of the centres, Hz.
REFERENCE = 1000.0


def band_centre(number):
    """Exact centre of a third-octave band, f = 1000 Hz G^(x/3), G = 10^(3/10).

    Source: IEC 61260-1 (base ten, odd number of bands an octave), value from memory. Band 0 is that
    of 1000 Hz.

    Parameters
    ----------
    number : int or array of int
        x.

    Returns
    -------
    float or array, Hz

    Examples
    --------
    Nominal 315, 1000 and 3150 Hz.

    >>> [round(float(band_centre(n)), 2) for n in (-5, 0, 5)]
    [316.23, 1000.0, 3162.28]
    """
    return REFERENCE * OCTAVE ** (np.asarray(number, dtype=float) / 3.0)


def band_edges(numbers):
    """Lower edges of consecutive third-octave bands and the upper edge of the last.

    f G^(-1/6) and f G^(1/6). Source: IEC 61260-1, value from memory.

    Parameters
    ----------
    numbers : array (n,) of int
        Consecutive band numbers.

    Returns
    -------
    array (n + 1,), Hz

    Examples
    --------
    >>> band_edges(np.array([0])).round(1).tolist()
    [891.3, 1122.0]
    """
    return band_centre(np.append(numbers, numbers[-1] + 1) - 0.5)


def nominal_centre(number):
    """Nominal centre of a third-octave band: the exact one rounded to the usual series.

    Source: ISO 266 series (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8), value from memory.

    Parameters
    ----------
    number : int
        Band number, 0 for 1000 Hz.

    Returns
    -------
    float, Hz

    Examples
    --------
    >>> [nominal_centre(n) for n in (-20, -5, 0, 3)]
    [10.0, 315.0, 1000.0, 2000.0]
    """
    series = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
    decade, place = divmod(int(number), 10)
    return float(f"{series[place] * 10.0 ** (3 + decade):.6g}")


def bands_over(lowest, highest):
    """Numbers of the third-octave bands that cover a range of frequencies.

    Parameters
    ----------
    lowest : float, Hz
        Above zero.
    highest : float, Hz
        At least `lowest`.

    Returns
    -------
    array of int
        Consecutive; the first holds `lowest`, the last `highest`.

    Examples
    --------
    >>> bands_over(20.0, 50.0).tolist()
    [-17, -16, -15, -14, -13]
    """
    place = [3.0 * math.log(f / REFERENCE) / math.log(OCTAVE) for f in (lowest, highest)]
    first, last = math.floor(place[0] + 0.5 + 1e-9), math.ceil(place[1] - 0.5 - 1e-9)
    return np.arange(first, max(first, last) + 1)


def cumulative_power(signal, rate):
    """Mean square of a signal below given frequencies, as a function.

    Line k of the discrete Fourier transform of the whole stretch stands for the band from k - 1/2
    to k + 1/2 times rate/n, cut at half the rate; over all frequencies the mean square is that of
    the signal exactly (Parseval), the mean included at frequency zero.

    Parameters
    ----------
    signal : array (n,)
        Evenly sampled.
    rate : float, Hz
        Samples a second.

    Returns
    -------
    edges : array, Hz
        Where the lines meet, rising from zero.
    power : array
        Mean square below each edge.
    """
    count = len(signal)
    lines = np.abs(np.fft.rfft(signal) / count) ** 2
    lines[1:] *= 2.0
    if count % 2 == 0:
        lines[-1] *= 0.5
    edges = np.concatenate([[0.0], (np.arange(len(lines)) + 0.5) * rate / count])
    edges[-1] = 0.5 * rate
    return edges, np.concatenate([[0.0], np.cumsum(lines)])


def band_power(signal, rate, edges):
    """Mean square of a signal between given frequencies.

    A line that lies across an edge is shared in proportion to its width.

    Parameters
    ----------
    signal : array (n,)
        Evenly sampled.
    rate : float, Hz
        Samples a second.
    edges : array (m + 1,), Hz
        Rising.

    Returns
    -------
    array (m,)
        Squared unit of the signal.
    """
    where, power = cumulative_power(signal, rate)
    return np.diff(np.interp(edges, where, power))


def cross_power(signals, rate, span):
    """Mean products of signals within a range of frequencies, E[a_i conj(a_j)].

    Sum of 2 A_i conj(A_j) over the lines of the Fourier transform: mean squares on the diagonal,
    the argument of an entry is the phase of i over j. |c_ij|^2/(c_ii c_jj) is the coherence where
    that phase does not change with frequency.

    Parameters
    ----------
    signals : array (n, k)
        Evenly sampled.
    rate : float, Hz
        Samples a second.
    span : tuple of two floats, Hz
        Range.

    Returns
    -------
    array (k, k), complex

    Examples
    --------
    >>> t = np.arange(1000) / 1000
    >>> both = np.column_stack([np.cos(40 * np.pi * t), np.sin(40 * np.pi * t)])
    >>> c = cross_power(both, 1000.0, (5.0, 100.0))
    >>> c.real.diagonal().round(6).tolist(), round(float(np.angle(c[1, 0], deg=True)))
    ([0.5, 0.5], -90)
    """
    count = len(signals)
    lines = np.fft.rfft(signals, axis=0) / count
    frequency = np.fft.rfftfreq(count, 1.0 / rate)
    kept = lines[(frequency > 0.0) & (frequency >= span[0]) & (frequency <= span[1])]
    return 2.0 * kept.T @ kept.conj()
