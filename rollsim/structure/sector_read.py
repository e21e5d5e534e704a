"""Loads on a sector mesh, and what is read from its motion: section forces and stresses."""

from __future__ import annotations

import numpy as np

from rollsim.structure.sector_mesh import BASE, CLOSURE, COVER, SectorMesh
from rollsim.structure.sector_plane import POCKET
from rollsim.structure.sector_solid import Solid

#: Spread of a roller's push on the cover: exp(-(s/width)^2), radially and tangentially, m; an
#: engineering choice, no source.
PUSH_RADIAL, PUSH_TANGENTIAL = 1.0e-3, 2.0e-3


def cover_push(mesh: SectorMesh) -> np.ndarray:
    """Axial push of one newton a roller on the cover's inner face; half of it on half a sector.

    The middle of the push lies on the load radius exactly.

    Parameters
    ----------
    mesh : SectorMesh
        Half a sector.

    Returns
    -------
    ndarray, (3 n,)
        N.
    """
    plane, design = mesh.plane, mesh.design
    body = CLOSURE if design.one_piece else COVER
    over = np.zeros(len(plane.first), dtype=bool)
    over[plane.quads[plane.parts == POCKET]] = True
    at = (
        (mesh.node_level == mesh.levels.interface)
        & (mesh.node_body == body)
        & over[mesh.node_plane]
    )
    nodes = np.flatnonzero(at)
    x, y = mesh.points[nodes, 0], mesh.points[nodes, 1]
    radius, angle = np.hypot(x, y), np.pi / design.count - np.arctan2(y, x)
    away = (radius - design.load_radius) / PUSH_RADIAL
    side = radius * angle / PUSH_TANGENTIAL
    weight = plane.area[mesh.node_plane[nodes]] * np.exp(-(away**2) - side**2)
    mean = np.sum(weight * away) / np.sum(weight)
    spread = np.sum(weight * (away - mean) ** 2) / np.sum(weight)
    # Tilted so that the middle falls on the load radius where the rim cuts the push off.
    weight = weight * (1.0 - mean * (away - mean) / spread)
    load = np.zeros(3 * len(mesh.points))
    load[3 * nodes + 2] = 0.5 * weight / np.sum(weight)
    return load


def bar_push(mesh: SectorMesh) -> np.ndarray:
    """Tangential push of one newton, even along the bar, on the flank where the roller touches.

    Parameters
    ----------
    mesh : SectorMesh
        A whole sector.

    Returns
    -------
    ndarray, (3 n,)
        N, in the sense of positive rotation.
    """
    plane, levels, design = mesh.plane, mesh.levels, mesh.design
    flank = np.intersect1d(
        plane.quads[plane.parts == POCKET],
        np.setdiff1d(plane.quads[plane.parts != POCKET], plane.wall),
    )
    radius = np.linalg.norm(plane.points(0.0)[flank], axis=1)
    place = flank[np.argmin(np.abs(radius - design.shape.pitch_radius))]
    body = CLOSURE if design.one_piece else BASE
    load = np.zeros(3 * len(mesh.points))
    column = (mesh.node_plane == place) & mesh.node_mirrored & (mesh.node_body == body)
    for low in range(levels.base, levels.interface, 2):
        length = (levels.z[low + 2] - levels.z[low]) / design.bar_length
        for k, weight in enumerate((1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0)):
            load[3 * np.flatnonzero(column & (mesh.node_level == low + k)) + 1] += weight * length
    return load


def balanced_push(mesh: SectorMesh, solid: Solid, load: np.ndarray, held: str) -> np.ndarray:
    """Axial loads with what balances them, spread by the mass of what holds the sector.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    solid : Solid
        Its elements.
    load : ndarray, (3 n,), N
        Forces on the nodes.
    held : str
        base: the base ring carries what is left over, evenly; inertia: the mass of all parts.

    Returns
    -------
    ndarray, (3 n,)
        N, without an axial resultant.
    """
    design = mesh.design
    steel = (mesh.body == CLOSURE) & (design.kind == "steel_rivet")
    density = np.where(steel, design.closure_material.density, design.material.density)
    if held == "base":
        density = density * (mesh.low < mesh.levels.base)
    mass = (solid.volumes * density[:, None]).ravel()
    share = np.bincount(solid.nodes.ravel(), mass, minlength=len(mesh.points))
    out = load.copy()
    out[2::3] -= np.sum(load[2::3]) * share / np.sum(share)
    return out


def cover_lift(mesh: SectorMesh, push: np.ndarray, motion: np.ndarray) -> float:
    """How far the cover moves from the base ring where the roller pushes, mean over the push.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    push : ndarray, (3 n,)
        From `cover_push`.
    motion : ndarray, (3 n,), m
        Motion of the nodes.

    Returns
    -------
    float
        m.
    """
    axial, weight = motion[2::3], push[2::3]
    at_place = np.zeros(len(mesh.plane.first))
    pushed = np.flatnonzero(weight)
    at_place[mesh.node_plane[pushed]] = weight[pushed]
    opposite = CLOSURE if mesh.design.one_piece else BASE
    face = (mesh.node_level == mesh.levels.base) & (mesh.node_body == opposite)
    below = at_place[mesh.node_plane[face]]
    return float(weight @ axial / np.sum(weight) - below @ axial[face] / np.sum(below))


