"""Stress concentration of a stepped flat bar: Peterson's chart as fitted by Pilkey."""

import pytest

from rollsim.structure.notch import step_notch


def test_stepped_flat_bar_in_tension():
    # Pilkey, Peterson's Stress Concentration Factors, chart 3.1: H = 30, d = 20, r = 2 mm. The fit
    # gives 2.2272; the chart reads about 2.1-2.2 (chart value from memory).
    value = step_notch("flat", "tension", 30e-3, 20e-3, 2e-3).value
    assert value == pytest.approx(2.22724, abs=5e-6)
    assert value == pytest.approx(2.15, rel=0.05)
