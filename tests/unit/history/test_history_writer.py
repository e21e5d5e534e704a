"""Writing, merging and going on with a run."""

import os
from dataclasses import replace

import h5py
import numpy as np
import pytest

from rollsim.errors import RunError
from rollsim.history import Block, SegmentWriter, open_history, resume_point
from rollsim.history.attributes import read_attributes, write_attributes
from rollsim.history.segments import opened_segment, parts_folder, segment_path


def test_history_round_trip_is_exact(make_run, assert_same, attributes):
    path, blocks = make_run(4)
    with open_history(path) as history:
        assert_same(history, blocks)
        assert history.status == "finished"
        for name in ("case_text", "case_name", "seed", "duration_s", "roller_count"):
            assert history.attributes[name] == attributes[name]
        assert history.attributes["format"] == "rollsim history"
        assert history.attributes["format_version"] == 1
        assert history.assumptions == attributes["assumptions"]
    assert not parts_folder(path).exists()
    assert os.listdir(path.parent) == ["run.h5"]


@pytest.mark.parametrize("sizes", [(1000, 1000, 400), (1001, 1000, 999), (2000, 1000, 37)])
def test_history_merge_equals_concatenation(tmp_path, make_block, attributes, assert_same, sizes):
    path = tmp_path / "run.h5"
    blocks, start = [], 0.0
    with SegmentWriter(path, attributes) as writer:
        for number, rows in enumerate(sizes):
            block = make_block(number, rows, episodes=3 * number)
            block.history["time"] = start + np.arange(1, rows + 1) / 1000.0
            block.peak["time"] = block.history["time"]
            start = block.history["time"][-1]
            writer.append(block)
            blocks.append(block)
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)


def test_arrays_of_a_block_may_be_used_again(tmp_path, make_block, attributes, assert_same):
    """A rest that does not fill a chunk waits for the next block."""
    blocks = [make_block(number, 30) for number in range(3)]
    buffers = make_block(7, 30)
    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        for block in blocks:
            for group in ("history", "peak"):
                for name, values in getattr(buffers, group).items():
                    values[...] = getattr(block, group)[name]
            writer.append(replace(block, history=buffers.history, peak=buffers.peak))
        writer.finish()
    with open_history(tmp_path / "run.h5") as history:
        assert_same(history, blocks)


def test_attributes_are_replaced_by_others_of_any_kind(tmp_path):
    with h5py.File(tmp_path / "some.h5", "w") as file:
        write_attributes(file, {"a": "text", "b": 1, "c": None, "d": "", "e": [1, "\u03bc"]})
        write_attributes(file, {"a": "longer text", "b": "text", "d": 2.5})
        assert read_attributes(file) == {
            "a": "longer text",
            "b": "text",
            "d": 2.5,
            "e": '[1, "\\u03bc"]',
        }
        write_attributes(file, {"a": "\u00d8 26 mm"})
        assert file.attrs["a"] == "\u00d8 26 mm"
        assert h5py.check_string_dtype(file.attrs.get_id("a").dtype).encoding == "utf-8"


def test_history_file_is_packed_and_checked_by_chunk(make_run):
    path, _ = make_run(2, rows=1000)
    with h5py.File(path) as file:
        dataset = file["history/pocket_force"]
        assert (dataset.compression, dataset.compression_opts) == ("gzip", 1)
        assert dataset.shuffle and dataset.fletcher32
        assert dataset.chunks[0] == 1000


def test_history_long_case_text_fits(tmp_path, make_block, attributes):
    text = "# a long table\n" * 20_000
    with SegmentWriter(tmp_path / "run.h5", {**attributes, "case_text": text}) as writer:
        writer.append(make_block(0))
        writer.finish()
    with open_history(tmp_path / "run.h5") as history:
        assert history.attributes["case_text"] == text


def test_history_status_of_a_stopped_run_is_kept(tmp_path, make_block, attributes):
    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        writer.append(make_block(0))
        assert writer.finish("stopped: by the user") == tmp_path / "run.h5"
    with open_history(tmp_path / "run.h5") as history:
        assert history.status == "stopped: by the user"


def test_history_resume_point_returns_the_very_checkpoint(make_run, attributes):
    path, blocks = make_run(3, finish=False)
    point = resume_point(path)
    assert (point.segments, point.end_time) == (3, blocks[-1].quality["end_time"])
    assert point.attributes["case_text"] == attributes["case_text"]
    assert point.wall_time == 6.0
    assert set(point.checkpoint) == set(blocks[-1].checkpoint)
    for name, wanted in blocks[-1].checkpoint.items():
        got = point.checkpoint[name]
        assert got.dtype == np.asarray(wanted).dtype
        assert got.shape == np.shape(wanted)
        np.testing.assert_array_equal(got, wanted)


def test_history_finished_file_keeps_the_last_checkpoint(make_run):
    path, blocks = make_run(2)
    with open_history(path) as history:
        np.testing.assert_array_equal(history.checkpoint()["state"], blocks[1].checkpoint["state"])


def test_history_resume_point_is_none_when_nothing_waits(make_run, tmp_path):
    finished, _ = make_run(1)
    assert resume_point(finished) is None
    assert resume_point(tmp_path / "other.h5") is None


