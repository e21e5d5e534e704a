"""Faces that press on each other and may part, for every instant of a history.

Two faces carry pressure on springs with fixed places. How far a spring is open is linear in a few
numbers of its pair of faces (here three: parting and two tilts), so a structure that is linear but
for such faces comes down to these numbers alone:

    q = q_linear + C g(q),   g = D(q) q,   D = sum over open springs of k s s'

q: openings of all pairs; q_linear: openings if every spring could pull; C: compliance of the
bonded structure (m/N) for pairs of forces in the sense of q; s: opening of a spring for one unit
of q; k its stiffness; g: what the springs that are open would have pulled, put back. Only pairs
with an open spring take part.

q is the minimum of a convex function, so there is one answer; `face_settling` finds it.
"""

from typing import NamedTuple

import numpy as np

from rollsim.kernels.jit import index, inline_kernel

#: Numbers of a pair of faces.
WAYS = 3
#: Columns of the products of two of them: 00, 01, 02, 11, 12, 22.
PRODUCTS = 6


class Faces(NamedTuple):
    """Pairs of faces and what holds them.

    Fields: shapes (pairs, 3, springs), opening of every spring for one unit of every number of its
    pair; products (pairs, 6, springs) N/m, stiffness times the products of two of them, zero for
    springs that only fill up the table; compliance C (3 pairs, 3 pairs) m/N; stiffness, its
    inverse.
    """

    shapes: np.ndarray
    products: np.ndarray
    compliance: np.ndarray
    stiffness: np.ndarray


@inline_kernel
def is_open(faces, pair, q):
    """Whether a spring of a pair is open.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pair : int
        Number of the pair.
    q : array (3 pairs,), m
        Openings.

    Returns
    -------
    bool
    """
    a, b, c = q[3 * pair], q[3 * pair + 1], q[3 * pair + 2]
    s, count = faces.shapes[pair], 0.0
    for i in range(index(s.shape[1])):
        gap = a * s[0, i] + b * s[1, i] + c * s[2, i]
        count += 1.0 if gap > 0.0 else 0.0
    return count > 0.0


@inline_kernel
def any_open(faces, q):
    """Whether a spring of any pair is open.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    q : array (3 pairs,), m
        Openings.

    Returns
    -------
    bool
    """
    # Compiled code knows no any() over a loop.
    for p in range(faces.shapes.shape[0]):
        if is_open(faces, p, q):
            break
    else:
        return False
    return True


@inline_kernel
def open_products(faces, pair, q, row):
    """Sum k s s' over the open springs of a pair.

    Most pairs are closed, so that is asked first.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    pair : int
        Number of the pair.
    q : array (3 pairs,), m
        Openings.
    row : array (6,), N/m
        Receives the sums 00, 01, 02, 11, 12, 22.

    Returns
    -------
    bool
        True where a spring is open.
    """
    d00, d01, d02, d11, d12, d22 = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if is_open(faces, pair, q):
        a, b, c = q[3 * pair], q[3 * pair + 1], q[3 * pair + 2]
        s, k = faces.shapes[pair], faces.products[pair]
        for i in range(index(s.shape[1])):
            gap = a * s[0, i] + b * s[1, i] + c * s[2, i]
            on = 1.0 if gap > 0.0 else 0.0
            d00 += on * k[0, i]
            d01 += on * k[1, i]
            d02 += on * k[2, i]
            d11 += on * k[3, i]
            d12 += on * k[4, i]
            d22 += on * k[5, i]
    row[0], row[1], row[2], row[3], row[4], row[5] = d00, d01, d02, d11, d12, d22
    return d00 + d11 + d22 > 0.0


@inline_kernel
def times_products(row, a, b, c):
    """Symmetric 3 x 3 matrix times a vector.

    Parameters
    ----------
    row : array (6,), N/m
        The matrix: 00, 01, 02, 11, 12, 22.
    a : float, m
        First number of the vector.
    b : float, m
        Second one.
    c : float, m
        Third one.

    Returns
    -------
    tuple of float
        N.
    """
    return (
        row[0] * a + row[1] * b + row[2] * c,
        row[1] * a + row[3] * b + row[4] * c,
        row[2] * a + row[4] * b + row[5] * c,
    )


@inline_kernel
def released(faces, q, d, g):
    """What the open springs would have pulled: g = D q.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    q : array (3 pairs,), m
        Openings.
    d : array (pairs, 6), N/m
        Receives D.
    g : array (3 pairs,), N
        Receives g.

    Returns
    -------
    int
        Pairs with an open spring.
    """
    count = 0
    for p in range(d.shape[0]):
        i = 3 * p
        if open_products(faces, p, q, d[p]):
            count += 1
            g[i], g[i + 1], g[i + 2] = times_products(d[p], q[i], q[i + 1], q[i + 2])
        else:
            g[i], g[i + 1], g[i + 2] = 0.0, 0.0, 0.0
    return count


@inline_kernel
def mismatch(faces, q, d, g):
    """How far assumed forces are from those that the openings give.

    Parameters
    ----------
    faces : Faces
        Pairs of faces.
    q : array (3 pairs,), m
        Openings that the assumed forces give.
    d : array (pairs, 6), N/m
        Receives D of the really open springs.
    g : array (3 pairs,), N
        g as assumed; receives g of the really open springs.

    Returns
    -------
    float
        Largest difference over the largest force.
    """
    worst, largest = 0.0, 0.0
    for p in range(d.shape[0]):
        i = 3 * p
        open_products(faces, p, q, d[p])
        x, y, z = times_products(d[p], q[i], q[i + 1], q[i + 2])
        off = max(abs(x - g[i]), abs(y - g[i + 1]), abs(z - g[i + 2]))
        worst = max(worst, off)
        largest = max(largest, off, abs(x), abs(y), abs(z))
        g[i], g[i + 1], g[i + 2] = x, y, z
    return worst / largest if largest > 0.0 else 0.0
