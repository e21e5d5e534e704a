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
