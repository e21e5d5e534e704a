"""Interval of the mean damage over replicates: measured coverage of life and reserve."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from rollsim.fatigue import pooled_damage
from rollsim.fatigue.pooled_damage import damage_span, mean_limits

# 85 and 95 % with 2.5 standard errors of 500 repeats at those ends.
LOWEST, HIGHEST = 0.81, 0.975


def test_equal_rates_leave_no_doubt_and_scatter_widens():
    assert mean_limits([3e-5, 3e-5]) == pytest.approx((1.0, 1.0))
    rates = np.array([2e-5, 5e-5, 3e-5, 9e-5, 4e-5])
    low, high = mean_limits(rates)
    assert mean_limits(1e3 * rates) == pytest.approx((low, high))
    assert low < 1.0 < high < mean_limits(rates**2)[1]
    assert high < mean_limits(rates, confidence=0.99)[1]


@pytest.mark.parametrize("scale", [1e-290, 1.0])
def test_wild_scatter_and_tiny_damage_stay_numbers(monkeypatch, scale):
    rates = {"a": [1e-9 * scale, scale], "b": [scale, 2.0 * scale, 3.0 * scale]}
    states = [SimpleNamespace(name=name, share=0.5) for name in rates]
    monkeypatch.setattr(pooled_damage, "_run_rates", lambda state, *_: rates[state.name])
    low, high = damage_span(states, (0, 0), 1.0)
    assert 0.0 <= low < 1.0 and 1e10 < high <= 1e100
    alone = damage_span(states[1:], (0, 0), 1.0)
    assert alone == pytest.approx(mean_limits([1.0, 2.0, 3.0]))


def lognormal_damage(spread):
    """Rates of a lognormal damage, and the logarithm of their mean."""
    return lambda rng, n: np.exp(spread * rng.standard_normal(n)), 0.5 * spread**2


def power_of_load(parent, power):
    """Rates as a power of a positive load, and the logarithm of their mean."""
    mean = parent.expect(lambda x: x**power)
    return lambda rng, n: parent.rvs(n, random_state=rng) ** power, float(np.log(mean))


DAMAGE = {
    "lognormal 0.5": lognormal_damage(0.5),
    "lognormal 1": lognormal_damage(1.0),
    "lognormal 1.5": lognormal_damage(1.5),
    "lognormal 2": lognormal_damage(2.0),
    "gamma load, scatter 25 %, power 5": power_of_load(stats.gamma(16.0), 5.0),
    "gamma load, scatter 12.5 %, power 10": power_of_load(stats.gamma(64.0), 10.0),
    "even load, 0.7 to 1.3, power 8": power_of_load(stats.uniform(0.7, 0.6), 8.0),
}


def held(name, count, repeats, seed):
    """Share of intervals that hold the life and so the reserve; median reach of the reserve."""
    draw, log_mean = DAMAGE[name]
    rng = np.random.default_rng(seed)
    hits, reach = [], []
    for _ in range(repeats):
        rates = draw(rng, count)
        low, high = mean_limits(rates)
        hits.append(low < np.exp(log_mean) / rates.mean() < high)
        # The reserve is life over target life, to the power of one over the exponent.
        reach.append((high / low) ** (1.0 / 8.0))
    return np.mean(hits), np.median(reach)


def test_three_replicates_hold_the_life():
    share, reach = held("lognormal 1", 3, 100, seed=41)
    # 90 of 100 are expected; at 85 % fewer than 76 are rarer than 1 in 100.
    assert share >= 0.76
    # An interval of any width would hold it: the reserve stays within a factor of 4.
    assert reach < 4.0


@pytest.mark.long
@pytest.mark.parametrize("count", [3, 5, 10])
@pytest.mark.parametrize("name", DAMAGE)
def test_intervals_hold_the_life_as_often_as_they_say(name, count):
    share, _ = held(name, count, 500, seed=42)
    assert LOWEST <= share <= HIGHEST