def section_force(
    mesh: SectorMesh,
    solid: Solid,
    motion: np.ndarray,
    level: int,
    pressure: np.ndarray | None = None,
) -> np.ndarray:
    """Section force of the closure at a level, from the nodal forces of the metal beyond it.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    solid : Solid
        Stiffness of its elements.
    motion : ndarray, (3 n,), m
        Motion of the nodes.
    level : int
        Level where an element starts.
    pressure : ndarray, (pairs,), N, or None
        Forces between touching nodes: those by which the cover holds the closure at this very
        level then count to the cover's side.

    Returns
    -------
    ndarray, (6,)
        axial, shear r, shear t in N, torsion, moment r, moment t in N m, put by the cover's side
        on the base's side, about the axis of the closure.
    """
    beyond = (mesh.body == CLOSURE) & (mesh.low >= level)
    if mesh.design.one_piece:
        return _bar_section(mesh, solid, motion, level)
    force = -solid.forces(motion, beyond)
    if pressure is not None:
        # Pairs of cover and bar end are no part of the closure.
        wall = slice(mesh.interface_pairs, None)
        by_cover = mesh.node_body[mesh.pairs[wall, 0]] == COVER
        push = (pressure[:, None] * mesh.pair_normals)[wall]
        np.subtract.at(force, mesh.pairs[wall, 1][by_cover], push[by_cover])
    return _total(mesh, force, mesh.node_level == level, level)


def shank_swing(mesh: SectorMesh, motion: np.ndarray) -> float:
    """Radial play that a free shank needs in its bar, so that it touches the mouth only.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    motion : ndarray, (3 n,), m
        Motion of the nodes.

    Returns
    -------
    float
        m; 0 for a closure that fills its hole.
    """
    if not mesh.design.shank_free:
        return 0.0
    normal = np.zeros((len(mesh.plane.first), 2))
    normal[mesh.plane.wall] = mesh.plane.normals
    way = motion.reshape(-1, 3)
    size = len(mesh.plane.first)
    key = 2 * (mesh.node_level * size + mesh.node_plane) + mesh.node_mirrored
    inside = np.isin(mesh.node_plane, mesh.plane.wall) & (mesh.node_level < mesh.levels.interface)
    own = [np.flatnonzero(inside & (mesh.node_body == body)) for body in (CLOSURE, BASE)]
    _, shank, hole = np.intersect1d(key[own[0]], key[own[1]], return_indices=True)
    shank, hole = own[0][shank], own[1][hole]
    outward = normal[mesh.node_plane[shank]]
    outward[:, 1] *= np.where(mesh.node_mirrored[shank], -1.0, 1.0)
    beyond = np.sum((way[shank] - way[hole])[:, :2] * outward, axis=1)
    return float(np.max(beyond, initial=0.0))


def _bar_section(mesh, solid, motion, level) -> np.ndarray:
    """Section force of a bar that goes on into its cover: what the bar below puts on the level."""
    below = (mesh.low == level - 2) & (mesh.body == CLOSURE)
    return _total(mesh, solid.forces(motion, below), mesh.node_level == level, level)


def _total(mesh: SectorMesh, force: np.ndarray, chosen: np.ndarray, level: int) -> np.ndarray:
    """Sum of forces and their moments about the closure's axis."""
    force = force[chosen]
    arm = mesh.points[chosen] - [mesh.design.closure_radius, 0.0, mesh.levels.z[level]]
    moment = np.sum(np.cross(arm, force), axis=0)
    total = np.sum(force, axis=0)
    if not mesh.whole:
        total, moment = total * [2.0, 0.0, 2.0], moment * [0.0, 2.0, 0.0]
    return np.array([total[2], total[0], total[1], moment[2], moment[0], moment[1]])


def largest_principal(
    mesh: SectorMesh, solid: Solid, motion: np.ndarray, low: float, high: float
) -> float:
    """Largest tension (first principal stress) in the closure between two heights.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    solid : Solid
        Its elements.
    motion : ndarray, (3 n,), m
        Motion of the nodes.
    low, high : float, m
        Heights over the far face of the base ring.

    Returns
    -------
    float
        Pa.
    """
    above = mesh.levels.z[mesh.low + 2]
    chosen = (mesh.body == CLOSURE) & (above > low - 1e-9) & (mesh.levels.z[mesh.low] < high + 1e-9)
    nodes, stress = solid.stress(motion, chosen)
    height = mesh.points[nodes, 2]
    inside = (height > low - 1e-9) & (height < high + 1e-9)
    return float(np.max(np.linalg.eigvalsh(stress[inside])[:, -1]))
