"""Viscosity with temperature: ASTM D341, viscosity index of ASTM D2270, grades of ISO 3448.

Printed values stand in `rollsim/verification/films.py`.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim.case.checks_lubricant import ISO_GRADES
from rollsim.model.viscosity import (
    density_at,
    hot_viscosity,
    index_limits,
    pressure_viscosity,
    viscosity_at,
    viscosity_index,
)


@pytest.mark.parametrize("grade", ISO_GRADES)
def test_curve_of_a_grade_goes_through_both_its_points(grade):
    """ISO 3448: the number of a grade is its viscosity at 40 degrees C."""
    hot = hot_viscosity(grade, 95.0)
    assert viscosity_at(40.0, grade, hot) == pytest.approx(grade, rel=1e-12)
    assert viscosity_at(100.0, grade, hot) == pytest.approx(hot, rel=1e-12)
    falling = viscosity_at(np.array([60.0])[0], grade, hot)
    assert hot < falling < grade


def test_curve_obeys_its_differential_equation():
    """d log Z/d log T = -B log Z, integrated from 40 to 70 and to 100 degrees C."""
    cold, hot = 220.0, 18.7
    low, high = math.log(313.15), math.log(373.15)
    z_cold, z_hot = math.log(cold + 0.7), math.log(hot + 0.7)
    slope = math.log(z_cold / z_hot) / (high - low)
    path = solve_ivp(
        lambda x, y: -slope * y, (low, high), [z_cold], rtol=1e-11, atol=1e-13,
        t_eval=[math.log(343.15), high],
    )  # fmt: skip
    middle, end = np.exp(path.y[0]) - 0.7
    assert end == pytest.approx(hot, rel=1e-8)
    assert viscosity_at(70.0, cold, hot) == pytest.approx(middle, rel=1e-8)


def test_equations_of_neighbouring_ranges_meet():
    for top in (3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0):
        below, above = index_limits(top * (1.0 - 1e-12)), index_limits(top)
        assert below == pytest.approx(above, rel=2e-3)


@pytest.mark.parametrize("index", [0.0, 60.0, 95.0, 100.0, 140.0, 250.0])
@pytest.mark.parametrize("grade", ISO_GRADES)
def test_index_and_its_inverse_agree(grade, index):
    hot = hot_viscosity(grade, index)
    assert viscosity_index(grade, hot) == pytest.approx(index, abs=0.35)


def test_viscosity_of_common_mineral_oils_at_100_degrees():
    """Data sheets of mineral circulating oils print about these (from memory), VI 95 to 100."""
    for grade, printed in ((32, 5.4), (68, 8.7), (150, 14.7), (320, 24.0)):
        assert hot_viscosity(grade, 97.0) == pytest.approx(printed, rel=0.04)


def test_pressure_viscosity_of_mineral_oils():
    """About 15 to 30 1/GPa between 10 and 500 mPas (common knowledge, from memory)."""
    found = [1e9 * pressure_viscosity(1e-3 * eta) for eta in (10.0, 50.0, 500.0)]
    assert found == pytest.approx([15.65, 22.39, 32.04], abs=0.01)
    assert density_at(100.0, 880.0) == pytest.approx(831.4, abs=0.1)
