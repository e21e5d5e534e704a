"""Stopped runs go on where they were, with the numbers of a run that was never stopped."""

import signal
import subprocess
import sys

import numpy as np
import pytest

from rollsim.case.read import load_case
from rollsim.errors import RunError
from rollsim.history import open_history, status_summary
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import run
from rollsim.structure.elasticity import cage_elasticity


@pytest.mark.parametrize("exception", [KeyboardInterrupt, ValueError])
@pytest.mark.parametrize("blocks", [1, 3])
def test_a_run_broken_off_goes_on_bit_for_bit(
    six_rollers, tmp_path, run_case, interrupting, same_results, exception, blocks
):
    path = tmp_path / "stopped.h5"
    display = interrupting(blocks, exception)
    with pytest.raises(exception):
        run(six_rollers(), path, progress=display)
    assert display.closed
    assert not path.exists()
    with open_history(path) as part:
        assert part.status == "running"
        assert part.time[-1] == pytest.approx(0.01 * blocks, abs=4e-4)
    said = []
    run(six_rollers(), path, say=said.append)
    assert any("Going on from 0.0" in line for line in said)
    assert not (tmp_path / "stopped.h5.parts").exists()
    with open_history(path) as continued:
        same_results(run_case(six_rollers(), "whole.h5"), continued)


def test_a_spatial_run_goes_on_bit_for_bit(
    six_rollers, tmp_path, run_case, interrupting, same_results
):
    case = six_rollers(solver__motion="spatial", roller__slices=3, duty__duration_s=0.03)
    path = tmp_path / "stopped.h5"
    with pytest.raises(KeyboardInterrupt):
        run(case, path, progress=interrupting(2))
    run(case, path)
    with open_history(path) as continued:
        same_results(run_case(case, "whole.h5"), continued)


def test_progress_after_a_stop_begins_where_the_run_was(six_rollers, tmp_path, interrupting):
    path = tmp_path / "stopped.h5"
    with pytest.raises(KeyboardInterrupt):
        run(six_rollers(), path, progress=interrupting(3))
    seen = []

    class Watching:
        def __init__(self, total, start):
            seen.append((total, start))

        def update(self, reached, largest):
            seen.append((reached, largest))

        def close(self):
            pass

    so_far = status_summary(path)["peak_pocket_force_N"]
    run(six_rollers(), path, progress=Watching)
    assert seen[0][0] == pytest.approx(0.06)
    assert seen[0][1] == pytest.approx(0.03, abs=1e-3)
    assert seen[1][1] >= so_far > 0.0


def test_progress_has_no_peak_before_the_settling_time(six_rollers, tmp_path):
    seen = []

    class Watching:
        def __init__(self, total, start):
            pass

        def update(self, reached, largest):
            seen.append(largest)

        def close(self):
            pass

    run(six_rollers(duty__settle_s=0.025), tmp_path / "out.h5", progress=Watching)
    assert seen[:2] == [None, None]
    assert all(value is not None for value in seen[2:])
    assert seen[-1] == pytest.approx(
        status_summary(tmp_path / "out.h5")["peak_pocket_force_N"], rel=1e-6
    )


