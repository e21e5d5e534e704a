"""Friction laws: signed coefficient of friction against the slip speed."""

import math

from rollsim.kernels.ehl import film_grip, film_rolling
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.types import Grip, TractionLaw

_COULOMB = int(TractionLaw.COULOMB)
_EHL = int(TractionLaw.EHL)


@inline_kernel
def coulomb(slip, friction, slip_scale):
    """Regularised Coulomb friction, f = mu s / sqrt(s^2 + s0^2).

    Common practice, no source. 71 % of mu is reached at s = s0.

    Parameters
    ----------
    slip : float, m/s
        Slip speed s.
    friction : float
        Coefficient mu.
    slip_scale : float, m/s
        Slip scale s0 > 0.

    Returns
    -------
    float
        Coefficient with the sign of the slip.
    """
    return friction * slip / math.sqrt(slip * slip + slip_scale * slip_scale)


@inline_kernel
def four_parameter(slip, a, b, c, d):
    """Four-constant traction curve, f = (A + B s) exp(-C s) + D for s > 0, odd in s.

    A + D must be 0 for no traction without slip. The peak lies at s = 1/C - A/B.
    Source: law of the Kragelskii type as used by Gupta, Advanced Dynamics of Rolling
    Elements, 1984 (value from memory).

    Parameters
    ----------
    slip : float, m/s
        Slip speed s.
    a : float
        Constant A.
    b : float, s/m
        Constant B.
    c : float, s/m
        Constant C.
    d : float
        Constant D.

    Returns
    -------
    float
        Coefficient with the sign of the slip.
    """
    speed = abs(slip)
    return math.copysign((a + b * speed) * math.exp(-c * speed) + d, slip)


@inline_kernel
def dry_grip(traction):
    """Grip of a contact that no rolling feeds with oil: cage, roller ends, flanges.

    Parameters
    ----------
    traction : Traction
        The law and its constants.

    Returns
    -------
    Grip
        Coulomb friction alone; without meaning and not looked at for the four-constant law.
    """
    return Grip(traction.friction, traction.slip_scale, 0.0, 1.0)


@inline_kernel
def grip(normal, entrainment, traction):
    """What a rolling contact can hold; once per contact, however many slips it has.

    Parameters
    ----------
    normal : float, N
        Force of the whole contact.
    entrainment : float, m/s
        Mean speed of both surfaces seen from the contact, of either sign.
    traction : Traction
        The law and its constants.

    Returns
    -------
    Grip
        Constant for laws without a film.
    """
    if traction.law == _EHL:
        return film_grip(normal, entrainment, traction)
    return dry_grip(traction)


@inline_kernel
def friction_over_slip(slip, traction, held):
    """Coefficient of friction divided by the slip speed, so that f * slip vector is the force.

    Parameters
    ----------
    slip : float, m/s
        Magnitude of the slip, not negative.
    traction : Traction
        The law and its constants.
    held : Grip
        From `grip` or `dry_grip`.

    Returns
    -------
    float
        f(s)/s in s/m; its limit at zero slip is finite for all laws.
    """
    if traction.law == _COULOMB:
        return held.friction / math.sqrt(slip * slip + held.scale * held.scale)
    if traction.law == _EHL:
        boundary = held.friction / math.sqrt(slip * slip + held.scale * held.scale)
        sheared = held.film_friction / math.sqrt(slip * slip + held.film_scale * held.film_scale)
        return boundary + sheared
    speed = max(slip, 1e-7)
    return four_parameter(speed, traction.a, traction.b, traction.c, traction.d) / speed


@inline_kernel
def rolling_force(normal, entrainment, traction):
    """Rolling resistance of each of the two surfaces, signed like the entrainment.

    Both surfaces move with the entrainment u seen from the contact, along one direction t. The oil
    shears both with the force F against t, which turns a body with contact arm a (from its centre
    along the outward normal) by -a F. The inlet pressure acts through both centres and balances the
    shear of the oil, so that the force on the first body is along t F (a1 + a2)/(a2 - a1) and the
    opposite on the second: equal and opposite forces, and no moment left over. Power lost:
    F (u1 + u2). The same in other words: opposite couples 2 F R_x, R_x the reduced radius, and a
    tangential force in the contact.

    Parameters
    ----------
    normal : float, N
        Force of the whole contact.
    entrainment : float, m/s
        Mean speed of both surfaces seen from the contact, of either sign.
    traction : Traction
        The law and its constants.

    Returns
    -------
    float
        F in N; 0 for laws without a film.
    """
    if traction.law == _EHL:
        return film_rolling(normal, entrainment, traction.oil)
    return 0.0
