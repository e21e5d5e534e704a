"""Damage that spectral methods give for a stationary Gaussian stress, from its density.

A side line only: the stress of a closure is a train of impacts more often than a Gaussian signal.
`rollsim.fatigue.side_line` holds it against rainflow counting of the same stress.

Every method takes the spectral moments m_0, m_1, m_2, m_4 (m_j = integral of f^j G(f) df) and a
straight line N = C S_a^-k of amplitudes; it gives damage per second. Checked with a density of
4 MPa2/Hz from 20 to 40 Hz and 1 MPa2/Hz from 150 to 200 Hz, k = 5, C = 1e12.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.integrate import trapezoid
from scipy.special import gamma

#: Spectra narrower than this count as narrow: the formulas for wide ones divide by nothing there.
NARROW = 1e-6


class Moments(NamedTuple):
    """Spectral moments m_0 Pa2, m_1 Pa2 Hz, m_2 Pa2 Hz2, m_4 Pa2 Hz4."""

    m0: float
    m1: float
    m2: float
    m4: float

    @property
    def crossings(self) -> float:
        """Upward zero crossings per second, sqrt(m_2/m_0) (Rice 1945)."""
        return math.sqrt(self.m2 / self.m0)

    @property
    def peaks(self) -> float:
        """Maxima per second, sqrt(m_4/m_2) (Rice 1945)."""
        return math.sqrt(self.m4 / self.m2)

    @property
    def irregularity(self) -> float:
        """Zero crossings over maxima, m_2/sqrt(m_0 m_4): 1 for a narrow band."""
        return min(self.m2 / math.sqrt(self.m0 * self.m4), 1.0)

    @property
    def width(self) -> float:
        """The other measure of width, m_1/sqrt(m_0 m_2): 1 for a narrow band."""
        return min(self.m1 / math.sqrt(self.m0 * self.m2), 1.0)


def moments_of(frequency: np.ndarray, density: np.ndarray) -> Moments:
    """Spectral moments of a one-sided density by the trapezoidal rule.

    Parameters
    ----------
    frequency : ndarray, Hz
        Rising.
    density : ndarray, Pa2/Hz
        Power spectral density.

    Returns
    -------
    Moments

    Examples
    --------
    >>> f = np.linspace(0.0, 3.0, 3001)
    >>> [round(m, 3) for m in moments_of(f, np.full_like(f, 2.0))]
    [6.0, 9.0, 18.0, 97.2]
    """
    return Moments(*(float(trapezoid(frequency**j * density, frequency)) for j in (0, 1, 2, 4)))


def narrow_band(moments: Moments, slope: float, constant: float) -> float:
    """Damage per second of a narrow band: nu_0/C (sqrt(2 m_0))^k Gamma(1 + k/2).

    Every maximum is a cycle with a Rayleigh amplitude; on the safe side for wide spectra.
    Source: Miles 1954, Bendat 1964.

    Parameters
    ----------
    moments : Moments
        Of the stress.
    slope : float
        k.
    constant : float
        C, amplitude^k.

    Returns
    -------
    float, 1/s

    Examples
    --------
    rms 20 MPa, k = 5, C = 1e15, 100 crossings a second give 6.01591e-6 a second:

    >>> f"{narrow_band(Moments(400.0, 4e4, 4e6, 4e10), 5.0, 1e15):.5e}"
    '6.01591e-06'
    """
    level = (2.0 * moments.m0) ** (0.5 * slope)
    return moments.crossings / constant * level * float(gamma(1.0 + 0.5 * slope))


def wirsching_light_constants(slope: float) -> tuple[float, float]:
    """Constants a = 0.926 - 0.033 k and c = 1.587 k - 2.323 of Wirsching and Light.

    Source: Wirsching and Light, J. Struct. Div. ASCE 106 (1980).

    Parameters
    ----------
    slope : float
        k.

    Returns
    -------
    tuple of float

    Examples
    --------
    >>> [round(value, 9) for value in wirsching_light_constants(5.0)]
    [0.761, 5.612]
    """
    return 0.926 - 0.033 * slope, 1.587 * slope - 2.323


def wirsching_light(moments: Moments, slope: float, constant: float) -> float:
    """Damage per second after Wirsching and Light: narrow band times a + (1 - a)(1 - e)^c.

    e = sqrt(1 - irregularity^2). Source: J. Struct. Div. ASCE 106 (1980); fitted for k = 3 to 6.

    Parameters
    ----------
    moments : Moments
        Of the stress.
    slope : float
        k.
    constant : float
        C.

    Returns
    -------
    float, 1/s
    """
    a, c = wirsching_light_constants(slope)
    width = math.sqrt(1.0 - moments.irregularity**2)
    return narrow_band(moments, slope, constant) * (a + (1.0 - a) * (1.0 - width) ** c)


def tovo_benasciutti(moments: Moments, slope: float, constant: float) -> float:
    """Damage per second after Tovo and Benasciutti: between the narrow band and its lower limit.

    (b + (1 - b) q^(k - 1)) times the narrow band, with p = m_1/sqrt(m_0 m_2),
    q = m_2/sqrt(m_0 m_4), b = (p - q)(1.112 (1 + p q - p - q) exp(2.11 q) + p - q)/(q - 1)^2.
    Source: Benasciutti and Tovo, Int. J. Fatigue 27 (2005).

    Parameters
    ----------
    moments : Moments
        Of the stress.
    slope : float
        k.
    constant : float
        C.

    Returns
    -------
    float, 1/s
    """
    p, q = moments.width, moments.irregularity
    whole = narrow_band(moments, slope, constant)
    if 1.0 - q < NARROW:
        return whole
    b = (p - q) * (1.112 * (1.0 + p * q - p - q) * math.exp(2.11 * q) + p - q) / (q - 1.0) ** 2
    return (b + (1.0 - b) * q ** (slope - 1.0)) * whole


def dirlik_constants(moments: Moments) -> tuple[float, float, float, float, float]:
    """Shares D_1, D_2, D_3 of Dirlik's ranges and their scales Q and R.

    Source: Dirlik, thesis, University of Warwick 1985.

    Parameters
    ----------
    moments : Moments
        Of the stress, not narrow.

    Returns
    -------
    tuple of float
        D_1, D_2, D_3 (sum 1), Q, R.
    """
    q = moments.irregularity
    x = moments.m1 / moments.m0 * math.sqrt(moments.m2 / moments.m4)
    d1 = 2.0 * (x - q**2) / (1.0 + q**2)
    left = 1.0 - q - d1 + d1**2
    r = (q - x - d1**2) / left
    d2 = left / (1.0 - r)
    d3 = 1.0 - d1 - d2
    return d1, d2, d3, 1.25 * (q - d3 - d2 * r) / d1, r


def dirlik(moments: Moments, slope: float, constant: float) -> float:
    """Damage per second after Dirlik: an exponential and two Rayleigh shares of the ranges.

    nu_p/C m_0^(k/2) (D_1 Q^k Gamma(1 + k) + 2^(k/2) Gamma(1 + k/2)(D_2 |R|^k + D_3)).
    Source: Dirlik, thesis, University of Warwick 1985.

    Parameters
    ----------
    moments : Moments
        Of the stress.
    slope : float
        k.
    constant : float
        C.

    Returns
    -------
    float, 1/s
    """
    if 1.0 - moments.irregularity < NARROW:
        return narrow_band(moments, slope, constant)
    d1, d2, d3, scale, r = dirlik_constants(moments)
    wide = d1 * scale**slope * float(gamma(1.0 + slope))
    round_ = 2.0 ** (0.5 * slope) * float(gamma(1.0 + 0.5 * slope)) * (d2 * abs(r) ** slope + d3)
    return moments.peaks / constant * moments.m0 ** (0.5 * slope) * (wide + round_)


#: Methods by name, in the order of print.
METHODS = {
    "narrow band": narrow_band,
    "Wirsching and Light": wirsching_light,
    "Tovo and Benasciutti": tovo_benasciutti,
    "Dirlik": dirlik,
}
