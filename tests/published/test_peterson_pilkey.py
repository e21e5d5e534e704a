"""Stress concentration of a stepped flat bar: Peterson's chart as fitted by Pilkey."""

import pytest

from rollsim.structure.notch import hole_in_bent_plate, hole_in_tension, step_notch


def test_stepped_flat_bar_in_tension():
    # Pilkey, Peterson's Stress Concentration Factors, chart 3.1: H = 30, d = 20, r = 2 mm. The fit
    # gives 2.2272; the chart reads about 2.1-2.2 (chart value from memory).
    value = step_notch("flat", "tension", 30e-3, 20e-3, 2e-3).value
    assert value == pytest.approx(2.22724, abs=5e-6)
    assert value == pytest.approx(2.15, rel=0.05)


@pytest.mark.parametrize(("ratio", "howland", "heywood"), [(0.0, 3.0, 3.0), (0.3, 2.3468, 2.343)])
def test_hole_in_a_strip_in_tension(ratio, howland, heywood):
    # Peterson chart 4.1 (Howland) and Heywood's 2 + (1 - x)^3, values from memory.
    value = hole_in_tension(ratio, 1.0).value
    assert value == pytest.approx(howland, abs=5e-5)
    assert value == pytest.approx(heywood, rel=0.02)


def test_hole_in_a_plate_that_bends():
    # Exact ends for Poisson's ratio 0.3: 3 for a thick plate, (5 + 3 nu)/(3 + nu) for a thin one.
    assert hole_in_bent_plate(1e-9, 1.0, 1.0).value == pytest.approx(3.0, rel=0.01)
    assert hole_in_bent_plate(1.0, 1e9, 1e-3).value == pytest.approx(5.9 / 3.3, rel=0.01)


def test_range_of_the_fits_is_told():
    assert "inside" in step_notch("flat", "tension", 30e-3, 20e-3, 2e-3).formula
    assert "OUTSIDE" in step_notch("flat", "tension", 60e-3, 10e-3, 1e-3).formula
    assert "hole over width 0.5, range 0 to 1, inside" in hole_in_tension(5.0, 10.0).formula
