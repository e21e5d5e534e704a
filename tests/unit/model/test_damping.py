"""Restitution and damping number as inverse functions, ends of the range."""

import math

import numpy as np
import pytest

from rollsim.model.damping import alpha_from_restitution, damping_number, delivered_restitution


@pytest.mark.parametrize("restitution", [0.999999, 0.99, 0.8, 0.5, 0.2, 0.05])
def test_number_and_restitution_are_inverse(restitution):
    """delivered(number(e)) = e over the whole range."""
    assert delivered_restitution(damping_number(restitution)) == pytest.approx(
        restitution, abs=1e-9
    )


@pytest.mark.parametrize("number", [0.01, 0.3, 2.0, 15.0])
def test_implicit_relation_holds(number):
    """ln((1 + x)/(1 - e x)) = x (1 + e)."""
    e = delivered_restitution(number)
    left = math.log1p(number) - math.log1p(-e * number)
    assert left == pytest.approx(number * (1.0 + e), rel=1e-6)


def test_heavy_damping_leaves_one_over_the_number():
    """For large x the rebound speed reaches the terminal one, v = 1/lam: e = 1/x."""
    assert delivered_restitution(60.0) == pytest.approx(1.0 / 60.0, rel=1e-12)
    assert delivered_restitution(5000.0) == pytest.approx(1.0 / 5000.0, rel=1e-12)


def test_series_and_exact_form_meet():
    """No jump where the series takes over, slope -2/3 + 8/9 x."""
    below, above = delivered_restitution(0.00499), delivered_restitution(0.00501)
    assert below - above == pytest.approx(
        (2.0 / 3.0 - 8.0 / 9.0 * 5e-3 + 44.0 / 45.0 * 25e-6) * 2e-5, abs=2e-11
    )
    assert delivered_restitution(0.0) == 1.0


def test_restitution_falls_with_damping():
    """More damping, less rebound."""
    found = [delivered_restitution(x) for x in np.geomspace(1e-5, 500.0, 200)]
    assert np.all(np.diff(found) < 0.0)


def test_ends_of_the_range():
    """Full rebound needs no damping; none at all is refused."""
    assert damping_number(1.0) == 0.0
    assert alpha_from_restitution(1.0, 2.0) == 0.0
    with pytest.raises(ValueError, match="restitution"):
        damping_number(0.0)
    with pytest.raises(ValueError, match="restitution"):
        damping_number(1.2)
