"""Sides of the pockets: how much they cut out of the cage, and what width that leaves a bar.

Checks of the case, mass of the cage and sections of its frame all rest on these formulas.
"""

from __future__ import annotations

import math

import numpy as np


def pocket_half_angle(radius, pitch_radius, pocket_width, side_angle=0.0, contour_radius=math.inf):
    """Half the angle that a pocket cuts out of a circle about the bearing axis.

    Plane sides: t = beta + arcsin((w cos(beta)/2 - R sin(beta))/r): the side stands w/2 from the
    middle plane of the pocket at the pitch radius R and leans by beta, widening outward where
    positive. Concave sides of radius a, whose centre lies e = a - w/2 beyond the middle plane:
    t = arccos((r^2 + D^2 - a^2)/(2 r D)) - arctan(e/R), D^2 = R^2 + e^2.

    Parameters
    ----------
    radius : float or array, m
        Radius r of the circle.
    pitch_radius : float, m
        R.
    pocket_width : float, m
        w on the pitch circle.
    side_angle : float, rad
        beta.
    contour_radius : float, m
        a; infinite for plane sides.

    Returns
    -------
    float or array, rad
        Half angle t.

    Examples
    --------
    >>> round(float(pocket_half_angle(91.0, 91.0, 26.0)), 5)
    0.14335
    """
    if not math.isinf(contour_radius):
        beyond = contour_radius - 0.5 * pocket_width
        distance = math.hypot(pitch_radius, beyond)
        cosine = (radius**2 + distance**2 - contour_radius**2) / (2.0 * radius * distance)
        return np.arccos(np.clip(cosine, -1.0, 1.0)) - math.atan2(beyond, pitch_radius)
    offset = 0.5 * pocket_width * math.cos(side_angle) - pitch_radius * math.sin(side_angle)
    return side_angle + np.arcsin(np.minimum(offset / radius, 1.0))


def bar_width(radius, count, half_angle):
    """Width of the bar between two pockets, w = 2 r sin(pi/Z - t). Source: plane geometry.

    Parameters
    ----------
    radius : float or array, m
        Radius r of a circle about the bearing axis.
    count : int
        Number of pockets Z.
    half_angle : float or array, rad
        t, from `pocket_half_angle`.

    Returns
    -------
    float or array
        Width in the unit of the radius; negative where neighbouring pockets overlap.

    Examples
    --------
    >>> round(float(bar_width(95.0, 18, pocket_half_angle(95.0, 91.0, 26.3))), 3)
    6.775
    """
    return 2.0 * radius * np.sin(np.pi / count - half_angle)
