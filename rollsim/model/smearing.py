"""Pressure of the raceway contacts, for the smearing measure pressure times sliding speed."""

import math

from rollsim.model import pairs
from rollsim.model.hertz import hertz_line_pressure
from rollsim.model.raceway_oil import reduced_radius


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
    modulus = pairs.pair_modulus(case, case.roller.material, "bearing_steel")
    by_root_length = 1.0 / math.sqrt(pairs.effective_length(case))
    return tuple(
        by_root_length * hertz_line_pressure(1.0, reduced_radius(pair), modulus)
        for pair in pairs.raceway_pairs(case)
    )
