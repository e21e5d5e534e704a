"""The beam element against exact solutions."""

import numpy as np
import pytest

from rollsim.structure.beam import (
    BeamProperties,
    beam_stiffness,
    element_map,
    rigid_link,
    rotation_to_local,
)
from rollsim.structure.closed_forms import built_in_deflection, built_in_moment

SLENDER = BeamProperties(2e6, 30.0, 50.0, 20.0, 1e14)
SHORT = BeamProperties(2e6, 30.0, 50.0, 20.0, 7e4)


@pytest.mark.parametrize("beam", [SLENDER, SHORT])
def test_cantilever_bends_and_shears_exactly(beam):
    length = 0.3
    free = beam_stiffness(beam, length)[6:, 6:]
    motion = np.linalg.solve(free, [0.0, 7.0, -5.0, 0.0, 0.0, 0.0])
    expected_y = 7.0 * (length**3 / (3 * beam.bend_z) + length / beam.shear)
    expected_z = -5.0 * (length**3 / (3 * beam.bend_y) + length / beam.shear)
    # The nearly rigid shear of the slender beam costs some digits.
    assert motion[1] == pytest.approx(expected_y, rel=1e-8)
    assert motion[2] == pytest.approx(expected_z, rel=1e-8)
    assert motion[5] == pytest.approx(7.0 * length**2 / (2 * beam.bend_z), rel=1e-8)
    assert motion[4] == pytest.approx(5.0 * length**2 / (2 * beam.bend_y), rel=1e-8)


def test_built_in_beam_of_two_halves():
    length, force = 0.3, 11.0
    half = beam_stiffness(SLENDER, length / 2)
    middle = half[6:, 6:] + half[:6, :6]
    motion = np.linalg.solve(middle, [0.0, force, 0.0, 0.0, 0.0, 0.0])
    end = half[:6, 6:] @ motion
    assert motion[1] == pytest.approx(built_in_deflection(force, length, SLENDER.bend_z), rel=1e-8)
    assert abs(end[5]) == pytest.approx(built_in_moment(force, length), rel=1e-8)
    assert end[1] == pytest.approx(-force / 2, rel=1e-8)


def test_stiffness_lets_rigid_motions_pass():
    turn = rotation_to_local(np.array([1.0, 2.0, 0.5]), np.array([0.0, 0.0, 1.0]))
    length = float(np.linalg.norm([1.0, 2.0, 0.5]))
    transfer = element_map(turn, np.array([0.1, 0.0, 0.2]), np.array([0.0, -0.3, 0.1]))
    total = transfer.T @ beam_stiffness(SHORT, length) @ transfer
    # Nodes so placed that the beam ends, after the offsets, lie `length` apart along its axis.
    first = -np.array([0.1, 0.0, 0.2])
    second = np.array([1.0, 2.0, 0.5]) - np.array([0.0, -0.3, 0.1])
    for motion in np.eye(6):
        moved = np.concatenate([rigid_link(first) @ motion, rigid_link(second) @ motion])
        assert np.abs(total @ moved).max() < 1e-9 * np.abs(total).max()


def test_local_directions_are_right_handed():
    turn = rotation_to_local(np.array([0.0, 0.0, 2.0]), np.array([1.0, 1.0, 0.3]))
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-14)
    assert np.linalg.det(turn) == pytest.approx(1.0)
