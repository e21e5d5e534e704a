"""Samples of independent peaks whose true return level is known."""

import numpy as np
from scipy import stats

from rollsim.analysis.declustering import independent_peaks
from rollsim.analysis.extremes import fit_tail, return_level

TIMES = (10.0, 100.0, 1000.0)
PARENTS = {
    "normal": stats.norm(10.0, 1.5),
    "weibull 2": stats.weibull_min(2.0),
    "weibull 0.7": stats.weibull_min(0.7),
    "gumbel": stats.gumbel_r(10.0, 1.0),
    "exponential": stats.expon(),
}
SHAPES = {"exponential tail": 0.0, "bounded": -0.2, "heavy 0.1": 0.1, "heavy 0.2": 0.2}


def pareto_case(shape, count, rng):
    """About `count` peaks above a threshold of 0 in one hour, and the level of a time."""
    excess = stats.genpareto.rvs(shape, size=max(10, rng.poisson(count)), random_state=rng)
    return excess, 0.0, lambda times: stats.genpareto.isf(1.0 / (count * times), shape)


def parent_case(name, count, rng):
    """About `count` independent peaks of a parent that is not a tail, threshold by rule."""
    peak = PARENTS[name].rvs(rng.poisson(count), random_state=rng)
    return peak, None, lambda times: PARENTS[name].isf(1.0 / (count * times))


def clustered_case(count, rng, memory=0.6):
    """Peaks of a maximum-autoregressive series of exponential margins, declustered.

    X_i = max(a X_(i-1), (1 - a) W_i) of unit Frechet margins has the extremal index 1 - a (Coles
    2001, section 5.3, from memory): of `count` values, (1 - a) count P(X > x) groups pass x.
    """
    fresh = (1.0 - memory) / -np.log(rng.random(count))
    series = np.empty(count)
    series[0] = fresh[0] / (1.0 - memory)
    for i in range(1, count):
        series[i] = max(memory * series[i - 1], fresh[i])
    values = -np.log1p(-np.exp(-1.0 / series))
    # A group that passes a high level lasts a few steps; 8 steps hold 98 % of its decay.
    keep = independent_peaks(np.arange(count, dtype=float), values, 8.0)
    return values[keep], None, lambda times: np.log((1.0 - memory) * count * times)


def coverage(make, repeats, seed=5):
    """Share of 90 % intervals that hold the truth, and their median width over it, by `TIMES`."""
    rng = np.random.default_rng(seed)
    hits, widths = [], []
    for _ in range(repeats):
        peak, threshold, truth_of = make(rng)
        tail = fit_tail(peak, 1.0, threshold)
        truth = np.array([truth_of(times) for times in TIMES])
        found = [return_level(tail, times) for times in TIMES]
        low = np.array([level.low for level in found])
        high = np.array([level.high for level in found])
        hits.append((low < truth) & (truth < high))
        widths.append((high - low) / truth)
    return np.mean(hits, axis=0), np.median(widths, axis=0)
