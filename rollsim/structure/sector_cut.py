"""Plane through the middle of the bar and the axis: what a picture of the sector shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.structure.sector_mesh import BASE, CLOSURE, COVER, SectorMesh
from rollsim.structure.sector_solid import Solid

_ON_PLANE = 1e-9


@dataclass(frozen=True)
class SectorCut:
    """Small quadrilaterals of the plane.

    Fields: places (m, 4, 2) radius and height over the far face of the base ring, m; motions
    (m, 4, 2) along both, m; stress (m,) first principal stress, Pa; body (m,), codes of
    `sector_mesh`.
    """

    places: np.ndarray
    motions: np.ndarray
    stress: np.ndarray
    body: np.ndarray


def sector_cut(mesh: SectorMesh, solid: Solid, motion: np.ndarray) -> SectorCut:
    """Faces of elements in the plane, each as four quadrilaterals; stress of every body by itself.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    solid : Solid
        Its elements.
    motion : ndarray, (3 n,), m
        Motion of the nodes.

    Returns
    -------
    SectorCut
    """
    on = np.abs(mesh.points[:, 1]) < _ON_PLANE
    way = motion.reshape(-1, 3)
    places, motions, stress, body = [], [], [], []
    for code in (CLOSURE, BASE, COVER):
        own = mesh.body == code
        if not np.any(own):
            continue
        tension = np.zeros(len(mesh.points))
        nodes, tensor = solid.stress(motion, own)
        tension[nodes] = np.linalg.eigvalsh(tensor)[:, -1]
        quads = _quads(_faces(mesh.bricks[own], on))
        places.append(mesh.points[quads][:, :, [0, 2]])
        motions.append(way[quads][:, :, [0, 2]])
        stress.append(np.mean(tension[quads], axis=1))
        body.append(np.full(len(quads), code))
    return SectorCut(*(np.concatenate(part) for part in (places, motions, stress, body)))


def _faces(bricks: np.ndarray, on: np.ndarray) -> np.ndarray:
    """Faces of bricks that lie in the plane, (m, 3, 3), each once."""
    sides = [np.take(bricks, end, axis=1 + k) for k in range(3) for end in (0, 2)]
    faces = np.concatenate(sides)
    faces = faces[np.all(on[faces], axis=(1, 2))]
    _, first = np.unique(np.sort(faces.reshape(-1, 9), axis=1), axis=0, return_index=True)
    return faces[first]


def _quads(faces: np.ndarray) -> np.ndarray:
    """Four quadrilaterals of a face of nine nodes, (4 m, 4)."""
    parts = [
        faces[:, [a, a + 1, a + 1, a], [b, b, b + 1, b + 1]] for a in range(2) for b in range(2)
    ]
    return np.concatenate(parts)
