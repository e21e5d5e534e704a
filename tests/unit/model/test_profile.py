"""Slices and roller profiles."""

import numpy as np
import pytest

from rollsim.model.build import build_model
from rollsim.model.profile import (
    crowned_drop,
    logarithmic_drop,
    profile_drop,
    slice_centres,
    slice_weights,
    table_drop,
)


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
    drop = logarithmic_drop(slice_centres(0.044, 21), 0.044, 0.026)
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


def test_straight_profile_is_zero(model_case):
    roller = model_case().roller
    np.testing.assert_array_equal(profile_drop(roller, np.ones(4), 3.0), np.zeros(4))


def test_crown_is_the_circle_through_three_points():
    """The circle through (0, 0) and (+-x, P) has the radius (x^2 + P^2)/(2 P)."""
    x = np.array([-0.02, 0.004, 0.021])
    drop = crowned_drop(x, 35.0)
    np.testing.assert_allclose((x**2 + drop**2) / (2.0 * drop), 35.0, rtol=1e-12)
    # A chord of 42 mm on a circle of 35 m rises by 6.3 um.
    assert 1e6 * drop[2] == pytest.approx(6.30, abs=0.01)


def test_end_crowns_leave_the_straight_middle_without_a_kink():
    x = np.linspace(-0.022, 0.022, 4401)
    drop = crowned_drop(x, 5.0, 0.030)
    assert np.all(drop[np.abs(x) <= 0.015] == 0.0)
    slope = np.gradient(drop, x)
    assert np.abs(np.diff(slope)).max() < 1.1 * 1e-5 / 5.0  # never more than the curvature 1/R
    assert drop[-1] == pytest.approx(0.007**2 / 10.0, rel=1e-5)


ROWS = [[0.0, 0.0], [0.015, 0.0], [0.020, 6e-6], [0.022, 20e-6]]


def test_table_of_one_half_holds_for_both_ends():
    x = np.linspace(-0.022, 0.022, 89)
    for smooth in (False, True):
        drop = table_drop(x, ROWS, smooth)
        np.testing.assert_allclose(drop, drop[::-1], atol=1e-18)
        places, drops = np.transpose(ROWS)
        np.testing.assert_allclose(table_drop(places, ROWS, smooth), drops, atol=1e-18)
        # Flat where the rows are flat, rising where they rise, never beyond them.
        assert np.all(drop[np.abs(x) <= 0.015] == 0.0)
        assert np.all(np.diff(drop[44:]) >= 0.0)
        assert drop.max() == pytest.approx(20e-6)


def test_smooth_table_has_the_slope_of_fritsch_and_butland():
    """Inner slope: weighted harmonic mean of the neighbours, (h1 + 2 h2)/d1 + (2 h1 + h2)/d2.

    Written out here for the row at 20 mm: h1 = 5 mm, h2 = 2 mm, slopes 1.2e-3 and 7e-3.
    """
    step = 1e-8
    slope = np.diff(table_drop([0.020 - step, 0.020 + step], ROWS))[0] / (2.0 * step)
    first, second = 2 * 2.0 + 5.0, 2.0 + 2 * 5.0
    expected = (first + second) / (first / 1.2e-3 + second / 7e-3)
    assert slope == pytest.approx(expected, rel=1e-4)


def test_profile_of_a_case_is_in_metres(model_case):
    text = (
        'length_mm = 44\nprofile = "table"\nprofile_table_um = [[-22, 30.0], [0, 0.0], [22, 10.0]]'
    )
    lines = text + '\nprofile_interpolation = "straight_lines"'
    case = model_case(("length_mm = 44", lines))
    x = np.array([-0.011, 0.0, 0.011])
    np.testing.assert_allclose(profile_drop(case.roller, x, 0.042), [15e-6, 0.0, 5e-6])
    assert "roller.profile_interpolation" not in _assumed(case)
    smooth = model_case(("length_mm = 44", text))
    assert _assumed(smooth)["roller.profile_interpolation"] == "monotone"
    crowned = model_case(
        ("length_mm = 44", 'length_mm = 44\nprofile = "crowned"\ncrown_radius_m = 40')
    )
    assert _assumed(crowned)["roller.straight_length_mm"] == 0.0
    expected = crowned_drop(x, 40.0)
    np.testing.assert_array_equal(profile_drop(crowned.roller, x, 0.042), expected)
    edges = build_model(crowned).model.tables
    assert edges.slice_drop.max() == crowned_drop(edges.slice_z, 40.0).max()


def _assumed(case):
    """Assumptions of the built model, key -> value."""
    return {item.key: item.value for item in build_model(case, 0.01).assumptions}
