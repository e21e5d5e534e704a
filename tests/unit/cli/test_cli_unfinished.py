"""Every command that takes a history, on a run that is not finished."""

import json
import shutil
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner

from rollsim.case.change import changed_case
from rollsim.case.read import load_case
from rollsim.cli import commands
from rollsim.errors import RollsimError
from rollsim.history import SegmentWriter, open_history, status_summary
from rollsim.history.replicate_set import write_list
from rollsim.history.segments import numbered_segments, parts_folder
from rollsim.simulation.stopping import RunStopped
from rollsim.sweep.launch import run

SITE = """\
[site]
name = "Bench"
[[observation]]
kind = "broken"
part = "closures"
"""


def _begun(case, path, blocks, seed):
    """A run stopped after some of its six blocks."""
    left = iter(range(blocks - 1, 0, -1))
    try:
        run(case, path, seed=seed, stop=lambda: None if next(left, 0) else "by the test")
    except RunStopped:
        return
    raise AssertionError("the run was not stopped")


@pytest.fixture(scope="module")
def folder(tmp_path_factory, repository):
    """Two cages: begun.h5 and whole.h5 of one, other.h5 and other2.h5 of the next; early.h5."""
    folder = tmp_path_factory.mktemp("unfinished")
    case = load_case(repository / "tests" / "data" / "case_six_rollers.toml")
    other = changed_case(case, {"clearance.pocket_um": 350.0})
    _begun(case, folder / "begun.h5", 4, 1)
    run(case, folder / "whole.h5", seed=2)
    _begun(other, folder / "other.h5", 5, 1)
    run(other, folder / "other2.h5", seed=2)
    _begun(case, folder / "early.h5", 1, 7)
    (folder / "site.toml").write_text(SITE, encoding="utf-8")
    return folder


@pytest.fixture
def call(folder, tmp_path, monkeypatch):
    """Function that runs a command in a copy of the folder: its exit code and all its words."""
    own = shutil.copytree(folder, tmp_path / "own")
    monkeypatch.chdir(own)

    def invoke(*arguments, code=0):
        done = CliRunner().invoke(commands, [str(part) for part in arguments])
        words = " ".join(done.output.replace("!!", "").split())
        if done.exception and not isinstance(done.exception, SystemExit):
            assert isinstance(done.exception, RollsimError), done.exception
            assert done.exception.exit_code == code
            words += str(done.exception)
        else:
            assert done.exit_code == code, words
        return words

    return invoke


TOLD = "The run is not complete (status: running)"
COMMANDS = {
    "status": "interrupted: stopped by the test",
    "peaks": TOLD,
    "whirl": TOLD,
    "slip": TOLD,
    "vibration": TOLD,
    "fatigue": TOLD,
    "quality": "end of the run: CANNOT TELL",
}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_reads_an_unfinished_run_and_says_so(call, command):
    options = () if command in ("status", "quality") else ("-o", "found")
    assert COMMANDS[command] in call(command, "begun.h5", *options)


@pytest.mark.parametrize("command", ["peaks", "whirl", "slip", "fatigue"])
def test_an_unfinished_run_gives_the_numbers_of_a_file_with_the_same_blocks(
    call, tmp_path, command
):
    whole = call(command, "begun.h5", "-o", "found", "--json")
    SegmentWriter.continue_run("begun.h5").finish()
    assert not parts_folder("begun.h5").exists()
    merged = call(command, "begun.h5", "-o", "found", "--json")
    ours, theirs = (json.loads(text.partition("} wrote")[0] + "}"[: "} wrote" in text]) for text in
                    (whole, merged))  # fmt: skip
    for found in (ours, theirs):
        for name in ("quality", "notes", "warnings"):
            found.pop(name, None)
    assert ours == theirs


@pytest.mark.parametrize("command", ["peaks", "whirl", "slip", "fatigue", "report"])
def test_a_run_that_has_not_settled_is_refused_in_words(call, folder, command):
    case = changed_case(load_case_of("whole.h5"), {"duty.settle_s": 0.035})
    _begun(case, "unsettled.h5", 2, 3)
    options = ("-o", "a.html") if command == "report" else ("-o", "found")
    assert "settling time of 0.035 s" in call(command, "unsettled.h5", *options, code=1)
    words = call("fatigue", "unsettled.h5", "whole.h5", code=2)
    assert "unsettled.h5 is not finished and has no sample after the settling time" in words


def load_case_of(path):
    """Case of a history."""
    with open_history(path) as history:
        return history.case


def test_no_black_box_is_said_in_words(call):
    assert "left by a run that failed" in call("blackbox", "begun.h5", code=2)


