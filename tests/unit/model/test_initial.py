"""State at time zero: in equilibrium, rolling, inside all clearances; and its error scales."""

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    ledger_offset,
    output_size,
    planar_size,
    state_size,
)
from rollsim.kernels.rhs import rhs
from rollsim.model.build import build_model
from rollsim.model.initial import error_scales, initial_state

COUNT = 18
CAGE, RING = cage_offset(COUNT), inner_offset(COUNT)


def _start(case):
    """Built model, state, rates and contact output at time zero."""
    built = build_model(case)
    state = initial_state(built)
    rates, out = np.zeros(state_size(COUNT)), np.zeros(output_size(COUNT))
    rhs(0.0, state, rates, out, built.model)
    return built, state, rates, out


PLANAR = {"solver.motion": "planar"}
MOTIONS = {
    "planar": PLANAR,
    "spatial": {"roller.slices": 5},
    "spatial one slice": {},
    "inner guided": {
        **PLANAR,
        "cage.guidance": "inner_ring",
        "cage.outer_diameter_mm": 186,
        "cage.inner_diameter_mm": 166,
    },
    "turning carrier": {
        **PLANAR,
        "duty.carrier_speed_rpm": 20.0,
        "duty.carrier_radius_mm": 500.0,
    },
    "outer ring": {**PLANAR, "duty.speed_rpm": 0.0, "duty.outer_speed_rpm": -700.0},
    "sideways": {**PLANAR, "duty.load_direction_deg": 20.0},
}


@pytest.mark.parametrize("name", MOTIONS)
def test_inner_ring_starts_in_equilibrium(model_case, name):
    built, _, rates, _ = _start(changed_case(model_case(), MOTIONS[name]))
    acceleration = rates[RING + 2 : RING + 4]
    unloaded = 20e3 / built.model.ring.mass
    # What is left is the friction of the raceways, a few newtons on thousands.
    assert np.linalg.norm(acceleration) < 3e-3 * unloaded


@pytest.mark.parametrize("name", MOTIONS)
def test_contact_forces_are_those_of_the_statics(model_case, name):
    built, _, _, out = _start(changed_case(model_case(), MOTIONS[name]))
    largest = built.statics.outer_force.max()
    assert out[:COUNT] == pytest.approx(built.statics.outer_force, abs=2e-3 * largest)
    assert out[COUNT : 2 * COUNT] == pytest.approx(built.statics.inner_force, abs=2e-3 * largest)


def test_rollers_start_on_their_circular_orbit(model_case):
    """Radial acceleration -omega^2 r within the weight, tangential within weight and friction."""
    built, state, rates, _ = _start(changed_case(model_case(), PLANAR))
    x, y = state[:COUNT], state[COUNT : 2 * COUNT]
    radius = np.hypot(x, y)
    ax, ay = rates[2 * COUNT : 3 * COUNT], rates[3 * COUNT : 4 * COUNT]
    radial = (ax * x + ay * y) / radius
    scale = built.statics.outer_force.max() / built.model.roller.mass
    assert radial == pytest.approx(-(built.cage_speed**2) * radius, abs=2e-3 * scale)
    assert np.abs(ax * y - ay * x).max() / radius.max() < 5e-3 * scale


def test_nothing_touches_the_cage_at_the_start(model_case):
    for changes in (PLANAR, {"roller.slices": 3}):
        _, _, _, out = _start(changed_case(model_case(), changes))
        assert np.all(out[2 * COUNT : 6 * COUNT] < 1.0)
        assert np.all(out[8 * COUNT : 8 * COUNT + 2] < 1.0)


