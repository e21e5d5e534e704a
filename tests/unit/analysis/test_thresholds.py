"""The rule of the threshold, its diagnostics and alternatives."""

import numpy as np
import pytest
from scipy.stats import genpareto

from rollsim.analysis.thresholds import (
    LEAST_ODDS,
    RULE,
    describe_threshold,
    tail_threshold,
    threshold_study,
)


def even(size, shape=0.0):
    """Evenly spaced quantiles: a sample without the luck of a draw."""
    return genpareto.isf((np.arange(size) + 0.5) / size, shape, scale=80.0)


@pytest.mark.parametrize(("size", "above"), [(60, 30), (200, 50), (1000, 100), (4000, 150)])
def test_the_rule_takes_a_tenth_within_fifty_and_a_hundred_and_fifty(size, above):
    peak = even(size)
    assert np.sum(peak > tail_threshold(peak)) == above


def body_and_tail():
    """1000 peaks; the upper 100 are 60 light ones and 40 that are rarer and harder."""
    light = 100.0 + 10.0 * np.linspace(0.0, 1.0, 960)
    return np.concatenate([light, 300.0 + even(40)])


def test_the_test_raises_the_threshold_to_the_harder_impacts():
    peak = body_and_tail()
    level = tail_threshold(peak)
    assert np.sum(peak > level) <= 40
    study = threshold_study(peak, 1.0, level, 10.0)
    assert study.raised and study.rule == RULE and study.chosen.fit_odds >= LEAST_ODDS
    assert "The threshold was raised: with the 100 peaks" in " ".join(study.words)
    rejected = [one for one in study.candidates if one.exceedances >= 80]
    assert rejected and all(one.fit_odds < LEAST_ODDS for one in rejected)


def test_a_threshold_that_is_given_is_named_as_such_and_judged():
    peak = body_and_tail()
    study = threshold_study(peak, 1.0, float(np.sort(peak)[900]), 10.0, given=True)
    assert study.rule == "given by the user" and not study.raised
    assert "The fit is poor" in study.words[0]


def test_diagnostics_of_an_exponential_tail():
    found = describe_threshold(even(2000), 1.0, 50.0, 10.0)
    # The mean excess of an exponential tail is its scale at every threshold.
    assert found.mean_excess == pytest.approx(80.0, rel=0.02)
    assert found.mean_low < 80.0 < found.mean_high
    assert found.shape == pytest.approx(0.0, abs=0.02)
    assert found.modified_scale == pytest.approx(80.0, rel=0.05)
    assert found.median == pytest.approx(50.0 + 80.0 * np.log(10.0 * found.exceedances), rel=0.03)


def test_shape_and_modified_scale_stay_over_the_thresholds():
    study = threshold_study(even(4000, -0.2), 1.0, tail_threshold(even(4000, -0.2)), 10.0)
    assert len(study.candidates) >= 6
    # A scale of 80 at 0, modified scale sigma - xi u = 80 at every threshold.
    for one in study.candidates:
        if one.exceedances > 80:
            assert one.shape_low < -0.2 < one.shape_high
            assert one.modified_scale == pytest.approx(80.0, rel=0.25)
    assert "Shape stable" in " ".join(study.words)
    levels = [one.level for one in study.candidates]
    assert levels == sorted(levels) and study.chosen in study.candidates


def test_heavy_and_bounded_tails_are_named():
    for shape, words in ((0.5, "heavier than exponential"), (-0.45, "The tail has an end")):
        peak = even(4000, shape)
        study = threshold_study(peak, 1.0, tail_threshold(peak), 10.0)
        assert words in study.words[-1]
