"""How often the 90 % interval of the return level holds the truth.

The horizons are 10, 100 and 1000 times the observed time. Measured over 500 repeats; the intervals
from resampling that stood here before held the truth in 68 to 85 % of 150 repeats.
"""

import numpy as np
import pytest

TAILS = ("exponential tail", "bounded", "heavy 0.1", "heavy 0.2")
PARENTS = ("normal", "weibull 2", "weibull 0.7", "gumbel", "exponential")

REPEATS = 500
# The 85 and 95 % that are asked for, with 2.5 standard errors of 500 repeats at those ends.
LOWEST, HIGHEST = 0.81, 0.975


def test_small_samples_hold_the_truth_as_often_as_they_say(tails):
    # 54 of 60 are expected; at 85 % fewer than 43 are rarer than 1 in 100.
    for shape, widest in ((-0.2, 4.5), (0.15, 5.5)):
        share, width = tails.coverage(lambda rng, xi=shape: tails.pareto_case(xi, 50, rng), 60)
        assert np.all(share >= 43.0 / 60.0)
        assert width[-1] < widest


@pytest.mark.long
@pytest.mark.parametrize("count", [50, 200])
@pytest.mark.parametrize("name", TAILS)
def test_known_tails(name, count, tails):
    make = lambda rng: tails.pareto_case(tails.SHAPES[name], count, rng)  # noqa: E731
    share, _ = tails.coverage(make, REPEATS)
    assert np.all(share >= LOWEST) and np.all(share <= HIGHEST)


@pytest.mark.long
@pytest.mark.parametrize("name", TAILS)
def test_thirty_peaks_err_on_the_safe_side(name, tails):
    # Thirty peaks say little of the shape: the prior then widens the interval of a middling tail.
    make = lambda rng: tails.pareto_case(tails.SHAPES[name], 30, rng)  # noqa: E731
    share, _ = tails.coverage(make, REPEATS)
    assert np.all(share >= LOWEST)


@pytest.mark.long
@pytest.mark.parametrize("count", [300, 2000])
@pytest.mark.parametrize("name", PARENTS)
def test_parents_that_only_approach_a_tail(name, count, tails):
    share, _ = tails.coverage(lambda rng: tails.parent_case(name, count, rng), REPEATS)
    assert np.all(share >= LOWEST)


@pytest.mark.long
@pytest.mark.parametrize("count", [2500, 8000])
def test_clustered_series(count, tails):
    share, _ = tails.coverage(lambda rng: tails.clustered_case(count, rng), REPEATS)
    assert np.all(share >= LOWEST)
