"""Held and coupled motions of a sector mesh, and its solution with touching faces.

Faces that may touch press only where they touch, without friction. With C the opening of every pair
of nodes by unit pressures between the pairs and g0 the opening without any, the pressures p solve
g = g0 + C p >= 0, p >= 0, g p = 0: an active set, exact and without stiffness of springs.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import sparse
from scipy.optimize import nnls
from scipy.sparse.linalg import splu

from rollsim.errors import RollsimError
from rollsim.structure.sector_mesh import SectorMesh

_ON_PLANE = 1e-9
#: Added to C over its mean diagonal, so that two pairs at one node never fight by rounding.
_REGULAR = 1e-10
#: Pairs are taken in when they would overlap by more than this share of the largest opening.
_PENETRATION = 1e-9
_MOST_ROUNDS = 60
_STUCK = (
    "The contact of cover and bar end in the solid model did not settle; another mesh (refine) may"
    " help."
)


def sector_motions(mesh: SectorMesh, clamped: bool = True) -> sparse.csr_matrix:
    """Free motions of a sector.

    Half a sector lies between two mirror planes (equal loads on all pockets). A whole one meets its
    neighbours, which move as it does.

    Parameters
    ----------
    mesh : SectorMesh
        Mesh.
    clamped : bool
        True: every node of the far face of the base ring is held. False: the sector floats, all
        sectors alike, and one node of that face is kept from moving along the axis and round it;
        under balanced loads it carries nothing.

    Returns
    -------
    sparse matrix, (3 n, free)
        Motions of the nodes for unit free motions.
    """
    pitch = math.pi / mesh.design.count
    x, y = mesh.points[:, 0], mesh.points[:, 1]
    angle = np.arctan2(y, x)
    pin = np.flatnonzero((mesh.node_level == 0) & (np.abs(y) < _ON_PLANE))[0]
    held = (mesh.node_level == 0) & clamped
    rim = np.abs(np.abs(angle) - pitch) * x < _ON_PLANE
    edge = rim & ~held
    middle = ~mesh.whole & (np.abs(y) < _ON_PLANE) & ~held
    free = ~held & ~edge & ~middle
    loose = np.arange(len(x)) != pin
    columns = [_unit(np.flatnonzero(free & ((i == 0) | loose)), i) for i in range(3)]
    columns += [_unit(np.flatnonzero(middle & ((i == 0) | loose)), i) for i in (0, 2)]
    upper = np.flatnonzero(edge & (y > 0.0))
    if not mesh.whole:
        columns.append(_unit(upper, 2))
        columns.append(_turned(upper, pitch, 0))
        return _matrix(columns, 3 * len(x))
    lower = _twins(mesh, upper, np.flatnonzero(edge & (y < 0.0)))
    for direction in (0, 1):
        above, below = _turned(upper, pitch, direction), _turned(lower, -pitch, direction)
        columns.append((np.hstack([above[0], below[0]]), np.hstack([above[1], below[1]])))
    above, below = _unit(upper, 2), _unit(lower, 2)
    columns.append((np.hstack([above[0], below[0]]), np.hstack([above[1], below[1]])))
    return _matrix(columns, 3 * len(x))


def solve_contact(
    stiffness: sparse.spmatrix, motions: sparse.csr_matrix, mesh: SectorMesh, load: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Motion of the nodes under a load, and the forces between touching nodes.

    Parameters
    ----------
    stiffness : sparse matrix, (3 n, 3 n), N/m
        All bodies.
    motions : sparse matrix
        From `sector_motions`.
    mesh : SectorMesh
        Pairs that may touch.
    load : ndarray, (3 n,), N
        Forces on the nodes.

    Returns
    -------
    motion : ndarray, (3 n,)
        m.
    pressure : ndarray, (pairs,)
        N, not negative.

    Raises
    ------
    RollsimError
        The pressures do not settle.
    """
    reduced = (motions.T @ stiffness @ motions).tocsc()
    options = {"SymmetricMode": True}
    factor = splu(reduced, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)
    plain = factor.solve(motions.T @ load)
    number = len(mesh.pairs)
    if number == 0:
        return motions @ plain, np.zeros(0)
    rows = np.repeat(np.arange(number), 3)
    signs = [(mesh.pairs[:, 0], 1.0), (mesh.pairs[:, 1], -1.0)]
    shape = (number, 3 * len(mesh.points))
    opening = sum(
        sparse.csr_matrix(
            (sign * mesh.pair_normals.ravel(), (rows, (3 * node[:, None] + np.arange(3)).ravel())),
            shape=shape,
        )
        for node, sign in signs
    )
    opening = (opening @ motions).tocsr()
    start = opening @ plain
    chosen = np.flatnonzero(start < 0.0)
    answers = np.zeros((len(plain), 0))
    pressure = np.zeros(0)
    for _ in range(_MOST_ROUNDS):
        new = chosen[answers.shape[1] :]
        answers = np.hstack([answers, factor.solve(opening[new].T.toarray())])
        pressure = _pressures(opening[chosen] @ answers, start[chosen])
        total = plain + answers @ pressure
        gap = opening @ total
        gap[chosen] = 0.0
        more = np.flatnonzero(gap < -_PENETRATION * np.max(np.abs(start)))
        if len(more) == 0:
            whole = np.zeros(number)
            whole[chosen] = pressure
            return motions @ total, whole
        chosen = np.concatenate([chosen, more])
    raise RollsimError(_STUCK)


