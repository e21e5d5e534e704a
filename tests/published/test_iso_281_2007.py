"""Dynamic load rating of radial roller bearings, ISO 281:2007, and the minimum load rule."""

import pytest

from rollsim.model.load_rating import dynamic_load_rating, minimum_load, roller_rating_factor

#: Highest f_c of radial roller bearings over D_we cos(alpha)/D_pw (table of ISO 281; values from
#: memory).
PRINTED = {
    0.01: 52.1, 0.02: 60.8, 0.03: 66.5, 0.04: 70.7, 0.05: 74.1, 0.06: 76.9, 0.07: 79.2, 0.08: 81.2,
    0.09: 82.8, 0.10: 84.2, 0.12: 86.4, 0.14: 87.7, 0.16: 88.5, 0.18: 88.8, 0.20: 88.7, 0.22: 88.2,
    0.24: 87.5, 0.26: 86.4, 0.28: 85.2, 0.30: 83.8,
}  # fmt: skip


@pytest.mark.parametrize("ratio", PRINTED)
def test_factor_is_the_printed_one(ratio):
    assert roller_rating_factor(ratio) == pytest.approx(PRINTED[ratio], abs=0.11)


def test_rating_from_the_printed_factor():
    """C = b_m f_c L^(7/9) Z^(3/4) D^(29/27), b_m = 1.1, written out for D = 20, D_pw = 100 mm."""
    expected = 1.1 * 88.7 * 30.0 ** (7 / 9) * 14**0.75 * 20.0 ** (29 / 27)
    assert dynamic_load_rating(14, 0.020, 0.030, 0.100) == pytest.approx(expected, rel=1e-3)


def test_minimum_load_of_roller_and_ball_bearings():
    """2 kN for a roller bearing of C = 100 kN, half of it for balls (rule of thumb, text read)."""
    assert minimum_load(100e3) == pytest.approx(2e3, rel=1e-12)
    assert minimum_load(100e3, 0.01) == pytest.approx(1e3, rel=1e-12)
