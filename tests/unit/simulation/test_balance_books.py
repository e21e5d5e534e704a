"""Kinetic energy and angular momentum of states written down by hand."""

import numpy as np
import pytest

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    force_count,
    inner_offset,
    inner_tail_offset,
    ledger_offset,
    output_size,
    planar_size,
    state_size,
)
from rollsim.kernels.wear import sum_count
from rollsim.model.build import build_model
from rollsim.simulation.balance import angular_momentum, energy_book, kinetic_energy
from rollsim.simulation.channels import history_channels
from rollsim.simulation.marches import initial_energy
from rollsim.simulation.problem import problem_of
from rollsim.simulation.recording import Samples

COUNT = 6
CAGE, INNER = cage_offset(COUNT), inner_offset(COUNT)


@pytest.fixture
def spatial_model(six_rollers):
    """Constants of the case in spatial motion."""
    return build_model(six_rollers(solver__motion="spatial", roller__slices=3)).model


# Entry of the state set to a value v -> energy 0.5 * inertia * v^2.
ENTRIES = {
    "roller 2, vx": (2 * COUNT + 1, lambda m: m.roller.mass),
    "roller 2, vy": (3 * COUNT + 1, lambda m: m.roller.mass),
    "roller 6, spin": (4 * COUNT + 5, lambda m: m.roller.axial),
    "cage, vx": (CAGE + 3, lambda m: m.cage.mass),
    "cage, vy": (CAGE + 4, lambda m: m.cage.mass),
    "cage, speed": (CAGE + 5, lambda m: m.cage.axial),
    "inner ring, vx": (INNER + 2, lambda m: m.ring.mass),
    "inner ring, vy": (INNER + 3, lambda m: m.ring.mass),
    "roller 1, vz": (planar_size(COUNT) + 3 * COUNT, lambda m: m.roller.mass),
    "roller 1, wx": (planar_size(COUNT) + 4 * COUNT, lambda m: m.roller.transverse),
    "roller 1, wy": (planar_size(COUNT) + 5 * COUNT, lambda m: m.roller.transverse),
    "cage, vz": (cage_tail_offset(COUNT) + 3, lambda m: m.cage.mass),
    "cage, wx": (cage_tail_offset(COUNT) + 4, lambda m: m.cage.transverse),
    "inner ring, vz": (inner_tail_offset(COUNT) + 3, lambda m: m.ring.mass),
    "inner ring, wy": (inner_tail_offset(COUNT) + 5, lambda m: m.ring.transverse),
}


@pytest.mark.parametrize("name", ENTRIES)
def test_each_speed_counts_with_its_own_inertia(spatial_model, name):
    entry, inertia = ENTRIES[name]
    state = np.zeros((1, state_size(COUNT)))
    state[0, entry] = 3.0
    assert kinetic_energy(spatial_model, state)[0] == pytest.approx(4.5 * inertia(spatial_model))


def test_positions_and_the_ledger_carry_no_kinetic_energy(spatial_model):
    state = np.ones((1, state_size(COUNT)))
    for entry in [i for i in range(5 * COUNT) if i >= 2 * COUNT]:
        state[0, entry] = 0.0
    for name, (entry, _) in ENTRIES.items():
        if not name.startswith("roller"):
            state[0, entry] = 0.0
    tail = planar_size(COUNT)
    state[0, tail + 3 * COUNT : tail + 6 * COUNT] = 0.0
    state[0, cage_tail_offset(COUNT) + 5] = state[0, inner_tail_offset(COUNT) + 4] = 0.0
    assert kinetic_energy(spatial_model, state)[0] == 0.0


