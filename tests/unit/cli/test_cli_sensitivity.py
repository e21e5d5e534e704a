"""The command that tells what a verdict rests on."""

import json

import pytest


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--vary", "lubricant.pocket_friction"], "KEY=LOW:HIGH"),
        (["--only", "nowhere"], "Nothing to vary in nowhere"),
        (["--replicates", "1"], "1"),
    ],
)
def test_a_bad_option_is_refused_before_anything_is_written(rollsim, folder, options, words):
    answer = rollsim("sensitivity", "six.toml", *options, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert [path.name for path in folder.iterdir()] == ["six.toml"]


def test_the_ranges_can_be_listed(rollsim, folder):
    answer = rollsim("sensitivity", "six.toml", "--list", "--json", folder=folder)
    assert answer.code == 0, answer.err
    rows = {row["key"]: row for row in json.loads(answer.out)["ranges"]}
    assert rows["fatigue.surface_factor"]["range"] == "0.75, 1"
    assert rows["clearance.pocket_um"]["given"] == "also where given"


@pytest.mark.long
def test_what_needs_no_run_is_judged_from_runs_of_the_case(rollsim, folder):
    options = ("--no-runs", "--only", "fatigue", "--replicates", "2", "--duration", "0.03")
    answer = rollsim("sensitivity", "six.toml", *options, folder=folder)
    assert answer.code == 0, answer.err
    assert "fatigue.surface_factor" in answer.out and "licensed engineer" in answer.out
    assert "Expected time" in answer.err
    kept = {path.name for path in (folder / "six_sensitivity").iterdir()}
    assert {"tornado.png", "sensitivity.csv", "case_itself_r01.h5", "case_itself_r02.h5"} <= kept
