"""Forces of lands in the axes of the cage."""

import numpy as np
import pytest

from rollsim.fatigue.land_loads import LandMotion, land_columns, land_states
from rollsim.kernels.cage_loads import loads_of_channels

COUNT = 18


def motion(force, lean, peak=0.0, angle=0.0):
    """One sample; the same on both lands."""
    return LandMotion(
        np.tile(np.asarray(force, dtype=float), (1, 2, 1)),
        np.full((1, 2), float(peak)),
        np.tile(np.asarray(lean, dtype=float), (1, 2, 1)),
        np.array([float(angle)]),
        np.zeros(1),
    )


def columns(own, inside=False):
    """Base radial, base tangential, cover radial, cover tangential, each a row over the pockets."""
    return land_columns(own, own.force, COUNT, inside).reshape(4, COUNT)


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("pocket", [0, 5, 17])
@pytest.mark.parametrize("angle", [0.0, 2.3, -40.0])
def test_a_force_at_a_pocket_stays_there(pocket, angle, inside):
    azimuth = angle + 2.0 * np.pi * pocket / COUNT
    outward = np.array([np.cos(azimuth), np.sin(azimuth)])
    size = 70.0 if inside else -70.0
    # Where the cage leans does not matter: a film pushes beside the closest place.
    found = columns(motion(size * outward, 1e-4 * outward[::-1], angle=angle), inside)
    expected = [size * np.eye(COUNT)[pocket], np.zeros(COUNT)] * 2
    assert found == pytest.approx(np.array(expected), abs=1e-9)


@pytest.mark.parametrize("inside", [False, True])
def test_lands_push_as_in_the_loads_that_drive_the_modes(inside):
    rng = np.random.default_rng(2)
    for _ in range(20):
        force, angle = rng.normal(size=2), rng.uniform(-9.0, 9.0)
        found = columns(motion(force, rng.normal(size=2), angle=angle), inside)
        azimuth = angle + 2.0 * np.pi * np.arange(COUNT) / COUNT
        out = np.stack([np.cos(azimuth), np.sin(azimuth)])
        round_ = np.stack([-out[1], out[0]])
        radial, tangential = found[:2]
        assert out @ radial + round_ @ tangential == pytest.approx(force, abs=1e-12)
        assert np.count_nonzero(radial) == 2
        # A land outside presses inwards, one inside outwards, through the axis of the cage.
        assert np.all(radial[radial != 0.0] > 0.0) == inside
        assert tangential.sum() == pytest.approx(0.0, abs=0.016 * np.linalg.norm(force))
        driven = np.zeros((1, 7 * COUNT + 1))
        land = np.tile(force, (1, 2, 1))
        args = (np.zeros((1, COUNT, 4)), land, np.array([angle]), np.zeros(1), int(inside), driven)
        loads_of_channels(*args)
        assert found == pytest.approx(driven[0, 3 * COUNT : -1].reshape(4, COUNT), abs=1e-12)


def test_largest_force_has_the_direction_of_the_sample():
    first, second, third = land_states(motion([-30.0, 40.0], [1.0, 0.0], peak=200.0))
    assert first[0, 0] == pytest.approx([-120.0, 160.0])
    assert np.array_equal(first, second)
    assert third[0, 1] == pytest.approx([-30.0, 40.0])


def test_sample_with_friction_may_be_more_than_the_normal_peak():
    first, _, _ = land_states(motion([-30.0, 40.0], [1.0, 0.0], peak=45.0))
    assert first[0, 0] == pytest.approx([-30.0, 40.0])


def test_land_that_let_go_pushes_the_cage_back():
    first, _, third = land_states(motion([0.0, 0.0], [0.0, 2e-4], peak=80.0))
    assert first[0, 0] == pytest.approx([0.0, -80.0])
    assert not third.any()
    # A cage that stands exactly in the middle has no such side.
    assert not land_states(motion([0.0, 0.0], [0.0, 0.0], peak=80.0))[0].any()
