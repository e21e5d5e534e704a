"""Quality lines of a run: fit or unfit by their rules; checks kept beside the history."""

import json

import h5py
import numpy as np
import pytest
from synthetic_history import write_synthetic_history

from rollsim.analysis.quality import FIT, QualityLine, keep_checks, quality_path, run_quality
from rollsim.history import open_history
from rollsim.report.quality_text import quality_dict, quality_text, with_quality


@pytest.fixture
def path(tmp_path):
    """A history with blocks of 0.2 J heat and nothing wrong."""
    path = tmp_path / "a.h5"
    write_synthetic_history(path, duration_s=0.6, rate_Hz=1000)
    return path


def quality(path):
    """Its quality."""
    with open_history(path) as history:
        return run_quality(history)


def line(found, name):
    """One line by its name."""
    (own,) = [line for line in found.lines if line.name == name]
    return own


def test_a_sound_run_is_fit_as_far_as_checked(path):
    found = quality(path)
    assert found.fit
    assert found.verdict == (
        "fit for use as far as checked; halved tolerance, stiffness not checked"
    )
    assert line(found, "energy balance").value == pytest.approx(5e-6)
    assert line(found, "steps").value == pytest.approx(1 / 71)
    assert "5e-04 %" in quality_text(found) or "0.0005 %" in quality_text(found)


@pytest.mark.parametrize(("residual", "state"), [(0.0019, "fit"), (-0.0021, "unfit")])
def test_energy_is_judged_by_the_sum_at_the_end(path, residual, state):
    with h5py.File(path, "r+") as file:
        file["quality/energy_residual"][...] = [0.1, 0.1, residual]
    own = line(quality(path), "energy balance")
    assert own.state == state
    assert own.value == pytest.approx(abs(residual) / 0.2)
    assert ("solver.max_step_us" in own.text) == (state == "unfit")


@pytest.mark.parametrize(("share", "state"), [(0.09, "fit"), (0.11, "unfit")])
def test_refused_steps_are_judged_by_their_share(path, share, state):
    with h5py.File(path, "r+") as file:
        steps = file["quality/steps"][...].astype(float)
        file["quality/rejected"][...] = np.round(share * steps / (1.0 - share))
    assert line(quality(path), "steps").state == state


def test_values_that_are_no_numbers_and_stopped_runs_are_unfit(path):
    with h5py.File(path, "r+") as file:
        file["peak/pocket_force"][5, 0, 0] = np.nan
        file.attrs["status"] = "stopped: the step collapsed"
    found = quality(path)
    assert not found.fit
    assert found.verdict == "UNFIT for use: end of the run, finite values"
    assert with_quality(found, "report").startswith("!! UNFIT for use")


def test_a_run_that_goes_on_cannot_be_told(tmp_path):
    write_synthetic_history(tmp_path / "b.h5", duration_s=0.6, rate_Hz=1000, finish=False)
    found = quality(tmp_path / "b.h5")
    assert line(found, "end of the run").state == "cannot tell"
    assert found.fit


def test_no_heat_is_told(path):
    with h5py.File(path, "r+") as file:
        file["quality/heat"][...] = 0.0
    assert line(quality(path), "energy balance").state == "cannot tell"
    json.dumps(quality_dict(quality(path)), allow_nan=False)


CHECK = QualityLine("halved tolerance", "unfit", 0.2, "1", 0.05, "found", "rule")


def test_checks_are_kept_beside_their_run_alone(path):
    with open_history(path) as history:
        keep_checks(history, [CHECK])
        keep_checks(history, [QualityLine("stiffness", FIT, 0.1, "1", 0.2, "small", "rule")])
    found = quality(path)
    assert line(found, "halved tolerance") == CHECK
    assert line(found, "stiffness").text == "small"
    assert found.verdict == "UNFIT for use: halved tolerance"
    with h5py.File(path, "r+") as file:
        file.attrs["seed"] = 99
    assert line(quality(path), "halved tolerance").state == "not checked"


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"run": 3}', "[" * 100000, "\u20ac", "null"])
def test_a_spoilt_file_of_checks_counts_as_none(path, text):
    quality_path(path).write_text(text, "utf-8")
    assert line(quality(path), "stiffness").state == "not checked"


def test_checks_of_the_right_run_with_spoilt_lines_count_as_none(path):
    with open_history(path) as history:
        kept = keep_checks(history, [CHECK])
    content = json.loads(kept.read_text("utf-8"))
    for spoilt in ([{"name": "stiffness"}], 3, [3], [{**content["checks"][0], "state": "good"}]):
        kept.write_text(json.dumps({**content, "checks": spoilt}), "utf-8")
        assert line(quality(path), "halved tolerance").state == "not checked"
