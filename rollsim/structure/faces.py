"""Springs over the end faces of bars and bosses: places and areas."""

from __future__ import annotations

import math

import numpy as np

from rollsim.structure.sections import BarShape, Section

_POINTS_ALONG_R = 16
_POINTS_ALONG_T = 4
#: Points along the circumference of a round face.
_AROUND = 16


def ring_points(section: Section, bore: float, count: int) -> np.ndarray:
    """Places and areas of the springs over one ring-shaped face.

    Rings of equal area, each at its mean square radius, so that area and second moment are exact.

    Parameters
    ----------
    section : Section
        A tube.
    bore : float, m
        Diameter of its hole.
    count : int
        Number of points, a multiple of 16.

    Returns
    -------
    ndarray, (count, 3)
        r m and t m from the middle of the face, area m2.
    """
    rings = count // _AROUND
    square_in, square_out = 0.25 * bore**2, 0.25 * section.width_r**2
    shares = (np.arange(rings) + 0.5) / rings
    far = np.sqrt(square_in + shares * (square_out - square_in))
    # Points of neighbouring rings stand between one another.
    turn = 2.0 * math.pi * (np.arange(_AROUND) + 0.5 * (np.arange(rings) % 2)[:, None]) / _AROUND
    r, t = far[:, None] * np.cos(turn), far[:, None] * np.sin(turn)
    return np.column_stack([r.ravel(), t.ravel(), np.full(count, section.area / count)])


def interface_points(
    shape: BarShape, section: Section | None, closure_radius: float, kind: str
) -> np.ndarray:
    """Places and areas of the springs over the end face of a bar, outside the closure.

    Parameters
    ----------
    shape : BarShape
        Outline of the bar.
    section : Section or None
        Section of the closure; None where it does not go through the bar.
    closure_radius : float, m
        Distance of its middle from the bearing axis.
    kind : str
        steel_rivet, integral_tenon or one_piece (no interface).

    Returns
    -------
    ndarray, (n, 3)
        Radius in m, t in m, area in m2.
    """
    if kind == "one_piece":
        return np.zeros((0, 3))
    edges = np.linspace(shape.inner_radius, shape.outer_radius, _POINTS_ALONG_R + 1)
    points = []
    for r in 0.5 * (edges[1:] + edges[:-1]):
        width = float(shape.width(r))
        for k in range(_POINTS_ALONG_T):
            t = width * ((k + 0.5) / _POINTS_ALONG_T - 0.5)
            if section is None or not _inside(r - closure_radius, t, section):
                points.append((r, t, width / _POINTS_ALONG_T * (edges[1] - edges[0])))
    return np.array(points)


def _inside(r: float, t: float, section: Section) -> bool:
    """Tell whether a point lies on the section of the closure."""
    if section.is_round:
        return bool(np.hypot(r, t) < 0.5 * section.width_r)
    return abs(r) < 0.5 * section.width_r and abs(t) < 0.5 * section.width_t