def test_a_run_that_ended_while_merging_is_merged(six_rollers, tmp_path, monkeypatch):
    """All blocks are there, only the last move is missing: nothing is computed again."""
    path = tmp_path / "out.h5"

    def no_disk(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("rollsim.history.merge.Merger.finish", no_disk)
        with pytest.raises(RunError, match="disk is full"):
            run(six_rollers(), path)
    monkeypatch.setattr("rollsim.simulation.marches.CompiledMarch.advance", None)
    run(six_rollers(), path)
    with open_history(path) as history:
        assert (history.status, len(history.time)) == ("finished", 300)


@pytest.mark.parametrize(
    ("changes", "options", "words"),
    [
        ({"duty__radial_load_kN": 21.0}, {}, "another case file"),
        ({}, {"seed": 4}, r"another seed \(3 there, 4 here\)"),
        ({}, {"duration": 0.05}, r"another duration \(0.06 s there, 0.05 s here\)"),
        ({}, {"solver": "RK45"}, r"another solver \(leapfrog there, RK45 here\)"),
        ({}, {"seed": 4, "solver": "RK45"}, "another seed .* and another solver"),
    ],
)
def test_another_run_is_refused_and_nothing_is_lost(
    six_rollers, tmp_path, interrupting, changes, options, words
):
    path = tmp_path / "out.h5"
    with pytest.raises(KeyboardInterrupt):
        run(six_rollers(), path, progress=interrupting(2))
    with pytest.raises(RefusedRun, match=words) as refusal:
        run(six_rollers(**changes), path, **options)
    assert refusal.value.exit_code == 2
    assert "--overwrite" in str(refusal.value)
    run(six_rollers(), path)
    with pytest.raises(RefusedRun, match=f"finished run with {words}"):
        run(six_rollers(**changes), path, **options)
    with open_history(path) as history:
        assert len(history.time) == 300


def test_an_unfinished_run_of_another_version_is_refused(
    six_rollers, tmp_path, interrupting, monkeypatch
):
    with pytest.raises(KeyboardInterrupt):
        run(six_rollers(), tmp_path / "out.h5", progress=interrupting(2))
    monkeypatch.setattr("rollsim.__version__", "99.0")
    with pytest.raises(RefusedRun, match=r"version of rollsim \(.* there, 99.0 here\)"):
        run(six_rollers(), tmp_path / "out.h5")


def test_overwrite_starts_afresh(six_rollers, tmp_path, interrupting):
    path = tmp_path / "out.h5"
    with pytest.raises(KeyboardInterrupt):
        run(six_rollers(), path, progress=interrupting(2))
    run(six_rollers(), path, seed=4, overwrite=True)
    with open_history(path) as history:
        assert (history.attributes["seed"], len(history.time)) == (4, 300)
    run(six_rollers(), path, seed=5, overwrite=True, duration=0.02)
    with open_history(path) as history:
        assert (history.attributes["seed"], len(history.time)) == (5, 100)


def test_a_finished_run_is_left_as_it_is(six_rollers, tmp_path):
    path = tmp_path / "out.h5"
    run(six_rollers(), path, duration=0.02)
    before = path.read_bytes()
    said = []
    assert run(six_rollers(), path, duration=0.02, say=said.append) == path
    assert path.read_bytes() == before
    assert "nothing to compute" in said[0]
    assert "--overwrite" in said[0]


@pytest.mark.parametrize("overwrite", [False, True])
def test_a_file_that_is_no_history_is_never_replaced(six_rollers, tmp_path, overwrite):
    path = tmp_path / "case.toml"
    path.write_text(six_rollers().text)
    with pytest.raises(RefusedRun, match="left alone"):
        run(six_rollers(), path, overwrite=overwrite)
    assert path.read_text() == six_rollers().text
    assert list(tmp_path.iterdir()) == [path]


def test_a_build_that_fails_keeps_the_earlier_output(six_rollers, tmp_path, monkeypatch):
    path = tmp_path / "out.h5"
    run(six_rollers(), path, duration=0.02)

    def failing(*_):
        raise RunError("no equilibrium")

    monkeypatch.setattr("rollsim.simulation.run.build_model", failing)
    with pytest.raises(RunError, match="no equilibrium"):
        run(six_rollers(), path, duration=0.02, overwrite=True)
    assert path.exists()


_KILLED_AFTER_THREE_UPDATES = """
import os, signal
from rollsim import run

class Killer:
    updates = 0

    def __init__(self, total, start):
        pass

    def update(self, reached, largest):
        self.updates += 1
        if self.updates == 3:
            os.kill(os.getpid(), signal.SIGKILL)

    def close(self):
        pass

run({case!r}, {path!r}, duration=2.0, progress=Killer)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
def test_a_killed_process_goes_on_bit_for_bit(case_file, tmp_path, run_case, same_results):
    path = tmp_path / "killed.h5"
    code = _KILLED_AFTER_THREE_UPDATES.format(case=str(case_file), path=str(path))
    process = subprocess.run([sys.executable, "-c", code], capture_output=True)
    assert process.returncode == -signal.SIGKILL
    summary = status_summary(path)
    assert summary["status"].startswith("interrupted")
    assert 0.0 < summary["simulated_s"] < 2.0
    case = load_case(case_file)
    own = {"duration": 2.0, "elasticity": cage_elasticity(case)}
    run(case, path, **own)
    with open_history(path) as continued:
        assert len(continued.time) == 10000
        same_results(run_case(case, "whole.h5", **own), continued)


def test_two_runs_cannot_write_to_one_output(six_rollers, tmp_path):
    path = tmp_path / "out.h5"
    refusals = []

    class Second:
        def __init__(self, total, start):
            pass

        def update(self, reached, largest):
            if not refusals:
                with pytest.raises(RefusedRun) as refusal:
                    run(six_rollers(), path)
                refusals.append(str(refusal.value))

        def close(self):
            pass

    run(six_rollers(), path, progress=Second)
    assert "is writing to" in refusals[0]
    with open_history(path) as history:
        assert np.allclose(np.diff(history.time), 2e-4)
