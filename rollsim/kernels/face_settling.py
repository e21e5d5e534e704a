"""Solver for faces that press and part (`face_contact`), for every instant of a history.

Each instant starts from the springs that were open before: Newton's method on pieces that are
linear, which ends when the springs stay as they were taken. Should that cycle, the same step with
an exact search along the line follows, which cannot, because the function is convex.
"""

from typing import NamedTuple

import numpy as np

from rollsim.kernels.face_contact import PRODUCTS, WAYS, mismatch, released
from rollsim.kernels.jit import allocating_kernel, inline_kernel

_SEARCHED_STEPS = 200
_HALVINGS = 60
#: What is counted: instants with open springs, steps, instants that needed the search along the
#: line, instants that did not settle.
COUNTS = 4
WITH_OPEN, STEPS, SEARCHED, UNSETTLED = range(COUNTS)


class Work(NamedTuple):
    """Room for one instant.

    Fields: d (pairs, 6), D; g (3 pairs,); matrix (3 pairs, 3 pairs); fresh (6,); aim, way, here
    (3 pairs,).
    """

    d: np.ndarray
    g: np.ndarray
    matrix: np.ndarray
    fresh: np.ndarray
    aim: np.ndarray
    way: np.ndarray
    here: np.ndarray


@inline_kernel
def add_rows(matrix, k, i, f0, f1, f2):
    """Take multiples of three rows from a row, from its diagonal on.

    Parameters
    ----------
    matrix : array (n, n)
        Changed in row i.
    k : int
        First of the three rows.
    i : int
        The row.
    f0 : float
        Factor of the first row.
    f1 : float
        Factor of the second one.
    f2 : float
        Factor of the third one.
    """
    for j in range(i, matrix.shape[1]):
        matrix[i, j] -= f0 * matrix[k, j] + f1 * matrix[k + 1, j] + f2 * matrix[k + 2, j]


@inline_kernel
def eliminate(matrix, vector):
    """Solve a symmetric positive definite system in place, three rows at a time.

    Needs no exchange of rows. Three at a time, because that halves the traffic with memory.

    Parameters
    ----------
    matrix : array (n, n)
        Upper triangle is used and overwritten; n is a multiple of three.
    vector : array (n,)
        Right side; receives the answer.
    """
    size = vector.size
    for k in range(0, size, WAYS):
        for i in range(k + 1, k + WAYS):
            for r in range(k, i):
                factor = matrix[r, i] / matrix[r, r]
                vector[i] -= factor * vector[r]
                for j in range(i, size):
                    matrix[i, j] -= factor * matrix[r, j]
        turn0, turn1 = 1.0 / matrix[k, k], 1.0 / matrix[k + 1, k + 1]
        turn2 = 1.0 / matrix[k + 2, k + 2]
        for i in range(k + WAYS, size):
            f0, f1, f2 = matrix[k, i] * turn0, matrix[k + 1, i] * turn1, matrix[k + 2, i] * turn2
            vector[i] -= f0 * vector[k] + f1 * vector[k + 1] + f2 * vector[k + 2]
            add_rows(matrix, k, i, f0, f1, f2)
    for k in range(size - 1, -1, -1):
        total = vector[k]
        for j in range(k + 1, size):
            total -= matrix[k, j] * vector[j]
        vector[k] = total / matrix[k, k]


@inline_kernel
def newton_step(faces, pushed, d, matrix, q):
    """Openings for given open springs: (K - D) q = K q_linear.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pushed : array (3 pairs,), N
        K q_linear.
    d : array (pairs, 6), N/m
        D.
    matrix : array (3 pairs, 3 pairs)
        Work.
    q : array (3 pairs,), m
        Receives the openings.
    """
    for i in range(q.size):
        q[i] = pushed[i]
        for j in range(i, q.size):
            matrix[i, j] = faces.stiffness[i, j]
    for p in range(d.shape[0]):
        i = 3 * p
        matrix[i, i] -= d[p, 0]
        matrix[i, i + 1] -= d[p, 1]
        matrix[i, i + 2] -= d[p, 2]
        matrix[i + 1, i + 1] -= d[p, 3]
        matrix[i + 1, i + 2] -= d[p, 4]
        matrix[i + 2, i + 2] -= d[p, 5]
    eliminate(matrix, q)


