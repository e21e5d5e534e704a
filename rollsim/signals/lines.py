"""Steady sines of known frequency in a signal: amplitude, phase, and what is left without them."""

from __future__ import annotations

import numpy as np


def fit_lines(times, signal, frequencies):
    """Cosine and sine amplitudes of lines of known frequency, by least squares together.

    Parameters
    ----------
    times : array (n,), s
        Sample times.
    signal : array (n, k)
        Channels.
    frequencies : array (m,), Hz
        Different from each other by more than one over the length of the stretch.

    Returns
    -------
    cosine : array (m, k)
    sine : array (m, k)

    Examples
    --------
    >>> t = np.arange(1000) / 1000
    >>> c, s = fit_lines(t, np.cos(2 * np.pi * 7.3 * t)[:, None] + 5.0, [7.3])
    >>> round(float(c[0, 0]), 6), round(abs(float(s[0, 0])), 6)
    (1.0, 0.0)
    """
    times = np.asarray(times, dtype=float)
    angle = 2.0 * np.pi * np.outer(times, frequencies)
    matrix = np.column_stack([np.ones(len(times)), np.cos(angle), np.sin(angle)])
    found = np.linalg.lstsq(matrix, np.asarray(signal, dtype=float), rcond=None)[0]
    count = len(frequencies)
    return found[1 : count + 1], found[count + 1 :]


def line_signal(times, frequencies, cosine, sine):
    """Sum of lines at given times.

    Parameters
    ----------
    times : array (n,), s
        Times.
    frequencies : array (m,), Hz
        Frequencies.
    cosine : array (m, k)
        Amplitudes of cos(2 pi f t).
    sine : array (m, k)
        Amplitudes of sin(2 pi f t).

    Returns
    -------
    array (n, k)
    """
    angle = 2.0 * np.pi * np.outer(np.asarray(times, dtype=float), frequencies)
    return np.cos(angle) @ cosine + np.sin(angle) @ sine


def find_tones(times, signal, most=5, share=0.1):
    """Frequencies of steady sines that stand out of a signal and that nobody has named.

    The strongest line of the Hann-weighted Fourier transform of all channels is taken where it
    and two neighbours on either side hold at least a share of the whole mean square. Its
    frequency is the one whose cosine and sine explain most by least squares. It is subtracted and
    the search goes on.

    Parameters
    ----------
    times : array (n,), s
        Even grid.
    signal : array (n, k)
        Channels.
    most : int
        Most tones to find.
    share : float
        Smallest share of the mean square of the signal (our own choice).

    Returns
    -------
    list of float, Hz

    Examples
    --------
    >>> t = np.arange(2000) / 1000
    >>> noise = 0.1 * np.random.default_rng(1).normal(size=(2000, 1))
    >>> [round(f, 2) for f in find_tones(t, np.sin(2 * np.pi * 16.17 * t)[:, None] + noise)]
    [16.17]
    """
    from scipy.optimize import minimize_scalar

    times = np.asarray(times, dtype=float)
    span = times[-1] - times[0]
    rest = np.asarray(signal, dtype=float) - np.mean(signal, axis=0)
    window = np.hanning(len(times))[:, None]
    whole, found = float(np.sum(rest**2)), []
    while len(found) < most and whole > 0.0:
        power = np.sum(np.abs(np.fft.rfft(window * rest, axis=0)) ** 2, axis=1)
        power[:2] = 0.0
        top = int(power.argmax())
        held = power[max(top - 2, 0) : top + 3].sum() / max(power.sum(), 1e-300)
        if held * float(np.sum(rest**2)) < share * whole:
            break

        def left(frequency, rest=rest):
            """What a sine of a frequency leaves."""
            return float(np.sum((rest - _fitted(times, rest, frequency)) ** 2))

        bounds = ((top - 0.8) / span, (top + 0.8) / span)
        best = float(minimize_scalar(left, bounds=bounds, method="bounded").x)
        found.append(best)
        rest = rest - _fitted(times, rest, best)
    return found


def _fitted(times, signal, frequency):
    """The sine of one frequency in each channel."""
    return line_signal(times, [frequency], *fit_lines(times, signal, [frequency]))
