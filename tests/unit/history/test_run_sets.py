"""Histories grouped into sets of replicates, and the list of a set."""

import pytest

from rollsim.errors import HistoryError
from rollsim.history import SegmentWriter
from rollsim.history.replicate_set import (
    list_path,
    listed_histories,
    read_list,
    replicate_path,
    write_list,
)
from rollsim.history.sets import case_identity, group_runs

CASE = """\
[case]
name = "{name}"
seed = 1
[duty]
speed_rpm = {speed}
[[vibration]]
kind = "psd"
seed = {own}
"""


@pytest.fixture
def write(tmp_path, attributes, make_block):
    """Function that writes a history of one block: name, seed, and attributes that differ."""

    def make(name, seed, text=None, **changes):
        text = text or CASE.format(name="a", speed=900, own=seed)
        status = changes.pop("status", "finished")
        own = {**attributes, "case_text": text, "seed": seed, "duration_s": 1.0, **changes}
        with SegmentWriter(tmp_path / name, own) as writer:
            writer.append(make_block(0))
            return writer.finish(status)

    return make


@pytest.fixture
def unseeded():
    """Case text whose source has no seed of its own."""
    return CASE.replace("seed = {own}\n", "").format(name="a", speed=900)


def test_runs_of_one_case_are_a_set_and_another_case_is_another(write, unseeded):
    other = unseeded.replace("900", "950")
    paths = [write("a1.h5", 1, unseeded), write("b1.h5", 5, other), write("a2.h5", 2, unseeded)]
    first, second = group_runs(paths)
    assert (first.paths, first.seeds) == ((paths[0], paths[2]), (1, 2))
    assert (second.paths, second.seeds, second.count) == ((paths[1],), (5,), 1)
    assert first.warnings == () and first.duration_s == 1.0


@pytest.mark.parametrize(
    ("old", "new", "same"),
    [
        ("seed = 1", "seed = 7", True),
        ("[duty]", "# a remark\n[duty]", True),
        ("[duty]", 'note = "second shift"\n[duty]', True),
        ("900", "901", False),
        ('"a"', '"b"', False),
    ],
)
def test_only_seeds_remarks_and_notes_do_not_count(unseeded, old, new, same):
    assert (case_identity(unseeded) == case_identity(unseeded.replace(old, new))) is same


def test_every_reason_against_pooling_is_told_at_once(write, unseeded, tmp_path):
    paths = [
        write("a1.h5", 1, unseeded),
        write("a2.h5", 2, unseeded, duration_s=2.0),
        write("a3.h5", 1, unseeded),
        write("a4.h5", 4, unseeded, solver="RK45"),
        write("a5.h5", 5, unseeded, status="stopped: a number was lost"),
        tmp_path / "missing.h5",
    ]
    with pytest.raises(HistoryError) as refusal:
        group_runs([*paths, paths[0]])
    text = str(refusal.value)
    assert "a2.h5 are runs of the same case with another duration (1.0 s and 2.0 s)" in text
    assert "a3.h5 hold the same run (seed 1)" in text
    assert "another solver" in text and "RK45" in text
    assert "a5.h5 holds a run that stopped: a number was lost" in text
    assert "missing.h5 does not exist" in text
    assert "a1.h5 is given twice" in text


def test_runs_of_two_versions_are_not_pooled(write, unseeded, monkeypatch):
    old = write("a1.h5", 1, unseeded)
    monkeypatch.setattr("rollsim.__version__", "99.0")
    with pytest.raises(HistoryError, match=r"version of rollsim \(.* and 99.0\)"):
        group_runs([old, write("a2.h5", 2, unseeded)])


def test_a_random_signal_that_runs_share_is_told(write):
    text = CASE.format(name="a", speed=900, own=8)
    shared = group_runs([write("a1.h5", 1, text), write("a2.h5", 2, text)])[0]
    assert len(shared.warnings) == 1 and "seed of its own (seed = 8)" in shared.warnings[0]
    own = group_runs(
        [write("b1.h5", 1), write("b2.h5", 2, CASE.format(name="a", speed=900, own=9))]
    )
    assert own[0].count == 2 and own[0].warnings == ()


def test_a_recording_is_the_same_in_every_run(write, unseeded):
    text = unseeded.replace("psd", "recording")
    found = group_runs([write("a1.h5", 1, text), write("a2.h5", 2, text)])[0]
    assert "replays one recording in every run" in found.warnings[0]


def test_a_list_stands_for_its_finished_histories(write, unseeded, tmp_path):
    paths = [write(replicate_path("a.h5", k).name, k, unseeded) for k in (1, 2)]
    rows = [{"number": k, "file": path.name, "state": "finished"} for k, path in enumerate(paths)]
    rows.append({"number": 3, "file": "a_r03.h5", "state": "failed"})
    own = list_path(tmp_path / "a.h5")
    write_list(own, {"replicates": rows})
    assert read_list(own)["replicates"] == rows
    assert group_runs([own])[0].paths == tuple(paths)
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".tmp"] == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "cannot be read"),
        ("{", "no list of replicates"),
        ("[]", "no list of replicates"),
        ('{"format": "rollsim replicates", "format_version": 9}', "format 9"),
        ('{"format": "rollsim replicates", "format_version": 1, "replicates": []}', "no finished"),
    ],
)
def test_a_bad_list_is_refused(tmp_path, content, words):
    path = list_path(tmp_path / "a.h5")
    if content is not None:
        path.write_text(content)
    with pytest.raises(HistoryError, match=words):
        listed_histories([path])
