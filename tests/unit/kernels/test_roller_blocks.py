"""Rollers in blocks against the loops that serve every law, for counts around whole blocks."""

import numpy as np
import pytest

from rollsim.kernels.lanes import WIDTH, block_count, block_start
from rollsim.kernels.layout import cage_offset, output_size
from rollsim.kernels.planar import roller_loops
from rollsim.kernels.planar_bodies import planar_motion
from rollsim.kernels.planar_lanes import roller_blocks, suits_blocks

DRIVING = {"ax": 3.0, "ay": -9.0, "inner_speed": 150.0}


def _driving():
    """Accelerations and speeds that the rates of rollers depend on."""
    from rollsim.kernels.duty_types import Driving

    return Driving(**{name: DRIVING.get(name, 0.0) for name in Driving._fields})


def _fewer(built, bench, count):
    """Model and disturbed state of the first rollers of a bearing."""
    model = built.model
    z = model.count
    tables = model.tables
    share = 1.0 + 0.3 * np.sin(np.arange(2 * count))
    first = {
        name: np.ascontiguousarray(getattr(tables, name)[:count])
        for name in ("pocket_cos", "pocket_sin", "pocket_shift", "pocket_extra")
    }
    tables = tables._replace(**first, bar_share=share, bar_root=np.sqrt(share))
    whole = bench.disturbed(bench.centred(built), z, 7)
    rollers = [whole[k * z : k * z + count] for k in range(5)]
    state = np.concatenate([*rollers, whole[cage_offset(z) :]])
    return model._replace(count=count, tables=tables), state


def _run(function, model, state):
    """Rates, contact output and sums of one of the two ways."""
    z = model.count
    rates, out = np.zeros_like(state), np.zeros(output_size(z))
    driving = _driving()
    bodies = (*planar_motion(state, driving, model), (1.0, 0.0))
    sums = function(state, rates, out, bodies, driving, model)
    return rates[: 5 * z].reshape(5, z), out, np.array(sums)


@pytest.mark.parametrize("count", [3, 7, 8, 9, 15, 16, 18])
def test_blocks_equal_the_loops(way, bench, count):
    model, state = _fewer(bench.make_built(roller__count=18), bench, count)
    assert suits_blocks(model)
    blocks = _run(way(roller_blocks), model, state)
    loops = _run(way(roller_loops), model, state)
    scale = np.abs(loops[0]).max(axis=1, keepdims=True)
    assert np.abs(blocks[0] - loops[0]).max() <= 1e-9 * scale.max()
    assert np.all(np.abs(blocks[0] - loops[0]) <= 1e-9 * scale)
    z = count
    heads = (slice(0, 4 * z), slice(12 * z + 9, 14 * z + 9), slice(20 * z + 11, 24 * z + 11))
    for part in heads:
        assert blocks[1][part] == pytest.approx(loops[1][part], rel=1e-9, abs=1e-9)
    assert blocks[2] == pytest.approx(loops[2], rel=1e-9, abs=1e-9 * np.abs(loops[2]).max())
    assert (loops[1][: 4 * z] > 0.0).any()


@pytest.mark.parametrize("count", range(3, 40))
def test_every_roller_counts_once(way, count):
    """The lanes that count are those behind what earlier blocks have done."""
    counted = np.zeros(count, dtype=int)
    for block in range(way(block_count)(count)):
        first = way(block_start)(block, count)
        for lane in range(WIDTH):
            if first + lane >= block * WIDTH and first + lane < count:
                counted[first + lane] += 1
        assert first >= 0
        assert first + WIDTH <= count or count < WIDTH
    assert counted == pytest.approx(np.ones(count))


def test_other_laws_take_the_loops(bench):
    built = bench.make_built(lubricant__raceway_traction="ehl")
    assert not suits_blocks(built.model)
    pocket = built.model.pocket._replace(curvature=1.0)
    assert not suits_blocks(bench.make_built().model._replace(pocket=pocket))