def test_speeds_are_epicyclic(model_case):
    built, state, _, _ = _start(changed_case(model_case(), PLANAR))
    x, y, vx, vy, spin = (state[i * COUNT : (i + 1) * COUNT] for i in range(5))
    assert (x * vy - y * vx) / (x**2 + y**2) == pytest.approx(built.cage_speed)
    assert x * vx + y * vy == pytest.approx(0.0, abs=1e-12)
    assert spin == pytest.approx(built.roller_spin)
    assert state[CAGE + 5] == pytest.approx(built.cage_speed)
    turn = inner_turn_offset(COUNT)
    assert state[turn : turn + 2] == pytest.approx([0.0, built.model.duty.inner_speed])
    assert np.all(state[ledger_offset(COUNT) : planar_size(COUNT)] == 0.0)


def test_an_inner_guided_cage_starts_centred_on_the_inner_ring(model_case):
    built, state, _, _ = _start(changed_case(model_case(), MOTIONS["inner guided"]))
    assert state[CAGE : CAGE + 2] == pytest.approx(built.statics.displacement)
    _, outer_guided, _, _ = _start(model_case())
    assert np.all(outer_guided[CAGE : CAGE + 2] == 0.0)


def test_everything_starts_parallel_to_a_misaligned_outer_ring(model_case):
    changes = {"roller.slices": 5, "bearing.misalignment_mrad": [0.4, -0.3]}
    built, state, rates, out = _start(changed_case(model_case(), changes))
    tail = planar_size(COUNT)
    assert state[tail + COUNT : tail + 2 * COUNT] == pytest.approx(0.4e-3)
    assert state[tail + 2 * COUNT : tail + 3 * COUNT] == pytest.approx(-0.3e-3)
    for body in (cage_tail_offset(COUNT), inner_tail_offset(COUNT)):
        assert state[body + 1 : body + 3] == pytest.approx([0.4e-3, -0.3e-3])
    # The rollers lie in the tilted middle plane of the rings: axis direction (ux, uy, 1) is its
    # normal, z = -(ux x + uy y).
    height = -(0.4e-3 * state[:COUNT] - 0.3e-3 * state[COUNT : 2 * COUNT])
    assert state[tail : tail + COUNT] == pytest.approx(height)
    # Parallel rings load the rollers as if they were not tilted.
    largest = built.statics.outer_force.max()
    assert out[:COUNT] == pytest.approx(built.statics.outer_force, abs=2e-3 * largest)
    tilting = rates[tail + 4 * COUNT : tail + 6 * COUNT]
    level = largest * 0.044 / built.model.roller.transverse
    assert np.abs(tilting).max() < 0.01 * level


def test_error_scales_are_positive_and_grow_with_the_tolerance(model_case):
    built = build_model(model_case())
    one, ten = error_scales(built, 1e-4), error_scales(built, 1e-3)
    counted = np.isfinite(one)
    assert np.all(one > 0.0)
    # The turning of the inner ring is prescribed, the ledger only follows.
    turn = inner_turn_offset(COUNT)
    assert np.flatnonzero(~counted).tolist() == [
        *range(turn, turn + 2),
        *range(ledger_offset(COUNT), planar_size(COUNT)),
    ]
    assert ten[counted] == pytest.approx(10.0 * one[counted])


def test_position_scale_is_the_static_deflection(model_case):
    """Q = K d^(10/9) at the most loaded roller, within bounds."""
    built = build_model(changed_case(model_case(), {"duty.radial_load_kN": 5.0}))
    scale = error_scales(built, 1.0)[0]
    force = built.model.outer.constant * scale ** (10.0 / 9.0)
    assert force == pytest.approx(built.statics.outer_force.max(), rel=1e-9)
    heavy = build_model(changed_case(model_case(), {"duty.radial_load_kN": 200.0}))
    assert error_scales(heavy, 1.0)[0] == 5e-6
    unloaded = build_model(changed_case(model_case(), {"duty.radial_load_kN": 0.0}))
    assert error_scales(unloaded, 1.0)[0] >= 1e-6


def test_a_bearing_that_hardly_turns_is_not_asked_for_more_than_one_that_stands(model_case):
    slow = build_model(changed_case(model_case(), {"duty.speed_rpm": 1e-6}))
    assert error_scales(slow, 1.0)[2 * COUNT] == pytest.approx(1e-3)
