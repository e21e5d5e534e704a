"""Parts of sets of replicates that need no process: seeds, cores, sources, evaluation, display."""

import importlib
import io

import numpy as np
import odd_quantities
import pytest

from rollsim.case.change import changed_case, without_source_seeds
from rollsim.errors import RollsimError, RunError
from rollsim.history.sets import case_identity
from rollsim.simulation.progress import Progress
from rollsim.simulation.run import RunOptions
from rollsim.sweep import cores, crew, worker
from rollsim.sweep.display import SetDisplay
from rollsim.sweep.quantities import measure, quantity_named
from rollsim.sweep.seeds import child_seeds


def test_seeds_are_those_of_numpy_and_all_different():
    seeds = child_seeds(3, 500)
    assert len(set(seeds)) == 500 and 3 not in seeds
    children = np.random.SeedSequence(3).spawn(2)
    assert seeds[:2] == tuple(int(child.generate_state(1)[0]) for child in children)
    assert child_seeds(4, 1)[0] not in seeds


def test_children_that_share_a_word_still_get_seeds_of_their_own(monkeypatch):
    class Child:
        def generate_state(self, words):
            return np.arange(7, 7 + words, dtype=np.uint32)

    class Sequence:
        def __init__(self, seed):
            pass

        def spawn(self, count):
            return [Child()] * count

    monkeypatch.setattr("rollsim.sweep.seeds.np.random.SeedSequence", Sequence)
    assert child_seeds(8, 3) == (7, 9, 10)


def test_a_source_with_a_seed_of_its_own_draws_from_the_seed_of_the_run(six):
    own = changed_case(six, {"vibration[1].seed": 5})
    redrawn = without_source_seeds(own)
    assert redrawn.vibration[0].seed is None and own.vibration[0].seed == 5
    assert case_identity(redrawn.text) == case_identity(own.text)
    assert without_source_seeds(six) is six


class _Pipe:
    """End of a pipe that keeps what is sent."""

    def __init__(self):
        self.sent = []

    def send(self, message):
        """Keep a message."""
        self.sent.append(message)


@pytest.mark.parametrize(
    ("problem", "reason"),
    [
        (RunError("The run stopped: a number was lost."), "The run stopped: a number was lost."),
        (ValueError("odd"), "unexpected ValueError: odd"),
    ],
)
def test_a_run_that_fails_is_told_in_words(six, tmp_path, monkeypatch, capsys, problem, reason):
    def fail(*_):
        raise problem

    # The worker takes the function when it is about to run.
    monkeypatch.setattr(importlib.import_module("rollsim.simulation.run"), "run", fail)
    task = worker.Task(1, six, tmp_path / "six.h5", RunOptions(), None, None)
    assert worker._outcome(task, _Pipe()) == (worker.FAILED, reason)


@pytest.mark.parametrize(
    ("quantity", "reason"),
    [
        (odd_quantities.REFUSING, "too short to be judged"),
        (odd_quantities.BREAKING, "unexpected ZeroDivisionError: by zero"),
    ],
)
def test_a_finished_run_that_cannot_be_evaluated_says_so(six, tmp_path, capsys, quantity, reason):
    path, pipe = tmp_path / "six.h5", _Pipe()
    task = worker.Task(1, six, path, RunOptions(), None, measure(quantity))
    words = f"the run is finished, but cannot be evaluated: {reason}"
    assert worker._outcome(task, pipe) == (worker.FAILED, words)
    assert path.exists()
    times = [message[1] for message in pipe.sent if message[0] == worker.REACHED]
    assert times[0] == 0.0 and times[-1] == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("code", "words"),
    [(-9, "SIGKILL"), (-999, "exit code -999"), (3, "exit code 3")],
)
def test_the_end_of_a_process_without_a_word_is_explained(code, words):
    assert words in crew._last_words(code)


def test_an_unknown_quantity_is_refused():
    with pytest.raises(RollsimError, match="known: peak_force, reserve"):
        quantity_named("peak")


def test_threads_of_one_core_count_once(tmp_path, monkeypatch):
    for number, core in enumerate((0, 0, 1, 1)):
        folder = tmp_path / f"cpu{number}"
        folder.mkdir()
        (folder / "core_id").write_text(f"{core}\n")
        (folder / "physical_package_id").write_text("0\n")
    monkeypatch.setattr(cores, "_TOPOLOGY", str(tmp_path / "cpu{}"))
    monkeypatch.setattr(cores.sys, "platform", "linux")
    monkeypatch.setattr(cores, "_LIMIT", tmp_path / "cpu.max")
    usable = {0, 1, 2, 3}
    monkeypatch.setattr(cores.os, "sched_getaffinity", lambda _: usable, raising=False)
    assert cores.cores_available() == (2, "physical cores")
    (tmp_path / "cpu.max").write_text("max 100000\n")
    assert cores.cores_available() == (2, "physical cores")
    (tmp_path / "cpu.max").write_text("150000 100000\n")
    assert cores.cores_available() == (1, "physical cores")
    usable.add(9)
    monkeypatch.setattr(cores.os, "cpu_count", lambda: 5)
    assert cores.cores_available() == (5, "processors")


def test_the_display_adds_up_and_says_a_common_line_once():
    stream = io.StringIO()
    with SetDisplay(lambda total, start: Progress(total, start, stream), 1.0) as display:
        display.plan({1: 1.0, 2: 0.0, 3: 0.0, 4: 0.0})
        display.reached(2, 0.5, None)
        display.reached(3, 0.5, 70.0)
        display.said(2, "a recording")
        display.said(3, "a recording")
        display.ended(2)
        display.ended(3, "a number was lost")
    lines = stream.getvalue().splitlines()
    assert lines[0].startswith("1.500 of 4 s simulated") and "settling, 1 of 4" in lines[0]
    assert lines[1].startswith("2.000 of 4 s simulated")
    assert lines[1].endswith("peak pocket force 70 N, 1 of 4 finished")
    assert lines[2] == "replicate 2: a recording"
    assert lines[3].endswith("2 of 4 finished")
    assert lines[4] == "replicate 3 failed: a number was lost"
    assert len(lines) == 5


def test_a_line_beside_a_bar_stands_alone():
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    stream = Terminal()
    display = Progress(2.0, 0.0, stream)
    display.update(0.5, 10.0, "1 of 2 finished")
    display.line("replicate 2 failed: odd")
    display.extend(4.0)
    display.update(1.0, 10.0)
    display.close()
    text = stream.getvalue()
    assert "\rreplicate 2 failed: odd\n" in text
    assert "\r1 of 2 finished:  25%" in text and "1.000/4.000 s simulated" in text
