"""Nodes and beams of the whole cage: base ring, bars, cover ring, closures.

Axes: z along the bearing axis, the middle of the pockets at z = 0, the cover at +z; pocket 0 on x,
bar j half a pitch behind pocket j in the sense of positive rotation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rollsim.case.pocket_sides import bar_width, pocket_half_angle
from rollsim.structure.beam import rigid_link
from rollsim.structure.beam_mass import line_mass, rod_mass
from rollsim.structure.beams import Beam, BeamKind, BeamPlace, circle, make_beam, ring_beams
from rollsim.structure.cage_axes import AXIAL, END_FLEXIBILITY, beam_of, directions
from rollsim.structure.design import CageDesign, cage_numbers
from rollsim.structure.faces import interface_points
from rollsim.structure.sections import BarShape, Section, bar_section, rectangle_section
from rollsim.units import DEG, MM

#: Straight beams of each ring to a pocket pitch (even: a node lies at every pocket and bar).
SEGMENTS = 8
#: Nodes of a bar from base to cover, as shares of its length. The first and the third are the
#: points of Gauss's rule: half of a force at each gives the end forces of an even line load.
BAR_NODES = (0.5 - 0.5 / math.sqrt(3.0), 0.5, 0.5 + 0.5 / math.sqrt(3.0), 1.0)


@dataclass(frozen=True)
class PocketSides(BarShape):
    """Outline of a bar between pockets as the case describes their sides.

    Fields: those of `BarShape` (pocket_radius: half of the pocket width on the pitch circle);
    side_angle rad of flat sides; contour_radius m of concave sides, infinite for flat ones.
    """

    side_angle: float = 0.0
    contour_radius: float = math.inf

    def width(self, radius: np.ndarray) -> np.ndarray:
        """Width of the bar along t: w = 2 r sin(pi/Z - s).

        s from `pocket_half_angle`, which the mass of the cage rests on too.

        Parameters
        ----------
        radius : ndarray, m
            Distance r from the bearing axis.

        Returns
        -------
        ndarray
            m; negative where neighbouring pockets overlap.
        """
        sides = (self.side_angle, self.contour_radius)
        edge = pocket_half_angle(radius, self.pitch_radius, 2.0 * self.pocket_radius, *sides)
        return bar_width(radius, self.count, edge)


def frame_design(case: Any) -> CageDesign:
    """Numbers of the cage with the bars as the pocket sides of the case leave them.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    CageDesign
    """
    design, cage = cage_numbers(case), case.cage
    shape = PocketSides(
        *(getattr(design.shape, name) for name in BarShape.__dataclass_fields__),
        side_angle=DEG * cage.pocket_side_angle_deg,
        contour_radius=MM * (cage.pocket_contour_radius_mm or math.inf),
    )
    drilled = design.kind == "steel_rivet" and design.bosses is None
    hole = design.closure.width_r if drilled else 0.0
    bar = bar_section(shape, hole, design.closure_radius)
    if design.one_piece:
        design = replace(design, closure=bar, closure_radius=bar.centroid)
    through = design.closure if design.bosses is None else None
    points = interface_points(shape, through, design.closure_radius, design.kind)
    return replace(
        design, shape=shape, bar=bar, interface_points=points, factors=_factors(case, design)
    )


def _factors(case: Any, design: CageDesign) -> tuple[float, ...]:
    """Stiffness of every closure over that of a sound one; empty where all are sound."""
    factors = dict(getattr(case.cage.closure, "stiffness_factors", ()))
    if all(factor == 1.0 for factor in factors.values()):
        return ()
    return tuple(factors.get(k + 1, 1.0) for k in range(len(design.closure_places)))


@dataclass(frozen=True)
class CageMesh:
    """Numbers of the nodes and where they lie.

    Fields: design; nodes (n, 3) m.
    """

    design: CageDesign
    nodes: np.ndarray

    @property
    def ring_count(self) -> int:
        """Nodes of each ring."""
        return SEGMENTS * self.design.count

    def ring_node(self, part: str, position: float) -> int:
        """Node of a ring at a pocket (whole position) or a bar (j + 1/2).

        Parameters
        ----------
        part : str
            base or cover.
        position : float
            In pocket pitches from pocket 0.

        Returns
        -------
        int
        """
        place = round(position * SEGMENTS) % self.ring_count
        return place + (self.ring_count if part == "cover" else 0)

    def bar_node(self, j: int, k: int) -> int:
        """Node of bar j; k counts from the base, -1 is its end at the cover.

        Parameters
        ----------
        j : int
            Bar.
        k : int
            Place in `BAR_NODES`.

        Returns
        -------
        int
        """
        return 2 * self.ring_count + len(BAR_NODES) * j + k % len(BAR_NODES)

    def mouth_node(self, j: int) -> int:
        """Node of a free rivet shank at the mouth of its hole.

        Parameters
        ----------
        j : int
            Bar with a closure.

        Returns
        -------
        int
        """
        return self._behind_bars + int(np.flatnonzero(self.design.closure_bars == j)[0])

    def foot_node(self, j: int) -> int:
        """Where bar j or its boss begins: the base ring, or the own foot of a distance piece.

        Parameters
        ----------
        j : int
            Bar.

        Returns
        -------
        int
        """
        bosses = self.design.bosses
        if j not in self.design.boss_places or not bosses.separate:
            return self.ring_node("base", j + 0.5)
        mouths = len(self.design.closure_bars) if self.design.shank_free else 0
        return self._behind_bars + mouths + bosses.gaps.index(j)

    @property
    def _behind_bars(self) -> int:
        """First node behind those of rings and bars."""
        return 2 * self.ring_count + len(BAR_NODES) * self.design.count


def cage_mesh(design: CageDesign) -> CageMesh:
    """Place the nodes.

    Parameters
    ----------
    design : CageDesign
        From `frame_design`.

    Returns
    -------
    CageMesh
    """
    half, count = 0.5 * design.bar_length, design.count
    low, high = -half - 0.5 * design.base_thickness, half + 0.5 * design.cover_thickness
    rings = [circle(design.cover_radius, z, SEGMENTS * count) for z in (low, high)]
    bars = [
        design.bar.centroid * directions(design, j + 0.5)[0]
        + (share - 0.5) * design.bar_length * AXIAL
        for j in range(count)
        for share in BAR_NODES
    ]
    closures = design.closure_bars if design.shank_free else []
    mouths = [
        design.closure_radius * directions(design, j + 0.5)[0] + half * AXIAL for j in closures
    ]
    feet = []
    if design.bosses is not None and design.bosses.separate:
        feet = [
            design.closure_radius * directions(design, j + 0.5)[0] - half * AXIAL
            for j in design.bosses.gaps
        ]
    return CageMesh(design, np.vstack([*rings, bars, *(own for own in (mouths, feet) if own)]))


def cage_beams(mesh: CageMesh) -> list[Beam]:
    """All beams: "base", "cover" (local y outward), "bar j" and "closure j" from base to cover.

    "bar j" is a boss where one stands in place of the bar.

    The last beam of a closure crosses from the interface to half the cover's thickness. Beams
    "shank mass j" carry the mass of a tight shank along its bar and no force, in a boss its share.

    Parameters
    ----------
    mesh : CageMesh
        Nodes.

    Returns
    -------
    list of Beam
    """
    design, count = mesh.design, mesh.ring_count
    material = design.material
    width = design.shape.outer_radius - design.shape.inner_radius
    base = rectangle_section(width, design.base_thickness)
    beams = ring_beams("base", mesh.nodes[:count], 0, _kind(base, material))
    beams += ring_beams(
        "cover", mesh.nodes[count : 2 * count], count, _kind(design.cover, material)
    )
    for j in range(design.count):
        section = design.bar_at(j)
        beams += _bar(mesh, j, "bar", section, _kind(section, design.material_at(j)))
    for j in design.closure_bars:
        beams += _closure(mesh, int(j))
    return beams


def _kind(section: Section, material: Any) -> BeamKind:
    """Rigidities and mass of a section in a material."""
    return BeamKind(beam_of(section, material), line_mass(section, material.density))


def _beam(mesh, label, nodes, ends, kind) -> Beam:
    """Beam along z between two points that are held rigidly by two nodes."""
    radial = np.array([*ends[0][:2], 0.0])
    arms = ends - mesh.nodes[list(nodes)]
    return make_beam(BeamPlace(label, nodes, ends, radial, arms), kind)


def _bar(mesh, j, label, section, kind) -> list[Beam]:
    """Beams of bar j from the face of the base ring to the interface, on a section's centroid."""
    design = mesh.design
    radial, _ = directions(design, j + 0.5)
    axis = (section.centroid or design.closure_radius) * radial
    heights = (np.array((0.0, *BAR_NODES)) - 0.5) * design.bar_length
    nodes = [mesh.foot_node(j), *(mesh.bar_node(j, k) for k in range(len(BAR_NODES)))]
    return [
        _beam(
            mesh,
            f"{label} {j}",
            (nodes[k], nodes[k + 1]),
            np.array([axis + heights[k] * AXIAL, axis + heights[k + 1] * AXIAL]),
            kind,
        )
        for k in range(len(BAR_NODES))
    ]


