"""Sets of replicates in worker processes: reproducible, continued after a stop."""

import multiprocessing
import os
import signal
import subprocess
import sys
import time

import odd_quantities
import pytest

from rollsim.history import open_history, status_summary
from rollsim.history.locks import is_held
from rollsim.history.replicate_set import list_path, read_list, replicate_path
from rollsim.history.segments import parts_folder
from rollsim.history.sets import group_runs
from rollsim.simulation.output import RefusedRun
from rollsim.sweep import replicates as module
from rollsim.sweep.launch import run
from rollsim.sweep.quantities import peak_force
from rollsim.sweep.replicate_types import BEGUN, FAILED, FINISHED, NOT_BEGUN, SetPlan
from rollsim.sweep.replicates import replicates
from rollsim.sweep.seeds import child_seeds

#: Simulated seconds of runs that are to be caught at work.
LONG = 600.0


class Interrupting:
    """Progress that breaks off after some updates."""

    def __init__(self, updates=1):
        self.updates = updates

    def __call__(self, total, start):
        """Stand in for the class of a progress display."""
        return self

    def update(self, reached, largest, note=""):
        """Count."""
        self.updates -= 1
        if self.updates <= 0:
            raise KeyboardInterrupt

    def line(self, text):
        """Nothing to show."""

    def close(self):
        """Nothing to tidy up."""


@pytest.fixture(scope="module")
def whole(six, tmp_path_factory):
    """A set of three replicates on two processes, with what was said."""
    said = []
    path = tmp_path_factory.mktemp("whole") / "six.h5"
    return replicates(six, path, 3, plan=SetPlan(jobs=2), say=said.append), path, said


@pytest.fixture
def no_worker(monkeypatch):
    """A machine where no process may be started."""

    def refuse(tasks, *_):
        assert list(tasks) == []

    monkeypatch.setattr(module, "run_side_by_side", refuse)


def test_replicates_differ_and_are_listed(whole, six):
    found, path, said = whole
    seeds = child_seeds(six.case.seed, 3)
    assert [row.seed for row in found.replicates] == list(seeds)
    assert [row.state for row in found.replicates] == [FINISHED] * 3
    peaks = [status_summary(row.path)["peak_pocket_force_N"] for row in found.replicates]
    assert len(set(peaks)) == 3 and min(peaks) > 0.0
    listed = read_list(list_path(path))
    assert [row["seed"] for row in listed["replicates"]] == list(seeds)
    [own] = group_runs([list_path(path)])
    assert (own.seeds, own.warnings) == (seeds, ())
    assert "3 replicates of six rollers, 2 at a time" in said[0] and "seed 3" in said[0]
    assert multiprocessing.active_children() == []


def test_a_replicate_alone_is_the_same_bit_for_bit(whole, six, tmp_path, same_numbers):
    for row in whole[0].replicates:
        same_numbers(run(six, tmp_path / row.path.name, seed=row.seed), row.path)


def test_what_a_history_draws_again_comes_from_the_seed_of_its_run(whole, six):
    row = whole[0].replicates[1]
    with open_history(row.path) as history:
        assert history.case.case.seed == row.seed != six.case.seed
        assert history.case.text == six.text


def test_values_are_measured_where_the_run_was(whole):
    found = whole[0]
    for row in found.replicates:
        with open_history(row.path) as history:
            assert row.values == {"peak_force": peak_force(history)}
    values = [row.values["peak_force"] for row in found.replicates]
    assert min(values) < found.interval.estimate < max(values)


def test_the_same_command_again_starts_no_process(whole, six, no_worker):
    found, path, _ = whole
    assert replicates(six, path, 3).replicates == found.replicates
    fewer = replicates(six, path, 2)
    assert len(fewer.replicates) == 2 and "six_r03.h5 of an earlier" in fewer.notes[-1]


def test_another_set_into_the_same_files_is_refused_as_a_whole(whole, six, no_worker):
    with pytest.raises(RefusedRun) as refusal:
        replicates(six, whole[1], 4, duration=0.02)
    assert str(refusal.value).count("another duration") == 3
    with pytest.raises(RefusedRun, match="another seed"):
        replicates(six, whole[1], 3, seed=4)


