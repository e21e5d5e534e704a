"""The file beside the blocks: what it adds to the progress, and that it cannot mislead."""

import errno
import json
import os
import shutil
import subprocess
import sys
from unittest.mock import patch

import pytest

from rollsim.errors import RunError
from rollsim.history import SegmentWriter, status_summary
from rollsim.history.segments import parts_folder, segment_path
from rollsim.history.sidecar import read_sidecar, sidecar_path


def _content(path):
    return json.loads(sidecar_path(parts_folder(path)).read_text("utf-8"))


def _without(path):
    """Progress with the file out of the way."""
    own = sidecar_path(parts_folder(path))
    aside = own.with_name("aside")
    own.rename(aside)
    found = status_summary(path)
    aside.rename(own)
    return found


def test_what_stands_beside_a_running_run(tmp_path, make_block, attributes):
    path = tmp_path / "run.h5"
    blocks = [make_block(number) for number in range(3)]
    with SegmentWriter(path, attributes) as writer:
        writer.message = "Compiling."
        for block in blocks:
            writer.append(block)
        found, told = _content(path), status_summary(path)
    steps = sum(int(block.quality["steps"]) for block in blocks)
    refused = sum(int(block.quality["rejected"]) for block in blocks)
    assert (found["state"], found["blocks"], found["simulated_s"]) == ("running", 3, 0.3)
    assert (found["steps"], found["rejected"]) == (steps, refused)
    assert found["process"]["pid"] == os.getpid()
    assert found["speed"] == pytest.approx(0.1 / 2.0)
    assert found["time_left_s"] == pytest.approx(0.7 / 0.3 * 6.0)
    assert (told["state"], told["message"], told["speed"]) == (
        "running", "Compiling.", found["speed"],
    )  # fmt: skip
    assert (told["steps"], told["rejected"]) == (steps, refused)
    assert told["peak_pocket_force_N"] == found["peak_pocket_force_N"] > 0.0


def test_steps_are_counted_on_over_a_stop(make_run, make_block):
    path, blocks = make_run(2, finish=False)
    with SegmentWriter.continue_run(path) as writer:
        blocks.append(make_block(2))
        writer.append(blocks[-1])
        assert status_summary(path)["steps"] == sum(int(b.quality["steps"]) for b in blocks)
        writer.finish()
    found = status_summary(path)
    assert (found["state"], found["status"]) == ("finished", "finished")
    assert found["steps"] == sum(int(b.quality["steps"]) for b in blocks)


def test_the_ways_to_leave_a_run_are_told_apart(tmp_path, make_block, attributes):
    path = tmp_path / "run.h5"
    with SegmentWriter(path, attributes) as writer:
        writer.append(make_block(0))
        writer.leave("by the night shift")
    found = status_summary(path)
    assert (found["state"], found["status"]) == (
        "stopped", "interrupted: stopped by the night shift",
    )  # fmt: skip
    with SegmentWriter.continue_run(path) as writer:
        now = status_summary(path)
        assert (now["state"], now["status"], now["message"]) == ("running", "running", "")
        full = OSError(errno.ENOSPC, "No space left on device")
        with (
            patch("rollsim.history.writer.write_whole", side_effect=full),
            pytest.raises(RunError),
        ):
            writer.append(make_block(1))
    found = status_summary(path)
    assert found["state"] == "failed" and "the disk is full" in found["status"]
    with pytest.raises(KeyboardInterrupt), SegmentWriter.continue_run(path) as writer:
        raise KeyboardInterrupt
    assert status_summary(path)["status"] == "interrupted: stopped at once, by Ctrl-C"
    with pytest.raises(ZeroDivisionError), SegmentWriter.continue_run(path) as writer:
        raise ZeroDivisionError("of all things")
    found = status_summary(path)
    assert found["status"] == "interrupted: failed: ZeroDivisionError: of all things"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills by fork and SIGKILL")
