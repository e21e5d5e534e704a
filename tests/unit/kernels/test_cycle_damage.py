"""Mean stress laws and the S-N line, compiled."""

import numpy as np
import pytest

from rollsim.kernels.cycle_damage import (
    FKM,
    GERBER,
    GOODMAN,
    NO_MEAN,
    SMITH_WATSON_TOPPER,
    WALKER,
    cycle_damage,
    equivalent_amplitude,
)

LINE = (100e6, 1e6, 5.0, 9.0, 400e6, GOODMAN, 0.0)


def test_textbook_laws():
    assert equivalent_amplitude(50.0, 100.0, 400.0, NO_MEAN, 0.0) == 50.0
    assert equivalent_amplitude(50.0, 100.0, 400.0, GOODMAN, 0.0) == pytest.approx(50.0 / 0.75)
    assert equivalent_amplitude(50.0, 100.0, 400.0, GERBER, 0.0) == pytest.approx(50.0 / 0.9375)
    assert equivalent_amplitude(50.0, -100.0, 400.0, GOODMAN, 0.0) == 50.0
    assert equivalent_amplitude(50.0, 400.0, 400.0, GOODMAN, 0.0) == np.inf


def test_damage_on_both_sides_of_the_knee():
    assert cycle_damage(200e6, 0.0, LINE) == pytest.approx(1e-6)
    assert cycle_damage(400e6, 0.0, LINE) == pytest.approx(2.0**5 * 1e-6)
    assert cycle_damage(100e6, 0.0, LINE) == pytest.approx(0.5**9 * 1e-6)
    assert cycle_damage(0.0, 10e6, LINE) == 0.0
    limit = (*LINE[:3], np.inf, *LINE[4:])
    assert cycle_damage(199e6, 0.0, limit) == 0.0


def test_smith_watson_topper_and_walker():
    # sqrt(S_max S_a) with S_max = 150; Walker's exponent one half is the same rule.
    assert equivalent_amplitude(50.0, 100.0, 400.0, SMITH_WATSON_TOPPER, 0.0) == pytest.approx(
        (150.0 * 50.0) ** 0.5
    )
    assert equivalent_amplitude(50.0, 100.0, 400.0, WALKER, 0.7) == pytest.approx(
        150.0**0.3 * 50.0**0.7
    )
    for law, exponent in ((SMITH_WATSON_TOPPER, 0.0), (WALKER, 0.7)):
        assert equivalent_amplitude(50.0, 0.0, 400.0, law, exponent) == pytest.approx(50.0)
        assert equivalent_amplitude(50.0, -50.0, 400.0, law, exponent) == 0.0
        assert equivalent_amplitude(0.0, 70.0, 400.0, law, exponent) == 0.0


def test_sensitivity_in_its_four_ranges():
    # M = 0.3: R > 1, R = -1, R = 0, between R = 0 and 0.5, and beyond 0.5.
    def of(mean):
        return equivalent_amplitude(100.0, mean, 400.0, FKM, 0.3)

    assert of(-250.0) == pytest.approx(70.0)
    assert of(0.0) == 100.0
    assert of(100.0) == pytest.approx(130.0)
    assert of(200.0) == pytest.approx(130.0 / 110.0 * 120.0)
    assert of(900.0) == pytest.approx(100.0 * 1.3**2 / 1.1)
    # No step where one range meets the next.
    for mean in (-100.0, 100.0, 300.0):
        assert of(mean * (1 - 1e-9)) == pytest.approx(of(mean * (1 + 1e-9)), rel=1e-7)
