"""When a return level is told, and what is told in its place."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import genpareto

from rollsim.analysis.extrapolation import RULE, extrapolate, spread_reasons
from rollsim.analysis.extremes import ReturnLevel, fit_tail

SCALE = 80.0
ODDS = (np.arange(2000) + 0.5) / 2000.0


def peaks_of(shape, size=2000):
    return 20.0 + genpareto.isf(np.linspace(ODDS[0], ODDS[-1], size), shape, scale=SCALE)


def found(peak, observed_h, horizon_h):
    return extrapolate(fit_tail(peak, observed_h), len(peak), float(peak.max()), horizon_h)


def test_a_long_run_of_light_tail_is_told():
    result = found(peaks_of(-0.1), 2.0, 200.0)
    assert result.reasons == () and result.supported is None
    assert result.level.horizon_h == 200.0


def test_few_peaks_are_a_reason_and_the_short_horizon_is_given():
    result = found(peaks_of(0.0, 60), 0.01, 0.2)
    assert result.level is None
    assert result.reasons[0] == "the tail rests on 30 independent peaks, 50 are needed"
    assert result.supported.horizon_h == pytest.approx(0.1)


def test_a_horizon_a_million_times_the_run_is_a_reason():
    assert found(peaks_of(-0.3), 1.0, 0.99e6).level is not None
    result = found(peaks_of(-0.3), 1.0, 1.01e6)
    assert len(result.reasons) == 1 and "1e+06 is the limit" in result.reasons[0]


def test_a_heavy_tail_is_refused_without_naming_its_level():
    result = found(peaks_of(0.5), 1.0, 20000.0)
    assert result.level is None
    text = " ".join(result.reasons)
    assert "more than 3 times the greatest observed peak" in text
    assert result.supported is None or result.supported.level < 3.0 * peaks_of(0.5).max()


LEVEL = ReturnLevel(1.0, 300.0, 100.0, 1000.0, 0.9, ())


@pytest.mark.parametrize(
    ("change", "greatest", "reasons"),
    [
        ({}, 100.0, 0),
        ({}, 99.0, 1),
        ({"high": 1001.0}, 100.0, 1),
        ({"high": float("inf")}, 50.0, 2),
        ({"level": float("nan"), "high": float("nan")}, 100.0, 2),
    ],
)
def test_limits_of_interval_and_level(change, greatest, reasons):
    assert len(spread_reasons(replace(LEVEL, **change), greatest)) == reasons


def test_no_fit_no_level():
    result = extrapolate(None, 4, 50.0, 20000.0)
    assert result.level is None and result.supported is None
    assert result.reasons[0].startswith("the run holds 4 independent peaks")
    assert result.rule == RULE and result.origin == "our own choice, not published"