def test_history_continued_run_equals_an_unbroken_one(make_run, make_block, assert_same):
    path, blocks = make_run(2, finish=False)
    with SegmentWriter.continue_run(path) as writer:
        assert (writer.segments, writer.end_time) == (2, writer.resume.end_time)
        blocks.append(make_block(2))
        writer.append(blocks[-1])
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)
        assert history.attributes["wall_time_s"] == 6.0


@pytest.mark.parametrize("damage", ["cut", "flipped", "emptied", "absent"])
def test_history_damaged_last_segment_is_dropped(make_run, make_block, assert_same, damage):
    path, blocks = make_run(3, finish=False)
    last = segment_path(parts_folder(path), 2)
    raw = bytearray(last.read_bytes())
    raw[len(raw) // 2] ^= 1
    content = {"cut": raw[: len(raw) // 3], "flipped": raw, "emptied": b""}
    last.unlink() if damage == "absent" else last.write_bytes(content[damage])
    assert resume_point(path).segments == 2
    with open_history(path) as history:
        assert_same(history, blocks[:2])
    with SegmentWriter.continue_run(path) as writer:
        assert writer.segments == 2
        writer.append(make_block(2))
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)


def test_history_run_goes_on_before_a_damaged_segment_in_the_middle(make_run, make_block):
    path, _ = make_run(4, finish=False)
    segment_path(parts_folder(path), 1).write_bytes(b"rubbish")
    assert resume_point(path).segments == 1
    with SegmentWriter.continue_run(path) as writer:
        writer.append(make_block(1))
        # The blocks behind the gap must not come back.
        assert resume_point(path).segments == 2


def test_history_every_flipped_byte_of_a_segment_is_noticed(make_run):
    path, _ = make_run(1, finish=False)
    segment = segment_path(parts_folder(path), 0)
    raw = segment.read_bytes()
    rng = np.random.default_rng(5)
    for place in [0, len(raw) - 1, *rng.integers(0, len(raw), 40)]:
        changed = bytearray(raw)
        changed[place] ^= 0x10
        segment.write_bytes(changed)
        with pytest.raises(OSError, match="missing or damaged"), opened_segment(segment):
            pass
    segment.write_bytes(raw)
    with opened_segment(segment) as file:
        assert "history" in file


def test_history_fresh_start_over_an_output_is_refused(make_run, make_block, attributes):
    finished, _ = make_run(1, name="a.h5")
    waiting, _ = make_run(2, finish=False, name="b.h5")
    with pytest.raises(RunError, match=r"a\.h5 exists already"):
        SegmentWriter(finished, attributes)
    with pytest.raises(RunError, match="2 finished blocks of an earlier run"):
        SegmentWriter(waiting, attributes)
    assert resume_point(waiting).segments == 2
    for path in (finished, waiting):
        with SegmentWriter(path, attributes, overwrite=True) as writer:
            writer.append(make_block(9))
            assert resume_point(path).segments == 1
            writer.finish()
        with open_history(path) as history:
            assert len(history.time) == 100


def test_history_fresh_start_after_death_before_the_first_block(tmp_path, make_block, attributes):
    folder = parts_folder(tmp_path / "run.h5")
    folder.mkdir()
    (folder / "segment_000000.h5").write_bytes(b"torn")
    (folder / "segment_000000.h5.tmp").write_bytes(b"torn")
    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        writer.append(make_block(0))
        writer.finish()
    assert os.listdir(tmp_path) == ["run.h5"]


def test_history_nothing_to_go_on_with_is_said(make_run, tmp_path):
    finished, _ = make_run(1)
    with pytest.raises(RunError, match="is complete"):
        SegmentWriter.continue_run(finished)
    with pytest.raises(RunError, match="no unfinished run"):
        SegmentWriter.continue_run(tmp_path / "other.h5")
    parts_folder(tmp_path / "empty.h5").mkdir()
    with pytest.raises(RunError, match="no finished block"):
        SegmentWriter.continue_run(tmp_path / "empty.h5")


def test_history_finish_without_a_block_leaves_nothing(tmp_path, attributes):
    writer = SegmentWriter(tmp_path / "run.h5", attributes)
    with pytest.raises(RunError, match="No block was finished"):
        writer.finish()
    assert os.listdir(tmp_path) == []


def test_history_block_must_follow_the_one_before(tmp_path, make_block, attributes):
    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        writer.append(make_block(1))
        with pytest.raises(ValueError, match="not after"):
            writer.append(make_block(0))
        other = make_block(2)
        del other.history["roller_skew"]
        with pytest.raises(ValueError, match="other channels"):
            writer.append(other)
        assert writer.segments == 1


def test_history_may_leave_channels_out(tmp_path, attributes):
    block = Block({"time": np.array([0.1, 0.2])}, quality={"end_time": 0.2})
    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        writer.append(block)
        writer.finish()
    with open_history(tmp_path / "run.h5") as history:
        assert history.names("history") == ("time",)
        assert history.names("peak") == history.names("impacts") == ()
        assert history.impacts() == {}


def test_history_checkpoint_that_cannot_be_kept_exactly_is_refused(
    tmp_path, make_block, attributes
):
    for name, value in (("a/b", np.zeros(3)), ("text", np.array("abc"))):
        block = make_block(0)
        block.checkpoint[name] = value
        with (
            SegmentWriter(tmp_path / "run.h5", attributes) as writer,
            pytest.raises(ValueError, match="cannot be stored"),
        ):
            writer.append(block)
