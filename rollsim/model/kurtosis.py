"""Random signals with higher and rarer peaks than Gaussian ones, at the same density."""

import math

import numpy as np

#: Largest strength of the cubic that is tried; beyond it the kurtosis hardly rises.
_STRONGEST = 1.0
#: Steps of halving: the kurtosis is then met to about 0.1 %.
_STEPS = 14


def kurtosis(values):
    """Kurtosis of a signal without mean, <x^4>/<x^2>^2; 3 for a Gaussian one.

    Parameters
    ----------
    values : array
        Signal.

    Returns
    -------
    float
        Kurtosis.

    Examples
    --------
    A sine has 1.5.

    >>> round(kurtosis(np.sin(np.linspace(0.0, 2.0 * np.pi, 100, endpoint=False))), 6)
    1.5
    """
    square = np.square(values)
    return float(np.mean(np.square(square)) / np.mean(square) ** 2)


def hermite_strength(target):
    """Strength h of the cubic u + h (u^3 - 3u) of a Gaussian u that has a given kurtosis.

    h = (sqrt(1 + 1.5 (k - 3)) - 1)/18. Source: Winterstein, J. Eng. Mech. 114 (1988), without
    skewness (value from memory).

    Parameters
    ----------
    target : float
        Kurtosis k, at least 3.

    Returns
    -------
    float
        h.

    Examples
    --------
    >>> hermite_strength(3.0), round(hermite_strength(5.0), 4)
    (0.0, 0.0556)
    """
    return (math.sqrt(1.0 + 1.5 * (target - 3.0)) - 1.0) / 18.0


def with_kurtosis(spectrum, count, target):
    """Spectrum with the same amplitudes whose signal has a given kurtosis over its period.

    The Gaussian signal is sent through Winterstein's cubic, which makes large values larger; of
    the result only the phases are kept, and the amplitudes are put back line by line. So the
    density stays exactly what it was, and the peaks of the cubic remain where the phases meet.
    The strength of the cubic is found by halving, from the kurtosis that is reached.
    Source of the idea to keep the phases and put back the amplitudes: Schreiber and Schmitz,
    Phys. Rev. Lett. 77 (1996); of shaping the phases for kurtosis: Steinwolf, J. IEST 49 (2006)
    (both from memory).

    Parameters
    ----------
    spectrum : array (count/2 + 1,), complex
        Lines of a Gaussian signal.
    count : int
        Samples in a period, even.
    target : float
        Kurtosis, 3 or more.

    Returns
    -------
    spectrum : array (count/2 + 1,), complex
        Lines of the signal.
    reached : float
        Its kurtosis: the target, or something else where so few lines cannot have it.
    """
    from scipy.fft import irfft

    amplitudes = np.abs(spectrum)
    gauss = irfft(spectrum, count)
    scale = float(np.sqrt(np.mean(np.square(gauss))))
    if scale == 0.0:
        return spectrum, 3.0
    gauss /= scale
    low, high = 0.0, hermite_strength(target)
    found, reached = _shaped(gauss, amplitudes, high)
    while reached < target and high < _STRONGEST:
        low, high = high, min(2.0 * high, _STRONGEST)
        found, reached = _shaped(gauss, amplitudes, high)
    if reached < target:
        return found, reached
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        found, reached = _shaped(gauss, amplitudes, middle)
        if abs(reached / target - 1.0) < 1e-3:
            break
        low, high = (middle, high) if reached < target else (low, middle)
    return found, reached


def _shaped(gauss, amplitudes, strength):
    """Phases of the cubic with the amplitudes given; the kurtosis of the signal."""
    from scipy.fft import irfft, rfft

    lines = rfft(gauss * (1.0 - 3.0 * strength + strength * np.square(gauss)))
    sizes = np.abs(lines)
    lines *= np.divide(amplitudes, sizes, out=np.zeros_like(sizes), where=sizes > 0.0)
    return lines, kurtosis(irfft(lines, len(gauss)))
