"""Full disks, forbidden folders, and two runs on one output."""

import errno
import json
import os
import socket
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

import rollsim.history.files
from rollsim.errors import RunError
from rollsim.history import SegmentWriter, open_history, resume_point
from rollsim.history.files import plain_reason
from rollsim.history.locks import is_held, read_note
from rollsim.history.segments import parts_folder

LIMITED_MERGE = """
import resource, signal, sys
from rollsim.errors import RunError
from rollsim.history import SegmentWriter

writer = SegmentWriter.continue_run(sys.argv[1])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, resource.RLIM_INFINITY))
try:
    writer.finish()
except RunError as problem:
    print(problem)
"""

HOLDER = """
import sys, time
from rollsim.history import SegmentWriter

writer = SegmentWriter.continue_run(sys.argv[1])
print("holding", flush=True)
time.sleep(600)
"""


def python(script, *arguments, **options):
    """Start another Python on a script given as text."""
    environment = {**os.environ, "PYTHONPATH": str(Path(rollsim.__file__).parents[1])}
    command = [sys.executable, "-c", textwrap.dedent(script), *map(str, arguments)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True, **options)


def open_full_device(path, mode):
    """Open the always-full device instead of a file."""
    return open("/dev/full", mode)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs the always-full device")
def test_history_full_disk_keeps_the_finished_blocks(
    tmp_path, make_block, attributes, assert_same, monkeypatch
):
    path = tmp_path / "run.h5"
    blocks = [make_block(number) for number in range(3)]
    with SegmentWriter(path, attributes) as writer:
        writer.append(blocks[0])
        writer.append(blocks[1])
        with monkeypatch.context() as full:
            full.setattr(rollsim.history.files, "open", open_full_device, raising=False)
            with pytest.raises(RunError) as caught:
                writer.append(blocks[2])
        text = str(caught.value)
        assert "the disk is full" in text
        assert "2 finished blocks, up to 0.2 s" in text
        assert str(parts_folder(path)) in text
        assert caught.value.exit_code == 1
        assert resume_point(path).segments == 2
        # There is room again: the same block is accepted.
        writer.append(blocks[2])
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_history_failed_write_leaves_no_rubbish(
    tmp_path, make_block, attributes, monkeypatch, call
):
    def fail(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with SegmentWriter(tmp_path / "run.h5", attributes) as writer:
        writer.append(make_block(0))
        held = sorted(os.listdir(writer.folder))
        with monkeypatch.context() as full:
            full.setattr(rollsim.history.files.os, call, fail)
            with pytest.raises(RunError, match="the disk is full"):
                writer.append(make_block(1))
        # The output made beside has given way to the block.
        assert sorted(os.listdir(writer.folder)) == [n for n in held if n != "merged.h5.tmp"]


@pytest.mark.skipif(os.name != "posix", reason="needs a limit on file sizes")
def test_history_merge_that_fails_keeps_the_blocks(make_run, assert_same):
    path, blocks = make_run(3, finish=False, rows=1000)
    text, _ = python(LIMITED_MERGE, path).communicate(timeout=120)
    assert "run.h5 could not be written: the file became larger than" in text
    assert "3 finished blocks, up to 3 s" in text
    assert not path.exists()
    assert resume_point(path).segments == 3
    assert not [name for name in os.listdir(parts_folder(path)) if "tmp" in name]
    with SegmentWriter.continue_run(path) as writer:
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)


def test_history_merge_refuses_a_block_that_went_bad(make_run):
    path, _ = make_run(3, finish=False)
    with SegmentWriter.continue_run(path) as writer:
        (writer.folder / "segment_000001.h5").write_bytes(b"rubbish")
        with pytest.raises(RunError, match=r"segment_000001\.h5 is missing or damaged"):
            writer.finish()
    assert not path.exists()
    assert resume_point(path).segments == 1


def test_history_place_that_cannot_be_written_is_said(tmp_path, attributes, monkeypatch):
    with pytest.raises(RunError, match="the folder does not exist"):
        SegmentWriter(tmp_path / "nowhere" / "run.h5", attributes)
    (tmp_path / "file").write_text("")
    with pytest.raises(RunError, match="a part of the path is a file"):
        SegmentWriter(tmp_path / "file" / "run.h5", attributes)

    def refuse(*_, **__):
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(RunError, match="the disk is read-only"):
        SegmentWriter(tmp_path / "run.h5", attributes)


def test_history_reason_is_found_inside_the_text_of_hdf5():
    text = "Can't write data (file write failed: errno = 28, error message = 'No space ...')"
    assert plain_reason(OSError(text)) == "the disk is full"
    assert plain_reason(RuntimeError("something else")) == "something else"


def test_history_two_writers_in_one_process_are_refused(make_run, attributes):
    path, _ = make_run(1, finish=False)
    with SegmentWriter.continue_run(path) as writer:
        for start in (
            lambda: SegmentWriter.continue_run(path),
            lambda: SegmentWriter(path, attributes, overwrite=True),
        ):
            with pytest.raises(RunError, match=f"process {os.getpid()} on .* is writing to"):
                start()
        assert is_held(writer.folder)
    assert not is_held(writer.folder)
    SegmentWriter.continue_run(path).close()


def test_history_lock_of_a_killed_process_is_ignored(make_run):
    path, _ = make_run(1, finish=False)
    with python(HOLDER, path) as holder:
        try:
            assert holder.stdout.readline() == "holding\n"
            with pytest.raises(RunError, match=f"process {holder.pid} on"):
                SegmentWriter.continue_run(path)
        finally:
            holder.kill()
    assert read_note(parts_folder(path))["pid"] == holder.pid
    with SegmentWriter.continue_run(path) as writer:
        assert read_note(writer.folder)["pid"] == os.getpid()


def test_history_recent_writes_of_another_computer_are_respected(make_run):
    path, _ = make_run(1, finish=False)
    note = parts_folder(path) / "run.lock"
    note.write_text(json.dumps({"pid": 1, "host": socket.gethostname() + "-other"}))
    with pytest.raises(RunError, match=r"process 1 on .*-other.*120 s after its last write"):
        SegmentWriter.continue_run(path)
    assert is_held(parts_folder(path))
    for entry in parts_folder(path).iterdir():
        os.utime(entry, (1.0, 1.0))
    assert not is_held(parts_folder(path))
    SegmentWriter.continue_run(path).close()
