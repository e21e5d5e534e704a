"""Masses and moments of inertia of rollers, cage and inner ring from their geometry.

Rotating bodies have an axial moment J_a (about the bearing or roller axis) and one transverse
moment J_t (about any axis across it through the mass centre).
"""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.pocket_sides import pocket_half_angle
from rollsim.units import DEG, MM, UM

_QUADRATURE = 64


@dataclass(frozen=True)
class BodyInertia:
    """Inertia of an axisymmetric body.

    mass: kg; axial, transverse: kg m^2 about the mass centre; centre: m, axial position of the
    mass centre (for the cage from the middle of the pockets, cover side positive).
    """

    mass: float
    axial: float
    transverse: float
    centre: float = 0.0


@dataclass(frozen=True)
class Prism:
    """Part of a body: a section extruded along the bearing axis, or Z such sections.

    area: m^2 of all sections; polar: m^4, second moment of all sections about the bearing axis;
    density: kg/m^3; start, end: m along the axis.
    """

    area: float
    polar: float
    density: float
    start: float
    end: float


def cylinder_inertia(diameter, length, density):
    """Inertia of a solid roller: m = rho pi d^2 L/4, J_a = m d^2/8, J_t = m (d^2/16 + L^2/12).

    Parameters
    ----------
    diameter : float, m
        Diameter d.
    length : float, m
        Length L.
    density : float, kg/m^3
        Density rho.

    Returns
    -------
    BodyInertia
        About its own centre; chamfers neglected.
    """
    mass = density * 0.25 * math.pi * diameter**2 * length
    transverse = mass * (diameter**2 / 16.0 + length**2 / 12.0)
    return BodyInertia(mass, mass * diameter**2 / 8.0, transverse)


def annulus_section(outer_radius, inner_radius):
    """Area and polar second moment of a ring section, pi (a^2 - b^2) and pi (a^4 - b^4)/2.

    Parameters
    ----------
    outer_radius : float, m
        Outer radius a.
    inner_radius : float, m
        Inner radius b.

    Returns
    -------
    area : float
        m^2.
    polar : float
        m^4, about the axis.
    """
    area = math.pi * (outer_radius**2 - inner_radius**2)
    return area, 0.5 * area * (outer_radius**2 + inner_radius**2)


def bar_sections(radii, count, pitch_radius, pocket_width, side_angle=0.0, contour_radius=math.inf):
    """Area and polar second moment of all cage bars together.

    A = int r (2 pi - 2 Z t(r)) dr and J = int r^3 (2 pi - 2 Z t(r)) dr over the radii of the
    ring, t from `pocket_half_angle`; a circle that is all pocket has no metal.

    Parameters
    ----------
    radii : tuple of two floats, m
        Inner and outer radius of the cage ring.
    count : int
        Number of pockets Z.
    pitch_radius : float, m
        Radius of the pocket centres.
    pocket_width : float, m
        Width of a pocket on the pitch circle.
    side_angle : float, rad
        Lean of the pocket sides, widening outward where positive.
    contour_radius : float, m
        Radius of concave pocket sides; infinite for plane ones.

    Returns
    -------
    area : float
        m^2.
    polar : float
        m^4, about the bearing axis.
    """
    nodes, weights = np.polynomial.legendre.leggauss(_QUADRATURE)
    half = 0.5 * (radii[1] - radii[0])
    radius = 0.5 * (radii[1] + radii[0]) + half * nodes
    half_angle = pocket_half_angle(radius, pitch_radius, pocket_width, side_angle, contour_radius)
    cut = 2.0 * count * np.maximum(half_angle, 0.0)
    metal = half * weights * radius * np.maximum(2.0 * math.pi - cut, 0.0)
    return float(metal.sum()), float(metal @ radius**2)


