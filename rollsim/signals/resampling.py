"""Values of a sampled signal between its samples."""

from __future__ import annotations

import numpy as np

#: Samples on either side that a value between samples is made of.
REACH = 40
#: Shape of the Kaiser window: 80 dB.
_KAISER = 8.0


def between_samples(times, signal, factor):
    """Signal on a finer even grid, by band-limited interpolation.

    A windowed sinc over 40 samples to either side, right to 1e-3 for what lies below 94 % of half
    the sampling rate. Peaks of high frequencies lie between samples: at 2.5 samples a period a
    sine reads up to 19 % too low without this. The first and the last 40 samples, whose
    neighbours are missing, are left out.

    Parameters
    ----------
    times : array (n,), s
        Even grid.
    signal : array (n, k)
        Channels.
    factor : int
        New samples for each old one; 1 changes nothing.

    Returns
    -------
    times : array (m,), s
    signal : array (m, k)
        m = (n - 81) factor + 1, the old samples among them; unchanged where n is less than 200.

    Examples
    --------
    >>> t = np.arange(1000) / 1000
    >>> fine, s = between_samples(t, np.sin(2 * np.pi * 400 * t + 0.7)[:, None], 8)
    >>> len(fine), float(abs(s[:, 0] - np.sin(2 * np.pi * 400 * fine + 0.7)).max()) < 1e-3
    (7353, True)
    """
    from scipy.signal import firwin, resample_poly

    if factor <= 1 or len(signal) < 5 * REACH:
        return times, signal
    taps = firwin(2 * REACH * factor + 1, 1.0 / factor, window=("kaiser", _KAISER))
    fine = resample_poly(signal, factor, 1, axis=0, window=taps)
    fine = fine[REACH * factor : (len(signal) - 1 - REACH) * factor + 1]
    return np.linspace(times[REACH], times[-1 - REACH], len(fine)), fine
