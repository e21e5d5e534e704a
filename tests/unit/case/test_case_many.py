"""Many slips in one file are all reported in one pass, in the order of the file."""

import pickle
from pathlib import Path

import pytest

from rollsim.case.read import load_case, parse_case
from rollsim.errors import CaseError, Problem

MANY = Path(__file__).parents[2] / "data" / "case_many_wrong.toml"
EXPECTED = [
    (5, "bearing.bore_mm"),
    (6, "bearing.outside_diameter_mm"),
    (10, "roller.length_mm"),
    (13, "roller.lenght_mm"),
    (17, "cage.inner_diameter_mm"),
    (19, "cage.cover_thickness_mm"),
    (20, "cage.guidance"),
    (24, "cage.closure.diameter_mm"),
    (28, "clearance.pocket_um"),
    (33, "vibration[1].psd"),
    (33, "vibration[1].psd[2]"),
    (36, "vibration[2].kind"),
    (39, "solver.tolerance"),
    (None, "duty"),
]


@pytest.fixture
def many_problems():
    """The error of the file with many slips."""
    with pytest.raises(CaseError) as caught:
        load_case(MANY)
    return caught.value


def test_all_problems_come_in_one_pass_sorted_by_line(many_problems):
    assert [(problem.line, problem.key) for problem in many_problems.problems] == EXPECTED


def test_error_text_counts_problems_and_lists_each(many_problems):
    first, *rest = str(many_problems).splitlines()
    assert first == f"{MANY}: {len(EXPECTED)} problems found"
    assert [line.strip() for line in rest] == [str(item) for item in many_problems.problems]


def test_no_wording_of_the_validator_reaches_the_user(many_problems):
    text = str(many_problems).lower()
    for word in ("pydantic", "traceback", "input should", "field required", "valueerror"):
        assert word not in text


def test_case_error_ends_with_exit_code_two_and_survives_another_process(many_problems):
    assert many_problems.exit_code == 2
    assert str(pickle.loads(pickle.dumps(many_problems))) == str(many_problems)


def test_one_problem_is_counted_in_the_singular():
    error = CaseError([Problem("a.toml", 3, "roller.count", 1, "too few")])
    assert str(error) == "a.toml: 1 problem found\n  a.toml, line 3: roller.count = 1: too few"


def test_relation_is_checked_although_another_key_of_its_table_is_wrong(good_text):
    text = good_text.replace('guidance = "outer_ring"', "guidance = 1")
    text = text.replace("inner_diameter_mm = 178.0", "inner_diameter_mm = 150.0")
    with pytest.raises(CaseError) as caught:
        parse_case(text)
    keys = [problem.key for problem in caught.value.problems]
    assert keys == ["cage.inner_diameter_mm", "cage.guidance"]
