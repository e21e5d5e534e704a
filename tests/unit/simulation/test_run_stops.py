"""Runs that are asked to stop, or have a limit of time, end between two blocks and go on later."""

import json
import os
import signal
import sys
import threading

import pytest

from rollsim.errors import RunError
from rollsim.history import open_history, status_summary
from rollsim.simulation import machine
from rollsim.simulation.run import run
from rollsim.simulation.stopping import PoliteStop, RunStopped, TimeLimit, ending_like_interrupt


class AfterBlocks:
    """Asks to stop after some blocks."""

    def __init__(self, blocks):
        self.blocks = blocks

    def __call__(self):
        """Count a block."""
        self.blocks -= 1
        return "by the test" if not self.blocks else None


@pytest.mark.parametrize("solver", ["dormand_prince", "RK45", "LSODA", "Radau"])
def test_a_stopped_run_goes_on_bit_for_bit(six_rollers, tmp_path, run_case, same_results, solver):
    path = tmp_path / "stopped.h5"
    options = {"solver": solver, "duration": 0.05}
    for blocks in (1, 2):
        with pytest.raises(RunStopped, match=r"^Stopped by the test, at 0\.0.* of 0\.05 s of sim"):
            run(six_rollers(), path, stop=AfterBlocks(blocks), **options)
    found = status_summary(path)
    assert found["status"] == "interrupted: stopped by the test"
    assert found["simulated_s"] == pytest.approx(0.03, abs=1e-3)
    run(six_rollers(), path, **options)
    with open_history(path) as continued:
        same_results(run_case(six_rollers(), "whole.h5", **options), continued)


def test_a_run_asked_to_stop_in_its_last_block_finishes(six_rollers, tmp_path):
    path = run(six_rollers(), tmp_path / "out.h5", stop=AfterBlocks(6))
    assert status_summary(path)["status"] == "finished"


def test_a_run_without_time_advances_by_one_block_a_start(six_rollers, tmp_path):
    path = tmp_path / "out.h5"
    for block in range(5):
        with pytest.raises(RunStopped, match="because the 1e-06 h that were allowed are over"):
            run(six_rollers(), path, hours=1e-6)
        assert status_summary(path)["blocks"] == block + 1
    run(six_rollers(), path, hours=1e-6)
    assert status_summary(path)["status"] == "finished"


def test_the_limit_ends_before_the_block_that_would_pass_it():
    now = [0.0]
    limit = TimeLimit(0.01, clock=lambda: now[0])  # 36 s
    now[0] = 5.0  # building the model
    limit.begin()
    answers = []
    for _ in range(4):
        now[0] += 8.0
        answers.append(limit())
    # At 29 s another block of 8 s would end at 37 s.
    assert answers[:2] == [None, None]
    assert answers[2] == "because the 0.01 h that were allowed are over"
    unlimited = TimeLimit(None, clock=lambda: now[0])
    now[0] = 1e9
    assert unlimited() is None


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals on Windows")
@pytest.mark.parametrize(
    ("number", "words"),
    [(signal.SIGINT, "by Ctrl-C"), (signal.SIGTERM, "by a request to end (SIGTERM)")],
)
def test_the_first_signal_is_polite_and_the_second_is_not(number, words, capfd):
    before = signal.getsignal(number)
    with PoliteStop() as stop:
        assert stop() is None
        os.kill(os.getpid(), number)
        assert stop() == words
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), number)
            signal.sigtimedwait([], 1.0)
    assert signal.getsignal(number) == before
    assert "Stopping as soon as the block at hand" in capfd.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="no such signals on Windows")
def test_a_signal_before_the_first_block_stops_at_once():
    with PoliteStop(), pytest.raises(KeyboardInterrupt):
        os.kill(os.getpid(), signal.SIGINT)
        signal.sigtimedwait([], 1.0)
    with ending_like_interrupt(), pytest.raises(KeyboardInterrupt):
        os.kill(os.getpid(), signal.SIGTERM)
        signal.sigtimedwait([], 1.0)


def test_other_threads_leave_the_signals_alone():
    before, answers = signal.getsignal(signal.SIGINT), []

    def look():
        with PoliteStop() as stop, ending_like_interrupt():
            answers.append((stop(), signal.getsignal(signal.SIGINT)))

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert answers == [(None, before)]


def test_another_machine_is_said_and_kept(six_rollers, tmp_path, monkeypatch):
    path = tmp_path / "out.h5"
    with pytest.raises(RunStopped):
        run(six_rollers(), path, stop=AfterBlocks(2))
    here, said = machine.computes_here(), []
    here["machine"] = {**here["machine"], "processor": "abacus"}
    monkeypatch.setattr("rollsim.simulation.run.computes_here", lambda: here)
    run(six_rollers(), path, say=said.append)
    [line] = [line for line in said if "another" in line]
    assert "begun with another processor (" in line
    assert "there, abacus here)" in line
    assert "no longer those of an unbroken run" in line
    with open_history(path) as history:
        [change] = json.loads(history.attributes["machine_changes"])
    assert change["from_s"] == pytest.approx(0.02, abs=1e-3)
    assert status_summary(path)["machine_changes"] == [change]


def test_the_same_machine_is_not_mentioned(six_rollers, tmp_path):
    path = tmp_path / "out.h5"
    with pytest.raises(RunStopped):
        run(six_rollers(), path, stop=AfterBlocks(2))
    said = []
    run(six_rollers(), path, say=said.append)
    assert not any("another" in line for line in said)
    with open_history(path) as history:
        assert "machine_changes" not in history.attributes


def test_a_stop_with_a_full_disk_tells_of_the_disk(six_rollers, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("rollsim.history.writer.write_whole", full)
    with pytest.raises(RunError, match="the disk is full"):
        run(six_rollers(), tmp_path / "out.h5", stop=AfterBlocks(2))
