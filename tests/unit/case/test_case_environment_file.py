"""A user's own file of vibration environments."""

import json

import pytest

from rollsim.case.change import changed_case
from rollsim.case.environment_file import environments_of_records
from rollsim.case.environments import MEASURED, RECALLED, used_environments
from rollsim.case.read import load_case
from rollsim.errors import CaseError

GOOD = """\
[environment.deck_5]
psd = [[10.0, 0.015], [40.0, 0.015], [500.0, 0.00015]]
psd_unit = "g2/Hz"
source = "record of the upper deck, 3 May"
basis = "measured"
overall_rms = 1.04
note = "wet feed"

[environment.old_sheet]
psd = [[5.0, 2.0], [100.0, 2.0]]
psd_unit = "(m/s2)2/Hz"
source = "data sheet 12"
basis = "memory"
"""
SOURCE = '\n[[vibration]]\nkind = "psd"\naxis = "x"\nenvironment = "{}"\n'


def written(folder, good_text, environments, name="deck_5"):
    """Case file and file of environments in a folder; path of the case."""
    head = good_text.split("[[vibration]]")[0]
    text = head.replace("[case]", '[case]\nenvironments_file = "own.toml"', 1)
    (folder / "case.toml").write_text(text + SOURCE.format(name), encoding="utf-8")
    if environments is not None:
        (folder / "own.toml").write_text(environments, encoding="utf-8")
    return folder / "case.toml"


def problems(path):
    """Problems of a case file."""
    with pytest.raises(CaseError) as caught:
        load_case(path)
    return caught.value.problems


def test_environment_of_a_file_is_used_with_its_flag(tmp_path, good_text):
    case = load_case(written(tmp_path, good_text, GOOD))
    (found,) = used_environments(case)
    assert found.name == "deck_5"
    assert found.basis == MEASURED
    assert found.flag == "record of the upper deck, 3 May; measured; wet feed"
    assert found.rms() == pytest.approx(1.04, rel=0.01)
    assert case.environments["old_sheet"].basis == RECALLED
    assert case.environments["old_sheet"].points_si == ((5.0, 2.0), (100.0, 2.0))


def test_changed_case_keeps_the_environments(tmp_path, good_text):
    case = load_case(written(tmp_path, good_text, GOOD))
    (tmp_path / "own.toml").unlink()
    assert changed_case(case, {"case.seed": 9}).environments == case.environments


def test_environments_come_back_from_their_records(tmp_path, good_text):
    from dataclasses import asdict

    case = load_case(written(tmp_path, good_text, GOOD))
    records = json.loads(json.dumps([asdict(item) for item in used_environments(case)]))
    assert environments_of_records(records)["deck_5"] == case.environments["deck_5"]


def test_every_problem_of_both_files_comes_in_one_pass(tmp_path, good_text):
    bad = GOOD.replace("[40.0, 0.015]", "[4.0, 0.015]").replace(
        'basis = "memory"', 'basis = "sure"'
    )
    path = written(tmp_path, good_text.replace('name = "', 'nam = "', 1), bad, "deck_6")
    found = problems(path)
    mine = [item for item in found if item.file == str(path)]
    others = [item for item in found if item.file == str(tmp_path / "own.toml")]
    assert len(mine) + len(others) == len(found)
    assert [item.file for item in found] == [item.file for item in (*mine, *others)]
    assert any("unknown environment" in item.message for item in mine)
    assert {item.suggestion for item in mine} >= {"deck_5"}
    assert [(item.line, item.key) for item in others] == [
        (2, "environment.deck_5.psd[2]"),
        (13, "environment.old_sheet.basis"),
    ]


def test_a_level_that_is_not_that_of_the_breakpoints_is_told(tmp_path, good_text):
    (found,) = problems(written(tmp_path, good_text, GOOD.replace("1.04", "10.4")))
    assert (found.line, found.key) == (6, "environment.deck_5.overall_rms")
    assert "1.04" in found.message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (None, "no such file"),
        ("", "holds no environment"),
        ("x = 1\n", "unknown table or key 'x'"),
        ("[environment]\npsd = 3\n", "a name of its own"),
        ("[environment.a\n", "not valid TOML"),
        (GOOD.replace("deck_5", "computer_board"), "that of a shipped environment"),
        (GOOD.replace("basis", "bases"), "unknown key 'bases'"),
    ],
)
def test_files_that_cannot_be_used(tmp_path, good_text, text, words):
    found = problems(written(tmp_path, good_text, text, "minimum_workmanship"))
    assert any(words in str(item) for item in found), found
    assert not any("unknown environment" in item.message for item in found)
