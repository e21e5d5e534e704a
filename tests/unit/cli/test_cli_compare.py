"""The command that holds cages against each other: wrong input, help, and a whole comparison."""

import json

import pytest

FILES = {
    "compared_exceedance.png",
    "compared_utilisation.png",
    "compared_closures.png",
    "compared_closure_ring.png",
    "comparison.csv",
}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "Missing argument"),
        (("none.h5", "other.h5"), "other.h5 does not exist"),
        (("six.toml",), "six.toml"),
        ((".", "none.h5"), "a folder, not a history file"),
        (("none_replicates.json",), "none_replicates.json cannot be read"),
    ],
)
def test_wrong_input_is_refused(rollsim, folder, arguments, words):
    answer = rollsim("compare", *arguments, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert not list(folder.glob("comparison*"))


@pytest.mark.long
def test_two_runs_are_compared_but_not_ranked(rollsim, finished):
    folder, _ = finished
    text = (folder / "six.toml").read_text("utf-8")
    other = text.replace("cover_thickness_mm = 4.5", "cover_thickness_mm = 4.0")
    assert other != text
    (folder / "thin.toml").write_text(other, encoding="utf-8")
    assert rollsim("run", "thin.toml", folder=folder).code == 0
    words = ("compare", "six.h5", "thin.h5", "--json", "-o", "compared")
    answer = rollsim(*words, folder=folder)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out, parse_constant=pytest.fail)
    assert [side["letter"] for side in found["sides"]] == ["A", "B"]
    assert "CANNOT RANK" in found["answer"][-1]
    keys = [row["key"] for row in found["input_differences"]]
    assert keys == ["cage.cover_thickness_mm"]
    assert "2 of 2 runs evaluated" in answer.err
    assert {path.name for path in (folder / "compared").iterdir()} == FILES
