"""Intervals over replicates: known closed forms and measured coverage."""

import numpy as np
import pytest
from scipy import stats

from rollsim.analysis.intervals import replicate_interval, replicate_ratio
from rollsim.errors import RollsimError

VALUES = np.array([3.0, 5.0, 4.0, 9.0, 6.0])
PARENTS = {
    "lognormal 0.3": stats.lognorm(0.3),
    "lognormal 1": stats.lognorm(1.0),
    "gamma 2": stats.gamma(2.0),
    "exponential": stats.expon(),
    "weibull 1.5": stats.weibull_min(1.5),
    "gumbel": stats.gumbel_r(5.0, 1.0),
}
REPEATS = 500
# The 85 and 95 % that are asked for, with 2.5 standard errors of 500 repeats at those ends.
LOWEST, HIGHEST = 0.81, 0.975


def test_the_median_has_the_interval_of_student():
    logs = np.log(VALUES)
    by_scipy = stats.t.interval(0.9, 4, logs.mean(), logs.std(ddof=1) / np.sqrt(5.0))
    found = replicate_interval(VALUES, "median")
    np.testing.assert_allclose(np.log([found.low, found.high]), by_scipy, atol=0.015)
    assert found.estimate == pytest.approx(np.exp(logs.mean()), rel=0.01)
    assert found.replicates == 5 and found.statistic == "median"


def test_a_quantile_has_the_interval_of_the_noncentral_t():
    logs = np.log(VALUES)
    factor = stats.nct.ppf([0.05, 0.95], 4, stats.norm.ppf(0.9) * np.sqrt(5.0)) / np.sqrt(5.0)
    found = replicate_interval(VALUES, 0.9)
    expected = logs.mean() + factor * logs.std(ddof=1)
    np.testing.assert_allclose(np.log([found.low, found.high]), expected, atol=0.03)
    assert found.statistic == "90 % quantile"


def test_the_ratio_turns_over_and_follows_the_scale():
    other = np.array([2.0, 2.5, 3.5, 2.2])
    forth, back = replicate_ratio(VALUES, other), replicate_ratio(other, VALUES, seed=2)
    assert forth.estimate == pytest.approx(1.0 / back.estimate, rel=0.02)
    assert forth.odds_a_smaller == pytest.approx(1.0 - back.odds_a_smaller, abs=0.02)
    same = replicate_ratio(1e3 * VALUES, 1e3 * other)
    assert same.high == pytest.approx(forth.high, rel=1e-9)


def test_equal_sets_are_not_ranked_and_far_ones_are():
    even = replicate_ratio(VALUES, VALUES[::-1], "median")
    assert even.odds_a_smaller == pytest.approx(0.5, abs=0.02) and not even.ranks()
    far = replicate_ratio(VALUES, 20.0 * VALUES, "median")
    assert far.odds_a_smaller > 0.99 and far.ranks() and far.high < 1.0


def test_more_replicates_narrow_the_interval():
    few, many = (replicate_interval(np.tile(VALUES, k), "mean") for k in (1, 4))
    assert many.high / many.low < 0.6 * few.high / few.low


@pytest.mark.parametrize(
    ("values", "statistic", "words"),
    [
        ([1.0], "mean", "Run more replicates"),
        ([1.0, np.inf], "mean", "take its damage rate"),
        ([1.0, np.nan], "mean", "finite numbers"),
        ([1.0, 2.0], "mode", "not known"),
        ([1.0, 2.0], 1.5, "not known"),
    ],
)
def test_what_cannot_be_told_is_refused(values, statistic, words):
    with pytest.raises(RollsimError, match=words):
        replicate_interval(values, statistic)


def test_zeros_leave_a_share_of_runs_above_zero():
    found = replicate_interval([0.0, 0.0, 3.0, 5.0, 4.0], "mean")
    # Mean share (3 + 1/2)/6 of about 4.
    assert 0.0 < found.low < found.estimate < found.high
    assert found.estimate == pytest.approx(4.0 * 3.5 / 6.0, rel=0.1)
    assert "2 of 5 replicates are 0" in found.warnings[0]
    # More than half of the runs may be above 0 or not.
    assert replicate_interval([0.0, 0.0, 3.0, 5.0, 4.0], "median").low == 0.0


