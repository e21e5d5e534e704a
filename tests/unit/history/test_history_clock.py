"""A clock that jumps neither blocks an output nor lets two runs write to it."""

import json
import os
import socket
import time

import pytest

from rollsim.errors import RunError
from rollsim.history import SegmentWriter, status_summary
from rollsim.history.locks import is_held
from rollsim.history.segments import numbered_segments, parts_folder

HOUR = 3600.0


@pytest.fixture
def elsewhere(make_run):
    """Function that leaves two blocks of another computer, written some seconds ago."""

    def leave(*seconds_ago):
        path, _ = make_run(len(seconds_ago), finish=False)
        folder = parts_folder(path)
        note = folder / "run.lock"
        note.write_text(json.dumps({"pid": 1, "host": socket.gethostname() + "-other"}))
        now = time.time()
        for file, ago in zip(numbered_segments(folder).values(), seconds_ago, strict=True):
            os.utime(file, (now - ago, now - ago))
        return path

    return leave


def test_a_write_from_the_future_does_not_block_for_ever(elsewhere):
    """The clock was an hour ahead when the other computer died, and has been put right."""
    path = elsewhere(-HOUR, -HOUR - 1.0)
    assert not is_held(parts_folder(path))
    SegmentWriter.continue_run(path).close()


def test_a_clock_put_back_during_the_run_does_not_hide_the_run(elsewhere):
    """The first block has a time from the future, the last one that of now."""
    path = elsewhere(-HOUR, 3.0)
    assert is_held(parts_folder(path))
    with pytest.raises(RunError, match="is writing to"):
        SegmentWriter.continue_run(path)


def test_a_clock_of_ours_that_is_wrong_does_not_matter(elsewhere, monkeypatch):
    """Ages are told by the clock that stamps the files."""
    path = elsewhere(5.0, 3.0)
    genuine = time.time
    monkeypatch.setattr(time, "time", lambda: genuine() + 48 * HOUR)
    assert is_held(parts_folder(path))


def test_progress_with_a_clock_put_back(make_run):
    path, _ = make_run(2, finish=False)
    future = time.time() + HOUR
    for file in numbered_segments(parts_folder(path)).values():
        os.utime(file, (future, future))
    found = status_summary(path)
    assert found["status"].startswith("interrupted")
    assert found["wall_time_s"] == 4.0
