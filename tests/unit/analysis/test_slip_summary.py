"""Slip of cage and rollers."""

import numpy as np
import pytest

from rollsim.analysis.settled import settled_window
from rollsim.analysis.slip import cage_slip, roller_orbit_slip, roller_spin_slip, slip_of
from rollsim.errors import RollsimError


def test_slip_of_the_cage_against_the_epicyclic_speed(plain):
    history = plain.plain_history(cage_speed=50.0)
    history.channels["cage_speed"][:] = 48.0
    slip = cage_slip(history, settled_window(history))
    assert slip.mean == pytest.approx(0.04)
    assert slip.rolling_speed == 50.0 and slip.mean_speed == 48.0


def test_signs_cancel_for_a_bearing_that_turns_clockwise():
    slip = slip_of(np.linspace(-90.0, -100.0, 1001), -100.0)
    assert slip.mean == pytest.approx(0.05)
    assert (slip.low, slip.high) == pytest.approx((0.005, 0.095))


def test_slip_roller_by_roller(plain):
    history = plain.plain_history(rollers=3, cage_speed=50.0)
    history.channels["roller_spin_speed"][:] = [-300.0, -270.0, -330.0]
    history.channels["roller_orbit_speed"][:] = [50.0, 49.0, 51.0]
    window = settled_window(history)
    spin = roller_spin_slip(history, window)
    np.testing.assert_allclose(spin.by_roller, [0.0, 0.1, -0.1], atol=1e-12)
    assert spin.mean == pytest.approx(0.0, abs=1e-12)
    orbit = roller_orbit_slip(history, window)
    np.testing.assert_allclose(orbit.by_roller, [0.0, 0.02, -0.02], atol=1e-12)


def test_an_unknown_rolling_speed_gives_nan_and_bad_numbers_an_error(plain):
    history = plain.plain_history()
    window = settled_window(history)
    history.attributes["epicyclic_roller_spin_rad_per_s"] = 0.0
    assert np.isnan(roller_spin_slip(history, window).mean)
    history.channels["roller_spin_speed"][3, 0] = np.nan
    with pytest.raises(RollsimError, match="roller_spin_speed"):
        roller_spin_slip(history, window)
