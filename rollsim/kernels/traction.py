"""Friction laws: signed coefficient of friction against the slip speed."""

import math

from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.types import TractionLaw

_COULOMB = int(TractionLaw.COULOMB)


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
def friction_over_slip(slip, traction):
    """Coefficient of friction divided by the slip speed, so that f * slip vector is the force.

    Parameters
    ----------
    slip : float, m/s
        Magnitude of the slip, not negative.
    traction : Traction
        The law and its constants.

    Returns
    -------
    float
        f(s)/s in s/m; its limit at zero slip is finite for both laws.
    """
    if traction.law == _COULOMB:
        scale = traction.slip_scale
        return traction.friction / math.sqrt(slip * slip + scale * scale)
    speed = max(slip, 1e-7)
    return four_parameter(speed, traction.a, traction.b, traction.c, traction.d) / speed
