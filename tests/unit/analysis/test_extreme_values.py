"""Tail fit and return level on data of known distribution."""

import numpy as np
import pytest
from scipy.stats import genpareto

from rollsim.analysis.extremes import (
    fit_pareto,
    fit_tail,
    pareto_level,
    return_level,
    tail_threshold,
)

SCALE = 80.0


def sample(shape, size, seed=11):
    return genpareto.rvs(shape, scale=SCALE, size=size, random_state=seed)


@pytest.mark.parametrize("shape", [-0.3, -0.05, 0.0, 0.15, 0.4])
@pytest.mark.parametrize("size", [40, 400])
def test_the_fit_is_the_maximum_likelihood_fit_of_scipy(shape, size):
    excess = sample(shape, size)
    found_shape, found_scale = fit_pareto(excess)
    by_scipy = genpareto.fit(excess, floc=0.0)
    assert found_shape == pytest.approx(by_scipy[0], abs=2e-3)
    assert found_scale == pytest.approx(by_scipy[2], rel=2e-3)
    mine = genpareto.logpdf(excess, found_shape, scale=found_scale).sum()
    assert mine >= genpareto.logpdf(excess, *by_scipy).sum() - 1e-6


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


def test_the_interval_holds_the_truth_about_as_often_as_it_says():
    truth = genpareto.isf(1.0 / 5000.0, 0.0, scale=SCALE)
    hits = 0
    for seed in range(20):
        tail = fit_tail(sample(0.0, 500, seed), 1.0, threshold=0.0)
        found = return_level(tail, 10.0)
        hits += found.low < truth < found.high
    # 18 are expected; fewer than 14 of 20 would have a probability of 1 in 100 at 90 %.
    assert hits >= 14


def test_equal_seeds_give_equal_intervals_and_others_do_not():
    peak = sample(0.1, 300)
    first = return_level(fit_tail(peak, 1.0, seed=4), 10.0)
    again = return_level(fit_tail(peak, 1.0, seed=4), 10.0)
    other = return_level(fit_tail(peak, 1.0, seed=5), 10.0)
    assert first == again
    assert first.level == other.level and first.high != other.high


def test_small_samples_and_far_horizons_are_told():
    found = return_level(fit_tail(sample(0.0, 40), 0.01), 20000.0)
    text = " ".join(found.warnings)
    assert "Small sample: the tail rests on 20 independent peaks" in text
    assert "Far extrapolation: 20000 h is 2.0e+06 times the evaluated 36 s" in text


def test_too_few_or_equal_peaks_give_no_tail():
    assert fit_tail(sample(0.0, 9), 1.0) is None
    assert fit_tail(np.full(100, 7.0), 1.0) is None
    assert fit_tail(sample(0.0, 100), 1.0, threshold=1e6) is None


def test_threshold_takes_a_tenth_or_fifty_or_half():
    for size, above in ((2000, 200), (200, 50), (60, 30)):
        peak = sample(0.0, size)
        assert np.sum(peak > tail_threshold(peak)) == above


def test_a_horizon_shorter_than_one_event_returns_the_threshold():
    tail = fit_tail(sample(0.0, 100), 1.0, threshold=0.0)
    assert return_level(tail, 0.001).level == tail.threshold


def test_level_of_an_exponential_tail_in_closed_form():
    odds = np.array([1.0, np.exp(-1.0), np.exp(-4.0)])
    np.testing.assert_allclose(pareto_level(odds, 10.0, 0.0, 5.0), [10.0, 15.0, 30.0])
