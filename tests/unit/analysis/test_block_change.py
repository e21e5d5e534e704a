"""Change of statistics between two runs against their scatter from block to block."""

import numpy as np
import pytest

from rollsim.analysis.block_change import BLOCKS, block_statistics, changes, mean_reach

KEY = ("rms", "N")


def change(first, second):
    """Change of one statistic."""
    (found,) = changes({KEY: np.asarray(first)}, {KEY: np.asarray(second)})
    return found


def test_interval_of_a_mean_is_that_of_student():
    # t(0.95, 4) = 2.1318 (printed tables); deviation of 1..5: sqrt(2.5).
    assert mean_reach(np.arange(1.0, 6.0)) == pytest.approx(2.1318 * np.sqrt(2.5 / 5), rel=1e-4)


def test_a_common_factor_is_seen_whatever_the_scatter_of_the_blocks():
    values = np.exp(np.random.default_rng(1).normal(0.0, 1.0, BLOCKS))
    found = change(values, 1.1 * values)
    assert found.ratio == pytest.approx(1.1)
    assert found.seen
    assert found.within(0.11) and not found.within(0.09)


def test_ninety_percent_of_the_intervals_hold_no_change():
    rng = np.random.default_rng(2)
    logs = rng.normal(0.0, 0.3, (2, 2000, BLOCKS))
    held = [not change(*np.exp(pair)).seen for pair in zip(*logs, strict=True)]
    assert np.mean(held) == pytest.approx(0.9, abs=0.02)


@pytest.mark.parametrize("spoilt", [0.0, np.nan])
def test_blocks_without_contact_have_no_ratio(spoilt):
    found = change([spoilt, *np.ones(9)], np.ones(10))
    assert np.isnan(found.ratio)
    assert not found.within(10.0)


def test_statistics_of_known_signals():
    times = np.linspace(0.0, 1.0, 1000, endpoint=False)
    force = np.zeros((1000, 2, 4))
    force[:, 1, 0] = 2.0
    angle = 2.0 * np.pi * 10.0 * times
    position = np.stack([3.0 + np.cos(angle), np.sin(angle), 0.0 * times], axis=1)
    channels = {
        "pocket_peak": force,
        "raceway_force": np.full((1000, 2, 2), 5.0),
        "cage_position": position,
    }
    found = block_statistics(times, channels, 0.0, 1.0)
    wanted = [2.0 / np.sqrt(8.0), 2.0, 5.0, 1.0]
    for values, number in zip(found.values(), wanted, strict=True):
        assert values == pytest.approx(np.full(BLOCKS, number), rel=0.01)
