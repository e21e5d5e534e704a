"""Energy and angular momentum of whole runs: nothing appears from nowhere, nothing is lost.

Book: kinetic + elastic - work put in + heat is constant. "Exchanged energy" of a run without
losses is the sum of all changes of the elastic energy between samples 10 us apart: what the
contacts took and gave back.
"""

import numpy as np
import pytest

from rollsim.simulation.balance import angular_momentum, energy_book

SHAKING = [
    {"kind": "sine", "axis": "x", "frequency_Hz": 80.0, "amplitude_g": 5.0},
    {"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0},
]


def _run(bench, tolerance, duration, change=None, interval=1e-4, **changes):
    """Model, samples of a shaken run."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, **changes)
    problem = bench.make_problem(built, tolerance=tolerance, change=change)
    samples, _ = bench.record(problem, duration, interval=interval)
    return problem.model, samples


def _drift(model, samples):
    """Range of the sum of the energy book, J, and the book."""
    book = energy_book(model, samples.states, samples.outputs)
    return np.ptp(book["sum"]), book


@pytest.mark.parametrize(
    ("tolerance", "duration", "bound"),
    [
        (1e-6, 0.03, 2e-4),
        (1e-8, 0.03, 5e-6),
        (1e-10, 0.01, 2e-7),
        pytest.param(1e-8, 0.1, 1e-6, marks=pytest.mark.long),
    ],
)
def test_energy_without_losses(bench, tolerance, duration, bound):
    """No friction, damping, film or drag: drift of the book over the exchanged energy."""
    model, samples = _run(bench, tolerance, duration, bench.conservative, 1e-5)
    drift, book = _drift(model, samples)
    exchanged = np.abs(np.diff(book["elastic"])).sum()
    assert np.all(book["heat"] == 0.0)
    assert exchanged > 0.3
    assert samples.maxima[:, 2 * model.count : 4 * model.count].max() > 100.0
    assert drift < bound * exchanged


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
def test_energy_with_losses(bench, guidance):
    """All losses on: the residual over the work put in falls with the tolerance."""
    shares = []
    for tolerance, bound in ((1e-4, 2e-3), (1e-6, 2e-5), (1e-8, 4e-7)):
        model, samples = _run(bench, tolerance, 0.03, cage__guidance=guidance)
        drift, book = _drift(model, samples)
        assert book["heat"][-1] > 0.5 and np.all(np.diff(book["heat"]) > 0.0)
        shares.append(drift / book["work"][-1])
        assert shares[-1] < bound
    assert shares[2] < 0.02 * shares[0]


def test_energy_with_a_turning_outer_ring_and_a_carrier(bench):
    """Both rings turn and the housing turns with a carrier: the book still closes."""
    model, samples = _run(
        bench, 1e-7, 0.03, duty__outer_speed_rpm=-400.0, duty__carrier_speed_rpm=120.0,
        duty__carrier_radius_mm=150.0,
    )  # fmt: skip
    drift, book = _drift(model, samples)
    assert drift < 5e-6 * book["heat"][-1]


def test_energy_of_the_spatial_model_without_tilt(bench):
    """Axial motion, flanges and ends, but no tilt: as exact as in the plane."""
    tilts = [f"{body}_tilt_{axis}" for body in ("roller", "cage", "inner") for axis in "xy"]
    model, samples = _run(
        bench, 1e-6, 0.02, solver__motion="spatial", roller__slices=3, solver__locked=tilts
    )
    drift, book = _drift(model, samples)
    assert drift < 3e-5 * book["heat"][-1]


@pytest.mark.parametrize("misaligned", [0.0, 0.5])
def test_energy_of_the_spatial_model_with_tilt(bench, misaligned):
    """Tilts leave out terms of second order: the residual stays below 1e-3 of the heat."""
    model, samples = _run(
        bench, 1e-6, 0.03, solver__motion="spatial", roller__slices=5,
        bearing__misalignment_mrad=[misaligned, 0.6 * misaligned],
    )  # fmt: skip
    drift, book = _drift(model, samples)
    assert drift < 1e-3 * book["heat"][-1]


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
@pytest.mark.parametrize(("tolerance", "bound"), [(1e-4, 1e-6), (1e-6, 1e-8)])
def test_angular_momentum(bench, guidance, tolerance, bound):
    """Angular momentum less the external impulse is constant to a share of the impulse."""
    model, samples = _run(bench, tolerance, 0.02, cage__guidance=guidance)
    momentum, closed = angular_momentum(model, samples.states)
    impulse = np.ptp(momentum - closed)
    assert impulse > 1e-4
    assert np.ptp(closed) < bound * impulse


def test_angular_momentum_of_the_spatial_model(bench):
    model, samples = _run(bench, 1e-6, 0.02, solver__motion="spatial", roller__slices=5)
    momentum, closed = angular_momentum(model, samples.states)
    assert np.ptp(closed) < 1e-3 * np.ptp(momentum - closed)
