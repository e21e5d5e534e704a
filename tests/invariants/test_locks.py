"""Locked degrees of freedom: what a lock holds back is booked, so that the books stay closed."""

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset, inner_offset
from rollsim.simulation.balance import angular_momentum, energy_book

SHAKING = [
    {"kind": "sine", "axis": "x", "frequency_Hz": 80.0, "amplitude_g": 5.0},
    {"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0},
]
MOTIONS = {"planar": {}, "spatial": {"solver__motion": "spatial", "roller__slices": 5}}
LOCKS = [
    ["roller_spin"],
    ["cage_angle"],
    ["inner_x", "inner_y"],
    ["cage_x"],
    ["cage_y"],
    ["roller_x"],
    ["roller_y"],
    ["roller_spin", "cage_angle", "inner_y"],
]


def _books(bench, locked, **changes):
    """Model, states, drift of the energy over the heat, of the momentum over its impulse."""
    built = bench.make_built(
        vibration=SHAKING, duty__ramp_s=0.001, solver__locked=locked, **changes
    )
    problem = bench.make_problem(built, tolerance=1e-6)
    samples, _ = bench.record(problem, 0.02, interval=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    momentum, closed = angular_momentum(problem.model, samples.states)
    impulse = np.ptp(momentum - closed)
    assert book["heat"][-1] > 0.5 and impulse > 1e-3
    energy = np.ptp(book["sum"]) / book["heat"][-1]
    return problem, samples.states, energy, np.ptp(closed) / impulse


@pytest.mark.parametrize("motion", MOTIONS)
@pytest.mark.parametrize("locked", LOCKS, ids="+".join)
def test_books_close_with_locks(bench, locked, motion):
    """At 1e-6: energy to 2e-5 of the heat, angular momentum to 1e-8 of its impulse.

    In space terms of second order in the tilts are left out: up to 9e-6 and 3.9e-8 were seen.
    """
    _, _, energy, momentum = _books(bench, locked, **MOTIONS[motion])
    assert energy < 2e-5
    assert momentum < (1e-8 if motion == "planar" else 6e-8)


@pytest.mark.parametrize("guidance", ["inner_ring", "roller"])
@pytest.mark.parametrize("locked", [["cage_angle"], ["inner_x"], ["cage_x"]], ids="+".join)
def test_books_close_with_locks_in_other_guides(bench, guidance, locked):
    _, _, energy, momentum = _books(bench, locked, cage__guidance=guidance)
    assert energy < 1e-5
    assert momentum < 1e-8


@pytest.mark.parametrize("locked", LOCKS[:4], ids="+".join)
def test_books_close_with_locks_and_misalignment(bench, locked):
    """Tilts of a milliradian leave out terms of second order, 1e-6 of everything."""
    _, _, energy, momentum = _books(
        bench, locked, **MOTIONS["spatial"], bearing__misalignment_mrad=[1.0, 0.6]
    )
    assert energy < 2e-5
    assert momentum < 2e-6


@pytest.mark.parametrize("motion", MOTIONS)
def test_locked_degrees_of_freedom_do_not_move(bench, motion):
    """Positions stay; a locked spin and a locked cage speed stay what they were."""
    locked = ["roller_spin", "cage_angle", "inner_x", "cage_y"]
    problem, states, _, _ = _books(bench, locked, **MOTIONS[motion])
    z = problem.model.count
    c, i = cage_offset(z), inner_offset(z)
    for part in (slice(4 * z, 5 * z), c + 1, c + 5, i):
        assert np.all(states[:, part] == problem.start[part])
    assert problem.start[c + 5] > 10.0
    for part, least in ((c, 1e-6), (i + 1, 1e-7)):
        assert np.ptp(states[:, part]) > least
