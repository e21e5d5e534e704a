"""Peaks of Gaussian signals and the response of a resonator to random vibration.

Tables of density are those of `rollsim.model.spectrum`.
"""

import math

from rollsim.model.spectrum import spectral_moment

_NARROW = 1e-8


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
    if width < _NARROW:
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
