"""Friction laws."""

import math

import pytest
from scipy.optimize import minimize_scalar

from rollsim.kernels.traction import coulomb, dry_grip, four_parameter, friction_over_slip
from rollsim.kernels.types import Traction, TractionLaw

# A traction curve that starts at zero, peaks and falls towards D.
CURVE = (-0.03, 0.8, 9.0, 0.03)
COULOMB = Traction(int(TractionLaw.COULOMB), 0.08, 0.05, 0.0, 0.0, 0.0, 0.0)
FOUR = Traction(int(TractionLaw.FOUR_PARAMETER), 0.0, 1.0, *CURVE)


def test_coulomb_values(way):
    f = way(coulomb)
    assert f(0.0, 0.08, 0.05) == 0.0
    assert f(0.05, 0.08, 0.05) == pytest.approx(0.08 / math.sqrt(2.0), rel=1e-12)
    assert f(5.0, 0.08, 0.05) == pytest.approx(0.08, rel=1e-4)
    assert f(5.0, 0.08, 0.05) < 0.08


@pytest.mark.parametrize("slip", [1e-6, 0.03, 0.4, 3.0])
def test_laws_are_odd(way, slip):
    assert way(coulomb)(-slip, 0.08, 0.05) == -way(coulomb)(slip, 0.08, 0.05)
    assert way(four_parameter)(-slip, *CURVE) == -way(four_parameter)(slip, *CURVE)


def test_four_parameter_peak_lies_where_its_derivative_vanishes(way):
    """Peak at s = 1/C - A/B, found by search; far out the curve falls to D."""
    f = way(four_parameter)
    a, b, c, d = CURVE
    peak = minimize_scalar(lambda s: -f(s, *CURVE), bounds=(0.0, 1.0), method="bounded",
                           options={"xatol": 1e-9}).x  # fmt: skip
    assert peak == pytest.approx(1.0 / c - a / b, abs=1e-6)
    assert f(1.0 / c - a / b, *CURVE) == pytest.approx(b / c * math.exp(a * c / b - 1.0) + d)
    assert f(50.0, *CURVE) == pytest.approx(d, abs=1e-12)
    assert f(1e-12, *CURVE) == pytest.approx(0.0, abs=1e-10)


@pytest.mark.parametrize("slip", [1e-3, 0.07, 2.0])
def test_friction_over_slip_is_the_law_over_the_slip(way, slip):
    f, held = way(friction_over_slip), way(dry_grip)
    assert f(slip, COULOMB, held(COULOMB)) * slip == pytest.approx(
        way(coulomb)(slip, 0.08, 0.05), rel=1e-12
    )
    assert f(slip, FOUR, held(FOUR)) * slip == pytest.approx(
        way(four_parameter)(slip, *CURVE), rel=1e-12
    )


def test_friction_over_slip_at_zero_slip(way):
    """mu/s0 for Coulomb; B - A C, the slope at zero, for the four-constant law."""
    f, held = way(friction_over_slip), way(dry_grip)
    a, b, c, _ = CURVE
    assert f(0.0, COULOMB, held(COULOMB)) == pytest.approx(0.08 / 0.05, rel=1e-12)
    assert f(0.0, FOUR, held(FOUR)) == pytest.approx(b - a * c, rel=1e-5)
