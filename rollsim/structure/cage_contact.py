"""Interface of cover and bar ends: springs that carry pressure only, found by an active set."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import sparse

from rollsim.errors import RollsimError
from rollsim.structure.beam import rigid_link
from rollsim.structure.cage_mesh import CageMesh, held_point
from rollsim.structure.cover_parts import AXIAL, directions

_MAX_STEPS = 100


def opening_rows(mesh: CageMesh) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Springs between the cover and the end face of every bar.

    Parameters
    ----------
    mesh : CageMesh
        Nodes.

    Returns
    -------
    rows : sparse matrix, (bars times points, 6 n)
        Opening in m of each spring over all motions.
    stiffness : ndarray
        N/m.
    """
    design = mesh.design
    points = design.interface_points
    size = 6 * len(mesh.nodes)
    face = 0.5 * design.bar_length * AXIAL
    places, values = [], []
    for j in range(design.count):
        radial, tangential = directions(design, j + 0.5)
        nodes = (mesh.ring_node("cover", j + 0.5), mesh.bar_node(j, -1))
        places += [np.concatenate([np.arange(6 * k, 6 * k + 6) for k in nodes])] * len(points)
        for r, t, _ in points:
            place = r * radial + t * tangential + face
            above, below = (AXIAL @ held_point(place - mesh.nodes[k]) for k in nodes)
            values.append(np.concatenate([above, -below]))
    count = len(values)
    if not count:
        return sparse.csr_matrix((0, size)), np.zeros(0)
    lines = np.repeat(np.arange(count), 12)
    rows = sparse.csr_matrix((np.ravel(values), (lines, np.ravel(places))), (count, size))
    return rows, np.tile(design.bedding * points[:, 2], design.count)


def mouth_springs(mesh: CageMesh) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Sideways support of free shanks by their bars at the mouth of the hole, k = E d.

    Play in the hole is neglected. k of a pin in a hole: E times its diameter, a bearing length of
    one diameter giving way over one diameter (engineering choice without source).

    Parameters
    ----------
    mesh : CageMesh
        Nodes.

    Returns
    -------
    rows : sparse matrix, (2 a free shank, 6 n)
        Extension in m over all motions.
    stiffness : ndarray
        N/m.
    """
    design = mesh.design
    bars = design.closure_bars if design.shank_free else []
    rows = sparse.lil_matrix((2 * len(bars), 6 * len(mesh.nodes)))
    for k, j in enumerate(bars):
        end, mouth = mesh.bar_node(int(j), -1), mesh.mouth_node(int(j))
        ways = np.array(directions(design, j + 0.5))
        link = rigid_link(mesh.nodes[mouth] - mesh.nodes[end])[:3]
        rows[2 * k : 2 * k + 2, 6 * end : 6 * end + 6] = -ways @ link
        rows[2 * k : 2 * k + 2, 6 * mouth : 6 * mouth + 3] = ways
    stiffness = design.material.youngs_modulus * design.closure.width_r
    return rows.tocsr(), np.full(2 * len(bars), stiffness)


def spring_matrix(rows: sparse.csr_matrix, stiffness: np.ndarray) -> sparse.csc_matrix:
    """Stiffness of springs over all motions.

    Parameters
    ----------
    rows : sparse matrix
        Extension of each spring over all motions.
    stiffness : ndarray, N/m
        Of each spring.

    Returns
    -------
    sparse matrix
    """
    return (rows.T @ sparse.diags(stiffness) @ rows).tocsc()


def settle_contact(
    solve: Callable[[np.ndarray], np.ndarray], rows: sparse.csr_matrix
) -> tuple[np.ndarray, np.ndarray, int]:
    """Find which springs carry: those that are pressed, while all others are open.

    Parameters
    ----------
    solve : callable
        Motions for a given set of carrying springs (bool array).
    rows : sparse matrix
        Opening of each spring over all motions.

    Returns
    -------
    motion : ndarray
        Motions.
    closed : ndarray of bool
        Springs that carry.
    steps : int
        Solutions that were needed.

    Raises
    ------
    RollsimError
        No set is consistent with the load.
    """
    closed = np.ones(rows.shape[0], dtype=bool)
    for step in range(1, _MAX_STEPS + 1):
        motion = solve(closed)
        opening = rows @ motion
        # A spring that only just touches must not flip for ever through rounding.
        slack = 1e-7 * np.max(np.abs(opening), initial=0.0)
        wanted = np.where(closed, opening < slack, opening < -slack)
        if np.array_equal(wanted, closed):
            return motion, closed, step
        closed = wanted
    raise RollsimError(
        "The contact of cover and bar ends did not settle: no consistent set of touching"
        f" points was found in {_MAX_STEPS} steps."
    )
