"""Cage whose mass centre lies off its centre: free flight, centrifugal force, locks."""

import math

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset
from rollsim.simulation.balance import angular_momentum, cage_mass_centre, energy_book

SHAKING = [{"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0}]
OFF = {"cage__imbalance_gmm": 2000.0, "cage__imbalance_direction_deg": 40.0}


def _free(model):
    """Nothing touches the cage."""
    model = model._replace(
        outer=model.outer._replace(gap=1.0), inner=model.inner._replace(gap=1.0), guidance=2,
        pocket=model.pocket._replace(half_clearance=1.0, film=0.0),
    )  # fmt: skip
    return model._replace(drag=model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0)))


def _flight(bench, **changes):
    """Problem and samples of a cage thrown through an empty bearing."""
    built = bench.make_built(**OFF, duty__radial_load_kN=0.0, **changes)
    start = bench.centred(built)
    c = cage_offset(built.model.count)
    start[c + 3 : c + 6] = [0.3, -0.2, 90.0]
    problem = bench.make_problem(built, tolerance=1e-8, change=_free, start=start, longest=1e-5)
    samples, _ = bench.record(problem, 0.05, interval=1e-4)
    return problem, samples


def test_mass_centre_is_where_the_case_puts_it(bench):
    model = bench.make_built(**OFF).model
    arm = 2000e-6 / model.cage.mass
    assert model.offset == pytest.approx(
        (arm * math.cos(math.radians(40)), arm * math.sin(math.radians(40)))
    )
    assert bench.make_built().model.offset == (0.0, 0.0)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_a_free_cage_flies_straight_and_turns_evenly(bench, motion):
    """Speed of the mass centre, spin, energy and angular momentum stay what they were."""
    problem, samples = _flight(bench, duty__gravity=False, solver__motion=motion)
    model, states = problem.model, samples.states
    x, y, vx, vy = cage_mass_centre(model, states)
    first = cage_mass_centre(model, problem.start[None, :])
    for place, speed, start, start_speed in (
        (x, vx, first[0], first[2]),
        (y, vy, first[1], first[3]),
    ):
        assert speed == pytest.approx(np.full(len(speed), start_speed[0]), abs=1e-9)
        assert place == pytest.approx(start[0] + start_speed[0] * samples.times, abs=1e-10)
    c = cage_offset(model.count)
    assert states[:, c + 5] == pytest.approx(np.full(len(x), 90.0), rel=1e-12)
    # The geometric centre circles the mass centre.
    assert np.ptp(states[:, c + 3]) > 1.9 * 90.0 * math.hypot(*model.offset)
    book = energy_book(model, states, samples.outputs)
    assert np.ptp(book["sum"]) < 1e-10 * book["kinetic"][0]
    momentum, _ = angular_momentum(model, states)
    assert np.ptp(momentum) < 1e-10 * abs(momentum[0])


def test_a_falling_cage_puts_the_weight_on_its_mass_centre(bench):
    problem, samples = _flight(bench)
    _, y, _, _ = cage_mass_centre(problem.model, samples.states)
    start = cage_mass_centre(problem.model, problem.start[None, :])
    fall = start[1][0] + start[3][0] * samples.times - 0.5 * 9.80665 * samples.times**2
    assert y == pytest.approx(fall, abs=1e-10)


def test_a_cage_turning_in_its_land_presses_with_the_centrifugal_force(bench):
    """N = m (e + r) omega^2, r the distance of the centre from the axis of the land."""
    built = bench.make_built(**OFF, duty__radial_load_kN=0.0, duty__gravity=False)
    model = bench.conservative(built.model)
    far = _free(model)._replace(guidance=0)
    far = far._replace(land=far.land._replace(damping=2.0))
    c, spin = cage_offset(model.count), 100.0
    arm = math.hypot(*model.offset)
    start = bench.centred(built)
    direction = np.array(model.offset) / arm
    start[c : c + 2] = model.land.gap * direction
    start[c + 3 : c + 6] = [-spin * start[c + 1], spin * start[c], spin]
    problem = bench.make_problem(built, tolerance=1e-6, change=lambda _: far, start=start)
    samples, _ = bench.record(problem, 0.1, interval=1e-4)
    late, out = (values[samples.times > 0.02] for values in (samples.states, samples.outputs))
    force = out[:, 8 * model.count : 8 * model.count + 2].sum(axis=1)
    distance = np.hypot(late[:, c], late[:, c + 1])
    expected = model.cage.mass * (arm + distance) * late[:, c + 5] ** 2
    assert arm > distance.max() and expected.min() > 20.0
    # The cage swings on the stiffness of the land, so the force holds on average.
    assert force.mean() == pytest.approx(expected.mean(), rel=5e-3)
    # The mass centre stays behind the point of contact.
    pointing = np.arctan2(late[:, c + 1], late[:, c]) - late[:, c + 2] - math.radians(40.0)
    assert np.cos(pointing) == pytest.approx(np.ones(len(late)), abs=1e-4)


@pytest.mark.parametrize(
    "locked", [[], ["cage_x"], ["cage_y"], ["cage_angle"], ["cage_x", "cage_y"]], ids="+".join
)
@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_books_close_with_an_imbalance_and_locks(bench, motion, locked):
    built = bench.make_built(
        vibration=SHAKING, duty__ramp_s=0.001, solver__locked=locked, solver__motion=motion,
        roller__slices=3, **OFF, duty__carrier_speed_rpm=60.0,
    )  # fmt: skip
    problem = bench.make_problem(built, tolerance=1e-6)
    samples, _ = bench.record(problem, 0.02, interval=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    momentum, closed = angular_momentum(problem.model, samples.states)
    assert np.ptp(book["sum"]) < 2e-5 * book["heat"][-1]
    assert np.ptp(closed) < 1e-7 * np.ptp(momentum - closed)
