"""Solver for faces that press and part (`face_contact`), for every instant of a history.

Each instant starts from the springs that were open before: Newton's method on pieces that are
linear, which ends when the springs stay as they were taken. Should that cycle, the same step with
an exact search along the line follows, which cannot, because the function is convex.

A step solves for the pairs with open springs alone, mostly a few of them: what is closed puts no
force back, so that q = q_linear + C D q holds within these pairs, and gives all others.
"""

from typing import NamedTuple

import numpy as np

from rollsim.kernels.face_contact import (
    PRODUCTS,
    WAYS,
    any_open,
    mismatch,
    released,
    times_products,
)
from rollsim.kernels.jit import allocating_kernel, index, inline_kernel

_SEARCHED_STEPS = 200
_HALVINGS = 60
#: What is counted: instants with open springs, steps, instants that needed the search along the
#: line, instants that did not settle.
COUNTS = 4
WITH_OPEN, STEPS, SEARCHED, UNSETTLED = range(COUNTS)


class Work(NamedTuple):
    """Room for one instant.

    Fields: d (pairs, 6), D; g (3 pairs,); matrix (3 pairs, 3 pairs) and right (3 pairs,), the
    system of a step; places (pairs,), its pairs; pushed (3 pairs,), K q_linear; aim, way, here (3
    pairs,).
    """

    d: np.ndarray
    g: np.ndarray
    matrix: np.ndarray
    right: np.ndarray
    places: np.ndarray
    pushed: np.ndarray
    aim: np.ndarray
    way: np.ndarray
    here: np.ndarray


@inline_kernel
def eliminate(matrix, vector, size):
    """Solve a system in place.

    Needs no exchange of rows where the matrix is I - C D with symmetric C and D, C^-1 - D positive
    definite: every leading part of it is of the same sort, so that no pivot is zero.

    Parameters
    ----------
    matrix : array (n, n)
        Its first rows and columns are used and overwritten.
    vector : array (n,)
        Right side; receives the answer.
    size : int
        Rows and columns in use.
    """
    for k in range(size):
        turn, pivot = 1.0 / matrix[k, k], matrix[k]
        for i in range(k + 1, size):
            row = matrix[i]
            factor = row[k] * turn
            vector[i] -= factor * vector[k]
            for j in range(index(k + 1), index(size)):
                row[j] -= factor * pivot[j]
    for k in range(size - 1, -1, -1):
        row, total = matrix[k], vector[k]
        for j in range(index(k + 1), index(size)):
            total -= row[j] * vector[j]
        vector[k] = total / row[k]


@inline_kernel
def step_system(faces, linear, work):
    """System of a step for the pairs with open springs: (I - C D) q = q_linear.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    linear : array (3 pairs,), m
        q_linear.
    work : Work
        D is used; matrix, right and places are written.

    Returns
    -------
    int
        Pairs with open springs.
    """
    d, matrix, places, count = work.d, work.matrix, work.places, 0
    for p in range(d.shape[0]):
        if d[p, 0] + d[p, 3] + d[p, 5] > 0.0:
            places[count] = p
            count += 1
    for a in range(count):
        for way in range(WAYS):
            i = WAYS * places[a] + way
            own, row = faces.compliance[i], matrix[WAYS * a + way]
            for b in range(count):
                j = WAYS * places[b]
                x, y, z = times_products(d[places[b]], own[j], own[j + 1], own[j + 2])
                row[WAYS * b], row[WAYS * b + 1], row[WAYS * b + 2] = -x, -y, -z
            row[WAYS * a + way] += 1.0
            work.right[WAYS * a + way] = linear[i]
    return count


@inline_kernel
def newton_step(faces, linear, work, q):
    """Openings for given open springs: q = q_linear + C D q.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    linear : array (3 pairs,), m
        q_linear.
    work : Work
        D is used; g receives D q.
    q : array (3 pairs,), m
        Receives the openings.
    """
    count = step_system(faces, linear, work)
    eliminate(work.matrix, work.right, WAYS * count)
    for k in range(index(q.size)):
        q[k] = linear[k]
        work.g[k] = 0.0
    for a in range(count):
        p, right = work.places[a], work.right
        i = WAYS * p
        x, y, z = times_products(work.d[p], right[3 * a], right[3 * a + 1], right[3 * a + 2])
        work.g[i], work.g[i + 1], work.g[i + 2] = x, y, z
        first, second, third = faces.compliance[i], faces.compliance[i + 1], faces.compliance[i + 2]
        for k in range(index(q.size)):
            q[k] += x * first[k] + y * second[k] + z * third[k]


@inline_kernel
def slope(faces, q, way, share, work):
    """Derivative of the convex function along a line: way' (K q - K q_linear - g(q)).

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    q : array (3 pairs,), m
        Start of the line.
    way : array (3 pairs,), m
        Its direction.
    share : float
        Place on it.
    work : Work
        Room; pushed is used.

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
        force = -g[k] - work.pushed[k]
        for i in range(q.size):
            force += faces.stiffness[k, i] * here[i]
        total += way[k] * force
    return total


@inline_kernel
def best_share(faces, q, way, work):
    """Share of a step at which the convex function is least, at most the whole step.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
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
    if slope(faces, q, way, 1.0, work) <= 0.0:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if slope(faces, q, way, middle, work) > 0.0:
            high = middle
        else:
            low = middle
    return low


@inline_kernel
def settle(faces, linear, q, limits, work, counts):
    """Answer of the faces at one instant, from a first guess of the openings.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    linear : array (3 pairs,), m
        q_linear.
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
        newton_step(faces, linear, work, q)
        left = mismatch(faces, q, work.d, work.g)
        counts[STEPS] += 1
        if left <= limits[0]:
            return left
    counts[SEARCHED] += 1
    for k in range(q.size):
        work.pushed[k] = 0.0
        for i in range(q.size):
            work.pushed[k] += faces.stiffness[k, i] * linear[i]
    for _ in range(_SEARCHED_STEPS):
        # Where a whole step settles it, it is the answer; else as much of it as does good.
        released(faces, q, work.d, work.g)
        newton_step(faces, linear, work, work.aim)
        left = mismatch(faces, work.aim, work.d, work.g)
        counts[STEPS] += 1
        for k in range(q.size):
            work.way[k] = work.aim[k] - q[k]
        if left <= limits[0]:
            for k in range(q.size):
                q[k] = work.aim[k]
            return left
        share = best_share(faces, q, work.way, work)
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
        np.empty(size),
        np.empty(pairs, dtype=np.int64),
        np.empty(size),
        np.empty(size),
        np.empty(size),
        np.empty(size),
    )
    q, shift = np.empty(size), np.zeros(size)
    for k in range(size):
        for i in range(size):
            shift[k] += faces.compliance[k, i] * start[i]
    worst = 0.0
    for t in range(linear.shape[0]):
        own = linear[t]
        if not any_open(faces, own):
            for k in range(size):
                forces[t, k], shift[k] = 0.0, 0.0
            continue
        for k in range(size):
            q[k] = own[k] + shift[k]
        worst = max(worst, settle(faces, own, q, limits, work, counts))
        counts[WITH_OPEN] += 1
        for k in range(size):
            shift[k] = q[k] - own[k]
            forces[t, k] = work.g[k]
    if linear.shape[0]:
        for k in range(size):
            start[k] = forces[-1, k]
    return worst
