"""Interface of cover and bar ends: springs that carry pressure only, found by an active set.

Separate distance pieces round rivets beside the bars have a second interface, at the base ring.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.optimize import brentq

from rollsim.errors import RollsimError
from rollsim.structure.beam import rigid_link
from rollsim.structure.cage_axes import AXIAL, directions
from rollsim.structure.cage_mesh import CageMesh, held_point

_MAX_STEPS = 100
#: Whole steps before any is cut short; 4 to 15 were enough for random loads of all rollers
#: on cages of all sorts; a cage whose distance piece had lost its rivet took up to 25.
_WHOLE_STEPS = 20


#: Loose distance pieces keep this share of their shank's stiffness against rattling.
_FRICTION = 1e-5


def opening_rows(mesh: CageMesh) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Springs between the cover and the end face of every bar, and below distance pieces.

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
    size = 6 * len(mesh.nodes)
    places, values, stiffness = [], [], []
    for j in range(design.count):
        radial, tangential = directions(design, j + 0.5)
        for ring, points in design.faces_at(j):
            above, below = mesh.ring_node("cover", j + 0.5), mesh.bar_node(j, -1)
            face = 0.5 * design.bar_length * AXIAL
            if ring == "base":
                above, below = mesh.foot_node(j), mesh.ring_node("base", j + 0.5)
                face = -face
            nodes = (above, below)
            own = np.concatenate([np.arange(6 * k, 6 * k + 6) for k in nodes])
            places += [own] * len(points)
            stiffness.append(points[:, 3])
            for r, t in points[:, :2]:
                place = r * radial + t * tangential + face
                upper, lower = (AXIAL @ held_point(place - mesh.nodes[k]) for k in nodes)
                values.append(np.concatenate([upper, -lower]))
    count = len(values)
    if not count:
        return sparse.csr_matrix((0, size)), np.zeros(0)
    lines = np.repeat(np.arange(count), 12)
    rows = sparse.csr_matrix((np.ravel(values), (lines, np.ravel(places))), (count, size))
    return rows, np.concatenate(stiffness)


def foot_springs(mesh: CageMesh) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Hold of distance pieces at their feet.

    Sideways and against twist as at the mouth (`mouth_springs`): there the shank comes out of the
    base ring; E d and E d (D/2)^2. Along the axis and against tilt a share of 1e-5 of the shank's
    stiffness E A/L and E I/L: what friction on the shank does, so that a piece that nothing presses
    does not rattle (engineering choice without source). A piece whose rivet is missing stays where
    it is.

    Parameters
    ----------
    mesh : CageMesh
        Nodes.

    Returns
    -------
    rows : sparse matrix, (6 a piece, 6 n)
        Motion in m and rad of the foot against the base ring.
    stiffness : ndarray
        N/m and N m/rad.
    """
    design, bosses = mesh.design, mesh.design.bosses
    gaps = bosses.gaps if bosses is not None and bosses.separate else ()
    rows = sparse.lil_matrix((6 * len(gaps), 6 * len(mesh.nodes)))
    for k, j in enumerate(gaps):
        foot, ring = mesh.foot_node(j), mesh.ring_node("base", j + 0.5)
        ways = np.kron(np.eye(2), np.array([*directions(design, j + 0.5), AXIAL]))
        link = rigid_link(mesh.nodes[foot] - mesh.nodes[ring])
        rows[6 * k : 6 * k + 6, 6 * ring : 6 * ring + 6] = -ways @ link
        rows[6 * k : 6 * k + 6, 6 * foot : 6 * foot + 6] = ways
    if not gaps:
        return rows.tocsr(), np.zeros(0)
    modulus = design.closure_material.youngs_modulus
    loose = _FRICTION * modulus / design.bar_length
    side = design.material.youngs_modulus * design.closure.width_r
    twist = side * (0.5 * bosses.section.width_r) ** 2
    tilt = loose * design.closure.about_r
    own = (side, side, loose * design.closure.area, tilt, tilt, twist)
    return rows.tocsr(), np.tile(own, len(gaps))


def mouth_springs(mesh: CageMesh) -> tuple[sparse.csr_matrix, np.ndarray]:
    """Sideways support of free shanks by their bars or bosses at the mouth of the hole, k = E d.

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


@dataclass(frozen=True)
class Pull:
    """What a solution of the interface minimises its energy with.

    Fields: loose, stiffness without the interface; total (6n,), forces in N and couples in N m;
    stiffness (springs,) N/m of the interface.
    """

    loose: sparse.csc_matrix
    total: np.ndarray
    stiffness: np.ndarray


def settle_contact(
    solve: Callable[[np.ndarray], np.ndarray], rows: sparse.csr_matrix, pull: Pull | None = None
) -> tuple[np.ndarray, np.ndarray, int]:
    """Find which springs carry: those that are pressed, while all others are open.

    Whole steps from one set to the next (Newton's method); where these run in circles, each goes
    only as far as the energy falls, which is convex, so that the set is found in the end.

    Parameters
    ----------
    solve : callable
        Motions for a given set of carrying springs (bool array).
    rows : sparse matrix
        Opening of each spring over all motions.
    pull : Pull or None
        For the steps that are cut short; None allows whole steps only.

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
    motion = None
    for step in range(1, _MAX_STEPS + 1):
        found = solve(closed)
        wanted = _pressed(rows @ found, closed)
        if np.array_equal(wanted, closed):
            return found, closed, step
        if pull is not None and step > _WHOLE_STEPS:
            motion = motion + _share(rows, pull, motion, found) * (found - motion)
            wanted = _pressed(rows @ motion, closed)
        else:
            motion = found
        closed = wanted
    raise RollsimError(
        "The contact of cover and bar ends did not settle: no consistent set of touching"
        f" points was found in {_MAX_STEPS} steps."
    )


def _pressed(opening: np.ndarray, closed: np.ndarray) -> np.ndarray:
    """Springs that would carry; one that only just touches must not flip for ever by rounding."""
    slack = 1e-7 * np.max(np.abs(opening), initial=0.0)
    return np.where(closed, opening < slack, opening < -slack)


def _share(rows, pull: Pull, motion: np.ndarray, found: np.ndarray) -> float:
    """Share of a step after which the energy no longer falls, 1 at most."""
    way = found - motion
    start, ahead = rows @ motion, rows @ way
    stiff = pull.loose @ way
    level, slope = float(stiff @ motion - pull.total @ way), float(stiff @ way)

    def rise(share):
        pressed = np.minimum(start + share * ahead, 0.0)
        return level + share * slope + float((pull.stiffness * ahead) @ pressed)

    if rise(0.0) >= 0.0 or rise(1.0) <= 0.0:
        return 1.0
    return float(brentq(rise, 0.0, 1.0, xtol=1e-14))
