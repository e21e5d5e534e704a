"""Changing values of a case: checked like a file, and the new text repeats it."""

import tomllib

import pytest

from rollsim.case.change import changed_case, toml_text
from rollsim.case.read import parse_case
from rollsim.case.template import template_text
from rollsim.errors import CaseError


def test_changed_values_reach_case_text_and_ledger(good_text):
    case = parse_case(good_text, "screen.toml")
    changes = {"duty.duration_s": 0.5, "vibration[1].gain": 2.0, "solver.name": "RK45"}
    changed = changed_case(case, changes)
    assert (changed.duty.duration_s, changed.vibration[0].gain) == (0.5, 2.0)
    assert changed.solver.name == "RK45"
    assert parse_case(changed.text, "screen.toml") == changed
    gone = {item.key for item in case.assumptions} - {item.key for item in changed.assumptions}
    assert gone == {"vibration[1].gain", "solver.name"}
    assert case.duty.duration_s == 2.0


def test_no_change_gives_the_same_case(good_text):
    case = parse_case(good_text)
    assert changed_case(case, {}) is case


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("duty.duration_s", -1.0, "duty.duration_s = -1.0: must be a number in s, greater than 0"),
        ("duty.duraton_s", 1.0, "did you mean 'duration_s'"),
        ("clearance.guidance_um", 30000.0, "land of the outer ring would lie at 228 mm"),
        ("vibration[2].gain", 2.0, "'vibration\\[2\\].gain' cannot be set"),
        ("duty.duration_s.deep", 2.0, "cannot be set"),
    ],
)
def test_wrong_changes_are_refused_like_wrong_files(good_text, key, value, message):
    with pytest.raises(CaseError, match=message):
        changed_case(parse_case(good_text), {key: value})


@pytest.mark.parametrize(
    "text",
    [
        template_text(),
        'a = "quote \\" back \\\\ line \\n del \\u007f"\n[b."c d"]\ne = [[1, 2.5], ["x", true]]\n',
        "[[a]]\nx = 1\n[a.b]\ny = 1e-7\n[[a]]\nx = inf\n[[a.c]]\nz = []\n[[a.c]]\n",
    ],
)
def test_written_text_reads_back_as_the_same_data(text):
    assert tomllib.loads(toml_text(tomllib.loads(text))) == tomllib.loads(text)
