"""Compliant housing seat and shaft: deflections in series, natural frequencies, books."""

import math

import numpy as np
import pytest

from rollsim.kernels.layout import (
    inner_offset,
    inner_tail_offset,
    outer_offset,
    outer_tail_offset,
    shaft_offset,
)
from rollsim.model.initial import initial_state
from rollsim.simulation.balance import angular_momentum, energy_book

G = 9.80665
SEAT = {
    "bearing__seat_stiffness_N_per_um": [300.0, 400.0, 150.0],
    "bearing__outer_mass_kg": 6.0,
}
SHAFT = {"duty__rotor_mass_kg": 40.0, "duty__shaft_stiffness_N_per_um": 120.0}
UNDAMPED = {
    "bearing__seat_damping_Ns_per_mm": 0.0, "duty__shaft_damping_Ns_per_mm": 0.0,
    "duty__rotor_damping_Ns_per_mm": 0.0,
}  # fmt: skip
SHAKING = [
    {"kind": "sine", "axis": "x", "frequency_Hz": 80.0, "amplitude_g": 5.0},
    {"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0},
]


def _empty(model):
    """Nothing touches: the bodies hang on seat and shaft alone."""
    none = {"constant": 0.0}
    return model._replace(
        outer=model.outer._replace(gap=1.0, **none), inner=model.inner._replace(gap=1.0, **none),
        pocket=model.pocket._replace(half_clearance=1.0, film=0.0), guidance=2,
        drag=model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0)),
    )  # fmt: skip


def test_a_seat_without_keys_is_fixed_and_a_shaft_rigid(bench):
    model = bench.make_built().model
    assert not model.seat.moves and not model.shaft.moves
    rates, _ = bench.evaluate(model, bench.centred(bench.make_built()))
    o = outer_offset(model.count)
    assert np.all(rates[o : o + 8] == 0.0)


def test_start_is_the_series_of_seat_bearing_and_shaft(bench):
    """Outer ring by all weights over the seat, shaft by load and its weight over the shaft."""
    built = bench.make_built(**SEAT, **SHAFT, duty__speed_rpm=0.0)
    model, start, z = built.model, initial_state(built), built.model.count
    rollers = z * model.roller.mass * G
    load = 20e3 + 40.0 * G
    seat = start[outer_offset(z) : outer_offset(z) + 2]
    # Rollers in the load zone pass their weight on, the others do not count in the statics.
    below = load + (model.ring.mass + 6.0) * G
    assert -seat[1] * 400e6 == pytest.approx(below, abs=rollers)
    assert seat[0] == pytest.approx(0.0, abs=1e-8)
    inner = start[inner_offset(z) : inner_offset(z) + 2]
    assert inner - seat == pytest.approx(built.statics.displacement, abs=1e-12)
    shaft = start[shaft_offset(z) : shaft_offset(z) + 2]
    assert shaft - inner == pytest.approx([0.0, -load / 120e6], abs=1e-12)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_a_standing_bearing_settles_at_the_series(bench, motion):
    """Disturbed and damped: the deflections over the forces are the stiffnesses."""
    built = bench.make_built(
        **SEAT, **SHAFT, duty__speed_rpm=0.0, solver__motion=motion, roller__slices=3,
        bearing__seat_damping_Ns_per_mm=40.0, duty__shaft_damping_Ns_per_mm=60.0,
        duty__rotor_damping_Ns_per_mm=20.0,
    )  # fmt: skip
    z, start = built.model.count, initial_state(built)
    for place in (outer_offset(z), inner_offset(z), shaft_offset(z)):
        start[place : place + 2] += [8e-6, 6e-6]
    samples, _ = bench.record(bench.make_problem(built, tolerance=1e-5, start=start), 0.15)
    final = samples.states[-1]
    outer, inner, shaft = (
        final[f(z) : f(z) + 2] for f in (outer_offset, inner_offset, shaft_offset)
    )
    load = 20e3 + 40.0 * G
    total = load + (built.model.ring.mass + 6.0 + z * built.model.roller.mass) * G
    weight = built.model.cage.mass * G
    assert shaft - inner == pytest.approx([0.0, -load / 120e6], abs=2e-8)
    assert -400e6 * outer[1] == pytest.approx(total + 0.5 * weight, abs=weight + 20.0)
    # The bearing itself yields as in its statics.
    assert inner - outer == pytest.approx(
        built.statics.displacement, abs=0.02 * np.hypot(*built.statics.displacement)
    )


def _frequency(times, values):
    """Frequency of a sine from its zero crossings, Hz."""
    swing = values - 0.5 * (values.max() + values.min())
    up = np.flatnonzero((swing[:-1] < 0.0) & (swing[1:] >= 0.0))
    crossings = times[up] - swing[up] * np.diff(times)[up] / np.diff(swing)[up]
    return 1.0 / np.diff(crossings).mean()


