"""A run takes the stiffness behind its pocket faces from its own cage."""

import json
from pathlib import Path

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import load_case, parse_case
from rollsim.history import open_history
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import run as simulate
from rollsim.structure.elasticity import cage_elasticity
from rollsim.sweep.launch import run

CASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")
BAR, ENDS = "cage.bar_stiffness_N_per_um", "cage.end_stiffness_N_per_um"
#: Bars without metal inside the circle of their rivets.
BROKEN = {"cage.pocket_side_angle_deg": -28.0, "cage.inner_diameter_mm": 168.0}
SHORT = {"duty.settle_s": 0.0}


@pytest.fixture
def case():
    """Six rollers under vibration."""
    return changed_case(parse_case(CASE, "six rollers"), SHORT)


def _forces(path):
    """Pocket forces of a history and its attributes."""
    with open_history(path) as history:
        return history.channel("pocket_force"), history.attributes


def test_run_takes_the_frame_and_says_so(case, tmp_path):
    forces, attributes = _forces(run(case, tmp_path / "own.h5", duration=0.02))
    wanted = cage_elasticity(case).backing
    stored = json.loads(attributes["cage_backing_N_per_m"])
    assert stored == {name: own.tolist() for name, own in wanted._asdict().items()}
    told = {item["key"]: item for item in json.loads(attributes["assumptions"])}
    assert told[BAR]["value"] == pytest.approx(1e-6 * wanted.bar[0], abs=1e-4)
    assert "frame model of this cage" in told[BAR]["why"]
    plain, _ = _forces(simulate(case, tmp_path / "beam.h5", duration=0.02))
    assert not np.array_equal(forces, plain)


def test_given_values_make_the_run_that_they_made_without_the_frame(case, tmp_path):
    given = changed_case(case, {BAR: 40.0, ENDS: 40.0})
    own, _ = _forces(run(given, tmp_path / "own.h5", duration=0.02))
    plain, _ = _forces(simulate(given, tmp_path / "plain.h5", duration=0.02))
    assert own.max() > 0.0 and np.array_equal(own, plain)


def test_finished_run_with_another_stiffness_is_refused(case, tmp_path):
    path = run(case, tmp_path / "out.h5", duration=0.01)
    assert run(case, path, duration=0.01) == path
    with pytest.raises(RefusedRun, match="stiffness of the cage behind the pocket faces"):
        simulate(case, path, duration=0.01)


def test_cage_that_cannot_be_made_is_refused_before_anything_is_written(request, tmp_path):
    screen = load_case(request.config.rootpath / "cases" / "dewatering_screen_riveted.toml")
    broken = changed_case(screen, BROKEN)
    with pytest.raises(RefusedRun, match="cannot be computed") as refusal:
        run(broken, tmp_path / "out.h5", duration=0.01)
    assert refusal.value.exit_code == 2 and not list(tmp_path.iterdir())


class _StoppedByUser:
    """Progress that ends the run after its first block."""

    def __init__(self, total, start):
        pass

    def update(self, reached, largest):
        raise KeyboardInterrupt

    def close(self):
        pass


def test_unfinished_run_goes_on_with_its_own_stiffness_only(case, tmp_path):
    path = tmp_path / "out.h5"
    short = changed_case(case, {"output.segment_s": 0.01})
    with pytest.raises(KeyboardInterrupt):
        run(short, path, progress=_StoppedByUser, duration=0.03)
    with pytest.raises(RefusedRun, match="unfinished run with another stiffness of the cage"):
        simulate(short, path, duration=0.03)
    continued, _ = _forces(run(short, path, duration=0.03))
    whole, _ = _forces(run(short, tmp_path / "whole.h5", duration=0.03))
    assert np.array_equal(continued, whole)
