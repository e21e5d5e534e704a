"""What an evaluation uses, and plain words when there is too little."""

import json

import numpy as np
import pytest

from rollsim.analysis.settled import assumption_lines, settled_window
from rollsim.errors import RollsimError


def test_statistics_begin_after_the_settling_time(plain):
    history = plain.plain_history(samples=1001)
    history.attributes["settle_s"] = 0.3
    window = settled_window(history, history.channel("cage_position"))
    assert (window.start, window.end) == (0.3, 1.0)
    assert window.duration == pytest.approx(0.7)
    assert window.notes == ()


def test_everything_from_the_first_bad_number_on_is_left_out(plain):
    history = plain.plain_history(samples=1001)
    force = history.channels["pocket_force"]
    force[600, 2, 1] = np.nan
    force[800, 0, 0] = np.inf
    window = settled_window(history, history.channel("cage_position"), force)
    assert window.last == 600
    assert "not numbers from 0.6 s" in window.notes[0]


def test_bad_numbers_before_the_settling_time_do_no_harm(plain):
    history = plain.plain_history(samples=1001)
    history.attributes["settle_s"] = 0.3
    history.channels["cage_speed"][10] = np.nan
    assert settled_window(history, history.channel("cage_speed")).last == 1001


def test_a_history_shorter_than_the_settling_time_is_refused_in_plain_words(plain):
    history = plain.plain_history(samples=101)
    history.attributes["settle_s"] = 0.2
    with pytest.raises(RollsimError, match=r"ends at 0\.1 s .* settling time of 0\.2 s"):
        settled_window(history)


def test_a_failed_run_is_named_as_the_reason(plain):
    history = plain.plain_history(samples=101)
    history.channels["cage_speed"][7:] = np.nan
    with pytest.raises(RollsimError, match=r"Only 7 usable samples .* The run failed"):
        settled_window(history, history.channel("cage_speed"))


def test_an_unfinished_run_is_evaluated_with_a_note(plain):
    history = plain.plain_history()
    history.status = "running"
    assert "not complete (status: running)" in settled_window(history).notes[0]


def test_assumptions_are_told_with_value_unit_and_effect(plain):
    history = plain.plain_history()
    item = {"key": "lubricant.oil_fraction", "value": 0.3, "unit": "-", "effect": "pocket film"}
    history.attributes["assumptions"] = json.dumps([item])
    assert assumption_lines(history) == ("lubricant.oil_fraction = 0.3 - (pocket film)",)
    history.attributes["assumptions"] = "no list"
    assert assumption_lines(history) == ()


def test_assumptions_are_written_in_words(plain):
    history = plain.plain_history()
    history.attributes["assumptions"] = json.dumps(
        [
            {"key": "a.count", "value": None, "unit": "", "why": "computed: one a bar"},
            {"key": "a.seed", "value": None, "unit": "", "why": ""},
            {"key": "a.tilt_mrad", "value": [0.0, 0.5], "unit": "mrad", "effect": "skews"},
            {"key": "a.locked", "value": [], "unit": ""},
            {"key": "a.gravity", "value": True, "unit": ""},
            {"key": "a.mass_kg", "value": 0.8855, "unit": "kg", "effect": ""},
        ]
    )
    assert assumption_lines(history) == (
        "a.count = computed: one a bar",
        "a.seed = computed",
        "a.tilt_mrad = 0, 0.5 mrad (skews)",
        "a.locked = none",
        "a.gravity = yes",
        "a.mass_kg = 0.8855 kg",
    )