@pytest.mark.long
def test_a_report_of_unfinished_runs(call):
    call("report", "begun.h5", "-o", "one.html", "--no-verdict")
    call("report", "begun.h5", "whole.h5", "other.h5", "-o", "two.html", "--no-verdict")
    assert "begun.h5 is not finished" in Path("two.html").read_text("utf-8")


def test_unfinished_runs_are_pooled_and_told(call):
    words = call("fatigue", "begun.h5", "whole.h5", "-o", "found")
    assert "begun.h5 is not finished: 0.04 of 0.06 s are there" in words
    assert "whole.h5 is not finished" not in words
    words = call("fatigue", "begun.h5", "early.h5", "whole.h5", "-o", "found", code=1)
    assert "early.h5" in words and "after the settling time" in words


@pytest.mark.long
def test_unfinished_runs_are_compared_and_told(call):
    words = call("compare", "begun.h5", "whole.h5", "other.h5", "other2.h5", "--jobs", 1)
    for name, reached in (("begun.h5", 0.04), ("other.h5", 0.05)):
        assert f"{name} is not finished: {reached} of 0.06 s are there" in words


def test_unfinished_runs_are_evidence_and_told(call):
    words = call("evidence", "site.toml", "begun.h5", "other2.h5", "-o", "found")
    assert "begun.h5 is not finished" in words and "other2.h5 is not finished" not in words


def test_a_list_names_what_it_leaves_out(call):
    rows = [
        {"number": 1, "file": "whole.h5", "state": "finished", "reason": ""},
        {"number": 2, "file": "begun.h5", "state": "begun", "reason": ""},
        {"number": 3, "file": "gone.h5", "state": "failed", "reason": "a number was lost"},
    ]
    write_list("own_replicates.json", {"replicates": rows})
    words = call("fatigue", "own_replicates.json", "-o", "found")
    assert "left out, not finished yet: begun.h5; failed: gone.h5" in words
    write_list("own_replicates.json", {"replicates": rows[1:]})
    words = call("fatigue", "own_replicates.json", "-o", "found")
    assert "begun.h5 is not finished" in words
    write_list("own_replicates.json", {"replicates": rows[2:]})
    assert "no finished run" in call("fatigue", "own_replicates.json", code=2)


def test_the_part_that_is_there_is_reproduced(call):
    words = call("reproduce", "begun.h5", "-o", "again.h5")
    assert "Same to the bit" in words and "the 0.04 of 0.06 s that are there" in words
    assert len(numbered_segments(parts_folder("again.h5"))) == 4
    assert status_summary("begun.h5")["blocks"] == 4
    assert "the stored run itself" in call("reproduce", "begun.h5", "-o", "./begun.h5", code=2)


def test_a_run_whose_merge_was_cut_short_is_reproduced(call):
    with open_history("whole.h5") as history:
        case = history.case
    with (
        patch("rollsim.history.writer.SegmentWriter.finish", side_effect=InterruptedError),
        pytest.raises(InterruptedError),
    ):
        run(case, "unmerged.h5", seed=5)
    assert not Path("unmerged.h5").exists()
    assert "Same to the bit" in call("reproduce", "unmerged.h5")


def test_watching_ends_with_the_run(call):
    words = call("status", "begun.h5", "--watch")
    assert "66.7 %" in words and "cage off centre: mean" in words
    found = json.loads(call("status", "whole.h5", "--watch", "--json"))
    assert found["state"] == "finished" and found["latest"]["pocket_force_N"]["leading"] >= 0.0
    call("status", "begun.h5", "--every", 3, code=2)


def test_watching_a_run_that_goes_on(call, monkeypatch):
    with SegmentWriter.continue_run("begun.h5") as writer:
        pauses = []

        def pause(seconds):
            pauses.append(seconds)
            if len(pauses) == 2:
                writer.finish()

        monkeypatch.setattr("time.sleep", pause)
        words = call("status", "begun.h5", "--watch", "--every", 0.5)
    assert [seconds for seconds in pauses if seconds == 0.5] == [0.5, 0.5]
    assert words.count("status: running") == 2 and words.count("status: finished") == 1


@pytest.mark.parametrize("form", ["csv", "vtk"])
def test_an_unfinished_run_is_exported(call, form):
    assert TOLD in call("export", "begun.h5", "--to", form, "-o", "part", "--every", 10)
    SegmentWriter.continue_run("begun.h5").finish()
    call("export", "begun.h5", "--to", form, "-o", "whole", "--every", 10)
    files = [file for file in Path("part").rglob("*.*") if file.name != "metadata.json"]
    assert len(files) >= 4
    for file in files:
        assert file.read_bytes() == Path("whole", *file.parts[1:]).read_bytes()
