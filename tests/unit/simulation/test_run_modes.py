"""Runs that drive the elastic modes of the cage."""

from itertools import pairwise

import numpy as np
import pytest
from oscillators import oscillator_filter
from scipy.integrate import solve_ivp
from scipy.signal import lfilter

from rollsim.history import open_history
from rollsim.kernels.cage_loads import load_count, loads_of_channels
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import run
from rollsim.structure.elasticity import cage_elasticity


@pytest.fixture
def modal(six_rollers):
    """Function that gives the case with modes, and the elasticity of its cage."""

    def make(count=6, **changes):
        case = six_rollers(cage__elastic_modes=count, cage__mode_damping=0.02, **changes)
        return case, cage_elasticity(case)

    return make


def loads_of(history):
    """Loads on the cage at the samples."""
    channels = [history.channel(name) for name in ("pocket_force", "land_force", "cage_angle")]
    count = history.roller_count
    loads = np.zeros((len(history.time), load_count(count)))
    speed = history.channel("cage_speed")
    inside = int(history.case.cage.guidance == "inner_ring")
    loads_of_channels(*channels, speed, inside, loads)
    return loads


def test_modes_do_not_act_back(modal, six_rollers, run_case, same_results):
    """All that a run without modes writes is the same, bit for bit."""
    case, elasticity = modal()
    alone = six_rollers(cage__mode_damping=0.02)
    with_modes = run_case(case, "with.h5", elasticity=elasticity)
    without = run_case(alone, "without.h5", elasticity=elasticity._replace(modes=None))
    same_results(without, with_modes)
    assert "modal_coordinate" not in without.names() and not without.modes()


def test_coordinates_are_those_of_a_fine_filter(modal, run_case):
    """Second route: loads sampled finely, filtered by lfilter; they are the same to 1 %."""
    case, elasticity = modal(output__rate_Hz=200000.0, duty__duration_s=0.02, duty__settle_s=0.001)
    history = run_case(case, elasticity=elasticity)
    modes = history.modes()
    assert modes["frequencies"] == pytest.approx(elasticity.modes.frequencies)
    pushed = loads_of(history) @ modes["participation"]
    found = history.channel("modal_coordinate")
    assert found.shape == (len(history.time), 6)
    for k, hertz in enumerate(modes["frequencies"]):
        w = 2.0 * np.pi * hertz
        change = pushed[:, k] - pushed[0, k]
        own = lfilter(*oscillator_filter(w, 0.02, 5e-6), change) + pushed[0, k] / w**2
        size = np.sqrt(np.mean((own - own.mean()) ** 2))
        assert size > 0.0
        assert np.sqrt(np.mean((found[:, k] - own) ** 2)) < 0.01 * size


@pytest.mark.parametrize("pace", [0.05, 1.0, 4.0])
def test_oscillator_filter_is_exact_for_linear_pieces(pace):
    speed, damping = 300.0, 0.02
    step = pace / speed
    force = np.array([0.0, 1.0, -0.5, 2.0, 2.0, 0.0, 0.0, 1.0])
    found = lfilter(*oscillator_filter(speed, damping, step), force)
    # Second route: the differential equation, integrated to 11 digits, step by step.
    state, expected = np.zeros(2), [0.0]
    for one, two in pairwise(force):

        def rates(t, y, one=one, two=two):
            pull = one + (two - one) * t / step
            return [y[1], pull - 2.0 * damping * speed * y[1] - speed**2 * y[0]]

        state = solve_ivp(rates, (0.0, step), state, rtol=1e-11, atol=1e-16).y[:, -1]
        expected.append(state[0])
    assert found == pytest.approx(expected, rel=1e-7, abs=1e-14)


def test_a_stopped_run_goes_on_with_its_own_modes(
    modal, tmp_path, run_case, interrupting, same_results
):
    """Bit for bit, though the modes handed over the second time have other signs."""
    case, elasticity = modal()
    path = tmp_path / "stopped.h5"
    with pytest.raises(KeyboardInterrupt):
        run(case, path, progress=interrupting(2), elasticity=elasticity)
    with open_history(path) as part:
        assert part.modes()["shapes"].shape == elasticity.modes.shapes.shape
    turned = elasticity.modes._replace(participation=-elasticity.modes.participation)
    run(case, path, elasticity=elasticity._replace(modes=turned))
    whole = run_case(case, "whole.h5", elasticity=elasticity)
    with open_history(path) as continued:
        assert "modal_coordinate" in continued.names()
        same_results(whole, continued)
        for name, values in whole.modes().items():
            assert np.array_equal(values, continued.modes()[name]), name


@pytest.mark.parametrize("solver", ["DOP853"])
def test_scipys_solvers_drive_the_same_modes(modal, run_case, solver):
    """Before roundings part: the first milliseconds of both, to a hundredth of their range."""
    case, elasticity = modal(duty__duration_s=0.006, duty__settle_s=0.001)
    own = run_case(case, "own.h5", elasticity=elasticity).channel("modal_coordinate")
    other = run_case(case, "other.h5", elasticity=elasticity, solver=solver)
    assert other.channel("modal_coordinate") == pytest.approx(own, abs=0.01 * np.ptp(own))
    assert np.ptp(own) > 0.0


def test_modes_that_were_not_handed_over_are_asked_for(modal, tmp_path):
    case, _ = modal()
    with pytest.raises(RefusedRun, match="modes of the cage were not handed"):
        run(case, tmp_path / "out.h5")
    assert not (tmp_path / "out.h5").exists()
