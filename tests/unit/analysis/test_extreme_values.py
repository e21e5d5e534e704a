"""Tail fit and return level on data of known distribution."""

import numpy as np
import pytest
from scipy.stats import genpareto

from rollsim.analysis.extremes import fit_tail, return_level

SCALE = 80.0


def sample(shape, size, seed=11):
    return genpareto.rvs(shape, scale=SCALE, size=size, random_state=seed)


@pytest.mark.parametrize("shape", [-0.2, 0.0, 0.15])
def test_the_return_level_of_a_known_tail_is_found(shape):
    # Evenly spaced quantiles stand for the distribution without the luck of a draw.
    odds = (np.arange(4000) + 0.5) / 4000.0
    peak = 50.0 + genpareto.isf(odds, shape, scale=SCALE)
    observed_h, horizon_h = 2.0, 20.0
    tail = fit_tail(peak, observed_h, threshold=50.0)
    found = return_level(tail, horizon_h)
    truth = 50.0 + genpareto.isf(1.0 / (2000.0 * horizon_h), shape, scale=SCALE)
    assert found.level == pytest.approx(truth, rel=0.02)
    assert found.low < truth < found.high
    assert found.warnings == ()


def test_the_same_peaks_give_the_same_interval_in_any_order():
    peak = sample(0.1, 300)
    first = return_level(fit_tail(peak, 1.0), 10.0)
    again = return_level(fit_tail(peak[::-1], 1.0), 10.0)
    assert again.low == pytest.approx(first.low, rel=1e-9)
    assert again.high == pytest.approx(first.high, rel=1e-9)


def test_forces_in_another_unit_scale_the_interval():
    peak = sample(0.1, 300)
    newton, kilonewton = (return_level(fit_tail(peak * k, 1.0), 10.0) for k in (1.0, 1e-3))
    assert 1e3 * kilonewton.high == pytest.approx(newton.high, rel=1e-9)


def test_a_wider_confidence_gives_a_wider_interval_and_fewer_peaks_too():
    many, few = (fit_tail(sample(0.0, size), 1.0, threshold=0.0) for size in (400, 40))
    wide, narrow = (return_level(many, 10.0, confidence) for confidence in (0.95, 0.5))
    assert wide.low < narrow.low < narrow.level == wide.level < narrow.high < wide.high
    assert return_level(few, 10.0).high / return_level(few, 10.0).low > wide.high / wide.low


@pytest.mark.parametrize(("end", "heavy"), [(-0.9, 1.6)])
def test_tails_outside_the_limits_of_the_prior_stay_finite(end, heavy):
    for shape in (end, heavy):
        found = return_level(fit_tail(sample(shape, 60), 1.0, threshold=0.0), 100.0)
        assert np.isfinite([found.low, found.level, found.high]).all()
        assert found.low < found.level < found.high


def test_small_samples_and_far_horizons_are_told():
    found = return_level(fit_tail(sample(0.0, 40), 0.01), 20000.0)
    text = " ".join(found.warnings)
    assert "Small sample: the tail rests on 20 independent peaks" in text
    assert "Far extrapolation: 20000 h is 2.0e+06 times the evaluated 36 s" in text


def test_too_few_or_equal_peaks_give_no_tail():
    assert fit_tail(sample(0.0, 9), 1.0) is None
    assert fit_tail(np.full(100, 7.0), 1.0) is None
    assert fit_tail(sample(0.0, 100), 1.0, threshold=1e6) is None


def test_a_horizon_shorter_than_one_event_returns_the_threshold():
    tail = fit_tail(sample(0.0, 100), 1.0, threshold=0.0)
    assert return_level(tail, 0.001).level == tail.threshold
