"""Squeeze films."""

import math

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def squeeze_line(factor, thickness, approach, floor):
    """Squeeze film of a cylinder coming down on a plane, cavitated on separation.

    W = 3 sqrt(2) pi eta L R^(3/2) V / h^(3/2) for V > 0, else 0; h is not taken below the floor.
    Source: closed form of the Reynolds equation for a long cylinder (parabolic gap, both
    sides flooded), for example Hamrock, Fundamentals of Fluid Film Lubrication (value from memory).

    Parameters
    ----------
    factor : float, N s m^(1/2)
        3 sqrt(2) pi eta L R^(3/2) times the oil share.
    thickness : float, m
        Gap h; negative where the nominal surfaces overlap.
    approach : float, m/s
        Approach speed V.
    floor : float, m
        Least film thickness, the composite roughness.

    Returns
    -------
    float
        Force W in N.
    """
    if approach <= 0.0:
        return 0.0
    h = max(thickness, floor)
    return factor * approach / (h * math.sqrt(h))


@inline_kernel
def squeeze_plane(factor, thickness, approach, floor):
    """Squeeze film of a small flat patch, cavitated on separation.

    W = (3/2) pi eta a^4 V / h^3 for V > 0 (circular patch of radius a), else 0.
    Source: Stefan 1874; textbook closed form.

    Parameters
    ----------
    factor : float, N s m^2
        (3/2) pi eta a^4 times the oil share.
    thickness : float, m
        Gap h; negative where the nominal surfaces overlap.
    approach : float, m/s
        Approach speed V.
    floor : float, m
        Least film thickness.

    Returns
    -------
    float
        Force W in N.
    """
    if approach <= 0.0:
        return 0.0
    h = max(thickness, floor)
    return factor * approach / (h * h * h)
