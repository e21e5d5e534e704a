"""Runs that cannot go on: they stop at once, say where, and keep what was computed."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.errors import RunError
from rollsim.history import open_history, status_summary
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    outer_offset,
    outer_tail_offset,
    planar_size,
    shaft_offset,
    state_size,
)
from rollsim.model.build import build_model
from rollsim.simulation import failure
from rollsim.simulation.channels import entry_name
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.problem import problem_of
from rollsim.simulation.run import run
from rollsim.simulation.trial import cost_per_simulated_second

BROKEN_AT = 0.0315


@pytest.fixture
def broken_vibration(monkeypatch):
    """Function that puts a number into the imposed vibration from an instant on."""

    def install(value, axis=1):
        def build(*arguments):
            built = build_model(*arguments)
            shaking = built.model.shaking
            samples = shaking.samples.copy()
            samples[int(BROKEN_AT / shaking.tracks[0, 2]) :, axis] = value
            model = built.model._replace(shaking=shaking._replace(samples=samples))
            return replace(built, model=model)

        monkeypatch.setattr("rollsim.simulation.run.build_model", build)

    return install


@pytest.mark.parametrize("value", [np.nan, np.inf])
@pytest.mark.parametrize(
    "solver", ["leapfrog", "dormand_prince", "RK45", "DOP853", "LSODA", "Radau"]
)
def test_a_number_that_is_not_finite_stops_the_run(
    six_rollers, tmp_path, broken_vibration, value, solver
):
    broken_vibration(value)
    path = tmp_path / "out.h5"
    case = six_rollers(output__segment_s=0.005)
    with pytest.raises(RunError, match=r"stopped being finite at 0\.031") as problem:
        run(case, path, solver=solver)
    assert problem.value.exit_code == 1
    assert "housing, imposed acceleration y" in str(problem.value)
    assert str(path) in str(problem.value)
    with open_history(path) as history:
        assert history.status.startswith("stopped: a number stopped being finite")
        assert BROKEN_AT - 0.005 < history.time[-1] <= BROKEN_AT + 1e-3
        # The imposed acceleration is kept as it was, the motion ends before it.
        for name in set(history.names()) - {"base_acceleration"}:
            assert np.all(np.isfinite(history.channel(name))), name
    assert status_summary(path)["status"].startswith("stopped: ")


def test_a_failed_run_is_not_continued_nor_replaced_by_itself(
    six_rollers, tmp_path, broken_vibration
):
    broken_vibration(np.nan)
    path = tmp_path / "out.h5"
    with pytest.raises(RunError):
        run(six_rollers(), path)
    with pytest.raises(RefusedRun, match=r"holds a run that stopped: .* --overwrite"):
        run(six_rollers(), path)


def test_a_failure_before_the_first_sample_leaves_nothing(six_rollers, tmp_path, monkeypatch):
    def build(*arguments):
        built = build_model(*arguments)
        return replace(built, model=built.model._replace(ring=built.model.ring._replace(mass=0.0)))

    monkeypatch.setattr("rollsim.simulation.run.build_model", build)
    with pytest.raises(RunError, match="No sample was finished before"):
        run(six_rollers(), tmp_path / "out.h5")
    assert list(tmp_path.iterdir()) == []


def test_a_body_without_mass_is_named(six_rollers):
    built = build_model(six_rollers())
    model = built.model._replace(cage=built.model.cage._replace(mass=0.0))
    problem = problem_of(replace(built, model=model))
    cause = failure.non_finite_cause(problem, 0.0, problem.start[: problem.active])
    assert "the rate of cage, velocity" in cause


def test_a_bad_value_of_the_state_is_named(six_rollers):
    problem = problem_of(build_model(six_rollers()))
    state = problem.start[: problem.active].copy()
    state[6 * 2 + 4] = np.nan
    cause = failure.non_finite_cause(problem, 0.5, state)
    assert cause == "a number stopped being finite at 0.5 s: the value of roller 5, velocity x"
    assert failure.non_finite_cause(problem, 0.0, problem.start[: problem.active]) is None


@pytest.fixture
def stiff_pocket(monkeypatch):
    """A case whose pocket is so stiff that no step is short enough."""

    def build(*arguments):
        built = build_model(*arguments)
        pair = built.model.outer
        return replace(built, model=built.model._replace(outer=pair._replace(constant=1e60)))

    monkeypatch.setattr("rollsim.simulation.run.build_model", build)
    return build


def test_an_absurd_stiffness_stops_with_the_body_named(six_rollers, tmp_path, stiff_pocket):
    with pytest.raises(
        RunError, match=r"at 0 s[:;] (the greatest error is in )?(roller \d|inner ring), "
    ) as problem:
        run(six_rollers(), tmp_path / "out.h5")
    assert problem.value.exit_code == 1


def test_trial_steps_that_stop_say_so(six_rollers, stiff_pocket):
    problem = problem_of(stiff_pocket(six_rollers()))
    with pytest.raises(RunError, match="trial steps came to a stop at"):
        cost_per_simulated_second(problem)


def test_trial_steps_work_with_long_steps(six_rollers):
    cost, step = cost_per_simulated_second(
        problem_of(build_model(six_rollers(solver__max_step_us=10000.0)))
    )
    assert 0.0 < cost < 1000.0
    assert 1e-7 < step < 1e-3


def test_every_entry_of_the_state_has_a_name_of_its_own():
    count = 5
    names = [entry_name(index, count) for index in range(state_size(count))]
    ledger = [name for name in names if name.startswith("ledger")]
    assert len(ledger) == 3
    assert len(set(names)) == len(names)
    assert names[0] == "roller 1, position x"
    assert names[5 * count - 1] == "roller 5, spin speed"
    assert names[cage_offset(count) + 2] == "cage, angle"
    assert names[inner_offset(count) + 3] == "inner ring, velocity y"
    assert names[inner_turn_offset(count) + 1] == "inner ring, speed"
    assert names[outer_offset(count)] == "outer ring, position x"
    assert names[shaft_offset(count) - 1] == "outer ring, velocity y"
    assert names[shaft_offset(count) + 3] == "shaft, velocity y"
    assert names[planar_size(count)] == "roller 1, position z"
    assert names[cage_tail_offset(count) - 1] == "roller 5, tilt rate y"
    assert names[inner_tail_offset(count) - 1] == "cage, tilt rate y"
    assert names[outer_tail_offset(count) - 1] == "inner ring, tilt rate y"
    assert names[-1] == "outer ring, velocity z"


def test_a_full_disk_keeps_the_blocks_and_the_run_goes_on(six_rollers, tmp_path, monkeypatch):
    from rollsim.history import writer

    path = tmp_path / "out.h5"
    genuine, written = writer.write_whole, []

    def filling(*arguments):
        if len(written) == 3:
            raise OSError(28, "No space left on device")
        written.append(arguments)
        return genuine(*arguments)

    with monkeypatch.context() as patch:
        patch.setattr(writer, "write_whole", filling)
        with pytest.raises(RunError, match="disk is full") as problem:
            run(six_rollers(), path)
    assert problem.value.exit_code == 1
    run(six_rollers(), path)
    with open_history(path) as history:
        assert (history.status, len(history.time)) == ("finished", 300)
