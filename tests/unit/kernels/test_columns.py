"""Groups of rollers in working space: order of the motion, filling up, more than one group."""

import numpy as np
import pytest

from rollsim.case.schema_parts import Roller
from rollsim.kernels.bodies import roller_body
from rollsim.kernels.columns import (
    FEWEST,
    GROUP,
    MOST_SLICES,
    VECTOR,
    body_of,
    body_space,
    fill_up,
    filled_up,
    load_bodies,
)
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.spatial import spatial_rhs


@pytest.mark.parametrize(("start", "count"), [(0, 7), (32, 5), (3, GROUP)])
def test_motion_of_a_group(way, start, count):
    """Every column is the motion of its roller; what fills up is the last one."""
    rollers = 40
    y, bodies = np.random.default_rng(1).normal(size=state_size(rollers)), body_space()
    way(load_bodies)(y, bodies, start, count, rollers)
    for i in range(count):
        assert way(body_of)(bodies, i) == roller_body(start + i, y, rollers)
    for i in range(count, filled_up(count)):
        assert way(body_of)(bodies, i) == roller_body(start + count - 1, y, rollers)


def test_groups_are_filled_up_to_whole_vectors(way):
    for count in range(1, GROUP + 1):
        filled = way(filled_up)(count)
        assert count <= filled <= GROUP
        assert filled % VECTOR == 0 and filled >= FEWEST
    rows = np.arange(2.0 * GROUP).reshape(2, GROUP)
    kept = rows.copy()
    way(fill_up)(rows, 0)
    assert np.array_equal(rows, kept)


def test_space_holds_the_slices_of_any_case(bench):
    bound = [m.le for m in Roller.model_fields["slices"].metadata if hasattr(m, "le")]
    built = bench.make_built(solver__motion="spatial", roller__slices=bound[0])
    assert built.model.tables.slice_z.shape[0] <= MOST_SLICES


def test_groups_do_not_mix(bench):
    """Rollers 32 and beyond are a group of their own: their forces are those of a small group.

    A roller moved far away changes nothing but the bodies' sums, so each roller's forces stay.
    """
    built = bench.make_built(solver__motion="spatial", roller__slices=3, roller__count=18)
    model = bench.squeezed(built.model, 1e-5)
    assert model.count < GROUP
    state = bench.disturbed(bench.centred(built), model.count, 4)
    z, out = model.count, np.zeros(output_size(model.count))
    rates = np.zeros_like(state)
    spatial_rhs(0.0, state, rates, out, model)
    # The same rollers three times over, 54 of them: two groups.
    more, big = _tripled(state, z), _tripled_model(model)
    found, many = np.zeros_like(more), np.zeros(output_size(3 * z))
    spatial_rhs(0.0, more, found, many, big)
    for which in range(2):
        expected = np.tile(out[which * z : (which + 1) * z], 3)
        assert expected.max() > 0.0
        assert many[3 * which * z : 3 * (which + 1) * z] == pytest.approx(expected, rel=1e-12)
    for row in range(2, 5):
        expected = np.tile(rates[row * z : (row + 1) * z], 3)
        scale = np.abs(expected).max()
        found_row = found[3 * row * z : 3 * (row + 1) * z]
        assert found_row == pytest.approx(expected, rel=1e-9, abs=1e-12 * scale)


def _tripled(state, z):
    """State of three times the rollers in the same places."""
    rollers, bodies = state[: 5 * z].reshape(5, z), state[5 * z : 5 * z + 23]
    tail, rest = state[5 * z + 23 : 11 * z + 23].reshape(6, z), state[11 * z + 23 :]
    parts = [np.tile(rollers, 3).ravel(), bodies, np.tile(tail, 3).ravel(), rest]
    return np.concatenate(parts)


def _tripled_model(model):
    """Model of three times the rollers in the same pockets."""
    t, z = model.tables, model.count
    sides = {
        name: np.tile(getattr(t, name).reshape(2, z), 3).ravel()
        for name in ("bar_share", "end_share")
    }
    pockets = {
        name: np.tile(getattr(t, name), 3)
        for name in ("pocket_cos", "pocket_sin", "pocket_shift", "pocket_extra")
    }
    return model._replace(count=3 * z, tables=t._replace(**sides, **pockets))