def test_one_above_zero_and_negative_values_have_the_interval_of_student():
    values = np.array([-1.0, 2.0, 0.5, 3.0])
    by_scipy = stats.t.interval(0.9, 3, values.mean(), stats.sem(values))
    found = replicate_interval(values)
    np.testing.assert_allclose([found.low, found.high], by_scipy, atol=0.05)
    assert "negative" in found.warnings[0]
    alone = replicate_interval([0.0, 0.0, 1.0])
    assert alone.low == 0.0 and "Only 1 of 3" in alone.warnings[0]


def test_equal_values_are_called_equal():
    found = replicate_interval([0.0, 0.0, 0.0])
    assert (found.low, found.high) == (0.0, 0.0) and "nothing is known" in found.warnings[0]


def test_an_interval_that_tells_little_says_so():
    wide = replicate_interval([0.1, 1.0, 20.0])
    assert any("3 replicates tell little of the mean" in words for words in wide.warnings)
    assert replicate_interval(VALUES).warnings == ()


def test_a_ratio_to_zeros_ranks_and_does_not_fall_over():
    found = replicate_ratio([0.0, 0.0, 0.0], VALUES)
    assert found.odds_a_smaller == 1.0 and found.high == 0.0 and found.ranks()
    back = replicate_ratio(VALUES, [0.0, 0.0, 0.0])
    assert back.odds_a_smaller == 0.0 and back.low == np.inf
    assert "B: All 3 replicates are equal" in back.warnings[0]
    both = replicate_ratio([0.0, 0.0], [0.0, 0.0])
    assert (both.low, both.high, both.odds_a_smaller) == (1.0, 1.0, 0.5)
    with pytest.raises(RollsimError, match="cannot be negative"):
        replicate_ratio([-1.0, 1.0], VALUES)


def coverage(parent, count, repeats):
    """Share of intervals that hold the truth, by statistic."""
    truth = {"median": parent.median(), "mean": parent.mean(), 0.9: parent.ppf(0.9)}
    rng = np.random.default_rng(1)
    hits = dict.fromkeys(truth, 0)
    for repeat in range(repeats):
        values = parent.rvs(count, random_state=rng)
        for statistic, value in truth.items():
            found = replicate_interval(values, statistic, seed=repeat)
            hits[statistic] += found.low < value < found.high
    return {statistic: number / repeats for statistic, number in hits.items()}


def test_three_replicates_of_a_skewed_parent_hold_the_truth():
    # 90 of 100 are expected; at 85 % fewer than 76 are rarer than 1 in 100.
    for share in coverage(PARENTS["gamma 2"], 3, 100).values():
        assert share >= 0.76


@pytest.mark.long
@pytest.mark.parametrize("count", [3, 5, 10])
@pytest.mark.parametrize("name", PARENTS)
def test_intervals_hold_the_truth_as_often_as_they_say(name, count):
    for share in coverage(PARENTS[name], count, REPEATS).values():
        assert LOWEST <= share <= HIGHEST


@pytest.mark.long
@pytest.mark.parametrize("count", [3, 5, 10])
def test_the_ratio_holds_the_truth_and_its_odds_are_honest(count):
    a, b = PARENTS["gamma 2"], PARENTS["lognormal 1"]
    truth = a.mean() / b.mean()
    rng = np.random.default_rng(3)
    hits, odds_of_level = 0, []
    for repeat in range(REPEATS):
        x, y = a.rvs(count, random_state=rng), b.rvs(count, random_state=rng)
        found = replicate_ratio(x, y, seed=repeat)
        hits += found.low < truth < found.high
        # Scaled to equal truth, the odds should fall anywhere between 0 and 1.
        odds_of_level.append(replicate_ratio(x / truth, y, seed=repeat).odds_a_smaller)
    assert LOWEST <= hits / REPEATS <= HIGHEST
    sure = np.mean((np.array(odds_of_level) > 0.95) | (np.array(odds_of_level) < 0.05))
    assert sure <= 1.0 - LOWEST
