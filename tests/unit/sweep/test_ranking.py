"""Ranking of two sets of replicates: known ratios, refusals, and how often it errs."""

import numpy as np
import pytest
from scipy import stats

from rollsim.sweep.ranking import (
    DIFFERENCE,
    GREATER,
    NEITHER,
    RATIO,
    SMALLER,
    rank,
    replicates_needed,
    spread_of,
)

LOW, HIGH = [10.0, 11.0, 10.5, 9.8], [20.0, 21.0, 22.0, 20.5]


def test_a_known_ratio_is_found_and_ranked():
    found = rank(LOW, HIGH, "median", SMALLER)
    assert found.kind == RATIO and found.apart and found.reason == ""
    expected = np.exp(np.mean(np.log(LOW)) - np.mean(np.log(HIGH)))
    assert found.estimate == pytest.approx(expected, rel=0.01)
    assert found.low < expected < found.high < 1.0 and found.odds > 0.99
    assert found.first_is_better(SMALLER) is True
    assert found.first_is_better(GREATER) is False
    assert found.first_is_better(NEITHER) is None
    assert rank(LOW, HIGH, "median", GREATER).odds < 0.01


def test_neither_order_of_sides_nor_of_values_changes_a_digit():
    forth, back = rank(LOW, HIGH, "mean", SMALLER), rank(HIGH[::-1], LOW[::-1], "mean", SMALLER)
    assert (forth.estimate, forth.low) == pytest.approx(
        (1.0 / back.estimate, 1.0 / back.high), 1e-12
    )
    assert forth.odds == pytest.approx(1.0 - back.odds, abs=1e-12)
    one, other = [0.1, -0.2, 0.3], [0.4, 0.1, -0.5]
    forth, back = rank(one, other, "mean", NEITHER, True), rank(other, one, "mean", NEITHER, True)
    assert (forth.low, forth.high) == (-back.high, -back.low)


def test_quantities_that_change_sign_are_compared_by_their_difference():
    found = rank([-0.30, -0.31, -0.29], [0.20, 0.21, 0.19], "mean", NEITHER, signed=True)
    assert found.kind == DIFFERENCE and found.apart
    assert found.estimate == pytest.approx(-0.5, abs=0.01) and found.low < -0.5 < found.high < 0.0
    same = rank([0.0, 0.0, 0.0], [0.0, 0.0, 0.0], "mean", NEITHER, signed=True)
    assert not same.apart and same.odds == 0.5 and same.needed is None
    assert same.reason == "the interval of the difference holds 0"


def test_a_scatter_beyond_all_numbers_is_told_as_without_limit():
    wild, other = [1e-300, 1.0, 1e200], [1e-200, 1.0, 1e250]
    for pair in ((wild, other), (other, wild)):
        found = rank(*pair, "mean", SMALLER)
        assert not found.apart and found.low <= 1.0 <= found.high


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (LOW[:2], HIGH, "fewer than 3"),
        (LOW[:1], HIGH, "fewer than 3"),
        ([], HIGH, "no value"),
        ([1.0, np.nan, 2.0], HIGH, "no value"),
        ([1.0, np.inf, 2.0], HIGH, "without limit in 1 of 7"),
        ([0.0, 1.0, 2.0], HIGH, "zero in 1 of 7"),
        (LOW, [10.2, 9.9, 10.8, 10.4], "holds 1"),
    ],
)
def test_what_cannot_be_ranked_says_why(first, second, words):
    found = rank(first, second, "median", SMALLER)
    assert not found.apart and words in found.reason
    assert found.first_is_better(SMALLER) is None


def test_the_number_needed_is_that_of_the_textbook():
    """Power of the t test by its noncentral distribution, at the number found and one below."""
    first, second = np.array([0.0, 1.0, 2.0, 3.0]), np.array([1.0, 2.0, 3.0, 4.0])
    count = replicates_needed(first, second)
    power = []
    for n in (count - 2, count, count + 2):
        shift = 1.0 / np.sqrt(2.0 * first.var(ddof=1) / n)
        power.append(stats.nct.sf(stats.t.ppf(0.95, 2 * n - 2), 2 * n - 2, shift))
    assert power[0] < 0.8 < power[2] and power[1] == pytest.approx(0.8, abs=0.02)
    assert replicates_needed(first, first) is None
    found = rank(LOW, [10.4, 11.6, 10.9, 10.1], "median", SMALLER)
    assert not found.apart and 5 <= found.needed <= 40


@pytest.mark.parametrize("signed", [False, True])
def test_intervals_of_a_side(signed):
    found = spread_of(LOW, "median", signed)
    assert found.low < found.estimate < found.high
    assert np.isnan(spread_of(LOW[:1], "median", signed).low)
    assert spread_of(LOW[:1], "median", signed).estimate == LOW[0]


def _trials(ratio, scatter, count, repeats=300):
    """Shares of trials that rank A better, B better, by the rule and by single runs."""
    rng = np.random.default_rng(7)
    one = np.exp(rng.normal(0.0, scatter, (repeats, count)))
    other = ratio * np.exp(rng.normal(0.0, scatter, (repeats, count)))
    told = [
        rank(a, b, "median", SMALLER).first_is_better(SMALLER)
        for a, b in zip(one, other, strict=True)
    ]
    single = float(np.mean(one[:, 0] > other[:, 0]))
    return told.count(True) / repeats, told.count(False) / repeats, single


@pytest.mark.parametrize("count", [3, 4, 8])
def test_equal_cages_are_falsely_ranked_one_time_in_ten_at_most(count):
    """Measured over 2000 repeats: 3.6 % with 3, 5.8 % with 4, 8.3 % with 8 replicates."""
    first, second, single = _trials(1.0, 0.3, count)
    assert first + second < 0.10 + 2.5 * np.sqrt(0.1 * 0.9 / 300)
    assert single == pytest.approx(0.5, abs=0.08)


def test_where_single_runs_are_wrong_a_quarter_of_the_time_replicates_seldom_are():
    """Single runs rank two cages wrongly about a quarter of the time.

    Parents 0.954 standard deviations apart: P(wrong) = Phi(-0.954/sqrt 2) = 0.25.
    """
    scatter = 0.2
    ratio = np.exp(0.954 * scatter)
    assert stats.norm.cdf(-0.954 / np.sqrt(2.0)) == pytest.approx(0.25, abs=0.001)
    right, wrong, single = _trials(ratio, scatter, 4)
    assert single == pytest.approx(0.25, abs=0.065)
    assert wrong < 0.02 and right > 0.15
    right_of_more, wrong_of_more, _ = _trials(ratio, scatter, 16)
    assert wrong_of_more < 0.01 and right_of_more > 0.75
