"""Peaks of the random tables that the program makes, against the theory of Gaussian signals.

Sources: A. G. Davenport 1964 (largest of a duration: 3.872 and 4.919 sigma for 1e3 and 1e5 zero
crossings); S. O. Rice 1945 (share of maxima above a level); 99.73 % of a Gaussian signal lie
within three sigma, 1.11 % of Rayleigh peaks above (closed forms).
"""

import numpy as np
import pytest

from rollsim.model.random_response import (
    irregularity,
    peak_exceedance,
    peak_factor,
    upcrossing_rate,
)
from rollsim.model.spectrum import line_amplitudes, lines_to_signal, random_lines

WIDE = np.array([[20.0, 0.01], [80.0, 0.04], [500.0, 0.04], [2000.0, 0.01]])
NARROW = np.array([[95.0, 0.01], [105.0, 0.01]])


def _signal(table, seed):
    """60 s in units of its standard deviation."""
    interval = 1.0 / (10.0 * table[-1, 0])
    count = 2 * round(30.0 / interval)
    amplitudes = line_amplitudes(table, count, interval)
    lines = random_lines(amplitudes, np.random.default_rng(seed))
    value, _ = lines_to_signal(lines, count, interval)
    return value / value.std()


def _maxima(x):
    """Values at the local maxima."""
    return x[1:-1][(x[1:-1] > x[:-2]) & (x[1:-1] >= x[2:])]


def test_share_within_three_sigma():
    shares = [np.mean(np.abs(_signal(WIDE, seed)) < 3.0) for seed in range(4)]
    assert np.mean(shares) == pytest.approx(0.9973, abs=3e-4)


@pytest.mark.parametrize("table", [WIDE, NARROW])
def test_zero_crossings_are_those_of_rice(table):
    x = _signal(table, 1)
    found = np.count_nonzero((x[:-1] < 0.0) & (x[1:] >= 0.0)) / 60.0
    assert found == pytest.approx(upcrossing_rate(table), rel=0.01)


def test_maxima_above_levels_are_those_of_rice():
    """Wide band: shares above 1, 2 and 3 sigma; narrow band: Rayleigh's 1.11 % above 3 sigma."""
    peaks = np.concatenate([_maxima(_signal(WIDE, seed)) for seed in range(4)])
    for level, rel in ((1.0, 0.02), (2.0, 0.04), (3.0, 0.15)):
        share = np.mean(peaks > level)
        assert share == pytest.approx(peak_exceedance(level, irregularity(WIDE)), rel=rel)
    narrow = np.concatenate([_maxima(_signal(NARROW, seed)) for seed in range(30)])
    assert np.mean(narrow > 3.0) == pytest.approx(0.0111, rel=0.25)


def test_largest_of_a_duration_is_that_of_davenport():
    """Mean of the largest value of pieces with 1000 zero crossings: 3.872 sigma within 3 %."""
    length = round(1000.0 / upcrossing_rate(WIDE) * 20e3)
    found = []
    for seed in range(6):
        x = _signal(WIDE, seed)
        pieces = x[: len(x) // length * length].reshape(-1, length)
        found += list(pieces.max(axis=1))
    assert len(found) > 200
    assert peak_factor(1000.0) == pytest.approx(3.872, abs=0.001)
    assert np.mean(found) == pytest.approx(3.872, rel=0.03)
