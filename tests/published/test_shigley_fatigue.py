"""Worked solutions of Shigley, Mechanical Engineering Design (stresses in the book's units)."""

import numpy as np
import pytest

from rollsim.fatigue.endurance import (
    endurance_limit,
    finite_life_line,
    size_factor,
    surface_factor,
)
from rollsim.fatigue.mean_stress import equivalent_amplitudes, gerber_factor, goodman_factor
from rollsim.fatigue.sn_curve import SNCurve


def test_endurance_limit_of_solution_6_1():
    # 11th ed., solution 6-1: S_u = 1020 MPa, ground, d = 10 mm.
    assert surface_factor(1020.0, "ground") == pytest.approx(0.868, abs=5e-4)
    assert size_factor(10.0) == pytest.approx(0.969, abs=5e-4)
    assert endurance_limit(1020.0, "ground", 10.0) == pytest.approx(429.0, abs=0.5)


def curve_of(ultimate, fraction, endurance):
    """S-N line through f S_u at 1000 and S_e at a million cycles."""
    _, b = finite_life_line(ultimate, fraction, endurance)
    return SNCurve(endurance, 1e6, -1.0 / b, np.inf, ultimate)


def test_life_of_solution_6_3():
    # 11th ed., solution 6-3: S_u = 120 kpsi, f = 0.82, S_e = 60 kpsi, amplitude 70 kpsi. The book
    # prints N from rounded a and b, hence the 0.8 %.
    a, b = finite_life_line(120.0, 0.82, 60.0)
    assert (round(a, 1), round(b, 4)) == (161.4, -0.0716)
    life = float(curve_of(120.0, 0.82, 60.0).cycles(70.0))
    assert life == pytest.approx(117000.0, rel=8e-3)


def test_life_of_solution_6_15():
    # Earlier edition, solution 6-15: S_u = 551 MPa, f = 0.9, S_e = 276 MPa, amplitude 358.5 MPa.
    a, b = finite_life_line(551.0, 0.9, 276.0)
    assert a == pytest.approx(891.0, abs=0.5)
    assert b == pytest.approx(-0.084828, abs=5e-7)
    assert float(curve_of(551.0, 0.9, 276.0).cycles(358.5)) == pytest.approx(45800.0, rel=4e-3)


def test_safety_factors_of_example_6_11():
    # 8th ed., example 6-11 (value from memory): S_a = S_m = 8.38, S_e = 33.9, S_u = 100 kpsi.
    assert gerber_factor(8.38, 8.38, 33.9, 100.0) == pytest.approx(3.66, abs=0.01)
    assert goodman_factor(8.38, 8.38, 33.9, 100.0) == pytest.approx(3.02, abs=0.005)


@pytest.mark.parametrize(
    ("law", "factor"), [("gerber", gerber_factor), ("goodman", goodman_factor)]
)
def test_equivalent_amplitude_at_the_safety_factor_is_the_endurance_limit(law, factor):
    n = factor(8.38, 8.38, 33.9, 100.0)
    assert equivalent_amplitudes(n * 8.38, n * 8.38, 100.0, law) == pytest.approx(33.9)
