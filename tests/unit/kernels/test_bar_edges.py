"""Edges of a pocket bar: where the pocket face meets the inner and outer circle of the cage."""

import math

import numpy as np
import pytest

from rollsim.kernels.pocket import face_distance
from rollsim.model.pairs import face_height

PITCH = 0.091
REACH = 0.01315


def _on_circle(radius, angle):
    """Crossing of the face with a circle about the cage axis, from the foot of the pocket centre.

    With the point c n + q f of the face, n = (cos b, -sin b), f = (sin b, cos b):
    q^2 + 2 q R cos b + R^2 + c^2 - 2 R c sin b - r^2 = 0.
    """
    half = PITCH * math.cos(angle)
    rest = PITCH**2 + REACH**2 - 2.0 * PITCH * REACH * math.sin(angle) - radius**2
    return -half + math.sqrt(half**2 - rest)


@pytest.mark.parametrize("radius", [0.089, 0.099, 0.0931])
def test_parallel_faces(radius):
    """h = sqrt(r^2 - c^2) - R."""
    expected = math.sqrt(radius**2 - REACH**2) - PITCH
    assert face_height(radius, PITCH, REACH, 0.0) == pytest.approx(expected, abs=1e-14)


@pytest.mark.parametrize("radius", [0.089, 0.099])
@pytest.mark.parametrize("degrees", [-15.0, -3.0, 0.0, 5.0, 12.0, 25.0])
def test_inclined_faces(radius, degrees):
    angle = math.radians(degrees)
    found = face_height(radius, PITCH, REACH, angle)
    assert found == pytest.approx(_on_circle(radius, angle), abs=1e-13)
    point = REACH * np.array([math.cos(angle), -math.sin(angle)])
    point += found * np.array([math.sin(angle), math.cos(angle)])
    assert math.hypot(point[0], PITCH + point[1]) == pytest.approx(radius, abs=1e-13)


@pytest.mark.parametrize("degrees", [0.0, 6.0])
@pytest.mark.parametrize(("outward", "radius"), [(0.02, 0.099), (-0.02, 0.089)])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_roller_beyond_a_bar_meets_the_edge_on_the_ring(bench, degrees, outward, radius, side):
    """The nearest point of a built pocket lies on the outer or inner circle of the cage."""
    pocket = bench.make_built(cage__pocket_side_angle_deg=degrees).model.pocket
    distance, nt, nr = face_distance(pocket, side, 0.0, outward, 0.0)
    edge = distance * nt, pocket.pitch_radius + outward + distance * nr
    assert math.hypot(*edge) == pytest.approx(radius, abs=1e-12)
    # The edge lies on the face: its distance from the pocket centre along the normal is the reach.
    angle = math.radians(degrees)
    reach = side * edge[0] * math.cos(angle) - (edge[1] - pocket.pitch_radius) * math.sin(angle)
    assert reach == pytest.approx(pocket.radius + pocket.half_clearance, abs=1e-12)
