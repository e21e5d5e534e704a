"""Faces that press and part: by hand, against the conditions of contact, both ways of solving."""

import numpy as np
import pytest

from rollsim.kernels import face_settling as kernels
from rollsim.kernels.face_contact import Faces
from rollsim.kernels.face_settling import SEARCHED, STEPS, UNSETTLED, WITH_OPEN

_PRODUCTS = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def make(shapes, stiffness, compliance):
    """Constants from shapes (pairs, 3, springs) and stiffness (pairs, springs)."""
    products = np.stack([stiffness * shapes[:, a] * shapes[:, b] for a, b in _PRODUCTS], axis=1)
    return Faces(shapes, products, compliance, np.linalg.inv(compliance))


def random_faces(seed, pairs=4, springs=7):
    """Pairs whose springs give most of the stiffness of the bonded state, as in a cage."""
    rng = np.random.default_rng(seed)
    shapes = rng.normal(size=(pairs, 3, springs))
    stiffness = rng.uniform(0.5, 2.0, (pairs, springs))
    root = rng.normal(size=(3 * pairs, 3 * pairs))
    bonded = 0.02 * root @ root.T + 0.01 * np.eye(3 * pairs)
    for p in range(pairs):
        own = slice(3 * p, 3 * p + 3)
        bonded[own, own] += (shapes[p] * stiffness[p]) @ shapes[p].T
    return make(shapes, stiffness, np.linalg.inv(bonded)), stiffness


def solved(kernel, faces, linear, whole_steps=25, start=None):
    """Forces, counts and what is left for a history."""
    forces, counts = np.zeros_like(linear), np.zeros(4, dtype=np.int64)
    start = np.zeros(linear.shape[1]) if start is None else start
    left = kernel(linear, faces, start, (1e-10, whole_steps), forces, counts)
    return forces, counts, left


def test_single_springs_by_hand(way):
    # Three springs that do not know each other, k = 2, bonded compliance 0.3: what is open moves
    # by q = q_linear / (1 - 0.3 * 2), what is pressed by q_linear.
    faces = make(np.eye(3)[None], np.full((1, 3), 2.0), 0.3 * np.eye(3))
    linear = np.array([[0.4, -1.0, 0.0], [-1.0, -1.0, -1.0], [0.4, 0.4, -0.2]])
    forces, counts, left = solved(way(kernels.settle_faces), faces, linear)
    opening = np.maximum(linear, 0.0) / (1.0 - 0.6)
    assert forces == pytest.approx(2.0 * opening, rel=1e-12, abs=1e-15)
    assert counts.tolist() == [2, 2, 0, 0]
    assert left < 1e-10


@pytest.mark.parametrize("seed", range(5))
def test_conditions_of_contact_hold_at_every_instant(seed, way):
    faces, stiffness = random_faces(seed)
    linear = np.random.default_rng(seed + 50).normal(size=(20, 12))
    forces, counts, _ = solved(way(kernels.settle_faces), faces, linear)
    q = linear + forces @ faces.compliance
    gaps = np.einsum("tpw,pws->tps", q.reshape(20, 4, 3), faces.shapes)
    pulled = np.einsum("tps,pws->tpw", stiffness * np.maximum(gaps, 0.0), faces.shapes)
    assert forces == pytest.approx(pulled.reshape(20, 12), abs=1e-8 * np.abs(forces).max())
    assert counts[WITH_OPEN] == 20 and counts[UNSETTLED] == 0
    assert counts[STEPS] > 20


@pytest.mark.parametrize("seed", range(5))
def test_search_along_the_line_finds_the_same_answer(seed, way):
    faces, _ = random_faces(seed)
    linear = np.random.default_rng(seed).normal(size=(15, 12))
    plain, _, _ = solved(kernels.settle_faces, faces, linear)
    searched, counts, _ = solved(way(kernels.settle_faces), faces, linear, whole_steps=0)
    assert searched == pytest.approx(plain, abs=1e-8 * np.abs(plain).max())
    assert counts[SEARCHED] == 15 and counts[UNSETTLED] == 0


def test_answer_does_not_depend_on_what_came_before():
    faces, _ = random_faces(3)
    linear = np.random.default_rng(8).normal(size=(30, 12))
    there, _, _ = solved(kernels.settle_faces, faces, linear)
    back, _, _ = solved(kernels.settle_faces, faces, linear[::-1].copy())
    start = 10.0 * np.ones(12)
    again, _, _ = solved(kernels.settle_faces, faces, linear, start=start)
    scale = np.abs(there).max()
    assert back[::-1] == pytest.approx(there, abs=1e-8 * scale)
    assert again == pytest.approx(there, abs=1e-8 * scale)
    assert np.array_equal(start, again[-1])


def test_what_cannot_settle_is_counted():
    faces, _ = random_faces(2)
    linear = np.random.default_rng(9).normal(size=(3, 12))
    forces, counts = np.zeros_like(linear), np.zeros(4, dtype=np.int64)
    left = kernels.settle_faces(linear, faces, np.zeros(12), (-1.0, 5), forces, counts)
    assert counts[UNSETTLED] == 3 and counts[SEARCHED] == 3
    assert left >= 0.0


def test_closed_faces_cost_no_step():
    faces, _ = random_faces(1)
    # Openings of all springs below zero: pull all faces together along the sum of their shapes.
    shapes = np.abs(faces.shapes)
    closed = faces._replace(shapes=shapes)
    forces, counts, left = solved(kernels.settle_faces, closed, -np.ones((5, 12)))
    assert not forces.any() and not counts.any() and left == 0.0
