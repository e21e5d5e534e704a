"""Generalised Pareto distribution: fit, level, goodness of fit."""

import numpy as np
import pytest
from scipy.stats import genpareto

from rollsim.analysis.pareto import (
    TABLE_ODDS,
    TABLE_POINTS,
    TABLE_SHAPES,
    anderson_darling,
    fit_odds,
    fit_pareto,
    pareto_level,
    table_odds,
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


def test_level_of_an_exponential_tail_in_closed_form():
    odds = np.array([1.0, np.exp(-1.0), np.exp(-4.0)])
    np.testing.assert_allclose(pareto_level(odds, 10.0, 0.0, 5.0), [10.0, 15.0, 30.0])


def test_the_statistic_is_the_weighted_distance_of_the_distribution_functions():
    # Definition: n times the integral of (F_n - z)^2/(z (1 - z)) over z from 0 to 1.
    values = np.sort(np.random.default_rng(2).random(12))
    z = (np.arange(2_000_000) + 0.5) / 2_000_000
    observed = np.searchsorted(values, z) / 12.0
    distance = 12.0 * np.mean((observed - z) ** 2 / (z * (1.0 - z)))
    assert anderson_darling(values) == pytest.approx(distance, rel=1e-4)


def test_the_table_returns_its_own_points():
    for shape, points in zip(TABLE_SHAPES, TABLE_POINTS, strict=True):
        assert [table_odds(point, shape) for point in points] == pytest.approx(TABLE_ODDS)
    assert table_odds(100.0, 0.0) == pytest.approx(0.001)


def test_true_samples_are_rejected_as_often_as_the_table_says():
    odds = [fit_odds(sample(-0.1, 80, seed)) for seed in range(300)]
    # 30 of 300 are expected below 0.1; 15 to 46 is the 99.5 % binomial range.
    assert 15 <= np.sum(np.array(odds) < 0.1) <= 46


def test_two_kinds_of_impact_in_one_tail_are_seen():
    mixed = np.concatenate([sample(0.0, 100), 900.0 + sample(0.0, 20, 3) / 20.0])
    assert fit_odds(mixed) < 0.01