def test_natural_frequencies_of_seat_and_shaft(bench):
    """Outer ring alone sqrt(k/m); ring and rotor against each other sqrt(k (1/m1 + 1/m2))."""
    built = bench.make_built(
        **SEAT, **SHAFT, **UNDAMPED, duty__speed_rpm=1e-6, solver__motion="spatial",
        duty__radial_load_kN=0.0, duty__gravity=False,
    )  # fmt: skip
    z, start = built.model.count, bench.centred(built)
    o, s, t = outer_offset(z), shaft_offset(z), outer_tail_offset(z)
    start[[o, o + 1, t]] = [1e-5, 2e-5, 3e-5]
    start[s : s + 2] = [1e-5, -1e-5]
    problem = bench.make_problem(built, tolerance=1e-8, change=_empty, start=start)
    samples, _ = bench.record(problem, 0.05, interval=2e-5)
    mass = built.model.ring.mass
    for place, stiffness, inertia in (
        (o, 300e6, 6.0), (o + 1, 400e6, 6.0), (t, 150e6, 6.0),
        (s, 120e6, 1.0 / (1.0 / mass + 1.0 / 40.0)), (s + 1, 120e6, 40.0 * mass / (40.0 + mass)),
    ):  # fmt: skip
        found = _frequency(samples.times, samples.states[:, place])
        assert found == pytest.approx(math.sqrt(stiffness / inertia) / (2.0 * math.pi), rel=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    assert np.ptp(book["sum"]) < 1e-6 * book["elastic"].max()
    assert np.all(book["heat"] == 0.0)


@pytest.mark.parametrize("rpm", [1e-6, 6000.0])
def test_natural_frequencies_of_a_tilting_ring_on_its_shaft(bench, rpm):
    """Forward and backward precession: w = +-g + sqrt(g^2 + k/Jt), g = Ja omega/(2 Jt)."""
    built = bench.make_built(
        duty__shaft_tilt_stiffness_Nm_per_mrad=50.0, duty__rotor_damping_Ns_per_mm=0.0,
        duty__speed_rpm=rpm, solver__motion="spatial", roller__slices=3,
        duty__radial_load_kN=0.0, duty__gravity=False,
    )  # fmt: skip
    ring = built.model.ring
    g = 0.5 * ring.axial * rpm * math.pi / 30.0 / ring.transverse
    root = math.sqrt(g * g + 50e3 / ring.transverse)
    z = built.model.count
    t = inner_tail_offset(z)
    for sense, expected in ((1.0, root + g), (-1.0, root - g)):
        start = bench.centred(built)
        start[t + 1] = 1e-4
        start[t + 5] = sense * expected * 1e-4
        problem = bench.make_problem(built, tolerance=1e-6, change=_empty, start=start)
        samples, _ = bench.record(problem, 0.02, interval=1e-5)
        ux, uy = samples.states[:, t + 1], samples.states[:, t + 2]
        turned = np.unwrap(np.arctan2(uy, ux))
        rate = np.polyfit(samples.times, turned, 1)[0]
        assert rate == pytest.approx(sense * expected, rel=1e-5)
        assert np.hypot(ux, uy) == pytest.approx(np.full(len(ux), 1e-4), rel=1e-4)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring"])
def test_books_close_with_everything_that_moves(bench, motion, guidance):
    """Seat, shaft, tilt stiffness, drive by torque, imbalance, carrier and vibration at once."""
    spatial = {"duty__shaft_tilt_stiffness_Nm_per_mrad": 100.0, "roller__slices": 5,
               "bearing__misalignment_mrad": [0.3, 0.2]} if motion == "spatial" else {}  # fmt: skip
    built = bench.make_built(
        vibration=SHAKING, duty__ramp_s=0.001, solver__motion=motion, cage__guidance=guidance,
        **SEAT, **SHAFT, **spatial, duty__drive="torque", duty__drive_inertia_kgm2=0.3,
        duty__torque_table=[[0, 300], [0.01, -300]], cage__imbalance_gmm=300.0,
        duty__rotating_load_kN=3.0, duty__carrier_speed_rpm=100.0, duty__carrier_radius_mm=200.0,
        duty__outer_speed_table=[[0, 0], [0.02, -100]],
    )  # fmt: skip
    problem = bench.make_problem(built, tolerance=1e-6)
    samples, _ = bench.record(problem, 0.02, interval=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    momentum, closed = angular_momentum(problem.model, samples.states)
    assert np.ptp(book["sum"]) < 2e-5 * book["heat"][-1]
    assert np.ptp(closed) < 1e-6 * np.ptp(momentum - closed)
    o = outer_offset(built.model.count)
    assert np.ptp(samples.states[:, o : o + 2], axis=0).min() > 1e-7
