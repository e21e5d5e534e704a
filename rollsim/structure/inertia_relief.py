"""Solutions of a body that nothing holds: loads are balanced by the inertia of a rigid motion."""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from rollsim.structure.beam import rigid_link


def rigid_motions(nodes: np.ndarray) -> np.ndarray:
    """Six rigid motions about the origin.

    Parameters
    ----------
    nodes : ndarray, (n, 3), m
        Nodes.

    Returns
    -------
    ndarray, (6 n, 6)
        Three unit displacements, three unit rotations.
    """
    return np.vstack([rigid_link(node) for node in nodes])


def balanced(loads: np.ndarray, mass: sparse.spmatrix, rigid: np.ndarray) -> np.ndarray:
    """Loads less the inertia of the rigid motion that they set off: f - M R (R'MR)^-1 R'f.

    Parameters
    ----------
    loads : ndarray, (6 n,) or (6 n, k)
        N and N m.
    mass : sparse matrix
        M.
    rigid : ndarray, (6 n, 6)
        R, from `rigid_motions`.

    Returns
    -------
    ndarray
        Loads without resultant.
    """
    moved = mass @ rigid
    return loads - moved @ np.linalg.solve(rigid.T @ moved, rigid.T @ loads)


class FloatingSolver:
    """One factorisation of a free body for any number of loads.

    Six motions of one node are held while solving; balanced loads put no force on them.

    Parameters
    ----------
    stiffness : sparse matrix
        K, singular for rigid motions.
    mass : sparse matrix
        M.
    rigid : ndarray, (6 n, 6)
        From `rigid_motions`.
    """

    def __init__(self, stiffness: sparse.spmatrix, mass: sparse.spmatrix, rigid: np.ndarray):
        self._stiffness = stiffness.tocsc()
        self._moved = mass @ rigid
        self._rigid = rigid
        self._factors = splu(self._stiffness[6:, 6:])

    def solve(self, loads: np.ndarray) -> np.ndarray:
        """Motions without rigid part (no momentum with the mass of the body).

        Parameters
        ----------
        loads : ndarray, (6 n,) or (6 n, k)
            Loads without resultant, from `balanced`.

        Returns
        -------
        ndarray
            m and rad.
        """
        motion = np.zeros_like(loads)
        motion[6:] = self._factors.solve(loads[6:])
        # One step of refinement: the rings are stiff against the closures.
        motion[6:] += self._factors.solve((loads - self._stiffness @ motion)[6:])
        share = np.linalg.solve(self._rigid.T @ self._moved, self._moved.T @ motion)
        return motion - self._rigid @ share


def imbalance(
    stiffness: sparse.spmatrix, motion: np.ndarray, loads: np.ndarray, rigid: np.ndarray
) -> float:
    """How far a solution is from equilibrium, at every node and as a whole.

    Parameters
    ----------
    stiffness : sparse matrix
        K.
    motion : ndarray, (6 n,)
        Solution.
    loads : ndarray, (6 n,)
        Loads without resultant.
    rigid : ndarray, (6 n, 6)
        From `rigid_motions`.

    Returns
    -------
    float
        The largest of: resultant of loads less inner forces over the sum of all loads (moments
        about the origin over the sum of all moments), and force or moment left at a node over the
        largest one in the loads.
    """
    left = loads - stiffness @ motion
    whole, size = np.abs(rigid.T @ left), np.abs(rigid).T @ np.abs(loads)
    nodes, peak = np.abs(left).reshape(-1, 6), np.abs(loads).reshape(-1, 6)
    parts = []
    for own in (slice(0, 3), slice(3, 6)):
        parts.append(whole[own].max() / max(size[own].max(), 1e-300))
        # Couples may be absent in the loads: a node's moment counts against the larger scale.
        arm = 1.0 if own.start == 0 else np.abs(rigid[:, 3:]).max()
        scale = max(peak[:, own].max(), arm * peak[:, :3].max(), 1e-300)
        parts.append(nodes[:, own].max() / scale)
    return float(max(parts))
