"""Shock response spectrum: what light resonators on the shaken base would feel."""

from __future__ import annotations

import math

import numpy as np

#: Largest resonance over sampling rate for which the samples still catch a peak to 5 %.
FINEST_SHARE = 0.1


def response_filter(frequency, quality, rate):
    """Filter coefficients of the absolute acceleration of a resonator on a shaken base.

    With z = 1/(2 Q), w = 2 pi f, T = 1/rate, wd = w sqrt(1 - z^2), E = exp(-z w T),
    C = E cos(wd T), S = E sin(wd T)/(wd T):

        b = (1 - S, 2 (S - C), E^2 - S),  a = (1, -2 C, E^2)

    Exact where the base acceleration runs straight between samples (ramp invariant). Source:
    D. O. Smallwood, Shock and Vibration Bulletin 51 (1981); the form of ISO 18431-4, value from
    memory.

    Parameters
    ----------
    frequency : float, Hz
        Natural frequency f.
    quality : float
        Q, more than 1/2; infinity for no damping.
    rate : float, Hz
        Samples a second.

    Returns
    -------
    numerator : tuple of three floats
    denominator : tuple of three floats

    Examples
    --------
    A constant acceleration passes unchanged: sum of b over sum of a is one.

    >>> b, a = response_filter(80.0, 10.0, 8000.0)
    >>> round(sum(b) / sum(a), 9)
    1.0
    """
    damping = 0.5 / quality
    step = 2.0 * math.pi * frequency / rate
    turn = step * math.sqrt(1.0 - damping**2)
    e = math.exp(-damping * step)
    c, s = e * math.cos(turn), e * math.sin(turn) / turn
    return (1.0 - s, 2.0 * (s - c), e * e - s), (1.0, -2.0 * c, e * e)


def resonator_response(acceleration, rate, frequency, quality):
    """Absolute acceleration of a resonator that starts at rest.

    Parameters
    ----------
    acceleration : array (n,)
        Of the base, evenly sampled.
    rate : float, Hz
        Samples a second.
    frequency : float, Hz
        Natural frequency.
    quality : float
        Q.

    Returns
    -------
    array (n,)
        Unit of the input.
    """
    from scipy.signal import lfilter

    return lfilter(*response_filter(frequency, quality, rate), acceleration)


def shock_response(acceleration, rate, frequencies, quality=10.0, afterwards=True):
    """Largest absolute acceleration of each of many resonators, either sign (maximax).

    Parameters
    ----------
    acceleration : array (n,)
        Of the base, evenly sampled.
    rate : float, Hz
        Samples a second; frequencies above a tenth of it read too low.
    frequencies : array (m,), Hz
        Natural frequencies.
    quality : float
        Q of all of them; 10 is usual, infinity undamped.
    afterwards : bool
        Also look at the ringing after the end, the base at rest there. Right for a shock, wrong
        for a piece of lasting vibration.

    Returns
    -------
    array (m,)
        Unit of the input.
    """
    signal = np.asarray(acceleration, dtype=float)
    found = np.empty(len(frequencies))
    for i, frequency in enumerate(frequencies):
        # One period after the end holds the largest swing of the free motion.
        tail = math.ceil(rate / frequency) + 1 if afterwards else 0
        input_ = np.concatenate([signal, np.zeros(tail)]) if tail else signal
        found[i] = np.abs(resonator_response(input_, rate, frequency, quality)).max()
    return found


def response_frequencies(lowest, highest, an_octave=12):
    """Natural frequencies for a shock response spectrum, evenly spaced in the logarithm.

    Parameters
    ----------
    lowest : float, Hz
        First one.
    highest : float, Hz
        None lies above it.
    an_octave : int
        How many in an octave.

    Returns
    -------
    array, Hz

    Examples
    --------
    >>> response_frequencies(10.0, 41.0, 1).tolist()
    [10.0, 20.0, 40.0]
    """
    count = int(an_octave * math.log2(highest / lowest) + 1e-9) + 1
    return lowest * 2.0 ** (np.arange(max(count, 1)) / an_octave)
