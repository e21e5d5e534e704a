"""Orbit measures against closed forms."""

import numpy as np
import pytest

from rollsim.analysis.orbit_measures import (
    eccentricity_of,
    roundness_of,
    whirl_blocks,
    whirl_speed,
)

TURNS = 40
TIME = np.arange(8000) / 8000.0  # whole turns within one second
SPEED = 2.0 * np.pi * TURNS


def ellipse(long, short, speed=SPEED):
    z = long * np.cos(speed * TIME) + 1j * short * np.sin(speed * TIME)
    rate = speed * (-long * np.sin(speed * TIME) + 1j * short * np.cos(speed * TIME))
    return z, rate


@pytest.mark.parametrize("speed", [SPEED, -SPEED, 0.37])
def test_a_circle_gives_its_speed_and_sense(speed):
    z, rate = ellipse(0.7, 0.7, speed)
    assert whirl_speed(z, rate) == pytest.approx(speed, rel=1e-12)


@pytest.mark.parametrize("short", [0.9, 0.3, 0.0, -0.3])
def test_an_ellipse_in_closed_form(short):
    long = 0.9
    z, rate = ellipse(long, short)
    share = 2.0 * long * short / (long**2 + short**2)
    assert whirl_speed(z, rate) == pytest.approx(share * SPEED, abs=1e-9 * SPEED)
    shape = roundness_of(z, rate)
    assert shape.circulation == pytest.approx(share, abs=1e-9)
    assert shape.axis_ratio == pytest.approx(abs(short) / long, abs=1e-9)
    assert shape.offset == pytest.approx(0.0, abs=1e-9)


def test_a_circle_beside_the_centre():
    z, rate = ellipse(0.3, 0.3)
    shape = roundness_of(z + 0.4j, rate)
    assert shape.offset == pytest.approx(0.4 / 0.5)
    assert shape.axis_ratio == pytest.approx(1.0)
    assert shape.circulation == pytest.approx(1.0)
    assert shape.speed_deviation == pytest.approx(0.0, abs=1e-9)
    # The moment of momentum is about the centre of the guide: r^2 w over r^2 + d^2.
    assert whirl_speed(z + 0.4j, rate) == pytest.approx(SPEED * 0.09 / 0.25)


def test_eccentricity_percentiles():
    z = np.linspace(0.0, 1.0, 1001) * np.exp(1j * TIME[:1001] * 50.0)
    found = eccentricity_of(z)
    assert found.percentile_5 == pytest.approx(0.05)
    assert found.percentile_50 == pytest.approx(0.50)
    assert found.percentile_95 == pytest.approx(0.95)
    assert found.percentile_99 == pytest.approx(0.99)
    assert found.maximum == 1.0
    assert found.close_share == pytest.approx(0.05, abs=1e-3)


def test_a_cage_at_rest_has_no_whirl_and_no_nan_storm():
    zero = np.zeros(500, dtype=complex)
    assert np.isnan(whirl_speed(zero, zero))
    shape = roundness_of(zero, zero)
    assert np.isnan([shape.offset, shape.axis_ratio, shape.circulation]).all()
    resting = roundness_of(zero + 0.3 - 0.1j, zero)
    assert resting.offset == pytest.approx(1.0)
    assert np.isnan(resting.circulation)


def test_blocks_follow_a_change_of_whirl():
    z, rate = ellipse(0.5, 0.5)
    back, back_rate = ellipse(0.5, 0.5, -SPEED)
    turning = np.full(len(TIME), 2.0 * SPEED)
    half = len(TIME) // 2
    blocks = whirl_blocks(
        TIME,
        np.concatenate([z[:half], back[half:]]),
        np.concatenate([rate[:half], back_rate[half:]]),
        turning,
        10,
    )
    np.testing.assert_allclose(blocks.ratio, [0.5] * 5 + [-0.5] * 5)
    np.testing.assert_allclose(blocks.eccentricity, 0.5)
