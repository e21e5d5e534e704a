"""Interface of cover and bar ends for histories: pressure only, solved at every instant.

The cage is linear but for its interface. Seen from the tightened state with all springs of the
interface bonded, a spring that is open leaves out what it would have pulled; that force is put back
as a load. A pair of faces (cover and one bar end) opens by three numbers, so that all springs of
the cage come down to three numbers a bar: `rollsim.kernels.face_settling` solves for them, and its
answer is that of `solve_cage`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from rollsim.errors import RollsimError
from rollsim.kernels.face_contact import WAYS, Faces
from rollsim.kernels.face_settling import COUNTS, UNSETTLED, settle_faces
from rollsim.structure.cage_frame import CageFrame

#: Largest force by which assumed and really open springs may differ, over the largest one.
TOLERANCE = 1e-7
#: Whole steps before the exact search. Two to five were enough in all that was measured.
PLAIN_STEPS = 25
_PRODUCTS = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


@dataclass
class ContactLog:
    """What is carried from one piece of a history to the next, and what is counted.

    Fields: last (3 pairs,) N, forces of the last instant, from which the next one starts (empty at
    first); counts (instants with open springs, steps, instants that needed the exact search,
    instants that did not settle); residual, largest one left.
    """

    last: np.ndarray = field(default_factory=lambda: np.zeros(0))
    counts: np.ndarray = field(default_factory=lambda: np.zeros(COUNTS, dtype=np.int64))
    residual: float = 0.0


@dataclass(frozen=True, eq=False)
class Interface:
    """Pairs of faces of a cage.

    Fields: faces, constants of the compiled solver; rows, sparse (3 pairs, 6n), the three numbers
    of every pair over all motions.
    """

    faces: Faces
    rows: sparse.csr_matrix

    def settle(
        self, linear: np.ndarray, log: ContactLog | None = None, plain_steps: int = PLAIN_STEPS
    ) -> np.ndarray:
        """Forces put back for open springs, at every instant.

        Parameters
        ----------
        linear : ndarray, (instants, 3 pairs), m
            Openings if every spring could pull.
        log : ContactLog or None
            Carried through the pieces of a history; changed.
        plain_steps : int
            Whole steps before the exact search.

        Returns
        -------
        ndarray, (instants, 3 pairs)
            N, zero where nothing is open.

        Raises
        ------
        RollsimError
            An instant did not settle.
        """
        log = ContactLog() if log is None else log
        forces = np.zeros_like(linear)
        if not linear.size:
            return forces
        if not log.last.size:
            log.last = np.zeros(linear.shape[1])
        limits = (TOLERANCE, plain_steps)
        left = settle_faces(
            np.ascontiguousarray(linear), self.faces, log.last, limits, forces, log.counts
        )
        log.residual = max(log.residual, float(left))
        if log.counts[UNSETTLED] or not np.isfinite(forces[-1]).all():
            raise RollsimError(
                "The contact of cover and bar ends did not settle at every instant of the history"
                f" (largest force out of balance: {left:.2g} of the largest one)."
            )
        return forces


def face_rows(frame: CageFrame) -> tuple[sparse.csr_matrix, np.ndarray, np.ndarray]:
    """The three numbers by which every pair of faces opens, from the springs of the frame.

    Springs between the same two nodes belong to one pair. Their openings are linear in three
    numbers, chosen at right angles (singular value decomposition) so that all are in m.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    rows : sparse matrix, (3 pairs, 6n)
        The numbers over all motions.
    shapes : ndarray, (pairs, 3, springs)
        Opening of every spring for one unit of each number.
    products : ndarray, (pairs, 6, springs), N/m
        Stiffness times products of shapes; zero for springs that only fill up the table.
    """
    pairs = _springs_of_pairs(frame.opening)
    most = max((len(own) for own in pairs), default=0)
    shapes, products = np.zeros((len(pairs), WAYS, most)), np.zeros((len(pairs), 6, most))
    rows = []
    for k, own in enumerate(pairs):
        part = frame.opening[own]
        columns = np.unique(part.indices)
        left, size, right = np.linalg.svd(part[:, columns].toarray(), full_matrices=False)
        shapes[k, :, : len(own)] = left[:, :WAYS].T
        stiffness = frame.spring_stiffness[own]
        for m, (a, b) in enumerate(_PRODUCTS):
            products[k, m, : len(own)] = stiffness * left[:, a] * left[:, b]
        row = sparse.lil_matrix((WAYS, frame.opening.shape[1]))
        row[:, columns] = size[:WAYS, None] * right[:WAYS]
        rows.append(row)
    stacked = sparse.vstack(rows) if rows else sparse.csr_matrix((0, frame.opening.shape[1]))
    return stacked.tocsr(), shapes, products


def _springs_of_pairs(opening: sparse.csr_matrix) -> list[np.ndarray]:
    """Numbers of the springs of every pair of faces."""
    pairs: dict[tuple[int, ...], list[int]] = {}
    for k in range(opening.shape[0]):
        nodes = opening.indices[opening.indptr[k] : opening.indptr[k + 1]] // 6
        pairs.setdefault(tuple(np.unique(nodes)), []).append(k)
    return [np.array(own) for own in pairs.values()]


def make_faces(shapes: np.ndarray, products: np.ndarray, compliance: np.ndarray) -> Faces:
    """Constants of the compiled solver.

    Parameters
    ----------
    shapes : ndarray, (pairs, 3, springs)
        From `face_rows`.
    products : ndarray, (pairs, 6, springs), N/m
        From `face_rows`.
    compliance : ndarray, (3 pairs, 3 pairs), m/N
        Of the bonded cage for forces that act on both faces of a pair in the sense of its numbers.

    Returns
    -------
    Faces
    """
    even = 0.5 * (compliance + compliance.T)
    return Faces(shapes, products, even, np.ascontiguousarray(np.linalg.inv(even)))
