"""Endurance limit of steel from its ultimate strength: Marin factors and the finite-life line.

For users without test data, and to hold a surface factor of a case against.
"""

from __future__ import annotations

import math

from rollsim.errors import RollsimError

#: Surface factor k_a = a S_u^b, S_u in MPa. Source: Shigley, Mechanical Engineering Design, 11th
#: ed., table 6-2: ground checked against its solution 6-1, machined from memory.
SURFACES = {"ground": (1.38, -0.067), "machined": (3.04, -0.217)}


def surface_factor(ultimate_MPa: float, finish: str) -> float:
    """Surface factor k_a = a S_u^b, at most 1.

    Source: Shigley, 11th ed., solution 6-1: ground, S_u = 1020 MPa gives 0.868.

    Parameters
    ----------
    ultimate_MPa : float, MPa
        Ultimate tensile strength S_u of a steel.
    finish : str
        ground or machined.

    Returns
    -------
    float

    Raises
    ------
    RollsimError
        There are no constants for that finish.

    Examples
    --------
    >>> round(surface_factor(1020.0, "ground"), 3)
    0.868
    """
    if finish not in SURFACES:
        raise RollsimError(f"No surface '{finish}'; there are {', '.join(SURFACES)}.")
    a, b = SURFACES[finish]
    return min(a * ultimate_MPa**b, 1.0)


def size_factor(diameter_mm: float) -> float:
    """Size factor in rotating bending, k_b = 1.24 d^-0.107, for 2.79 to 51 mm.

    Source: Shigley, 11th ed., solution 6-1: d = 10 mm gives 0.969.

    Parameters
    ----------
    diameter_mm : float, mm
        Diameter d.

    Returns
    -------
    float

    Raises
    ------
    RollsimError
        Outside 2.79 to 51 mm.

    Examples
    --------
    >>> round(size_factor(10.0), 3)
    0.969
    """
    if not 2.79 <= diameter_mm <= 51.0:
        raise RollsimError(f"The size factor holds for 2.79 to 51 mm, not {diameter_mm:g} mm.")
    return 1.24 * diameter_mm**-0.107


def endurance_limit(ultimate_MPa: float, finish: str, diameter_mm: float) -> float:
    """Endurance limit of a steel part, k_a k_b S_u/2 (S_u/2 at most 700 MPa).

    Source: Shigley, 11th ed., solution 6-1: S_u = 1020 MPa, ground, 10 mm gives 429 MPa.

    Parameters
    ----------
    ultimate_MPa : float, MPa
        Ultimate tensile strength S_u.
    finish : str
        ground or machined.
    diameter_mm : float, mm
        Diameter d.

    Returns
    -------
    float
        MPa.

    Examples
    --------
    >>> round(endurance_limit(1020.0, "ground", 10.0))
    429
    """
    polished = min(0.5 * ultimate_MPa, 700.0)
    return surface_factor(ultimate_MPa, finish) * size_factor(diameter_mm) * polished


def finite_life_line(ultimate: float, fraction: float, endurance: float) -> tuple[float, float]:
    """Line S = a N^b from f S_u at 1000 cycles to S_e at a million.

    a = (f S_u)^2 / S_e, b = -log10(f S_u/S_e)/3. Source: Shigley, 11th ed., solution 6-3:
    S_u = 120 kpsi, f = 0.82, S_e = 60 kpsi give a = 161.4 kpsi, b = -0.0716.

    Parameters
    ----------
    ultimate : float, any unit
        S_u.
    fraction : float
        f.
    endurance : float, same unit
        S_e.

    Returns
    -------
    a : float
        Same unit.
    b : float

    Examples
    --------
    >>> a, b = finite_life_line(120.0, 0.82, 60.0)
    >>> round(a, 1), round(b, 4)
    (161.4, -0.0716)
    """
    start = fraction * ultimate
    return start**2 / endurance, -math.log10(start / endurance) / 3.0
