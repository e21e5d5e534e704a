"""Impulse and friction work per time, their scatter, and the order of the pockets."""

import numpy as np
import pytest

from rollsim.analysis.wear import has_sums, total, wear
from rollsim.errors import RollsimError


@pytest.fixture
def even(plain):
    """2 N s/s and 0.1 W on every pocket face, half of that on every other contact."""
    return plain.add_wear(plain.plain_history(), impulse=2.0, work=0.1)


def test_even_sums_give_their_rates_without_scatter(even):
    result = wear(even)
    assert result.pocket_impulse.mean == pytest.approx(np.full((6, 4), 2.0))
    assert result.pocket_work.mean == pytest.approx(np.full((6, 4), 360.0))
    assert result.land_impulse.mean == pytest.approx([1.0, 1.0])
    assert result.raceway_work.mean == pytest.approx(np.full((6, 2), 180.0))
    assert result.flange_work.mean == pytest.approx(np.full((6, 2), 180.0))
    assert result.pocket_impulse.error == pytest.approx(np.zeros((6, 4)), abs=1e-9)
    assert result.window_edges[[0, -1]] == pytest.approx([even.time[0], even.time[-1]])


def test_scatter_is_the_standard_error_of_the_windows(even):
    """A face that works in the first half only: mean 1, windows 2 or 0."""
    impulse = even.channels["pocket_impulse"]
    impulse[:, 2, 1] = 2.0 * np.minimum(even.time, 2.0)
    result = wear(even, windows=10)
    assert result.pocket_impulse.windows[:, 2, 1] == pytest.approx([2.0] * 5 + [0.0] * 5)
    assert result.pocket_impulse.mean[2, 1] == pytest.approx(1.0)
    expected = np.std([2.0] * 5 + [0.0] * 5, ddof=1) / np.sqrt(10.0)
    assert result.pocket_impulse.error[2, 1] == pytest.approx(expected)
    summed = total(result.pocket_impulse, 1)
    assert summed.mean[2] == pytest.approx(7.0)
    # The other faces do not scatter.
    assert summed.error[2] == pytest.approx(expected)


def test_pockets_are_put_in_order_and_one_that_stands_out_is_told(even):
    rng = np.random.default_rng(5)
    steps = rng.exponential(1.0, (len(even.time), 6, 4)) * 2e-3
    even.channels["pocket_impulse"] = np.cumsum(steps, axis=0)
    assert not wear(even).distinct
    even.channels["pocket_impulse"][:, 3] *= 1.5
    result = wear(even)
    assert result.ranking[0].roller == 3
    assert result.distinct
    impulses = [rank.impulse for rank in result.ranking]
    assert impulses == sorted(impulses, reverse=True)
    assert sorted(rank.roller for rank in result.ranking) == list(range(6))
    assert result.ranking[0].work == pytest.approx(4 * 360.0)


def test_a_turn_of_the_cage_is_the_shortest_window(plain):
    history = plain.add_wear(plain.plain_history(cage_speed=10.0), impulse=1.0)
    # 4 s at 10 rad/s are 6.4 turns.
    assert len(wear(history).window_edges) == 7
    slow = plain.add_wear(plain.plain_history(cage_speed=1.0), impulse=1.0)
    result = wear(slow)
    assert len(result.window_edges) == 5
    assert any("0.6 times" in note for note in result.notes)


def test_settling_does_not_count(even):
    even.attributes["settle_s"] = 1.0
    even.channels["pocket_impulse"][even.time < 1.0] = 0.0
    result = wear(even)
    assert result.pocket_impulse.mean == pytest.approx(np.full((6, 4), 2.0))


def test_refusals_say_why(even):
    with pytest.raises(RollsimError, match="at least 1; 0"):
        wear(even, windows=0)
    assert has_sums(even)
    del even.channels["land_impulse"]
    assert not has_sums(even)
    with pytest.raises(RollsimError, match="earlier"):
        wear(even)
    with_gap = even
    with_gap.channels["land_impulse"] = np.full((len(even.time), 2), np.nan)
    with pytest.raises(RollsimError, match="land_impulse"):
        wear(with_gap)