def _pressures(flexibility: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Smallest p C p / 2 + g0 p with p >= 0, as non-negative least squares."""
    if len(start) == 0:
        return start
    flexibility = 0.5 * (flexibility + flexibility.T)
    flexibility[np.diag_indices(len(start))] += _REGULAR * np.mean(np.diag(flexibility))
    scale = 1.0 / np.sqrt(np.diag(flexibility))
    lower = np.linalg.cholesky(flexibility * np.outer(scale, scale))
    target = np.linalg.solve(lower, -start * scale)
    size = np.max(np.abs(target), initial=0.0)
    if size == 0.0:
        return np.zeros_like(start)
    try:
        found, _ = nnls(lower.T, target / size, maxiter=50 * len(start))
    except RuntimeError as stuck:
        raise RollsimError(_STUCK) from stuck
    return found * size * scale


def _unit(nodes: np.ndarray, direction: int):
    """Motions of nodes along x, y or z: rows (motions, 1) and values."""
    return (3 * nodes + direction)[:, None], np.ones((len(nodes), 1))


def _turned(nodes: np.ndarray, angle: float, direction: int):
    """Motions of nodes outward (0) or in the sense of rotation (1) on a plane through the axis."""
    rows = 3 * nodes[:, None] + np.arange(2)
    along = (
        [math.cos(angle), math.sin(angle)]
        if direction == 0
        else [-math.sin(angle), math.cos(angle)]
    )
    return rows, np.tile(along, (len(nodes), 1))


def _twins(mesh: SectorMesh, upper: np.ndarray, lower: np.ndarray) -> np.ndarray:
    """Mirrored nodes of nodes, in their order."""
    size = len(mesh.plane.first)
    key = (mesh.node_body * len(mesh.levels.z) + mesh.node_level) * size + mesh.node_plane
    order = np.argsort(key[lower])
    return lower[order][np.searchsorted(key[lower][order], key[upper])]


def _matrix(columns, size: int) -> sparse.csr_matrix:
    """Matrix of groups of columns."""
    rows, numbers, values, start = [], [], [], 0
    for row, value in columns:
        rows.append(row.ravel())
        values.append(value.ravel())
        numbers.append(np.repeat(start + np.arange(len(row)), row.shape[1]))
        start += len(row)
    data = (np.concatenate(values), (np.concatenate(rows), np.concatenate(numbers)))
    return sparse.csr_matrix(data, shape=(size, start))
