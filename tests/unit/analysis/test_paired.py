"""Changes over runs with equal seeds, their pooled scatter and intervals."""

import numpy as np
import pytest
from scipy import stats

from rollsim.analysis.paired import change, mean_interval, pairing_gain, pooled_scatter


def test_one_setting_alone_has_the_interval_of_student():
    logs = np.log([1.2, 1.5, 1.4])
    found = change(logs, pooled_scatter([logs]))
    low, high = stats.t.interval(0.9, 2, loc=logs.mean(), scale=stats.sem(logs))
    assert (found.low, found.high) == pytest.approx((low, high))
    assert found.ratio == pytest.approx(np.exp(logs.mean()))
    assert found.limits == pytest.approx((np.exp(low), np.exp(high)))


def test_pooling_takes_the_means_of_the_settings_out():
    logs = np.array([0.1, 0.2, 0.6])
    one = pooled_scatter([logs])
    many = pooled_scatter([logs, logs + 3.0, np.array([7.0])])
    assert many.deviation == pytest.approx(one.deviation)
    assert many.freedom == 2 * one.freedom
    assert pooled_scatter([np.array([1.0])]) is None


def test_more_settings_make_the_interval_narrower():
    logs = np.array([0.1, 0.2, 0.6])
    alone = change(logs, pooled_scatter([logs]))
    pooled = change(logs, pooled_scatter([logs] * 10))
    assert pooled.high - pooled.low < 0.8 * (alone.high - alone.low)


def test_a_setting_that_scatters_far_more_keeps_its_own_scatter():
    calm = [np.array([0.0, 0.01, -0.01])] * 10
    wild = np.array([0.0, 2.0, -2.0])
    found = change(wild, pooled_scatter([*calm, wild]))
    own = change(wild, pooled_scatter([wild]))
    assert (found.low, found.high) == pytest.approx((own.low, own.high))


def test_an_effect_is_seen_where_the_interval_leaves_out_no_change():
    pooled = pooled_scatter([np.array([0.0, 0.1, 0.2])] * 10)
    assert change(np.array([1.0, 1.1, 1.2]), pooled).seen
    assert not change(np.array([0.0, 0.1, -0.1]), pooled).seen
    mean, low, high = mean_interval(np.zeros(3), pooled)
    assert mean == 0.0 and low == -high < 0.0


def test_equal_seeds_gain_as_much_as_runs_have_in_common():
    rng = np.random.default_rng(5)
    base, own = rng.normal(size=4000), rng.normal(size=4000)
    assert pairing_gain(base, [own]) == pytest.approx(1.0, abs=0.1)
    assert pairing_gain(base, [0.8 * base + 0.6 * own]) == pytest.approx(0.2, abs=0.05)
    assert pairing_gain(base, [base + 3.0]) == pytest.approx(0.0, abs=1e-12)
    assert pairing_gain(base, []) is None


def test_interval_holds_the_truth_about_as_often_as_it_says():
    rng = np.random.default_rng(3)
    hits = []
    for _ in range(60):
        base = rng.normal(0.0, 0.2, 3)
        logs = [rng.normal(0.0, 0.2, 3) - base for _ in range(20)]
        pooled = pooled_scatter(logs)
        hits += [own.low <= 0.0 <= own.high for own in (change(each, pooled) for each in logs)]
    assert 0.78 < np.mean(hits) < 0.96
