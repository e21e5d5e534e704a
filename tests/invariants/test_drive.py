"""Start, stop and emergency stop: books close while speeds change; run-down in closed form."""

import math

import numpy as np
import pytest

from rollsim.kernels.layout import inner_turn_offset
from rollsim.model.duty import course_table
from rollsim.simulation.balance import angular_momentum, energy_book
from rollsim.simulation.channels import history_channels

TURN = math.pi / 30
SHAKING = [{"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0}]
SPATIAL = {
    "solver__motion": "spatial", "roller__slices": 5, "bearing__misalignment_mrad": [0.3, 0.2],
}  # fmt: skip
TORQUE = {"duty__drive": "torque", "duty__drive_inertia_kgm2": 0.2}
DUTIES = {
    "start": {"duty__speed_table": [[0, 0], [0.02, 1200]]},
    "stop": {"duty__speed_table": [[0, 1200], [0.01, 1200], [0.02, 0]]},
    "emergency stop": {"duty__speed_table": [[0, 1200], [0.008, 1200], [0.011, 0]]},
    "both rings and the load": {
        "duty__speed_table": [[0, 1200], [0.02, 600]],
        "duty__outer_speed_table": [[0, 0], [0.01, -500]],
        "duty__load_table": [[0, 20, -90, 0], [0.006, 2, -90, 0], [0.012, 30, -45, 0]],
    },
    "start by torque": {**TORQUE, "duty__drive_torque_Nm": 800, "duty__start_speed_rpm": 0},
    "stop by torque": {
        **TORQUE, "duty__torque_table": [[0, 0], [0.004, 0], [0.005, -1500]],
        "duty__rotating_load_kN": 4.0, "duty__drive_resistance_Nms": 0.3,
    },
}  # fmt: skip


def _books(bench, tolerance, **changes):
    """Problem, samples, drift of the energy over the heat, of the momentum over its impulse."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, **changes)
    problem = bench.make_problem(built, tolerance=tolerance)
    samples, _ = bench.record(problem, 0.02, interval=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    momentum, closed = angular_momentum(problem.model, samples.states)
    impulse = np.ptp(momentum - closed)
    assert book["heat"][-1] > 0.2 and impulse > 1e-3
    energy = np.ptp(book["sum"]) / book["heat"][-1]
    return problem, samples, energy, np.ptp(closed) / impulse


@pytest.mark.parametrize("name", DUTIES)
@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring"])
def test_books_close_while_speeds_change(bench, name, guidance):
    problem, samples, energy, momentum = _books(
        bench, 1e-6, **DUTIES[name], cage__guidance=guidance
    )
    assert energy < 2e-5
    assert momentum < 1e-8
    turn = inner_turn_offset(problem.model.count)
    if name == "start by torque":
        assert samples.states[-1, turn + 1] > 200 * TURN
    if name == "stop by torque":
        assert samples.states[-1, turn + 1] < 900 * TURN


@pytest.mark.parametrize("name", ["start", "emergency stop", "stop by torque"])
def test_books_close_while_speeds_change_in_space(bench, name):
    _, _, energy, momentum = _books(bench, 1e-6, **DUTIES[name], **SPATIAL)
    assert energy < 2e-5
    assert momentum < 1e-6


@pytest.mark.parametrize("name", ["emergency stop", "start"])
def test_a_prescribed_speed_is_followed(bench, name):
    """Channels are those of the table and its integral; the state follows them.

    The last stage of a step that ends on a corner sees the slope behind it: the state is off by a
    seventh of a step's change of speed, but nothing is computed from it.
    """
    problem, samples, _, _ = _books(bench, 1e-4, **DUTIES[name])
    turn = inner_turn_offset(problem.model.count)
    table = course_table(problem.model.course, "inner")
    speed = np.interp(samples.times, table[:, 0], table[:, 1])
    fine = np.linspace(0.0, samples.times[-1], 200001)
    steps = np.interp(0.5 * (fine[1:] + fine[:-1]), table[:, 0], table[:, 1]) * np.diff(fine)
    angle = np.interp(samples.times, fine, np.append(0.0, np.cumsum(steps)))
    channels = history_channels(samples, problem.model)
    assert channels["inner_speed"] == pytest.approx(speed, abs=1e-9)
    assert channels["inner_angle"] == pytest.approx(angle, abs=1e-8)
    greatest = 50e-6 * np.abs(np.diff(speed) / np.diff(samples.times)).max()
    assert samples.states[:, turn + 1] == pytest.approx(speed, abs=0.2 * greatest)
    assert samples.states[:, turn] == pytest.approx(angle, abs=0.02 * greatest)


def _empty(model):
    """Nothing touches and nothing drags: the inner ring turns alone."""
    return model._replace(
        outer=model.outer._replace(gap=1.0), inner=model.inner._replace(gap=1.0),
        land=model.land._replace(gap=1.0), pocket=model.pocket._replace(half_clearance=1.0),
        drag=model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0)),
    )  # fmt: skip


def _alone(bench, **changes):
    """Times, angle and speed of an inner ring that no roller touches; its inertia."""
    built = bench.make_built(**TORQUE, duty__radial_load_kN=0, duty__gravity=False, **changes)
    problem = bench.make_problem(built, tolerance=1e-6, change=_empty, start=bench.centred(built))
    samples, _ = bench.record(problem, 0.2)
    turn = inner_turn_offset(built.model.count)
    return samples.times, *samples.states[:, turn : turn + 2].T, problem.model.drive.inertia


def test_run_down_against_a_resistance_is_exponential(bench):
    """J omega' = -c omega: omega = omega_0 exp(-c t/J), angle omega_0 J/c (1 - exp(-c t/J))."""
    times, angle, speed, inertia = _alone(
        bench, duty__drive_torque_Nm=0, duty__drive_resistance_Nms=3.0
    )
    ring = inertia - 0.2
    # Hollow cylinder of 130 mm bore, 156 mm raceway, 64 mm width in steel.
    mass = 7800.0 * math.pi * (0.078**2 - 0.065**2) * 0.064
    assert ring == pytest.approx(0.5 * mass * (0.078**2 + 0.065**2), rel=0.01)
    decay = np.exp(-3.0 * times / inertia)
    assert speed == pytest.approx(1200 * TURN * decay, rel=1e-6)
    assert angle == pytest.approx(1200 * TURN * inertia / 3.0 * (1.0 - decay), rel=1e-6)


def test_run_down_time_under_a_braking_torque(bench):
    """A constant torque T stops the ring after J omega_0/T; the table switches it off there."""
    inertia = _alone(bench, duty__drive_torque_Nm=0)[3]
    torque = inertia * 1200 * TURN / 0.1
    table = [[0, -torque], [0.1, -torque], [0.1001, 0]]
    times, _, speed, _ = _alone(bench, duty__torque_table=table)
    during = times < 0.1
    assert speed[during] == pytest.approx(1200 * TURN * (1.0 - times[during] / 0.1), abs=1e-4)
    # The rest of the ramp, T 0.1 ms/2, turns it a little backwards.
    assert speed[-1] == pytest.approx(-torque * 0.5e-4 / inertia, rel=1e-4)


def test_friction_of_the_bearing_slows_the_shaft(bench):
    """Without drive and resistance the lost angular momentum is what contacts and films took."""
    problem, samples, energy, momentum = _books(
        bench, 1e-6, **TORQUE, duty__drive_torque_Nm=0, duty__radial_load_kN=60
    )
    turn = inner_turn_offset(problem.model.count)
    speed = samples.states[:, turn + 1]
    assert speed[-1] < speed[0] * (1.0 - 1e-4)
    assert energy < 2e-5 and momentum < 1e-7
