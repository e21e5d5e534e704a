"""Pressure of the raceway contacts, for the smearing measure pressure times sliding speed."""

import math

from rollsim.model import pairs
from rollsim.model.hertz import hertz_line_pressure
from rollsim.units import MM


def reduced_radius(roller_radius, raceway_radius, inside):
    """Reduced radius of a roller on a raceway, 1/R = 1/r -+ 1/R_raceway.

    Parameters
    ----------
    roller_radius : float, m
        Radius r of the roller.
    raceway_radius : float, m
        Radius of the raceway.
    inside : bool
        The roller runs inside the raceway (outer ring), so that the curvatures subtract.

    Returns
    -------
    float
        m.

    Examples
    --------
    >>> round(reduced_radius(0.013, 0.104, True), 6), round(reduced_radius(0.013, 0.078, False), 6)
    (0.014857, 0.011143)
    """
    sign = -1.0 if inside else 1.0
    return 1.0 / (1.0 / roller_radius + sign / raceway_radius)


def pressure_factors(case):
    """Greatest Hertzian pressure of the raceway contacts over the root of their force.

    p = c sqrt(Q) with c = sqrt(E' / (pi R L)): line contact of the effective length L under
    uniform load (Hertz); a profile or tilt raises the pressure at the ends or in the middle.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    outer : float
        c of the outer raceway, Pa/sqrt(N).
    inner : float
        c of the inner raceway.
    """
    roller = 0.5 * MM * case.roller.diameter_mm
    pitch = 0.5 * MM * case.bearing.pitch_diameter_mm
    modulus = pairs.pair_modulus(case, case.roller.material, "bearing_steel")
    by_root_length = 1.0 / math.sqrt(pairs.effective_length(case))
    radii = (
        reduced_radius(roller, pitch + roller, True),
        reduced_radius(roller, pitch - roller, False),
    )
    return tuple(by_root_length * hertz_line_pressure(1.0, radius, modulus) for radius in radii)
