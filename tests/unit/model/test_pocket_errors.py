"""Pitch errors, widths and wear of the pockets, and where the rollers start in them."""

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.rhs import rhs
from rollsim.model.build import build_model, derived_attributes
from rollsim.model.initial import initial_state
from rollsim.model.pockets import pocket_errors

COUNT = 18
EVEN = 2.0 * np.pi * np.arange(COUNT) / COUNT


def test_given_errors_and_wear_reach_their_pockets(model_case):
    errors = [0.0] * COUNT
    errors[4] = -120.0
    changes = {
        "cage.pocket_pitch_errors_um": errors,
        "cage.pocket_extra_clearance_um": [[1, 500.0], [18, -40.0]],
    }
    built = build_model(changed_case(model_case(), changes), 0.01)
    shift, extra = built.model.tables.pocket_shift, built.model.tables.pocket_extra
    assert shift[4] == pytest.approx(-120e-6)
    assert np.count_nonzero(shift) == 1
    # Half of the clearance on either side.
    assert extra[[0, 17]] == pytest.approx([250e-6, -20e-6])
    assert np.count_nonzero(extra) == 2
    found = derived_attributes(built)
    assert found["pocket_shift_m"] == pytest.approx(shift)
    assert found["pocket_extra_clearance_m"][0] == pytest.approx(500e-6)


def test_tolerances_are_drawn_evenly_from_a_stream_of_their_own(model_case):
    def drawn(**changes):
        return pocket_errors(
            changed_case(model_case(), {k.replace("__", "."): v for k, v in changes.items()})
        )

    pitch, _ = drawn(cage__pocket_pitch_tolerance_um=100.0)
    same, width = drawn(
        cage__pocket_pitch_tolerance_um=100.0, cage__pocket_clearance_tolerance_um=60.0
    )
    assert np.array_equal(pitch, same)
    assert not np.allclose(pitch / 100.0, width / 30.0)
    other, _ = drawn(cage__pocket_pitch_tolerance_um=100.0, case__seed=12)
    assert not np.allclose(pitch, other)
    many = [drawn(cage__pocket_pitch_tolerance_um=100.0, case__seed=seed)[0] for seed in range(40)]
    many = np.concatenate(many) / 100e-6
    # 720 numbers, even from -1 to 1: mean 0 +- 0.022, variance 1/3, no one beyond.
    assert abs(many.mean()) < 0.1
    assert many.var() == pytest.approx(1.0 / 3.0, rel=0.15)
    assert 0.97 < np.abs(many).max() <= 1.0
    assert np.abs(width).max() <= 30e-6


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_roller_starts_inside_its_pocket(model_case, seed):
    changes = {
        "case.seed": seed,
        "cage.pocket_pitch_tolerance_um": 280.0,
        "cage.pocket_clearance_tolerance_um": 200.0,
        "cage.pocket_extra_clearance_um": [[3, 700.0]],
        "solver.motion": "planar",
    }
    built = build_model(changed_case(model_case(), changes), 0.01)
    tables = built.model.tables
    place = 0.091 * (built.azimuths - EVEN) - tables.pocket_shift
    assert np.all(np.abs(place) < 150e-6 + tables.pocket_extra)
    # Some nominal places lie in a bar: the rollers were moved out of it.
    assert np.any(np.abs(tables.pocket_shift) > 150e-6 + tables.pocket_extra)
    out = _contacts(built.model, initial_state(built))
    assert np.all(out[2 * COUNT : 4 * COUNT] < 1.0)


def _contacts(model, state):
    """Contact output at a state."""
    out = np.zeros(output_size(COUNT))
    rhs(0.0, state, np.zeros(state_size(COUNT)), out, model)
    return out


def test_the_pocket_that_lags_behind_takes_the_cage_load_first(model_case):
    """Even rollers, cage held back: the bar ahead of one roller stands 120 um nearer to it.

    Gap of 150 um to the other leading bars, 30 um to this one (face distance along the orbit).
    """
    errors = [0.0] * COUNT
    errors[4] = -120.0
    changes = {"cage.pocket_pitch_errors_um": errors, "solver.motion": "planar"}
    built = build_model(changed_case(model_case(), changes), 0.01)
    state = initial_state(built)
    radius = np.hypot(state[:COUNT], state[COUNT : 2 * COUNT])
    state[:COUNT], state[COUNT : 2 * COUNT] = radius * np.cos(EVEN), radius * np.sin(EVEN)
    turned = 0.091 * built.cage_speed
    state[2 * COUNT : 3 * COUNT] = -turned * np.sin(EVEN)
    state[3 * COUNT : 4 * COUNT] = turned * np.cos(EVEN)
    found = {}
    for lag in (20e-6, 60e-6, 140e-6, 170e-6):
        state[5 * COUNT + 2] = -lag / 0.091
        leading = _contacts(built.model, state)[2 * COUNT : 3 * COUNT]
        found[lag] = set(np.flatnonzero(leading > 50.0))
    assert found == {20e-6: set(), 60e-6: {4}, 140e-6: {4}, 170e-6: set(range(COUNT))}
