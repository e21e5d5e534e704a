"""What the keys of vibration sources say in numbers; for the checks and for the model."""

from __future__ import annotations

import math

import numpy as np


def slope_points(pieces, level: float, at: float) -> list[tuple[float, float]]:
    """Breakpoints of a spectrum given by slopes: G2 = G1 (f2/f1)^(s / (10 log10 2)).

    Parameters
    ----------
    pieces : sequence of rows
        From Hz, to Hz, slope s in dB per octave; joined.
    level : float
        Density at one frequency.
    at : float, Hz
        That frequency, within the pieces.

    Returns
    -------
    list of tuple
        Frequency in Hz, density in the unit of the level.

    Examples
    --------
    Ten octaves at 3 dB are 30 dB, a factor of 1000.

    >>> slope_points([(1.0, 1024.0, 3.0)], 1.0, 1.0)
    [(1.0, 1.0), (1024.0, 1000.0)]
    """
    decibels = [0.0]
    here = 0.0
    for low, high, slope in pieces:
        if low <= at <= high:
            here = decibels[-1] + slope * math.log2(at / low)
        decibels.append(decibels[-1] + slope * math.log2(high / low))
    frequencies = [pieces[0][0], *(piece[1] for piece in pieces)]
    # Beyond 3000 dB a double overflows; such a spectrum is refused anyway.
    return [
        (frequency, level * 10.0 ** (min(max(value - here, -3000.0), 3000.0) / 10.0))
        for frequency, value in zip(frequencies, decibels, strict=True)
    ]


def coherence_matrix(count: int, coherence, phase_deg) -> np.ndarray:
    """Matrix of the normalised cross spectra, S_ij = sqrt(gamma^2_ij) exp(i phi_ij).

    gamma^2 is the ordinary coherence |G_xy|^2/(G_xx G_yy); phi_ij > 0 where j leads i.
    Source: Bendat and Piersol, Random Data, chapter 5.

    Parameters
    ----------
    count : int
        Axes.
    coherence : sequence of float
        One for all pairs, or one for each pair (1-2, 1-3, 2-3).
    phase_deg : sequence of float, degrees
        Likewise.

    Returns
    -------
    ndarray (count, count), complex
        Hermitian, ones on its diagonal.

    Examples
    --------
    >>> coherence_matrix(2, [0.25], [0.0]).real
    array([[1. , 0.5],
           [0.5, 1. ]])
    """
    matrix = np.eye(count, dtype=complex)
    pairs = [(i, j) for i in range(count) for j in range(i + 1, count)]
    for number, (i, j) in enumerate(pairs):
        size = math.sqrt(coherence[number if len(coherence) > 1 else 0])
        angle = math.radians(phase_deg[number if len(phase_deg) > 1 else 0])
        # E[conj(X_i) X_j] has the phase of j over i; the matrix holds E[X_i conj(X_j)].
        matrix[j, i] = size * complex(math.cos(angle), math.sin(angle))
        matrix[i, j] = matrix[j, i].conjugate()
    return matrix


def sweep_length(law: str, first: float, last: float, given: dict[str, float]) -> float:
    """Duration of one sweep in s, from whichever of the three keys is given.

    Parameters
    ----------
    law : str
        "log" or "linear".
    first : float, Hz
        Frequency at the start.
    last : float, Hz
        At the end.
    given : dict
        One of sweep_s, rate_octaves_per_min, rate_Hz_per_s -> value.

    Returns
    -------
    float
        s.

    Examples
    --------
    10 to 160 Hz are four octaves.

    >>> sweep_length("log", 10.0, 160.0, {"rate_octaves_per_min": 1.0})
    240.0
    """
    if "rate_octaves_per_min" in given:
        return 60.0 * abs(math.log2(last / first)) / given["rate_octaves_per_min"]
    if "rate_Hz_per_s" in given:
        return abs(last - first) / given["rate_Hz_per_s"]
    return given["sweep_s"]


def sweep_periods(law: str, first: float, last: float, length: float) -> float:
    """Periods of the lowest frequency in which it moves by an octave, or by the span if less.

    Parameters
    ----------
    law : str
        "log" or "linear".
    first : float, Hz
        Frequency at the start.
    last : float, Hz
        At the end.
    length : float, s
        Duration of one sweep.

    Returns
    -------
    float
        Periods.
    """
    low, high = min(first, last), max(first, last)
    reach = min(2.0 * low, high)
    if law == "log":
        time = length * math.log(reach / low) / math.log(high / low)
    else:
        time = length * (reach - low) / (high - low)
    return low * time
