"""Parts of the beam model: nodes, beams of cover, bars and closures, springs between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from rollsim.case.materials import Material
from rollsim.structure.beam import (
    BeamProperties,
    beam_stiffness,
    element_map,
    rigid_link,
    rotation_to_local,
)
from rollsim.structure.design import CageDesign
from rollsim.structure.sections import Section

#: Straight beams of the cover to a pocket pitch (even: a node lies at every pocket and bar).
SEGMENTS = 8
#: Flexibility of each end of a closure, as a length in diameters. Frames agree with solid models
#: of cages within 5-10 % for 0.25-0.5.
END_FLEXIBILITY = 0.4
AXIAL = np.array([0.0, 0.0, 1.0])
_NO_ARM = np.zeros(3)


@dataclass(frozen=True)
class Element:
    """One beam: its nodes (-1 = rigid base), stiffness in local axes, map from node motions."""

    nodes: tuple[int, int]
    stiffness: np.ndarray
    transfer: np.ndarray

    def end_forces(self, motion: np.ndarray) -> np.ndarray:
        """Forces that the rest puts on both ends, in the beam's own axes.

        Parameters
        ----------
        motion : ndarray
            Motions of all nodes, m and rad.

        Returns
        -------
        ndarray, (12,)
            N and N m.
        """
        parts = [motion[node_dofs(k)] if k >= 0 else np.zeros(6) for k in self.nodes]
        return self.stiffness @ (self.transfer @ np.concatenate(parts))


def node_dofs(node: int) -> np.ndarray:
    """Places of a node's six motions.

    Parameters
    ----------
    node : int
        Number of the node.

    Returns
    -------
    ndarray of int
    """
    return np.arange(6 * node, 6 * node + 6)


def node_count(design: CageDesign) -> int:
    """Nodes: the cover's, two a bar, and the mouth of the hole of every free shank.

    Parameters
    ----------
    design : CageDesign
        The cage.

    Returns
    -------
    int
    """
    mouths = len(design.closure_bars) if design.shank_free else 0
    return design.count * (SEGMENTS + 2) + mouths


def pocket_node(design: CageDesign, j: int) -> int:
    """Node of the cover in the middle of pocket j.

    Parameters
    ----------
    design : CageDesign
        The cage.
    j : int
        Pocket.

    Returns
    -------
    int
    """
    return j * SEGMENTS % (design.count * SEGMENTS)


def bar_node(design: CageDesign, j: int, which: str) -> int:
    """Node at bar j, which lies between pockets j and j + 1.

    Parameters
    ----------
    design : CageDesign
        The cage.
    j : int
        Bar.
    which : str
        cover, middle (of the bar), end (of the bar), mouth (of the hole).

    Returns
    -------
    int
    """
    if which == "cover":
        return j * SEGMENTS + SEGMENTS // 2
    start = design.count * SEGMENTS
    if which == "mouth":
        return start + 2 * design.count + j // design.closure_every
    return start + (design.count if which == "end" else 0) + j


def directions(design: CageDesign, position: float) -> tuple[np.ndarray, np.ndarray]:
    """Radial and tangential direction at pocket j (position j) or bar j (position j + 1/2).

    Parameters
    ----------
    design : CageDesign
        The cage.
    position : float
        In pocket pitches from pocket 0.

    Returns
    -------
    tuple of ndarray, (3,)
    """
    angle = 2.0 * np.pi * position / design.count
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c, s, 0.0]), np.array([-s, c, 0.0])


def beam_of(section: Section, material: Material) -> BeamProperties:
    """Rigidities of a beam with local y = r and z = t.

    Parameters
    ----------
    section : Section
        Its section.
    material : Material
        Its material.

    Returns
    -------
    BeamProperties
    """
    modulus = material.youngs_modulus
    shear_modulus = modulus / (2.0 * (1.0 + material.poisson))
    return BeamProperties(
        modulus * section.area,
        modulus * section.about_r,
        modulus * section.about_t,
        shear_modulus * section.torsion,
        section.shear_share * shear_modulus * section.area,
    )


def cover_elements(design: CageDesign) -> list[Element]:
    """Ring of straight beams (local y = r, so `about_r` of its section bends out of plane).

    Parameters
    ----------
    design : CageDesign
        The cage.

    Returns
    -------
    list of Element
    """
    total = design.count * SEGMENTS
    length = 2.0 * design.cover_radius * np.sin(np.pi / total)
    stiffness = beam_stiffness(beam_of(design.cover, design.material), length)
    elements = []
    for k in range(total):
        radial, tangential = directions(design, (k + 0.5) / SEGMENTS)
        transfer = element_map(rotation_to_local(tangential, radial), _NO_ARM, _NO_ARM)
        elements.append(Element((k, (k + 1) % total), stiffness, transfer))
    return elements


def bar_elements(design: CageDesign, j: int) -> list[Element]:
    """Bar j in two halves, from the rigid base ring to its end.

    Parameters
    ----------
    design : CageDesign
        The cage.
    j : int
        Bar.

    Returns
    -------
    list of Element
    """
    radial, _ = directions(design, j + 0.5)
    stiffness = beam_stiffness(beam_of(design.bar_at(j), design.material), 0.5 * design.bar_length)
    transfer = element_map(rotation_to_local(AXIAL, radial), _NO_ARM, _NO_ARM)
    middle, end = bar_node(design, j, "middle"), bar_node(design, j, "end")
    return [Element((-1, middle), stiffness, transfer), Element((middle, end), stiffness, transfer)]


def closure_elements(design: CageDesign, j: int) -> list[Element]:
    """Closure on bar j; the last beam crosses from the interface to the middle of the cover.

    Parameters
    ----------
    design : CageDesign
        The cage.
    j : int
        Bar.

    Returns
    -------
    list of Element
    """
    radial, _ = directions(design, j + 0.5)
    turn = rotation_to_local(AXIAL, radial)
    beam = beam_of(design.closure, design.closure_material)
    soft = END_FLEXIBILITY * min(design.closure.width_r, design.closure.width_t)
    half, cover = 0.5 * design.cover_thickness, bar_node(design, j, "cover")
    to_cover = (design.closure_radius - design.cover_radius) * radial
    to_bar = (design.closure_radius - design.bar.centroid) * radial
    elements, start, arm, give = [], bar_node(design, j, "end"), to_bar, 2.0 * soft
    if design.one_piece:
        give = half
    if design.shank_free:
        # One flexible end at the head on the base ring, the other one in the cover.
        start, arm, give = bar_node(design, j, "mouth"), _NO_ARM, soft
        length = design.bar_length + design.base_thickness
        shank = beam_stiffness(beam.scaled(length / (length + soft)), length)
        elements.append(Element((-1, start), shank, element_map(turn, _NO_ARM, _NO_ARM)))
    crossing = beam_stiffness(beam.scaled(half / give), half)
    elements.append(Element((start, cover), crossing, element_map(turn, arm, to_cover)))
    return elements


def mouth_springs(design: CageDesign, j: int) -> list[tuple[np.ndarray, np.ndarray, float]]:
    """Sideways support of a free shank by its bar at the mouth of the hole, k = E d.

    Play in the hole is neglected. k of a pin in a hole: E times its diameter, a bearing length of
    one diameter giving way over one diameter (engineering choice without source).

    Parameters
    ----------
    design : CageDesign
        The cage.
    j : int
        Bar.

    Returns
    -------
    list of tuple
        Motions, row (extension over these motions), stiffness in N/m.
    """
    radial, tangential = directions(design, j + 0.5)
    link = rigid_link((design.closure_radius - design.bar.centroid) * radial)[:3]
    value = design.material.youngs_modulus * design.closure.width_r
    nodes = (bar_node(design, j, "end"), bar_node(design, j, "mouth"))
    dofs = np.concatenate([node_dofs(k) for k in nodes])
    return [
        (dofs, np.concatenate([-way @ link, way, np.zeros(3)]), value)
        for way in (radial, tangential)
    ]


def interface_springs(design: CageDesign, size: int) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Springs between the cover and the end face of every bar.

    Parameters
    ----------
    design : CageDesign
        The cage.
    size : int
        Number of motions.

    Returns
    -------
    rows : sparse matrix
        Opening in m of each spring over all motions.
    stiffness : ndarray
        N/m.
    """
    points = design.interface_points
    stiffness = np.tile(design.bedding * points[:, 2], design.count)
    rows = sparse.lil_matrix((len(stiffness), size))
    for j in range(design.count):
        radial, tangential = directions(design, j + 0.5)
        nodes = (bar_node(design, j, "cover"), bar_node(design, j, "end"))
        for k, (r, t, _) in enumerate(points):
            place = r * radial + t * tangential
            above = place - design.cover_radius * radial - 0.5 * design.cover_thickness * AXIAL
            below = place - design.bar_at(j).centroid * radial
            row = j * len(points) + k
            rows[row, node_dofs(nodes[0])] = AXIAL @ rigid_link(above)[:3]
            rows[row, node_dofs(nodes[1])] = -AXIAL @ rigid_link(below)[:3]
    return rows.tocsr(), stiffness


def assemble(elements: list, springs: list, size: int) -> sparse.csc_matrix:
    """Sum of all beams and springs; the rigid base (node -1) is left out.

    Parameters
    ----------
    elements : list of Element
        Beams.
    springs : list of tuple
        As from `mouth_springs`.
    size : int
        Number of motions.

    Returns
    -------
    sparse matrix
        N/m, N, N m.
    """
    blocks = [(dofs, value * np.outer(row, row)) for dofs, row, value in springs]
    for element in elements:
        matrix = element.transfer.T @ element.stiffness @ element.transfer
        keep = np.concatenate([np.full(6, node >= 0) for node in element.nodes])
        dofs = np.concatenate([node_dofs(max(node, 0)) for node in element.nodes])[keep]
        blocks.append((dofs, matrix[np.ix_(keep, keep)]))
    rows = np.concatenate([np.repeat(dofs, len(dofs)) for dofs, _ in blocks])
    columns = np.concatenate([np.tile(dofs, len(dofs)) for dofs, _ in blocks])
    values = np.concatenate([matrix.ravel() for _, matrix in blocks])
    return sparse.coo_matrix((values, (rows, columns)), (size, size)).tocsc()
