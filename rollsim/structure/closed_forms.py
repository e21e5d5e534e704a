"""Closed solutions that the beam model is held against."""

from __future__ import annotations

import math

import numpy as np


def built_in_deflection(force: float, length: float, rigidity: float) -> float:
    """Middle deflection of a beam built in at both ends, F L^3 / (192 E I).

    Slender beam, no shear. Source: Roark's Formulas for Stress and Strain, table 8.1 (from memory).

    Parameters
    ----------
    force : float, N
        Force in the middle.
    length : float, m
        Length L.
    rigidity : float, N m2
        E I.

    Returns
    -------
    float
        Deflection in m.

    Examples
    --------
    >>> round(built_in_deflection(1.0, 1.0, 1.0), 8)
    0.00520833
    """
    return force * length**3 / (192.0 * rigidity)


def built_in_moment(force: float, length: float) -> float:
    """End moment of a beam built in at both ends with a force in the middle, F L / 8.

    Source: Roark's Formulas for Stress and Strain, table 8.1 (from memory).

    Parameters
    ----------
    force : float, N
        Force in the middle.
    length : float, m
        Length L.

    Returns
    -------
    float
        Moment in N m.

    Examples
    --------
    >>> built_in_moment(1.0, 1.0)
    0.125
    """
    return force * length / 8.0


def built_in_spread_moment(force: float, length: float) -> float:
    """End moment of a beam built in at both ends under an even line load, F L / 12.

    Source: Roark's Formulas for Stress and Strain, table 8.1 (from memory).

    Parameters
    ----------
    force : float, N
        Whole force F, spread over the length.
    length : float, m
        Length L.

    Returns
    -------
    float
        Moment in N m.

    Examples
    --------
    >>> built_in_spread_moment(12.0, 1.0)
    1.0
    """
    return force * length / 12.0


def ring_moments(force: float, radius: float, count: int) -> tuple[float, float]:
    """Bending moment of a thin ring under equal radial forces: under a force, and midway.

    M = (P R/2)(1/a - cot a) and (P R/2)(1/sin a - 1/a), a = pi/n.
    Source: Timoshenko, Strength of Materials II; Roark table 9.2 case 7 (from memory).

    Parameters
    ----------
    force : float, N
        Each force P.
    radius : float, m
        Radius R of the centre line.
    count : int
        Number of forces n >= 2.

    Returns
    -------
    tuple of float
        Two moments in N m, as magnitudes.

    Examples
    --------
    >>> [round(m, 6) for m in ring_moments(1.0, 1.0, 2)]
    [0.31831, 0.18169]
    """
    a = math.pi / count
    scale = 0.5 * force * radius
    return scale * (1.0 / a - 1.0 / math.tan(a)), scale * (1.0 / math.sin(a) - 1.0 / a)


def ring_roll_angle(couple: float, radius: float, rigidity: float) -> float:
    """Rotation of a ring's section under an even twisting couple, theta = m R^2 / (E I).

    I about the radial axis of the section (bending out of the plane of the ring).
    Source: Timoshenko, Strength of Materials II, twisting of a circular ring (from memory).

    Parameters
    ----------
    couple : float, N m/m
        Couple m per length of the centre line.
    radius : float, m
        Radius R of the centre line.
    rigidity : float, N m2
        E I.

    Returns
    -------
    float
        Angle in rad.
    """
    return couple * radius**2 / rigidity


def curved_beam_stress(
    force: float, inner: float, outer: float, width: float
) -> tuple[float, float, float]:
    """Neutral radius and edge stresses of a curved beam that a force through its centre pulls.

    r_n = h/ln(r_o/r_i), e = r_c - r_n, M = F r_c, stress F/A + M (r_n - r)/(A e r) at r_i and r_o:
    the force acts through the centre of curvature and opens the beam, as on a crane hook. Flat
    sections stay flat; rectangular section. How much a straight beam leaves out: at r_c/h = 9.4,
    the rings of a usual cage, 3.6 % of the bending stress inside.
    Source: Shigley, Mechanical Engineering Design, "Curved beams in bending" (from memory).

    Parameters
    ----------
    force : float, N
        Pull F.
    inner : float, m
        Inner radius r_i.
    outer : float, m
        Outer radius r_o.
    width : float, m
        Width b along the axis of curvature.

    Returns
    -------
    tuple of float
        r_n in m, stress at the inner and at the outer edge in Pa.

    Examples
    --------
    >>> [round(own, 4) for own in curved_beam_stress(5.0, 2.0, 6.0, 0.75)]
    [3.641, 16.9012, -5.6337]
    """
    height, middle = outer - inner, 0.5 * (outer + inner)
    neutral = height / math.log(outer / inner)
    area = width * height
    bent = force * middle / (area * (middle - neutral))
    edges = [force / area + bent * (neutral - radius) / radius for radius in (inner, outer)]
    return neutral, edges[0], edges[1]


def fastener_shear(positions: np.ndarray, force: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Shear force on each of a group of equal fasteners under an eccentric force in its plane.

    F_i = F/n + (M x r_i)/sum(r^2), r_i from the centroid of the group. Rigid plate, equal
    elastic fasteners. Source: Shigley, Mechanical Engineering Design, "Shear joints with eccentric
    loading" (from memory).

    Parameters
    ----------
    positions : ndarray, (n, 2), m
        Places of the fasteners.
    force : ndarray, (2,), N
        Force on the plate.
    at : ndarray, (2,), m
        Where it acts.

    Returns
    -------
    ndarray, (n, 2)
        Forces in N that the plate puts on the fasteners.
    """
    arms = positions - positions.mean(axis=0)
    lever = at - positions.mean(axis=0)
    moment = lever[0] * force[1] - lever[1] * force[0]
    turned = np.column_stack([-arms[:, 1], arms[:, 0]])
    return force / len(positions) + moment * turned / np.sum(arms**2)
