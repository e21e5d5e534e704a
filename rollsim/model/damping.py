"""Dissipation of a contact: restitution, damping factor, duration and peak of an impact.

The contact force is F = K d^n (1 + lam v), d the penetration and v its rate; the kernels write
lam = (3/2) alpha. Whatever n is, a free impact at speed v0 obeys

    ln((1 + x)/(1 - e x)) = x (1 + e),   x = lam v0,

with the restitution e. Source: Marhefka and Orin, IEEE Trans. Syst. Man Cybern. A 29 (1999).
"""

import math

from scipy.optimize import brentq
from scipy.special import gamma, lambertw

ALPHA_FACTOR = 1.5
"""lam = 1.5 alpha in the form of Hunt and Crossley used by the kernels."""

# y = e x as a power series of x, where the Lambert function has lost its digits.
_SERIES = (1.0, -2.0 / 3.0, 4.0 / 9.0, -44.0 / 135.0, 104.0 / 405.0)
_SERIES_LIMIT = 5e-3


def delivered_restitution(damping_number):
    """Restitution e that a damping number x = lam v0 delivers, exact.

    The implicit relation above reads ln a - a = ln b - b with b = 1 + x and a = 1 - e x, so that
    a = -W0(-b exp(-b)); below x = 0.005 its power series is used.

    Parameters
    ----------
    damping_number : float
        x = lam v0 >= 0.

    Returns
    -------
    float
        e, from 1 (no damping) towards 0.

    Examples
    --------
    >>> round(delivered_restitution(0.63483), 4)
    0.7
    """
    x = float(damping_number)
    if x < _SERIES_LIMIT:
        return sum(c * x**k for k, c in enumerate(_SERIES))
    b = 1.0 + x
    a = -lambertw(-b * math.exp(-b)).real
    return float((1.0 - a) / x)


def damping_number(restitution):
    """Damping number x = lam v0 that delivers a restitution, exact for any exponent n.

    Parameters
    ----------
    restitution : float
        Wanted restitution, 0 < e <= 1.

    Returns
    -------
    float
        x of the implicit relation.

    Raises
    ------
    ValueError
        Outside 0 < e <= 1 (e = 0 would need infinite damping).

    Examples
    --------
    >>> [round(damping_number(e), 5) for e in (0.9, 0.7, 0.5, 0.3)]
    [0.16648, 0.63483, 1.43275, 3.08708]
    """
    e = float(restitution)
    if not 0.0 < e <= 1.0:
        raise ValueError(f"restitution {e} is outside 0 < e <= 1")
    if e == 1.0:
        return 0.0
    # The linear estimate delivers too much restitution, 1/e is where the force would turn.
    return brentq(lambda x: delivered_restitution(x) - e, (1.0 - e) * 1.4, 1.0 / e, xtol=1e-15)


def alpha_from_restitution(restitution, speed):
    """Damping factor alpha of F = K d^n (1 + 1.5 alpha v) for a restitution at one speed.

    Parameters
    ----------
    restitution : float
        Wanted restitution, 0 < e <= 1.
    speed : float, m/s
        Approach speed at first touch.

    Returns
    -------
    float, s/m
        alpha.
    """
    return damping_number(restitution) / (ALPHA_FACTOR * speed)


def restitution_from_alpha(alpha, speed):
    """Restitution of a free impact that a damping factor alpha delivers.

    Parameters
    ----------
    alpha : float, s/m
        Damping factor of F = K d^n (1 + 1.5 alpha v).
    speed : float, m/s
        Approach speed at first touch.

    Returns
    -------
    float
        e.
    """
    return delivered_restitution(ALPHA_FACTOR * alpha * speed)


def hunt_crossley_number(restitution):
    """Damping number x = (3/2)(1 - e): valid near e = 1.

    Source: Hunt and Crossley, J. Appl. Mech. 42 (1975).

    Parameters
    ----------
    restitution : float
        Wanted restitution e.

    Returns
    -------
    float
        x = lam v0.
    """
    return 1.5 * (1.0 - restitution)


def lankarani_nikravesh_number(restitution):
    """Damping number x = (3/4)(1 - e^2): valid near e = 1.

    Source: Lankarani and Nikravesh, J. Mech. Des. 112 (1990).

    Parameters
    ----------
    restitution : float
        Wanted restitution e.

    Returns
    -------
    float
        x = lam v0.
    """
    return 0.75 * (1.0 - restitution**2)


def flores_number(restitution):
    """Damping number x = 8 (1 - e)/(5 e).

    Source: Flores, Machado, Silva and Martins, Multibody Syst. Dyn. 25 (2011).

    Parameters
    ----------
    restitution : float
        Wanted restitution e > 0.

    Returns
    -------
    float
        x = lam v0.
    """
    return 1.6 * (1.0 - restitution) / restitution


def gonthier_number(restitution):
    """Damping number x = (1 - e^2)/e.

    Source: Gonthier, McPhee, Lange and Piedboeuf, Multibody Syst. Dyn. 11 (2004); Zhang and
    Sharf give the same form.

    Parameters
    ----------
    restitution : float
        Wanted restitution e > 0.

    Returns
    -------
    float
        x = lam v0.
    """
    return (1.0 - restitution**2) / restitution


def impact_compression(mass, speed, constant, exponent):
    """Largest penetration of an undamped impact, ((n + 1) m v^2/(2 K))^(1/(n + 1)).

    Energy balance m v^2/2 = K d^(n+1)/(n+1).

    Parameters
    ----------
    mass : float, kg
        Reduced mass of the pair.
    speed : float, m/s
        Approach speed.
    constant : float, N/m^n
        K.
    exponent : float
        n.

    Returns
    -------
    float, m
        Penetration at rest.
    """
    return ((exponent + 1.0) * mass * speed**2 / (2.0 * constant)) ** (1.0 / (exponent + 1.0))


def impact_peak_force(mass, speed, constant, exponent):
    """Peak force of an undamped impact, K d*^n with d* of `impact_compression`.

    Parameters
    ----------
    mass : float, kg
        Reduced mass of the pair.
    speed : float, m/s
        Approach speed.
    constant : float, N/m^n
        K.
    exponent : float
        n.

    Returns
    -------
    float, N
        Peak force.
    """
    return constant * impact_compression(mass, speed, constant, exponent) ** exponent


def impact_duration_factor(exponent):
    """Factor k of the undamped impact duration T = k d*/v.

    k = 2 sqrt(pi)/(n + 1) Gamma(1/(n + 1)) / Gamma(1/(n + 1) + 1/2). Closed form of
    2 int_0^1 ds/sqrt(1 - s^(n+1)); 2.943 for n = 3/2 (Johnson 1985, eq. 11.23, prints 2.94).

    Parameters
    ----------
    exponent : float
        n of F = K d^n.

    Returns
    -------
    float
        k.

    Examples
    --------
    >>> [round(impact_duration_factor(n), 5) for n in (1.0, 10.0 / 9.0, 1.5)]
    [3.14159, 3.09049, 2.94328]
    """
    share = 1.0 / (exponent + 1.0)
    return float(2.0 * math.sqrt(math.pi) * share * gamma(share) / gamma(share + 0.5))