def test_what_was_begun_goes_on_and_what_failed_stays_missing(whole, six, tmp_path, same_numbers):
    """First replicate there, second begun, third failed earlier with a number that got lost."""
    path = tmp_path / "six.h5"
    first, second, third = (replicate_path(path, number) for number in (1, 2, 3))
    seeds = child_seeds(six.case.seed, 3)
    first.write_bytes(whole[0].replicates[0].path.read_bytes())
    with pytest.raises(KeyboardInterrupt):
        run(six, second, progress=Interrupting(2), seed=seeds[1])
    _write_stopped(third, whole[0].replicates[2].path)
    said = []
    found = replicates(six, path, 3, plan=SetPlan(jobs=2), progress=lambda *_: _Log(said))
    assert [row.state for row in found.replicates] == [FINISHED, FINISHED, FAILED]
    assert found.replicates[2].reason == "a number was lost"
    assert any("replicate 2: Going on from 0.0" in text for text in said)
    assert "1 of 3 replicates failed and are missing" in found.notes[-1]
    same_numbers(second, whole[0].replicates[1].path)


def _write_stopped(path, like):
    """Turn a finished history into one of a run that failed."""
    import h5py

    path.write_bytes(like.read_bytes())
    with h5py.File(path, "r+") as file:
        file.attrs["status"] = "stopped: a number was lost"


class _Log:
    """Progress that keeps its lines."""

    def __init__(self, lines):
        self._lines = lines

    def update(self, reached, largest, note=""):
        """Nothing to show."""

    def line(self, text):
        """Keep a line."""
        self._lines.append(text)

    def close(self):
        """Nothing to tidy up."""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
def test_a_killed_worker_leaves_the_others_alone(six, tmp_path):
    plan = SetPlan(jobs=1, quantity=odd_quantities.KILLING)
    found = replicates(six, tmp_path / "six.h5", 3, plan=plan)
    assert [row.state for row in found.replicates] == [FINISHED, FAILED, FINISHED]
    assert "ended from outside (SIGKILL)" in found.replicates[1].reason
    rows = read_list(found.list_path)["replicates"]
    assert [row["state"] for row in rows] == [FINISHED, FAILED, FINISHED]


def test_ctrl_c_leaves_no_process_and_a_true_list(six, tmp_path):
    path = tmp_path / "six.h5"
    with pytest.raises(KeyboardInterrupt):
        replicates(six, path, 2, plan=SetPlan(jobs=1), progress=Interrupting(), duration=LONG)
    assert multiprocessing.active_children() == []
    assert not any(is_held(parts_folder(replicate_path(path, number))) for number in (1, 2))
    assert [row["state"] for row in read_list(list_path(path))["replicates"]] == [BEGUN, NOT_BEGUN]


_PARENT_THAT_IS_KILLED = """
import os, signal
import rollsim
from rollsim.sweep.replicate_types import SetPlan

class Killer:
    def __init__(self, total, start):
        self.updates = 0

    def update(self, reached, largest, note=""):
        self.updates += 1
        if self.updates == 2:
            os.kill(os.getpid(), signal.SIGKILL)

rollsim.replicates({case!r}, {path!r}, 1, plan=SetPlan(jobs=1), progress=Killer, duration={long})
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
def test_workers_of_a_killed_parent_end_too(six, tmp_path):
    case, path = tmp_path / "six.toml", tmp_path / "six.h5"
    case.write_text(six.text, encoding="utf-8")
    code = _PARENT_THAT_IS_KILLED.format(case=str(case), path=str(path), long=LONG)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True)
    assert done.returncode == -signal.SIGKILL, done.stderr
    folder = parts_folder(replicate_path(path, 1))
    assert folder.is_dir()
    while is_held(folder):  # a worker that stayed would hold it for many minutes
        time.sleep(0.05)
    assert not replicate_path(path, 1).exists()


def test_threads_of_the_workers_are_pinned_and_the_parent_keeps_its_own(monkeypatch):
    from rollsim.sweep.crew import _one_thread_each

    monkeypatch.setenv("OMP_NUM_THREADS", "7")
    monkeypatch.delenv("MKL_NUM_THREADS", raising=False)
    with _one_thread_each():
        assert os.environ["OMP_NUM_THREADS"] == os.environ["MKL_NUM_THREADS"] == "1"
    assert os.environ["OMP_NUM_THREADS"] == "7" and "MKL_NUM_THREADS" not in os.environ