def test_energy_at_the_start_follows_from_the_kinematic_speeds(six_rollers):
    """Rollers orbit and spin, the cage turns, the ring is at rest in its housing."""
    built = build_model(six_rollers())
    book = energy_book(built.model, *initial_energy(problem_of(built)))
    model = built.model
    radius = model.pocket.pitch_radius + built.statics.radial_offset
    roller = model.roller.mass * (built.cage_speed * radius) ** 2
    roller += model.roller.axial * built.roller_spin**2
    expected = 0.5 * (roller.sum() + model.cage.axial * built.cage_speed**2)
    assert book["kinetic"][0] == pytest.approx(expected, rel=1e-12)
    assert book["work"][0] == book["heat"][0] == 0.0
    assert book["elastic"][0] > 0.0
    assert book["sum"][0] == book["kinetic"][0] + book["elastic"][0]


def test_angular_momentum_of_orbiting_rollers(six_rollers):
    built = build_model(six_rollers())
    states, _ = initial_energy(problem_of(built))
    model = built.model
    radius = model.pocket.pitch_radius + built.statics.radial_offset
    expected = (model.roller.mass * radius**2 * built.cage_speed).sum()
    expected += COUNT * model.roller.axial * built.roller_spin
    expected += model.cage.axial * built.cage_speed
    momentum, closed = angular_momentum(model, states)
    assert momentum[0] == pytest.approx(expected, rel=1e-9)
    states[0, ledger_offset(COUNT) + 2] = 0.25
    assert angular_momentum(model, states)[1][0] == pytest.approx(closed[0] - 0.25)


def _nothing_recorded(rows):
    """Maxima, sums, smearing, modes and episodes of samples of which the states matter alone."""
    sizes = (force_count(COUNT), sum_count(COUNT), 2 * COUNT, 0)
    return (*(np.zeros((rows, size)) for size in sizes), np.zeros((0, 8)))


def test_azimuth_is_counted_on_past_a_turn(six_rollers):
    """After a turn and a half of the cage the orbit angles have gone on by as much."""
    built = build_model(six_rollers())
    states, outputs = initial_energy(problem_of(built))
    turn = 3.0 * np.pi
    later = states.copy()
    later[0, CAGE + 2] += turn
    later[0, : 2 * COUNT] *= -1.0  # half a turn on in space
    samples = Samples(
        np.array([0.0, 1.0]),
        np.vstack([states, later]),
        np.vstack([outputs, outputs]),
        *_nothing_recorded(2),
    )
    found = history_channels(samples, built.model)
    assert found["roller_azimuth"][0] == pytest.approx(built.azimuths, abs=1e-12)
    assert found["roller_azimuth"][1] - found["roller_azimuth"][0] == pytest.approx(turn)
    assert found["roller_orbit_speed"][0] == pytest.approx(built.cage_speed)


def test_skew_and_tilt_are_read_in_the_frame_of_the_orbit(spatial_model):
    """A roller axis turned about the radius is skew, about the tangent is tilt."""
    states = np.zeros((1, state_size(COUNT)))
    angle = np.radians(30.0) + 2.0 * np.pi * np.arange(COUNT) / COUNT
    radius = 0.09
    states[0, :COUNT], states[0, COUNT : 2 * COUNT] = radius * np.cos(angle), radius * np.sin(angle)
    tail = planar_size(COUNT)
    # Axis direction leaning along the tangent of roller 1 and along the radius of roller 2.
    states[0, tail + COUNT], states[0, tail + 2 * COUNT] = (
        -1e-3 * np.sin(angle[0]),
        1e-3 * np.cos(angle[0]),
    )
    states[0, tail + COUNT + 1], states[0, tail + 2 * COUNT + 1] = (
        2e-3 * np.cos(angle[1]),
        2e-3 * np.sin(angle[1]),
    )
    outputs = np.zeros((1, output_size(COUNT)))
    samples = Samples(np.zeros(1), states, outputs, *_nothing_recorded(1))
    found = history_channels(samples, spatial_model)
    assert found["roller_skew"][0, :3] == pytest.approx([1e-3, 0.0, 0.0])
    assert found["roller_tilt"][0, :3] == pytest.approx([0.0, 2e-3, 0.0])
