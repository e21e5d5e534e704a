"""Forces of lands in the axes of the cage."""

import numpy as np
import pytest

from rollsim.fatigue.land_loads import LandMotion, land_columns, land_states

COUNT = 18


def motion(force, side, peak=0.0, angle=0.0):
    """One sample; the same on both lands."""
    return LandMotion(
        np.tile(np.asarray(force, dtype=float), (1, 2, 1)),
        np.full((1, 2), float(peak)),
        np.tile(np.asarray(side, dtype=float), (1, 2, 1)),
        np.array([float(angle)]),
        np.zeros(1),
    )


def columns(own):
    """Base radial, base tangential, cover radial, cover tangential, each a row over the pockets."""
    return land_columns(own, own.force, COUNT).reshape(4, COUNT)


@pytest.mark.parametrize("pocket", [0, 5, 17])
@pytest.mark.parametrize("angle", [0.0, 2.3, -40.0])
def test_a_force_at_a_pocket_stays_there(pocket, angle):
    azimuth = angle + 2.0 * np.pi * pocket / COUNT
    outward = np.array([np.cos(azimuth), np.sin(azimuth)])
    sideways = np.array([-outward[1], outward[0]])
    found = columns(motion(-70.0 * outward + 14.0 * sideways, 1e-4 * outward, angle=angle))
    here = np.eye(COUNT)[pocket]
    expected = [-70.0 * here, 14.0 * here] * 2
    assert found == pytest.approx(np.array(expected), abs=1e-9)


def test_resultant_stays_wherever_the_land_is():
    rng = np.random.default_rng(2)
    for _ in range(20):
        force, side, angle = rng.normal(size=2), rng.normal(size=2), rng.uniform(-9.0, 9.0)
        radial, tangential = columns(motion(force, side, angle=angle))[:2]
        azimuth = angle + 2.0 * np.pi * np.arange(COUNT) / COUNT
        out = np.stack([np.cos(azimuth), np.sin(azimuth)])
        round_ = np.stack([-out[1], out[0]])
        assert out @ radial + round_ @ tangential == pytest.approx(force, abs=1e-12)
        assert np.count_nonzero(radial) == 2
        # Moment about the axis of the cage over the radius: that of the force at its place, with
        # the chord between two pockets in place of the arc, at most 1 - cos(10 deg).
        place = side / np.linalg.norm(side)
        moment = place[0] * force[1] - place[1] * force[0]
        assert tangential.sum() == pytest.approx(moment, abs=0.016 * np.linalg.norm(force))


def test_largest_force_has_the_direction_of_the_sample():
    first, second, third = land_states(motion([-30.0, 40.0], [1.0, 0.0], peak=200.0))
    assert first[0, 0] == pytest.approx([-120.0, 160.0])
    assert np.array_equal(first, second)
    assert third[0, 1] == pytest.approx([-30.0, 40.0])


def test_sample_with_friction_may_be_more_than_the_normal_peak():
    first, _, _ = land_states(motion([-30.0, 40.0], [1.0, 0.0], peak=45.0))
    assert first[0, 0] == pytest.approx([-30.0, 40.0])


def test_land_that_let_go_pushes_where_it_is_closest():
    first, _, third = land_states(motion([0.0, 0.0], [0.0, 2e-4], peak=80.0))
    assert first[0, 0] == pytest.approx([0.0, -80.0])
    assert not third.any()
    # A cage that stands exactly in the middle has no such side.
    assert not land_states(motion([0.0, 0.0], [0.0, 0.0], peak=80.0))[0].any()