def _closure(mesh, j) -> list[Beam]:
    """Closure on bar j; a free shank starts at its head on the outside of the base ring."""
    design = mesh.design
    radial, _ = directions(design, j + 0.5)
    beam = beam_of(design.closure, design.closure_material).scaled(design.closure_factor(j))
    soft = END_FLEXIBILITY * min(design.closure.width_r, design.closure.width_t)
    half, thick = 0.5 * design.bar_length, 0.5 * design.cover_thickness
    axis = design.closure_radius * radial
    mouth, head = axis + half * AXIAL, axis + (half + thick) * AXIAL
    cover, start, give = mesh.ring_node("cover", j + 0.5), mesh.bar_node(j, -1), 2.0 * soft
    beams = []
    if design.one_piece:
        give = thick
    elif design.kind == "steel_rivet":
        line = line_mass(design.closure, design.closure_material.density)
        if design.shank_free:
            start, give = mesh.mouth_node(j), soft
            foot = axis - (half + design.base_thickness) * AXIAL
            length = design.bar_length + design.base_thickness
            shank = BeamKind(beam.scaled(length / (length + soft)), line)
            nodes = (mesh.ring_node("base", j + 0.5), start)
            beams.append(_beam(mesh, f"closure {j}", nodes, np.array([foot, mouth]), shank))
        else:
            beams += _tight_shank(mesh, j, BeamKind(beam, line))
    crossing = BeamKind(beam.scaled(thick / give), None)
    beams.append(_beam(mesh, f"closure {j}", (start, cover), np.array([mouth, head]), crossing))
    return beams


