"""The command that holds rollsim against published values."""

import json
import sys

import pytest

from rollsim.cli import main


@pytest.fixture
def inside(monkeypatch, capsys):
    """Function that runs the command line in this process: exit code, output, errors."""

    def call(*arguments):
        monkeypatch.setattr(sys, "argv", ["rollsim", *arguments])
        try:
            main()
            code = 0
        except SystemExit as end:
            code = end.code
        return code, *capsys.readouterr()

    return call


def test_chosen_checks_are_computed_and_told(rollsim, tmp_path):
    answer = rollsim("verify", "minimum load", "J02", folder=tmp_path)
    assert answer.code == 0, answer.err
    assert "Film at the guiding land" in answer.out and "Vibration levels" not in answer.out
    (line,) = (line for line in answer.out.splitlines() if "J02b" in line)
    assert "40.585" in line and "deg" in line
    count = sum(line.startswith("    ") for line in answer.out.splitlines())
    assert answer.out.splitlines()[-1] == f"{count} of {count} within tolerance"
    assert list(tmp_path.iterdir()) == []


def test_json_holds_the_numbers(rollsim, tmp_path):
    answer = rollsim("verify", "J02", "--json", folder=tmp_path)
    assert answer.code == 0, answer.err
    data = json.loads(answer.out)
    assert (data["checked"], data["within"]) == (3, 3)
    assert [row["expected"] for row in data["rows"]] == [0.675788, 40.585, 32.4212]
    for row in data["rows"]:
        assert row["computed"] == pytest.approx(row["expected"], rel=1e-5)
        assert row["computed"] != row["expected"]


def test_a_word_that_no_check_answers_to_is_bad_input(rollsim, tmp_path):
    answer = rollsim("verify", "J02", "rainflwo", folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert "No check answers to 'rainflwo'. Did you mean 'rainflow'?" in answer.err


def test_the_list_names_all_topics_and_computes_nothing(inside, monkeypatch):
    from rollsim.verification import check
    from rollsim.verification.catalogue import TOPICS

    monkeypatch.setattr(check, "outcome_of", lambda _: 1 / 0)
    code, out, err = inside("verify", "--list")
    assert (code, err) == (0, "")
    assert all(topic.name in out for topic in TOPICS)
    assert out.splitlines()[-1] == f"{sum(len(t.checks) for t in TOPICS)} checks"


def test_a_formula_that_goes_wrong_ends_in_exit_code_1(inside, monkeypatch):
    """A wrong rule of the minimum load: its row is told as off, the others stand."""
    from rollsim.verification import load_zone

    monkeypatch.setattr(load_zone, "minimum_load", lambda rating, share=0.02: 1.1 * share * rating)
    code, out, err = inside("verify", "C02", "L01")
    assert code == 1
    assert out.splitlines()[-1] == "1 of 3 within tolerance"
    assert "OFF: C02a minimum load of a roller bearing, C = 100 kN" in out
    assert err.strip() == "Not within tolerance: C02a, C02b."


def test_a_formula_that_breaks_ends_in_exit_code_1_too(inside, monkeypatch):
    from rollsim.verification import load_zone

    monkeypatch.setattr(load_zone, "minimum_load", lambda *_: 1 / 0)
    code, out, _ = inside("verify", "C02", "--json")
    assert code == 1
    rows = json.loads(out)["rows"]
    assert [row["problem"].split(":")[0] for row in rows] == ["ZeroDivisionError"] * 2
    assert not any(row["within"] for row in rows)