@inline_kernel
def slope(faces, pushed, q, way, share, work):
    """Derivative of the convex function along a line: way' (K q - K q_linear - g(q)).

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pushed : array (3 pairs,), N
        K q_linear.
    q : array (3 pairs,), m
        Start of the line.
    way : array (3 pairs,), m
        Its direction.
    share : float
        Place on it.
    work : Work
        Room.

    Returns
    -------
    float
        N m.
    """
    here, g = work.here, work.g
    for k in range(q.size):
        here[k] = q[k] + share * way[k]
    released(faces, here, work.d, g)
    total = 0.0
    for k in range(q.size):
        force = -g[k] - pushed[k]
        for i in range(q.size):
            force += faces.stiffness[k, i] * here[i]
        total += way[k] * force
    return total


@inline_kernel
def best_share(faces, pushed, q, way, work):
    """Share of a step at which the convex function is least, at most the whole step.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pushed : array (3 pairs,), N
        K q_linear.
    q : array (3 pairs,), m
        Start of the step.
    way : array (3 pairs,), m
        The step.
    work : Work
        Room.

    Returns
    -------
    float
    """
    if slope(faces, pushed, q, way, 1.0, work) <= 0.0:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if slope(faces, pushed, q, way, middle, work) > 0.0:
            high = middle
        else:
            low = middle
    return low


@inline_kernel
def settle(faces, pushed, q, limits, work, counts):
    """Answer of the faces at one instant, from a first guess of the openings.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pushed : array (3 pairs,), N
        K q_linear.
    q : array (3 pairs,), m
        First guess; receives the openings.
    limits : tuple
        Largest `mismatch` that counts as settled; whole steps before the search along the line.
    work : Work
        Room; its g receives the forces.
    counts : array of int (4,)
        As in `settle_faces`.

    Returns
    -------
    float
        `mismatch` that is left.
    """
    left = np.inf
    released(faces, q, work.d, work.g)
    for _ in range(limits[1]):
        newton_step(faces, pushed, work.d, work.matrix, q)
        left = mismatch(faces, q, work.d, work.g, work.fresh)
        counts[STEPS] += 1
        if left <= limits[0]:
            return left
    counts[SEARCHED] += 1
    for _ in range(_SEARCHED_STEPS):
        # Where a whole step settles it, it is the answer; else as much of it as does good.
        released(faces, q, work.d, work.g)
        newton_step(faces, pushed, work.d, work.matrix, work.aim)
        left = mismatch(faces, work.aim, work.d, work.g, work.fresh)
        counts[STEPS] += 1
        for k in range(q.size):
            work.way[k] = work.aim[k] - q[k]
        if left <= limits[0]:
            for k in range(q.size):
                q[k] = work.aim[k]
            return left
        share = best_share(faces, pushed, q, work.way, work)
        for k in range(q.size):
            q[k] += share * work.way[k]
    counts[UNSETTLED] += 1
    return left


@allocating_kernel
def settle_faces(linear, faces, start, limits, forces, counts):
    """Answer of the faces at every instant of a piece of a history.

    Parameters
    ----------
    linear : array (n, 3 pairs), m
        q_linear of every instant.
    faces : Faces
        Pairs of faces.
    start : array (3 pairs,), N
        g before the first instant; receives that of the last one.
    limits : tuple
        As in `settle`.
    forces : array (n, 3 pairs), N
        Receives g of every instant.
    counts : array of int (4,)
        Instants with open springs, steps, instants that needed the search along the line, instants
        that did not settle; added to.

    Returns
    -------
    float
        Largest `mismatch` that is left at any instant.
    """
    pairs, size = faces.shapes.shape[0], linear.shape[1]
    work = Work(
        np.empty((pairs, PRODUCTS)),
        np.empty(size),
        np.empty((size, size)),
        np.empty(PRODUCTS),
        np.empty(size),
        np.empty(size),
        np.empty(size),
    )
    q, pushed, shift = np.empty(size), np.empty(size), np.zeros(size)
    for k in range(size):
        for i in range(size):
            shift[k] += faces.compliance[k, i] * start[i]
    worst = 0.0
    for t in range(linear.shape[0]):
        own = linear[t]
        if released(faces, own, work.d, forces[t]) == 0:
            for k in range(size):
                shift[k] = 0.0
            continue
        for k in range(size):
            q[k] = own[k] + shift[k]
            pushed[k] = 0.0
            for i in range(size):
                pushed[k] += faces.stiffness[k, i] * own[i]
        worst = max(worst, settle(faces, pushed, q, limits, work, counts))
        counts[WITH_OPEN] += 1
        for k in range(size):
            shift[k] = q[k] - own[k]
            forces[t, k] = work.g[k]
    if linear.shape[0]:
        for k in range(size):
            start[k] = forces[-1, k]
    return worst