def _tight_shank(mesh, j, kind) -> list[Beam]:
    """Shank bonded to its bar: beside the many times stronger bar its mass alone counts.

    The wall of a boss is no stronger than its rivet, so that there the two bend and stretch as one.
    """
    beams = _bar(mesh, j, "shank mass", mesh.design.closure, kind)
    if j in mesh.design.boss_places:
        return beams
    return [replace(own, stiffness=np.zeros((12, 12))) for own in beams]


def closure_masses(mesh: CageMesh) -> list[tuple[int, np.ndarray]]:
    """What closures add where they fill holes of the rings: nodes and their 6 x 6 masses.

    Parameters
    ----------
    mesh : CageMesh
        Nodes.

    Returns
    -------
    list of tuple
        Node, mass in kg, kg m, kg m2.
    """
    design = mesh.design
    if design.one_piece:
        return []
    own, cage = design.closure_material.density, design.material.density
    parts = [("cover", design.cover_thickness, own - cage)]
    if design.kind == "steel_rivet":
        # The beam of a free shank runs through the base ring and has its mass already.
        extra = -cage if design.shank_free else own - cage
        parts.append(("base", design.base_thickness, extra))
    masses = []
    for j in design.closure_places:
        radial, _ = directions(design, j + 0.5)
        arm = (design.closure_radius - design.cover_radius) * radial
        missing = design.closure_factor(j) == 0.0
        for part, thickness, filled in parts:
            node = mesh.ring_node(part, j + 0.5)
            density = -cage if missing else filled
            mass = density * design.closure.area * thickness
            masses.append((node, rod_mass(mass, AXIAL, thickness, arm)))
    return masses


def held_point(arm: np.ndarray) -> np.ndarray:
    """Displacement of a point that a node holds, over the six motions of the node.

    Parameters
    ----------
    arm : ndarray, (3,), m
        From the node to the point.

    Returns
    -------
    ndarray, (3, 6)
    """
    return rigid_link(arm)[:3]
