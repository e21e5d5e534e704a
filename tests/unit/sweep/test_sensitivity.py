"""One-at-a-time variation with real runs of a few hundredths of a second."""

import contextlib
import json

import pytest

from rollsim.case.change import changed_case
from rollsim.errors import RollsimError
from rollsim.simulation.output import RefusedRun
from rollsim.sweep import sensitivity as module
from rollsim.sweep.launch import elasticity_for_run
from rollsim.sweep.sensitivity import LIST_NAME, sensitivity
from rollsim.sweep.sensitivity_inputs import choose_inputs, read_vary, variant_name
from rollsim.sweep.sensitivity_types import SensitivityPlan

PLAN = SensitivityPlan(
    replicates=2,
    vary={
        "lubricant.oil_fraction": (1.0,),
        "cage.closure.preload_N": (300.0,),
        "clearance.pocket_um": (-5.0,),
    },
    only=("fatigue.surface_factor",),
    jobs=2,
)


@pytest.fixture(scope="module")
def found(six, tmp_path_factory):
    """Two values that need no run or may not, one that does, one that is refused."""
    said, folder = [], tmp_path_factory.mktemp("varied")
    return sensitivity(six, folder, plan=PLAN, say=said.append, preview=False), folder, said


def test_every_value_has_an_effect(found):
    result, _, _ = found
    bars = {effect.input.key: effect.bars for effect in result.effects}
    assert set(bars) == {
        "lubricant.oil_fraction",
        "cage.closure.preload_N",
        "fatigue.surface_factor",
    }
    [oil] = bars["lubricant.oil_fraction"]
    assert oil.needed_run and oil.peak is not None and oil.replicates == 2
    rough, polished = bars["fatigue.surface_factor"]
    assert not rough.needed_run and rough.peak is None
    assert rough.reserve.ratio < 1.0 < polished.reserve.ratio
    assert result.base_reserve > 0.0 and result.unfinished == ()


def test_a_preload_that_stiffens_the_cage_gets_a_run_of_its_own(found):
    result, _, _ = found
    [preload] = next(e for e in result.effects if e.input.key == "cage.closure.preload_N").bars
    assert preload.needed_run


def test_a_value_that_the_checks_refuse_is_told_and_skipped(found):
    result, _, said = found
    [(name, reason)] = result.refused
    assert name == "clearance.pocket_um=-5" and "greater than 0" in reason
    assert any("clearance.pocket_um=-5 is skipped" in line for line in said)
    assert any("Expected time" in line for line in said)


def test_the_same_call_again_runs_nothing(found, six, monkeypatch):
    result, folder, _ = found

    def refuse(tasks, *_):
        assert list(tasks) == []

    monkeypatch.setattr(module, "run_side_by_side", refuse)
    again = sensitivity(six, folder, plan=PLAN, preview=False)
    assert again.effects == result.effects


def test_a_further_value_needs_no_more_runs_of_the_case(found, six, monkeypatch):
    _, folder, _ = found
    begun = []
    monkeypatch.setattr(module, "run_side_by_side", lambda tasks, *_: begun.extend(tasks))
    plan = SensitivityPlan(replicates=2, vary={"fatigue.size_factor": (0.9,)}, only=("none",))
    sensitivity(six, folder, plan=plan, preview=False)
    assert [task.finished for task in begun] == [True, True]


def test_numbers_that_a_call_does_not_ask_for_are_kept_for_the_next(found):
    _, folder, _ = found
    listed = json.loads((folder / LIST_NAME).read_text("utf-8"))
    assert len(listed["numbers"]["lubricant.oil_fraction=1"]) == 2


def test_numbers_of_another_case_are_not_taken(found, six, monkeypatch, tmp_path):
    _, folder, _ = found
    listed = json.loads((folder / LIST_NAME).read_text("utf-8"))
    (tmp_path / LIST_NAME).write_text(json.dumps(listed), "utf-8")
    begun = []
    monkeypatch.setattr(module, "run_side_by_side", lambda tasks, *_: begun.extend(tasks))
    for speed, missing in ((1200, 0), (1300, 2)):
        begun.clear()
        case = changed_case(six, {"duty.speed_rpm": speed})
        plan = SensitivityPlan(replicates=2, only=("fatigue.surface_factor",))
        with contextlib.suppress(RollsimError):  # nothing is judged here
            sensitivity(case, tmp_path, plan=plan, preview=False)
        assert sum(len(task.measure.args[0]) for task in begun) == 3 * missing


def test_a_spent_budget_leaves_the_case_itself_unjudged(six, tmp_path):
    plan = SensitivityPlan(replicates=2, only=("fatigue.surface_factor",), hours=1e-9)
    with pytest.raises(RollsimError, match="case itself could not be judged: the allowed time"):
        sensitivity(six, tmp_path, plan=plan, preview=False)


def test_most_limits_inputs_with_runs_only(six):
    elasticity = elasticity_for_run(six)
    inputs, left_out = choose_inputs(six, SensitivityPlan(most=1), elasticity)
    keys = [own.key for own in inputs]
    assert keys[0] == "lubricant.oil_fraction" and "fatigue.surface_factor" in keys
    assert ("lubricant.pocket_friction", "beyond the 1 inputs with runs of their own") in left_out
    alone, _ = choose_inputs(six, SensitivityPlan(runs=False), elasticity)
    assert [own.key for own in alone] == keys[1:]


def test_a_stiffness_that_the_model_computes_is_varied_about_its_value(six):
    elasticity = elasticity_for_run(six)
    plan = SensitivityPlan(only=("cage.bar_stiffness_N_per_um",))
    [own], _ = choose_inputs(six, plan, elasticity)
    assert own.base == pytest.approx(elasticity.backing.bar[0] / 1e6, rel=1e-5)
    assert own.values == pytest.approx((own.base / 2.0, own.base * 2.0), rel=1e-5)


def test_every_other_value_is_varied_or_told(six):
    elasticity = elasticity_for_run(six)
    inputs, left_out = choose_inputs(six, SensitivityPlan(), elasticity)
    told = {own.key for own in inputs} | {key for key, _ in left_out}
    for item in six.assumptions:
        if not item.key.startswith(("case.", "solver.", "output.", "material.bearing_steel.")):
            assert item.key in told, item.key
    names = [variant_name(own.key, value) for own in inputs for value in own.values]
    assert len(set(names)) == len(names)


def test_wishes_that_cannot_be_read(six):
    with pytest.raises(RollsimError, match="KEY=LOW:HIGH"):
        read_vary("lubricant.pocket_friction")
    with pytest.raises(RollsimError, match="Nothing to vary in nowhere"):
        choose_inputs(six, SensitivityPlan(only=("nowhere",)), elasticity_for_run(six))
    with pytest.raises(RefusedRun, match="At least 2 replicates"):
        sensitivity(six, "unused", plan=SensitivityPlan(replicates=1))
