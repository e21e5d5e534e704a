"""Cross sections of closures, cover and bars: area, second moments, outline.

Local directions of a section that faces along the bearing axis: r (radially outward) and
t (tangential, sense of positive rotation).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim.errors import RollsimError

#: Points around a round section; 8 points were seen to miss up to half of the damage.
ROUND_POINTS = 36
_STRIPS = 400


@dataclass(frozen=True)
class Section:
    """Cross section of a beam.

    Fields: area m2; about_r m4 = integral of t^2 (bending about the radial direction);
    about_t m4 = integral of r^2 (bending about the tangential direction); torsion m4;
    shear_share = shear area over area; centroid m (radius of the centroid where it is measured
    from the bearing axis, else 0); points (n, 2) m = (r, t) from the centroid, where stress is
    looked at; width_r, width_t m = extent along r and t.
    """

    area: float
    about_r: float
    about_t: float
    torsion: float
    shear_share: float
    centroid: float
    points: np.ndarray
    width_r: float
    width_t: float

    @property
    def is_round(self) -> bool:
        """True for a round: it has points all around, others have their four corners."""
        return len(self.points) > 4

    @property
    def shear_peak(self) -> float:
        """Largest over mean shear stress: 3/2 for a rectangle, 4/3 for a round.

        A tube: 4/3 (D^2 + D d + d^2) / (D^2 + d^2), d from its area. Source: elementary beam
        theory, V Q / (I b) on the axis.
        """
        if not self.is_round:
            return 1.5
        bore = math.sqrt(max(self.width_r**2 - 4.0 * self.area / math.pi, 0.0))
        return 4.0 / 3.0 * (1.0 + self.width_r * bore / (self.width_r**2 + bore**2))


def round_section(diameter: float, count: int = ROUND_POINTS) -> Section:
    """Solid round: A = pi d^2/4, I = pi d^4/64, J = 2 I; shear share 0.9 (Cowper, nu = 0.3).

    Parameters
    ----------
    diameter : float, m
        Diameter d.
    count : int
        Points around the section, the first one outward (r).

    Returns
    -------
    Section

    Examples
    --------
    >>> round(round_section(5e-3).about_r * 1e12, 2)
    30.68
    """
    area = math.pi * diameter**2 / 4.0
    second = math.pi * diameter**4 / 64.0
    angle = 2.0 * np.pi * np.arange(count) / count
    points = 0.5 * diameter * np.column_stack([np.cos(angle), np.sin(angle)])
    return Section(area, second, second, 2.0 * second, 0.9, 0.0, points, diameter, diameter)


def tube_section(outside: float, bore: float) -> Section:
    """Round tube: A = pi (D^2 - d^2)/4, I = pi (D^4 - d^4)/64, J = 2 I.

    Shear share k = 6 (1 + n) (1 + m^2)^2 / ((7 + 6 n) (1 + m^2)^2 + (20 + 12 n) m^2), m = d/D,
    n = 0.3. Source: Cowper, The Shear Coefficient in Timoshenko's Beam Theory, 1966 (from memory).

    Parameters
    ----------
    outside : float, m
        Diameter D.
    bore : float, m
        Diameter d of the hole.

    Returns
    -------
    Section
        Points all around the outside, the first one outward (r).

    Examples
    --------
    >>> full, thin = tube_section(8e-3, 0.0), tube_section(8e-3, 7.999e-3)
    >>> round(full.shear_share, 3), round(thin.shear_share, 3)
    (0.886, 0.531)
    >>> round(full.area / round_section(8e-3).area, 9), round(thin.shear_peak, 3)
    (1.0, 2.0)
    """
    full, hole = round_section(outside), round_section(bore)
    second, square = full.about_r - hole.about_r, (bore / outside) ** 2
    share = 7.8 * (1.0 + square) ** 2 / (8.8 * (1.0 + square) ** 2 + 23.6 * square)
    return replace(
        full,
        area=full.area - hole.area,
        about_r=second,
        about_t=second,
        torsion=2.0 * second,
        shear_share=share,
    )


def rectangle_section(width_r: float, width_t: float) -> Section:
    """Solid rectangle: A = b h, I = b h^3/12, shear share 5/6; corners as points.

    Parameters
    ----------
    width_r : float, m
        Extent along r.
    width_t : float, m
        Extent along t.

    Returns
    -------
    Section
    """
    corners = 0.5 * np.array(
        [[width_r, width_t], [width_r, -width_t], [-width_r, -width_t], [-width_r, width_t]]
    )
    return Section(
        width_r * width_t,
        width_r * width_t**3 / 12.0,
        width_t * width_r**3 / 12.0,
        rectangle_torsion(width_r, width_t),
        5.0 / 6.0,
        0.0,
        corners,
        width_r,
        width_t,
    )


def rectangle_torsion(side_a: float, side_b: float) -> float:
    """Torsion constant of a rectangle, J = a b^3 (1/3 - 0.21 (b/a) (1 - b^4/(12 a^4))), a >= b.

    Source: Roark's Formulas for Stress and Strain, torsion of a solid rectangle (from memory);
    error below 4 %. For a square the exact value is 0.1406 a^4.

    Parameters
    ----------
    side_a : float, m
        One side.
    side_b : float, m
        The other side.

    Returns
    -------
    float
        J in m4.

    Examples
    --------
    >>> round(rectangle_torsion(1.0, 1.0), 4)
    0.1408
    """
    a, b = max(side_a, side_b), min(side_a, side_b)
    return a * b**3 * (1.0 / 3.0 - 0.21 * (b / a) * (1.0 - b**4 / (12.0 * a**4)))


@dataclass(frozen=True)
class BarShape:
    """Outline of a cage bar between two round pockets.

    Fields in m: inner_radius and outer_radius of the cage ring, pitch_radius, pocket_radius (half
    of the pocket width); count of pockets.
    """

    inner_radius: float
    outer_radius: float
    pitch_radius: float
    pocket_radius: float
    count: int

    def width(self, radius: np.ndarray) -> np.ndarray:
        """Width of the bar along t: w = 2 r sin(pi/Z - s), pocket edge at cos s below.

        cos s = (r^2 + R^2 - a^2)/(2 r R) for a pocket of radius a centred on the pitch circle R.

        Parameters
        ----------
        radius : ndarray, m
            Distance r from the bearing axis.

        Returns
        -------
        ndarray
            m; negative where neighbouring pockets overlap.
        """
        a, pitch = self.pocket_radius, self.pitch_radius
        cosine = (radius**2 + pitch**2 - a**2) / (2.0 * radius * pitch)
        edge = np.arccos(np.clip(cosine, -1.0, 1.0))
        return 2.0 * radius * np.sin(np.pi / self.count - edge)


def bar_section(shape: BarShape, hole_diameter: float = 0.0, hole_radius: float = 0.0) -> Section:
    """Section of a bar between round pockets, less the hole for a closure that runs through it.

    Integrated over strips at right angles to r. Torsion by Saint-Venant's approximation
    J = A^4 / (40 Ip). Points: the four corners.

    Parameters
    ----------
    shape : BarShape
        Outline.
    hole_diameter : float, m
        Diameter of the hole along the bar; 0 for none.
    hole_radius : float, m
        Distance of the hole's middle from the bearing axis.

    Returns
    -------
    Section
        `centroid` is its distance from the bearing axis.

    Raises
    ------
    RollsimError
        The bar has no metal left at some radius.
    """
    edges = np.linspace(shape.inner_radius, shape.outer_radius, _STRIPS + 1)
    radius = 0.5 * (edges[1:] + edges[:-1])
    depth = edges[1] - edges[0]
    width = shape.width(radius)
    chord = 2.0 * np.sqrt(np.maximum(0.25 * hole_diameter**2 - (radius - hole_radius) ** 2, 0.0))
    if np.any(width <= chord):
        where = radius[np.argmin(width - chord)] * 1e3
        raise RollsimError(
            f"The cage bar has no metal left at radius {where:.2f} mm: the pockets"
            f"{' and the rivet holes' if hole_diameter > 0.0 else ''} leave no width there."
        )
    area = float(np.sum(width - chord) * depth)
    centroid = float(np.sum((width - chord) * radius) * depth / area)
    about_t = float(np.sum((width - chord) * ((radius - centroid) ** 2 + depth**2 / 12)) * depth)
    about_r = float(np.sum(width**3 - chord**3) * depth / 12.0)
    ends = shape.width(np.array([shape.outer_radius, shape.inner_radius]))
    outward, inward = shape.outer_radius - centroid, shape.inner_radius - centroid
    corners = np.array(
        [
            [outward, 0.5 * ends[0]],
            [outward, -0.5 * ends[0]],
            [inward, -0.5 * ends[1]],
            [inward, 0.5 * ends[1]],
        ]
    )
    return Section(
        area,
        about_r,
        about_t,
        area**4 / (40.0 * (about_r + about_t)),
        5.0 / 6.0,
        centroid,
        corners,
        shape.outer_radius - shape.inner_radius,
        float(np.mean(ends)),
    )
