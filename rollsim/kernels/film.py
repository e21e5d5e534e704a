"""Squeeze films."""

import math

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def film_thickness(gap, floor):
    """Thickness of a film between rough surfaces: the gap, but never less than the floor.

    h = f + x^2/(4 f) + max(g - 2 f, 0) with x = min(max(g, 0), 2 f): equal to the gap g from two
    floors on and to the floor f where the nominal surfaces touch, with a continuous slope. A
    corner there would make a cusp of the force, and a cusp hides its peak between two steps.
    Common practice, no source.

    Parameters
    ----------
    gap : float, m
        Distance g of the nominal surfaces, negative where they overlap.
    floor : float, m
        Composite roughness f > 0.

    Returns
    -------
    float
        h in m.
    """
    x = min(max(gap, 0.0), 2.0 * floor)
    return floor + 0.25 * x * x / floor + max(gap - 2.0 * floor, 0.0)


@inline_kernel
def yielding(damping, impedance):
    """Damping of a film in series with a yielding wall, c / (1 + c / Z).

    A stiff film cannot load the roller more than the wall behind it does when hit at the same
    speed: a mass m that meets a spring k at speed v feels at most v sqrt(k m), so Z = sqrt(k m).
    Without this a film at its floor, some thousand N s/m, would stop the roller before the bar has
    yielded. Bound worked out for this model, no other source; exact for c << Z and for c >> Z.

    Parameters
    ----------
    damping : float, N s/m
        Damping c of the film between rigid walls.
    impedance : float, N s/m
        Z; infinite for a rigid wall.

    Returns
    -------
    float
        N s/m.
    """
    return damping / (1.0 + damping / impedance)


@inline_kernel
def line_film_damping(factor, gap, floor):
    """Force per approach speed of the squeeze film of a cylinder on a plane, factor / h^(3/2).

    Parameters
    ----------
    factor : float, N s m^(1/2)
        As for `squeeze_line`.
    gap : float, m
        Distance of the nominal surfaces.
    floor : float, m
        Composite roughness.

    Returns
    -------
    float
        N s/m.
    """
    h = film_thickness(gap, floor)
    return factor / (h * math.sqrt(h))


@inline_kernel
def cut_parabola(reach):
    """Force of a squeeze film whose parabola is cut off at x = +-b, over that of the whole one.

    f = (2/pi) (atan(B) + B/(1 + B^2) - 2 B/(1 + B^2)^2) with B = b/sqrt(2 R h): 1 for a film that
    is much thinner than the gap at the edges, 16/(3 pi) B^3 (parallel plates) for a thick one.
    Reynolds equation with h(x) = h + x^2/(2 R) and no pressure at the edges, worked out here.

    Parameters
    ----------
    reach : float
        B.

    Returns
    -------
    float
        f.

    Examples
    --------
    >>> round(cut_parabola.py_func(1.7), 3), round(cut_parabola.py_func(1e3), 6)
    (0.797, 1.0)
    """
    d = 1.0 / (1.0 + reach * reach)
    return 2.0 / math.pi * (math.atan(reach) + reach * d * (1.0 - 2.0 * d))


@inline_kernel
def squeeze_line(factor, thickness, approach, floor):
    """Squeeze film of a cylinder coming down on a plane, cavitated on separation.

    W = 3 sqrt(2) pi eta L R^(3/2) V / h^(3/2) for V > 0, else 0; h from `film_thickness`.
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
    return max(approach, 0.0) * line_film_damping(factor, thickness, floor)


@inline_kernel
def plane_film_damping(factor, gap, floor):
    """Force per approach speed of the squeeze film of a small flat patch, factor / h^3.

    Parameters
    ----------
    factor : float, N s m^2
        As for `squeeze_plane`.
    gap : float, m
        Distance of the nominal surfaces.
    floor : float, m
        Least film thickness.

    Returns
    -------
    float
        N s/m.
    """
    h = film_thickness(gap, floor)
    return factor / (h * h * h)


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
    return max(approach, 0.0) * plane_film_damping(factor, thickness, floor)
