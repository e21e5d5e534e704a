"""A disk that is really full, and one that is really read-only: small mounts, where permitted."""

import os
import subprocess
import sys

import pytest

from rollsim.errors import RunError
from rollsim.history import SegmentWriter, open_history, resume_point, status_summary
from rollsim.history.segments import parts_folder


def _mount(*arguments):
    """Mount or unmount; True where the system lets us."""
    try:
        return subprocess.run(arguments, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


@pytest.fixture
def small_disk(tmp_path):
    """Folder on a disk of its own of four megabytes."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ("mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(folder))
    if not sys.platform.startswith("linux") or not _mount(*command):
        pytest.skip("mounting a small disk is not permitted here; injected faults are tested")
    yield folder
    _mount("umount", "-l", str(folder))


def test_a_full_disk_keeps_every_finished_block_and_the_run_goes_on(
    small_disk, make_block, attributes, assert_same
):
    path = small_disk / "run.h5"
    blocks, written = [make_block(number, rows=100) for number in range(20)], 0
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"x" * 450_000)
    with SegmentWriter(path, attributes) as writer, pytest.raises(RunError) as caught:
        for block in blocks:
            writer.append(block)
            written += 1
    assert 0 < written < len(blocks)
    assert "could not be written: the disk is full" in str(caught.value)
    assert f"The {written} finished blocks" in str(caught.value)
    assert resume_point(path).segments == written
    assert not [name for name in os.listdir(parts_folder(path)) if name.endswith(".tmp")]
    assert status_summary(path)["blocks"] == written
    with open_history(path) as history:
        assert_same(history, blocks[:written])
    # Room for one more block and nothing else: merging fails, the blocks stay.
    ballast.unlink()
    with SegmentWriter.continue_run(path) as writer:
        writer.append(blocks[written])
        ballast.write_bytes(b"x" * max(0, _free(small_disk) - 8192))
        with pytest.raises(RunError, match="the disk is full"):
            writer.finish()
    assert not path.exists()
    assert resume_point(path).segments == written + 1
    subprocess.run(["mount", "-o", "remount,size=40m", str(small_disk)], check=True)
    with SegmentWriter.continue_run(path) as writer:
        for block in blocks[written + 1 :]:
            writer.append(block)
        writer.finish()
    with open_history(path) as history:
        assert_same(history, blocks)


def _free(folder):
    """Bytes that are left on a disk."""
    found = os.statvfs(folder)
    return found.f_bavail * found.f_frsize


def test_a_read_only_disk_is_said_and_can_be_read(small_disk, make_block, attributes, assert_same):
    path = small_disk / "run.h5"
    with SegmentWriter(path, attributes) as writer:
        writer.append(make_block(0))
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(RunError, match="the disk is read-only"):
        SegmentWriter.continue_run(path)
    with pytest.raises(RunError, match="the disk is read-only"):
        SegmentWriter(small_disk / "other.h5", attributes)
    assert status_summary(path)["status"].startswith("interrupted")
    with open_history(path) as history:
        assert_same(history, [make_block(0)])