def prisms_inertia(prisms):
    """Sum prisms that each repeat evenly around the axis.

    m = rho A l; J_a = sum rho J l; J_t = sum (rho J l/2 + m l^2/12 + m (z - z_c)^2), with the
    polar moment J and the distance of each prism from the common mass centre z_c. Valid for
    three or more repeats, where no transverse direction is special.

    Parameters
    ----------
    prisms : sequence of Prism
        Parts; a hole filled with another metal has the difference of the densities.

    Returns
    -------
    BodyInertia
        About the common mass centre.
    """
    lengths = np.array([prism.end - prism.start for prism in prisms])
    middles = np.array([0.5 * (prism.end + prism.start) for prism in prisms])
    masses = np.array([prism.density * prism.area for prism in prisms]) * lengths
    polars = np.array([prism.density * prism.polar for prism in prisms]) * lengths
    mass = float(masses.sum())
    centre = float(masses @ middles) / mass
    transverse = 0.5 * polars + masses * (lengths**2 / 12.0 + (middles - centre) ** 2)
    return BodyInertia(mass, float(polars.sum()), float(transverse.sum()), centre)


def cage_prisms(case):
    """Parts of a cage: base ring, bars, cover and what the closures replace.

    The middle of the pockets is z = 0, the base at -z. Pockets: sides as the case has them (plane,
    leaning or concave), roller diameter plus pocket clearance wide on the pitch circle. Rivets
    fill their holes from the outside of the base to the outside of the cover, heads taken as
    flush; tenons fill theirs in the cover. Bosses round rivets beside the bars stand in place of
    bars.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of Prism
        The parts.
    """
    cage, count = case.cage, case.roller.count
    density = case.materials[cage.material].density
    outer, inner = 0.5 * MM * cage.outer_diameter_mm, 0.5 * MM * cage.inner_diameter_mm
    half = 0.5 * (MM * case.roller.length_mm + UM * case.clearance.pocket_axial_um)
    base, cover = -half - MM * cage.base_ring_thickness_mm, half + MM * cage.cover_thickness_mm
    pocket = MM * case.roller.diameter_mm + UM * case.clearance.pocket_um
    pitch_radius = 0.5 * MM * case.bearing.pitch_diameter_mm
    sides = (DEG * cage.pocket_side_angle_deg, MM * (cage.pocket_contour_radius_mm or math.inf))
    ring = annulus_section(outer, inner)
    bars = bar_sections((inner, outer), count, pitch_radius, pocket, *sides)
    bosses = _bosses(case)
    # Bars that bosses stand in place of are left out.
    left = 1.0 - (cage.closure.count / count if bosses else 0.0)
    prisms = [
        Prism(*ring, density, base, -half),
        Prism(left * bars[0], left * bars[1], density, -half, half),
        Prism(*ring, density, half, cover),
    ]
    if bosses:
        # Full rounds first: the rivets take their place as in a bar of the cage's metal.
        tubes, own = bosses
        rivets = _closure_sections(case)
        prisms += [
            Prism(*tubes, own, -half, half),
            Prism(*rivets, density, -half, half),
        ]
    if cage.closure.kind != "one_piece" and cage.closure.material is not None:
        extra = case.materials[cage.closure.material].density - density
        start = base if cage.closure.kind == "steel_rivet" else half
        prisms.append(Prism(*_closure_sections(case), extra, start, cover))
    return prisms


def closure_circle(case):
    """Diameter of the circle on which the closures stand.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, m
        Mid of the cage ring unless given.
    """
    given = case.cage.closure.circle_diameter_mm
    middle = 0.5 * (case.cage.outer_diameter_mm + case.cage.inner_diameter_mm)
    return MM * (middle if given is None else given)


def flange_height(case):
    """Height of the flanges above the raceway.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, m
        0.15 roller diameters unless given.
    """
    given = case.bearing.flange_height_mm
    return MM * (0.15 * case.roller.diameter_mm if given is None else given)


