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
    sum_damage,
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


@pytest.mark.parametrize("slope_beyond", [5.0, 9.0, np.inf])
@pytest.mark.parametrize("law", [NO_MEAN, GOODMAN, GERBER, SMITH_WATSON_TOPPER, FKM, WALKER])
def test_sum_is_that_of_single_cycles(law, slope_beyond):
    line = (*LINE[:3], slope_beyond, 400e6, law, 0.4)
    rng = np.random.default_rng(4)
    # From hardly a tremor to far beyond the knee, in tension and in compression.
    ranges, means = 10.0 ** rng.uniform(0.0, 9.0, 300), rng.uniform(-300e6, 250e6, 300)
    cycles = np.stack([ranges, means, rng.choice([0.5, 1.0], 300)], axis=1)
    cycles[0, 0] = 0.0
    kept = cycles.copy()
    single = [n * cycle_damage(r, m + 20e6, line) for r, m, n in cycles[:250]]
    total = sum_damage(cycles, 250, 20e6, line, np.empty(300))
    assert total == pytest.approx(sum(single), rel=1e-12)
    assert np.array_equal(cycles, kept)


def test_no_damage_and_no_end_of_it():
    limit = (*LINE[:3], np.inf, *LINE[4:])
    for cycles, line, wanted in (
        ([[199e6, 0.0, 1.0], [0.0, 10e6, 1.0]], limit, 0.0),
        ([[100e6, 400e6, 1.0]], LINE, np.inf),
    ):
        assert sum_damage(np.array(cycles), len(cycles), 0.0, line, np.empty(2)) == wanted


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
