"""Imposed base acceleration at an instant: fade-in, periodic table, harmonics, carrier."""

import math

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline

from rollsim.kernels.driving import uniform_acceleration
from rollsim.kernels.types import Duty
from rollsim.kernels.vibration import base_acceleration, fade_in
from rollsim.model.shaking import make_shaking
from rollsim.model.tracks import Track

INTERVAL = 1e-3


def _shaking(ramp=0.0, harmonic=()):
    """Random table of 16 rows with three axes."""
    table = np.random.default_rng(1).normal(size=(16, 6))
    table[:, 3:] *= 500.0
    track = Track(table[:, :3], INTERVAL, derivatives=table[:, 3:])
    return make_shaking([track], harmonic, ramp=ramp)


def _duty(**changes):
    """A duty without load, at rest."""
    return Duty(*[0.0] * len(Duty._fields))._replace(**changes)


def test_fade_in(way):
    f = way(fade_in)
    assert f(-1.0, 0.2) == 0.0 and f(0.0, 0.2) == 0.0
    assert f(0.1, 0.2) == pytest.approx(0.5)
    assert f(0.05, 0.2) == pytest.approx(0.5 - 0.5 * math.cos(math.pi / 4.0))
    assert f(0.2, 0.2) == 1.0 and f(9.0, 0.2) == 1.0
    assert f(0.0, 0.0) == 1.0


def test_table_is_met_and_periodic(way):
    shaking = _shaking()
    f = way(base_acceleration)
    for row in range(16):
        assert f(row * INTERVAL, shaking) == pytest.approx(
            tuple(shaking.samples[row, :3]), abs=1e-9
        )
    period = 16 * INTERVAL
    for time in (0.3e-3, 7.77e-3, 15.9e-3):
        assert f(time + period, shaking) == pytest.approx(f(time, shaking), rel=1e-9)
        assert f(time - period, shaking)[0] == pytest.approx(0.0, abs=0.0)  # before the fade-in


def test_table_is_the_cubic_hermite_interpolant(way):
    shaking = _shaking()
    table = np.vstack([shaking.samples, shaking.samples[:1]])
    spline = CubicHermiteSpline(INTERVAL * np.arange(17), table[:, :3], table[:, 3:])
    for time in np.random.default_rng(2).uniform(0.0, 16 * INTERVAL, 40):
        assert way(base_acceleration)(time, shaking) == pytest.approx(
            tuple(spline(time)), abs=1e-11
        )


def test_harmonics_and_fade_in(way):
    rows = [[100.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [250.0, -1.0, 0.5, 0.0, 0.2, 0.0, -3.0]]
    shaking = make_shaking(harmonic=rows, ramp=0.05)
    time = 0.02
    expected = np.zeros(3)
    for omega, *c in rows:
        expected += np.array(c[:3]) * math.cos(omega * time) + np.array(c[3:]) * math.sin(
            omega * time
        )
    expected *= 0.5 - 0.5 * math.cos(math.pi * 0.4)
    assert way(base_acceleration)(time, shaking) == pytest.approx(tuple(expected), rel=1e-12)


def test_bodies_feel_the_opposite_of_the_base_acceleration(way):
    shaking = _shaking()
    base = way(base_acceleration)(3.3e-3, shaking)
    felt = way(uniform_acceleration)(3.3e-3, _duty(), shaking)
    assert felt == pytest.approx(tuple(-a for a in base))


def test_gravity_turns_backwards_in_a_carrier_frame(way):
    """After a quarter turn of the carrier gravity points along -x instead of -y."""
    still = make_shaking()
    speed, radius = 4.0, 0.3
    duty = _duty(
        gravity=9.8, gravity_angle=-math.pi / 2, carrier_speed=speed, carrier_radius=radius
    )
    lift = speed**2 * radius
    f = way(uniform_acceleration)
    assert f(0.0, duty, still) == pytest.approx((0.0, lift - 9.8, 0.0), abs=1e-12)
    quarter = 0.5 * math.pi / speed
    assert f(quarter, duty, still) == pytest.approx((-9.8, lift, 0.0), abs=1e-12)
