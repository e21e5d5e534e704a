"""One tail from several runs: what the spread between runs does to the interval."""

import numpy as np
import pytest
from scipy.optimize import brentq

from rollsim.analysis.extremes import fit_tail, return_level
from rollsim.analysis.pooling import RunPeaks, pool_tail, pooled_level
from rollsim.errors import RollsimError

SCALE = 80.0


def even(size, scale=SCALE):
    """Evenly spaced quantiles of an exponential tail."""
    return -scale * np.log((np.arange(size) + 0.5) / size)


def test_equal_runs_give_the_level_of_all_peaks_together_and_no_widening():
    runs = [RunPeaks(even(60), 0.5) for _ in range(4)]
    found = pooled_level(pool_tail(runs, 0.0), 100.0)
    together = return_level(fit_tail(np.tile(even(60), 4), 2.0, 0.0), 100.0)
    assert found.widening == 1.0 and found.runs == 4
    assert (found.level.low, found.level.level, found.level.high) == pytest.approx(
        (together.low, together.level, together.high)
    )
    assert found.level.warnings == together.warnings


def test_runs_that_differ_widen_the_interval_and_are_told():
    runs = [RunPeaks(even(60, scale), 0.5) for scale in (40.0, 80.0, 160.0)]
    pool = pool_tail(runs, 0.0)
    found, together = pooled_level(pool, 100.0), return_level(pool.tail, 100.0)
    assert found.widening > 1.5
    assert found.level.low < together.low and found.level.high > together.high
    assert found.level.level == together.level
    assert any("The 3 runs differ" in words for words in found.level.warnings)


def test_runs_of_unequal_number_widen_the_interval_of_the_rate():
    # The same tail, one run ten times as busy: at a short horizon the rate is what counts.
    runs = [RunPeaks(even(size), 0.5) for size in (20, 20, 200)]
    pool = pool_tail(runs, 0.0)
    assert pooled_level(pool, 1.0).widening > 1.5
    assert pool.exceedances == (20, 20, 200)
    assert any("83 % of the peaks" in words for words in pooled_level(pool, 1.0).level.warnings)


def test_the_pull_of_the_runs_vanishes_in_the_sum():
    runs = [RunPeaks(even(400, scale), 0.5) for scale in (70.0, 80.0, 90.0)]
    pool = pool_tail(runs, 0.0)
    # The mean of the posterior is the best fit but for the prior and a skew of order 1.
    assert np.all(np.abs(pool.scores.sum(axis=0)) < 0.2 * np.abs(pool.scores).max(axis=0) + 1e-9)
    assert pool.scores[0, 1] < 0.0 < pool.scores[2, 1]


def test_a_run_without_peaks_counts_with_its_time():
    runs = [RunPeaks(even(60), 0.5), RunPeaks(even(60), 0.5), RunPeaks(np.zeros(0), 1.0)]
    pool = pool_tail(runs, 0.0)
    assert pool.tail.rate == pytest.approx(60.0) and pool.exceedances == (60, 60, 0)


def test_what_cannot_be_pooled():
    with pytest.raises(RollsimError, match="2 runs or more"):
        pool_tail([RunPeaks(even(60), 0.5)])
    with pytest.raises(RollsimError, match="above 0 h"):
        pool_tail([RunPeaks(even(60), 0.5), RunPeaks(even(60), 0.0)])
    assert pool_tail([RunPeaks(even(4), 0.5)] * 2, 0.0) is None


def test_the_interval_holds_the_level_of_runs_that_differ():
    rng, spread, hits = np.random.default_rng(90211), 0.2, 0
    scales, weights = np.polynomial.hermite_e.hermegauss(20)
    scales, weights = np.exp(spread * scales), weights / weights.sum()
    # Passed once in ten times the observed hour by 150 peaks an hour whose scale differs by run.
    truth = brentq(lambda z: 1500.0 * weights @ np.exp(-z / scales) - 1.0, 1.0, 100.0)
    for _ in range(40):
        factors = np.exp(spread * rng.standard_normal(3))
        runs = [RunPeaks(rng.exponential(one, rng.poisson(50)), 1.0 / 3.0) for one in factors]
        level = pooled_level(pool_tail(runs, 0.0), 10.0).level
        hits += level.low < truth < level.high
    # 36 are expected; at 85 % fewer than 28 are rarer than 1 in 100.
    assert hits >= 28