def test_a_dead_process_is_no_running_one(make_run, make_block, tmp_path):
    path, _ = make_run(2, finish=False)
    child = os.fork()
    if not child:
        writer = SegmentWriter.continue_run(path)
        writer.append(make_block(2))
        os.kill(os.getpid(), 9)
    os.waitpid(child, 0)
    assert _content(path)["state"] == "running" and _content(path)["process"]["pid"] == child
    found = status_summary(path)
    assert found["state"] == "interrupted" and found["blocks"] == 3
    assert found["status"] == "interrupted: the process that computed it has ended"


def test_a_process_killed_after_a_failure_is_not_told_as_that_failure(make_run, repository):
    path, _ = make_run(2, finish=False)
    full = OSError(errno.ENOSPC, "No space left on device")
    with (
        pytest.raises(RunError),
        patch("rollsim.history.writer.write_whole", side_effect=full),
        SegmentWriter.continue_run(path) as writer,
    ):
        raise RunError(writer._failure("The next block", full))
    assert status_summary(path)["state"] == "failed"
    program = (
        "import os, sys; from rollsim.history import SegmentWriter;"
        "writer = SegmentWriter.continue_run(sys.argv[1]); os._exit(9)"
    )
    own = {**os.environ, "PYTHONPATH": str(repository)}
    done = subprocess.run([sys.executable, "-c", program, str(path)], env=own, check=False)
    assert done.returncode == 9
    found = status_summary(path)
    assert found["status"] == "interrupted: the process that computed it has ended"


def test_a_merge_that_was_cut_short_is_told(make_run):
    path, _ = make_run(2, finish=False)
    with SegmentWriter.continue_run(path) as writer, patch.object(writer, "_merge"):
        with patch.object(writer, "close"), patch("shutil.rmtree"):
            writer.finish()
        assert status_summary(path)["status"].startswith("running: all blocks are computed")
        lock, writer._lock = writer._lock, None
        lock.release()
    found = status_summary(path)
    assert found["state"] == "interrupted" and "merging was cut short" in found["status"]


SPOILT = {
    "torn": lambda text: text[: len(text) // 2],
    "empty": lambda text: "",
    "no JSON": lambda text: "status: finished\n",
    "a list": lambda text: "[1, 2]",
    "changed by hand": lambda text: text.replace('"state": "running"', '"state": "finished"'),
    "of another version": lambda text: text.replace('"format_version": 1', '"format_version": 2'),
    "nested": lambda text: "[" * 100_000,
    "binary": lambda text: "\udcff\udcfe",
}


@pytest.mark.parametrize("how", SPOILT)
def test_a_spoilt_file_is_as_if_it_were_not_there(make_run, how):
    path, _ = make_run(3, finish=False)
    own = sidecar_path(parts_folder(path))
    wanted = _without(path)
    own.write_text(SPOILT[how](own.read_text("utf-8")), "utf-8", "surrogateescape")
    assert status_summary(path) == wanted


def test_a_file_of_other_blocks_is_not_believed(make_run):
    path, _ = make_run(3, finish=False)
    other, _ = make_run(3, finish=False, name="other.h5", rows=50)
    shorter, _ = make_run(2, finish=False, name="shorter.h5")
    own = sidecar_path(parts_folder(path))
    wanted = _without(path)
    for foreign in (other, shorter):
        shutil.copy(sidecar_path(parts_folder(foreign)), own)
        assert status_summary(path) == wanted
    last = segment_path(parts_folder(shorter), 1)
    last.write_bytes(last.read_bytes()[:-1])
    found = status_summary(shorter)
    assert (found["blocks"], found["speed"]) == (1, None)


def test_no_block_and_no_file_say_nothing(tmp_path):
    assert read_sidecar(tmp_path, "") is None


def test_overwriting_forgets_it(make_run, attributes):
    path, _ = make_run(2, finish=False)
    with SegmentWriter(path, attributes, overwrite=True):
        assert not sidecar_path(parts_folder(path)).exists()