def _closure_sections(case):
    """Area and polar second moment of all rivet shanks or tenons about the bearing axis."""
    closure = case.cage.closure
    radius = 0.5 * closure_circle(case)
    if closure.diameter_mm is not None:
        # Rivets may be fewer than bars; round tenons are not.
        count = getattr(closure, "count", None) or case.roller.count
        area = count * 0.25 * math.pi * (MM * closure.diameter_mm) ** 2
        return area, area * (radius**2 + (MM * closure.diameter_mm) ** 2 / 8.0)
    width, height = MM * closure.tangential_width_mm, MM * closure.radial_height_mm
    area = case.roller.count * width * height
    return area, area * (radius**2 + (width**2 + height**2) / 12.0)


def _bosses(case):
    """Sections of all bosses round their rivets and their density; None without any."""
    closure = case.cage.closure
    if getattr(closure, "position", "") != "beside_bars":
        return None
    radius, wide = 0.5 * closure_circle(case), MM * closure.boss_diameter_mm
    area, polar = annulus_section(0.5 * wide, 0.5 * MM * closure.diameter_mm)
    sections = closure.count * area, closure.count * (polar + area * radius**2)
    material = closure.boss_material or case.cage.material
    return sections, case.materials[material].density


def cage_inertia(case):
    """Mass and inertia of the cage of a case; a given mass scales the computed moments.

    Parameters
    ----------
    case : Case
        The case; `cage.mass_kg` wins over the mass from the geometry.

    Returns
    -------
    BodyInertia
        About the mass centre of the cage; `centre` from the middle of the pockets.
    """
    body = prisms_inertia(cage_prisms(case))
    if case.cage.mass_kg is None:
        return body
    scale = case.cage.mass_kg / body.mass
    return BodyInertia(case.cage.mass_kg, scale * body.axial, scale * body.transverse, body.centre)


def roller_inertia(case):
    """Mass and inertia of one roller of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    BodyInertia
        Solid cylinder (see `cylinder_inertia`).
    """
    density = case.materials[case.roller.material].density
    return cylinder_inertia(MM * case.roller.diameter_mm, MM * case.roller.length_mm, density)


def inner_ring_inertia(case):
    """Mass and inertia of the inner ring from its outline, in the material of the rollers.

    Hollow cylinder from the bore to the raceway (pitch less roller diameter) over the full
    width, plus its flanges, each as high as given (else 0.15 roller diameters) and filling the
    width beside the rollers on its side.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    BodyInertia
        About the mass centre; `centre` from mid width.

    Raises
    ------
    ValueError
        If the raceway is not larger than the bore.
    """
    bearing = case.bearing
    density = case.materials[case.roller.material].density
    bore = 0.5 * MM * bearing.bore_mm
    raceway = 0.5 * MM * (bearing.pitch_diameter_mm - case.roller.diameter_mm)
    if raceway <= bore:
        raise ValueError("the inner raceway is not larger than the bore")
    half, track = 0.5 * MM * bearing.width_mm, 0.5 * MM * case.roller.length_mm
    flange = annulus_section(raceway + flange_height(case), raceway)
    prisms = [Prism(*annulus_section(raceway, bore), density, -half, half)]
    if "inner_base" in bearing.flanges and half > track:
        prisms.append(Prism(*flange, density, -half, -track))
    if "inner_cover" in bearing.flanges and half > track:
        prisms.append(Prism(*flange, density, track, half))
    return prisms_inertia(prisms)


def outer_ring_mass(case):
    """Mass of the outer ring from its outline, in the material of the rollers.

    Hollow cylinder from the raceway (pitch plus roller diameter) to the outside over the full
    width, plus its flanges, each as high as given and filling the width beside the rollers.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        kg.
    """
    bearing = case.bearing
    raceway = 0.5 * MM * (bearing.pitch_diameter_mm + case.roller.diameter_mm)
    body, _ = annulus_section(0.5 * MM * bearing.outside_diameter_mm, raceway)
    flange, _ = annulus_section(raceway, raceway - flange_height(case))
    sides = sum(name in bearing.flanges for name in ("outer_base", "outer_cover"))
    beside = max(0.5 * MM * (bearing.width_mm - case.roller.length_mm), 0.0)
    volume = body * MM * bearing.width_mm + sides * flange * beside
    return case.materials[case.roller.material].density * volume
