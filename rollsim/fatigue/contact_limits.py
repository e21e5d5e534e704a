"""Pressures of roller and pocket side and of cage and guiding land, and the limits they meet."""

from __future__ import annotations

from typing import Any

from rollsim.model.hertz import hertz_line_pressure
from rollsim.model.lands import land_pair, land_width
from rollsim.model.pairs import contour_curvature, effective_length, pair_modulus
from rollsim.units import MM, MPA

#: Largest von Mises stress below a line contact over its largest pressure, Poisson's ratio 0.3.
#: Source: Johnson 1985 (value from memory; `rollsim.model.hertz` gives 0.5575).
MISES_SHARE = 0.558


def first_yield_pressure(yield_strength: float) -> float:
    """Hertzian line pressure at which a body first yields, p0 = s_y/0.558.

    By von Mises, plane strain, Poisson's ratio 0.3, without friction; the yield lies 0.70 half
    widths below the surface. Source: Johnson 1985 (value from memory): 1.79 s_y.

    Parameters
    ----------
    yield_strength : float, Pa
        Yield strength s_y of the softer body.

    Returns
    -------
    float
        Pa.

    Examples
    --------
    >>> round(first_yield_pressure(1.0), 2)
    1.79
    """
    return yield_strength / MISES_SHARE


def pocket_pressure(case: Any, force: float) -> float:
    """Hertzian line pressure of a roller on a side of its pocket, force spread evenly.

    Against a flat side the relative radius is that of the roller r, against a concave one of
    radius R it is 1/(1/r - 1/R).

    Parameters
    ----------
    case : Case
        The case.
    force : float, N
        Normal force.

    Returns
    -------
    float
        Pa.
    """
    radius = 1.0 / (1.0 / (0.5 * MM * case.roller.diameter_mm) - contour_curvature(case))
    modulus = pair_modulus(case, case.cage.material, case.roller.material)
    return hertz_line_pressure(force / effective_length(case), radius, modulus)


def land_pressure(case: Any, force: float) -> float:
    """Hertzian line pressure of one guiding land, cage and ring of nearly the same radius.

    The oil film is left out: it makes the true pressure smaller. Valid while the contact is
    narrow against the cage.

    Parameters
    ----------
    case : Case
        The case, its cage guided by a ring.
    force : float, N
        Normal force of one land.

    Returns
    -------
    float
        Pa.
    """
    land = land_pair(case)
    own = abs(land.arm)
    ring = own + land.gap if land.arm > 0.0 else own - land.gap
    radius = own * ring / abs(ring - own)
    modulus = pair_modulus(case, case.cage.material, "bearing_steel")
    return hertz_line_pressure(force / land_width(case), radius, modulus)


def pocket_limit(case: Any) -> tuple[float, str]:
    """Allowed pressure on a pocket side and where it comes from.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    limit : float
        Pa.
    basis : str
    """
    return _limit(case, case.fatigue.pocket_pressure_MPa, "pocket_pressure_MPa", "hammering")


def land_limit(case: Any) -> tuple[float, str]:
    """Allowed pressure on a guiding land and where it comes from.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    limit : float
        Pa.
    basis : str
    """
    return _limit(case, case.fatigue.land_pressure_MPa, "land_pressure_MPa", "battering")


def _limit(case: Any, given: float | None, key: str, what: str) -> tuple[float, str]:
    """A given limit, or first yield of the cage."""
    if given is not None:
        return given * MPA, f"given (fatigue.{key})"
    strength = case.materials[case.cage.material].yield_strength
    return first_yield_pressure(strength), (
        f"assumed: {what} from first yield of the cage on, yield strength"
        f" {strength / MPA:g} MPa over {MISES_SHARE} (fatigue.{key} sets another)"
    )
