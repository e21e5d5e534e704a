"""Slices and roller profiles."""

import numpy as np
import pytest

from rollsim.model.profile import logarithmic_drop, profile_drop, slice_centres, slice_weights


def test_slices_cover_the_roller():
    """Equal slices, symmetric, weights sum to one."""
    centres = slice_centres(0.044, 11)
    np.testing.assert_allclose(np.diff(centres), 0.004)
    np.testing.assert_allclose(centres, -centres[::-1], atol=1e-18)
    assert centres[0] == pytest.approx(-0.020)
    assert slice_weights(11).sum() == pytest.approx(1.0)
    np.testing.assert_array_equal(slice_centres(0.044, 1), [0.0])


def test_logarithmic_profile_is_flat_in_the_middle_and_drops_at_the_ends():
    """Even in x, zero at mid length, growing outward."""
    drop = profile_drop("logarithmic", slice_centres(0.044, 21), 0.044, 0.026)
    np.testing.assert_allclose(drop, drop[::-1])
    assert drop[10] == 0.0
    assert np.all(np.diff(drop[10:]) > 0.0)
    assert 10e-6 < drop[-1] < 50e-6


def test_long_roller_has_a_cylindrical_middle():
    """Beyond 2.5 diameters the middle is straight and the ends reach in 1.25 diameters."""
    x = np.array([0.0, 0.02, 0.0249, 0.03, 0.049])
    drop = logarithmic_drop(x, 0.1, 0.02)
    np.testing.assert_array_equal(drop[:3], 0.0)
    expected = 0.0005 * 0.02 * np.log(1.0 / (1.0 - (0.01 / 0.05) ** 2))
    assert drop[3] == pytest.approx(expected, rel=1e-12)
    assert drop[4] > drop[3]


def test_straight_profile_and_unknown_name():
    """Straight is zero; another name is refused."""
    np.testing.assert_array_equal(profile_drop("straight", np.ones(4), 3.0, 1.0), np.zeros(4))
    with pytest.raises(ValueError, match="unknown roller profile"):
        profile_drop("crowned", np.ones(4), 3.0, 1.0)
