"""Replicates until the interval is narrow, without a run behind them."""

import numpy as np
import pytest

from rollsim.simulation.output import RefusedRun
from rollsim.sweep import replicates as module
from rollsim.sweep.crew import Outcome
from rollsim.sweep.narrowing import half_width, median_interval, next_count
from rollsim.sweep.replicate_types import BEGUN, SetPlan
from rollsim.sweep.replicates import replicates


def test_the_interval_is_that_of_the_median_and_its_longer_side_counts():
    found = median_interval([3.0, 4.0, 5.0, 9.0])
    assert found.estimate == pytest.approx((3 * 4 * 5 * 9) ** 0.25, rel=0.02)
    assert half_width(found) == pytest.approx(found.high / found.estimate - 1.0)


@pytest.mark.parametrize("values", [[], [1.0], [1.0, 0.0], [1.0, np.inf], [1.0, np.nan]])
def test_no_interval_from_values_that_give_none(values):
    assert median_interval(values) is None


@pytest.fixture
def set_of(six, tmp_path, monkeypatch):
    """Function that runs a set whose values are given and whose clock is set by hand."""
    monkeypatch.setattr(module, "compile_note", lambda: None)

    def make(values, plan, backwards=False, stop_after=None):
        clock = [0.0]
        rounds = []
        monkeypatch.setattr(module.time, "monotonic", lambda: clock[0])

        def work(tasks, jobs, listener, time_is_up):
            numbers = [task.number for task in tasks]
            rounds.append(numbers)
            for number in sorted(numbers, reverse=backwards):
                if time_is_up():
                    return
                listener.reached(number, 0.01, None)
                if number == stop_after:
                    clock[0] += 3600.0
                    return
                listener.ended(number, Outcome({"peak_force": values(number)}, ""))

        monkeypatch.setattr(module, "run_side_by_side", work)
        return replicates(six, tmp_path / "six.h5", 3, plan=plan), rounds

    return make


def _scattered(number):
    """Values that scatter by about a tenth."""
    return 100.0 * float(np.exp(0.1 * np.random.default_rng(number).standard_normal()))


@pytest.mark.parametrize("backwards", [False, True])
def test_rounds_go_on_until_the_interval_is_narrow(set_of, backwards):
    found, rounds = set_of(_scattered, SetPlan(within=0.03), backwards)
    numbers = [number for own in rounds for number in own]
    assert numbers == list(range(1, len(found.replicates) + 1))
    assert len(rounds[0]) == 5 and len(rounds) > 1
    assert found.narrow_enough and half_width(found.interval) <= 0.03
    before = [_scattered(number) for number in range(1, len(numbers) - len(rounds[-1]) + 1)]
    assert half_width(median_interval(before)) > 0.03
    assert next_count(half_width(median_interval(before)), len(before), 0.03, 50) == len(numbers)
    assert "as narrow as asked" in found.ended


def test_the_number_allowed_ends_work(set_of):
    found, _ = set_of(_scattered, SetPlan(within=0.001, most=12))
    assert len(found.replicates) == 12 and found.narrow_enough is False
    assert "12 replicates that were allowed" in found.ended


def test_the_time_allowed_ends_work(set_of):
    found, rounds = set_of(_scattered, SetPlan(within=0.001, hours=1.0), stop_after=4)
    assert len(rounds) == 1 and len(found.finished) == 3
    assert found.replicates[3].state == BEGUN and found.narrow_enough is False
    assert found.ended == "The 1 h that were allowed are over."


def test_values_without_limit_end_work(set_of):
    found, rounds = set_of(lambda number: np.inf, SetPlan(within=0.1))
    assert len(rounds) == 1 and found.interval is None
    assert "No interval can be told" in found.ended


@pytest.mark.parametrize(
    ("plan", "count", "words"),
    [
        (SetPlan(within=0.1, most=4), 3, "At most 4 replicates are allowed, fewer than the 5"),
        (SetPlan(within=0.0), 3, "greater than 0"),
        (SetPlan(jobs=0), 3, "At least one"),
        (SetPlan(), 0, "At least one"),
    ],
)
def test_plans_that_cannot_be_followed_are_refused(six, tmp_path, plan, count, words):
    with pytest.raises(RefusedRun, match=words):
        replicates(six, tmp_path / "six.h5", count, plan=plan)
    assert list(tmp_path.iterdir()) == []
