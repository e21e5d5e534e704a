"""Blocks left beside a finished output by a process that was killed between both."""

import shutil

from rollsim.history import open_history
from rollsim.history.locks import RunLock
from rollsim.history.segments import numbered_segments, parts_folder
from rollsim.simulation.run import run
from rollsim.simulation.stopping import RunStopped


def _begun(case, path, **options):
    """A run stopped after two blocks; its folder."""
    left = iter([None])
    try:
        run(case, path, stop=lambda: next(left, "by the test"), **options)
    except RunStopped:
        return parts_folder(path)
    raise AssertionError("the run was not stopped")


def _finished_with_its_blocks(case, tmp_path):
    """A finished run whose first blocks are still there."""
    path = tmp_path / "six.h5"
    kept = shutil.copytree(_begun(case, path), tmp_path / "kept")
    run(case, path)
    assert not parts_folder(path).exists()
    kept.rename(parts_folder(path))
    return path


def test_the_same_command_tidies_up_what_a_kill_left(six_rollers, tmp_path):
    path = _finished_with_its_blocks(six_rollers(), tmp_path)
    numbered_segments(parts_folder(path))[0].unlink()
    run(six_rollers(), path)
    assert not parts_folder(path).exists()
    with open_history(path) as history:
        assert history.status == "finished"


def test_blocks_of_another_run_are_left_alone(six_rollers, tmp_path):
    path = _finished_with_its_blocks(six_rollers(), tmp_path)
    shutil.rmtree(parts_folder(path))
    _begun(six_rollers(), tmp_path / "other.h5", seed=99).rename(parts_folder(path))
    run(six_rollers(), path)
    assert len(numbered_segments(parts_folder(path))) == 2


def test_nothing_is_removed_while_a_process_writes_there(six_rollers, tmp_path):
    path = _finished_with_its_blocks(six_rollers(), tmp_path)
    lock = RunLock(parts_folder(path))
    run(six_rollers(), path)
    assert len(numbered_segments(parts_folder(path))) == 2
    lock.release()
    run(six_rollers(), path)
    assert not parts_folder(path).exists()
