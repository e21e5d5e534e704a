"""Progress of a run as seen from a second terminal."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rollsim.errors import HistoryError
from rollsim.history import SegmentWriter, status_summary
from rollsim.history.segments import parts_folder, segment_path


def test_history_progress_of_a_running_run(tmp_path, make_block, attributes):
    path = tmp_path / "run.h5"
    blocks = [make_block(number) for number in range(4)]
    blocks[0].peak["pocket_force"][5, 1, 2] = 900.0  # before settling: does not count
    blocks[2].peak["pocket_force"][5, 1, 2] = 250.0
    with SegmentWriter(path, attributes) as writer:
        before = status_summary(path)
        assert (before["status"], before["simulated_s"], before["blocks"]) == ("running", 0.0, 0)
        for block in blocks:
            writer.append(block)
        now = status_summary(path)
    assert now["status"] == "running"
    assert now["simulated_s"] == 0.4
    assert now["duration_s"] == 1.0
    assert now["share_done"] == pytest.approx(0.4)
    assert now["wall_time_s"] == 8.0
    assert now["time_left_s"] == pytest.approx(12.0)
    assert now["peak_pocket_force_N"] == 250.0
    assert now["blocks"] == 4
    age = datetime.now(UTC) - datetime.fromisoformat(now["last_write"])
    assert timedelta(seconds=-1) <= age < timedelta(minutes=5)


def test_history_progress_tells_an_interrupted_run_from_a_running_one(make_run):
    path, _ = make_run(2, finish=False)
    assert status_summary(path)["status"].startswith("interrupted")
    with SegmentWriter.continue_run(path):
        assert status_summary(path)["status"] == "running"


def test_history_progress_leaves_a_torn_block_out(make_run):
    path, _ = make_run(3, finish=False)
    segment = segment_path(parts_folder(path), 2)
    segment.write_bytes(segment.read_bytes()[:-5])
    summary = status_summary(path)
    assert (summary["blocks"], summary["simulated_s"]) == (2, 0.2)


def test_history_progress_of_a_finished_run(make_run):
    path, blocks = make_run(4)
    summary = status_summary(path)
    largest = max(
        blocks[1].peak["pocket_force"][49:].max(),
        *(block.peak["pocket_force"].max() for block in blocks[2:]),
    )
    assert summary["status"] == "finished"
    assert summary["time_left_s"] == 0.0
    assert summary["peak_pocket_force_N"] == np.float32(largest)
    assert (summary["blocks"], summary["wall_time_s"]) == (4, 8.0)
    quality = blocks[-1].quality
    share = abs(quality["energy_residual"]) / quality["heat"]
    assert summary["energy_unexplained_share"] == pytest.approx(share)


def test_history_progress_of_nothing_is_refused(tmp_path):
    with pytest.raises(HistoryError, match="does not exist"):
        status_summary(tmp_path / "run.h5")
    parts_folder(tmp_path / "run.h5").mkdir()
    with pytest.raises(HistoryError, match="no block of it is finished"):
        status_summary(tmp_path / "run.h5")
