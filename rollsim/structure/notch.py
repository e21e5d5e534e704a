"""Notch factors of stepped bars: Peterson's charts as fitted by Pilkey.

All fits have the form Kt = C1 + C2 x + C3 x^2 + C4 x^3 with x = 2t/D and
Ci = a + b sqrt(t/r) + c t/r, t = (D - d)/2 depth of the step, r fillet radius, D wide and d narrow
side. Valid for 0.1 <= t/r <= 20 with one set of constants up to t/r = 2 and one beyond.
Source: Pilkey, Peterson's Stress Concentration Factors, charts 3.1, 3.4, 3.8, 3.10. Those of
chart 3.1 beyond t/r = 2 are checked against a published value; the others are from memory and
checked for Kt -> 1 as d -> 0 (the constants must add up to 1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Range of t/r of the fits.
LEAST_RATIO, LARGEST_RATIO = 0.1, 20.0

_FITS = {
    ("flat", "tension"): (
        (
            (1.006, 1.008, -0.044),
            (-0.115, -0.584, 0.315),
            (0.245, -1.006, -0.257),
            (-0.135, 0.582, -0.017),
        ),
        (
            (1.020, 1.009, -0.048),
            (-0.065, -0.165, -0.007),
            (-3.459, 1.266, -0.016),
            (3.505, -2.109, 0.069),
        ),
    ),
    ("flat", "bending"): (
        (
            (1.007, 1.000, -0.031),
            (-0.270, -2.404, 0.749),
            (0.677, 1.133, -0.904),
            (-0.414, 0.271, 0.186),
        ),
        (
            (1.042, 0.982, -0.036),
            (-3.599, 1.619, -0.431),
            (6.084, -5.607, 1.158),
            (-2.527, 3.006, -0.691),
        ),
    ),
    ("round", "tension"): (
        (
            (0.926, 1.157, -0.099),
            (0.012, -3.036, 0.961),
            (-0.302, 3.977, -1.744),
            (0.365, -2.098, 0.878),
        ),
        (
            (1.200, 0.860, -0.022),
            (-1.805, -0.346, -0.038),
            (2.198, -0.486, 0.165),
            (-0.593, -0.028, -0.106),
        ),
    ),
    ("round", "bending"): (
        (
            (0.947, 1.206, -0.131),
            (0.022, -3.405, 0.915),
            (0.869, 1.777, -0.555),
            (-0.810, 0.422, -0.260),
        ),
        (
            (1.232, 0.832, -0.008),
            (-3.813, 0.968, -0.260),
            (7.423, -4.868, 0.869),
            (-3.839, 3.070, -0.600),
        ),
    ),
}


@dataclass(frozen=True)
class NotchFactor:
    """A notch factor and what has to be said about it.

    Fields: value (peak over nominal stress of the narrow section); note (empty, or how the true
    shape was brought into the range of the fit); formula, with what lies in its range and where the
    shape lies (empty where there is no notch).
    """

    value: float
    note: str = ""
    formula: str = ""


def step_notch(shape: str, load: str, wide: float, narrow: float, fillet: float) -> NotchFactor:
    """Notch factor of a step with fillets, nominal stress in the narrow section.

    Outside 0.1 <= t/r <= 20 the nearest end of the range is used (for a deep or sharp step: depth
    t = 20 r, fillet kept) and the note says so. No step, no notch: 1.

    Parameters
    ----------
    shape : str
        flat or round.
    load : str
        tension or bending.
    wide : float, m
        Width or diameter D beside the step.
    narrow : float, m
        Width or diameter d of the narrow side.
    fillet : float, m
        Fillet radius r.

    Returns
    -------
    NotchFactor

    Examples
    --------
    >>> round(step_notch("flat", "tension", 30e-3, 20e-3, 2e-3).value, 4)
    2.2272
    """
    depth = 0.5 * (wide - narrow)
    if depth <= 0.0:
        return NotchFactor(1.0, "no shoulder in this direction")
    ratio, note = depth / fillet, ""
    formula = _reach(f"{shape} bar, {load}", "step over fillet", ratio, LEAST_RATIO, LARGEST_RATIO)
    if ratio > LARGEST_RATIO:
        note = f"step of {ratio:.0f} fillet radii taken as {LARGEST_RATIO:g}, the end of the fit"
        ratio = LARGEST_RATIO
    elif ratio < LEAST_RATIO:
        note = f"step of {ratio:.2g} fillet radii taken as {LEAST_RATIO:g}, the end of the fit"
        ratio = LEAST_RATIO
    depth = ratio * fillet
    x = 2.0 * depth / (narrow + 2.0 * depth)
    rows = _FITS[shape, load][0 if ratio <= 2.0 else 1]
    root = math.sqrt(ratio)
    value = sum((a + b * root + c * ratio) * x**k for k, (a, b, c) in enumerate(rows))
    return NotchFactor(max(value, 1.0), note, formula)


def hole_in_tension(hole: float, width: float) -> NotchFactor:
    """Round hole in the middle of a pulled strip, nominal stress in the net section.

    Kt = 3 - 3.14 x + 3.667 x^2 - 1.527 x^3, x = hole over width, 0 <= x < 1. Source: Howland's
    solution as fitted in Peterson's Stress Concentration Factors, chart 4.1 (from memory; within
    0.2 % of Heywood's 2 + (1 - x)^3 at x = 0.3).

    Parameters
    ----------
    hole : float, m
        Diameter.
    width : float, m
        Of the strip.

    Returns
    -------
    NotchFactor

    Examples
    --------
    >>> hole_in_tension(0.0, 1.0).value, round(hole_in_tension(0.3, 1.0).value, 4)
    (3.0, 2.3468)
    """
    x = hole / width
    value = 3.0 - 3.14 * x + 3.667 * x**2 - 1.527 * x**3
    return NotchFactor(
        value, "", _reach("hole in a strip, tension", "hole over width", x, 0.0, 1.0)
    )


def hole_in_bent_plate(hole: float, width: float, thickness: float) -> NotchFactor:
    """Round hole through a strip that bends out of its plane, nominal stress in the net section.

    Kt = (1.79 + 0.25/(0.39 + y) + 0.81/(1 + y^2) - 0.26/(1 + y^3)) (1 - 1.04 x + 1.22 x^2), y =
    hole over thickness, x = hole over width. Source: Peterson's Stress Concentration Factors,
    simple bending of a plate of finite width (from memory; its ends are the exact ones, 3 for a
    thick plate and (5 + 3 nu)/(3 + nu) = 1.79 for a thin one). Taken as valid for y <= 7, x < 1.

    Parameters
    ----------
    hole : float, m
        Diameter.
    width, thickness : float, m
        Of the strip.

    Returns
    -------
    NotchFactor

    Examples
    --------
    >>> round(hole_in_bent_plate(0.0, 1.0, 1.0).value, 2)
    2.98
    >>> round(hole_in_bent_plate(1.0, 1e9, 1e-3).value, 2)
    1.79
    """
    x, y = hole / width, hole / thickness
    value = 1.79 + 0.25 / (0.39 + y) + 0.81 / (1.0 + y**2) - 0.26 / (1.0 + y**3)
    value *= 1.0 - 1.04 * x + 1.22 * x**2
    formula = _reach("hole in a strip bent flat", "hole over thickness", y, 0.0, 7.0)
    return NotchFactor(value, "", formula)


def _reach(name: str, ratio_name: str, ratio: float, low: float, high: float) -> str:
    """Formula, ratio of the case, range, and whether it lies inside."""
    place = "inside" if low <= ratio <= high else "OUTSIDE"
    return f"{name}: {ratio_name} {ratio:.3g}, range {low:g} to {high:g}, {place}"
