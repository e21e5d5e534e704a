"""Streams of the rainflow kernels against an independent library, compiled and as plain Python."""

import importlib

import numpy as np
import pytest
import rainflow as reference

from rollsim.kernels import rainflow as kernels
from rollsim.kernels.cycle_damage import GOODMAN, cycle_damage
from rollsim.kernels.rainflow import CHUNK, STACK_SIZE, STATE_SIZE


def random_history(seed, length=2000):
    """Noise of several colours, plateaus and repeated values."""
    rng = np.random.default_rng(seed)
    steps = rng.normal(size=length)
    walk = np.cumsum(steps) * rng.uniform(0, 0.5) + rng.normal(size=length)
    if seed % 3 == 0:
        walk = np.round(walk, 1)
    if seed % 4 == 0:
        walk = np.repeat(walk[: length // 3], 3)
    return walk


def stream(series, pieces, plain=False):
    """All cycles of a history fed in pieces."""
    feed = kernels.feed_stream.py_func if plain else kernels.feed_stream
    close = kernels.close_stream.py_func if plain else kernels.close_stream
    stack, state = np.zeros(STACK_SIZE), np.zeros(STATE_SIZE)
    rows = []
    for piece in np.array_split(series, pieces):
        cycles = np.empty((len(piece) + STACK_SIZE, 3))
        rows.append(cycles[: feed(piece, stack, state, cycles)])
    cycles = np.empty((2 * STACK_SIZE, 3))
    rows.append(cycles[: close(stack, state, cycles)])
    return np.concatenate(rows)


def expected(series):
    """Cycles of the independent library: range, mean, count."""
    return np.array([row[:3] for row in reference.extract_cycles(series)])


def in_order(cycles):
    """Rows sorted, so that the order of closing does not count."""
    return cycles[np.lexsort(np.round(cycles, 9).T)]


@pytest.mark.parametrize("seed", range(24))
def test_cycles_equal_those_of_an_independent_library(seed):
    series = random_history(seed)
    pieces = (1, 7, 400)[seed % 3]
    assert in_order(stream(series, pieces)) == pytest.approx(in_order(expected(series)), abs=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_plain_python_gives_the_same(seed):
    series = random_history(seed, 300)
    assert stream(series, 5, plain=True) == pytest.approx(stream(series, 1), abs=1e-12)


def test_histories_longer_than_a_chunk():
    series = random_history(5, 3 * CHUNK + 17)
    assert in_order(stream(series, 1)) == pytest.approx(in_order(expected(series)), abs=1e-12)
    assert stream(series, 2) == pytest.approx(stream(series, 1), abs=1e-12)


def test_edges_of_short_histories():
    assert len(stream(np.array([3.0]), 1)) == 0
    assert len(stream(np.full(50, 3.0), 4)) == 0
    assert len(stream(np.zeros(0), 1)) == 0
    assert stream(np.array([1.0, 4.0]), 2) == pytest.approx(np.array([[3.0, 2.5, 0.5]]))


def test_residue_longer_than_its_room_loses_no_range():
    # Ever smaller swings never close; beyond the room the oldest counts as a half cycle at once.
    count = 3 * STACK_SIZE
    series = np.linspace(10.0, 1.0, count) * (-1.0) ** np.arange(count)
    cycles = stream(series, 3)
    assert in_order(cycles) == pytest.approx(in_order(expected(series)), abs=1e-12)
    assert np.all(cycles[:, 2] == 0.5) and len(cycles) == count - 1


def test_state_is_fresh_after_closing():
    stack, state = np.zeros(STACK_SIZE), np.zeros(STATE_SIZE)
    cycles = np.empty((600, 3))
    kernels.feed_stream(np.array([0.0, 5.0, 1.0]), stack, state, cycles)
    kernels.close_stream(stack, state, cycles)
    assert not state.any()
    assert kernels.feed_stream(np.array([9.0]), stack, state, cycles) == 0
    assert stack[0] == 9.0


LINE = (100e6, 1e6, 5.0, 9.0, 400e6, GOODMAN, 0.0)


@pytest.mark.parametrize(("plain", "count"), [(False, 3 * CHUNK + 900), (True, 900)])
def test_points_sum_the_damage_of_their_cycles(plain, count):
    rng = np.random.default_rng(5)
    forces = rng.normal(size=(count, 3)) * [800.0, 1.0, 1.5]
    coefficients = rng.normal(size=(4, 3)) * [5e4, 4e7, 4e7]
    stacks, states = np.zeros((4, STACK_SIZE)), np.zeros((4, STATE_SIZE))
    totals = np.tile([0.0, np.inf, -np.inf], (4, 1))
    feed = kernels.feed_points.py_func if plain else kernels.feed_points
    close = kernels.close_points.py_func if plain else kernels.close_points
    static = np.array([30e6, -20e6, 0.0, 55e6])
    for piece in np.array_split(forces, 3):
        feed(np.ascontiguousarray(piece), coefficients, static, LINE, stacks, states, totals)
    close(static, LINE, stacks, states, totals)
    for p in range(4):
        stress = forces @ coefficients[p]
        ranges, means, counts = expected(stress).T
        each = zip(ranges, means + static[p], strict=True)
        shares = np.array([cycle_damage.py_func(r, m, LINE) for r, m in each])
        assert totals[p] == pytest.approx([counts @ shares, stress.min(), stress.max()], rel=1e-9)


def test_table_keeps_sums_and_puts_the_outermost_inside():
    cycles = np.array([[0.0, -1.0, 0.5], [10.0, 1.0, 1.0], [9.99, 0.99, 2.0], [5.0, 0.0, 1.0]])
    table = np.zeros((10, 4, 3))
    kernels.bin_cycles(cycles, 4, table, np.array([10.0, -1.0, 1.0]))
    assert table[..., 0].sum() == 4.5
    assert table[9, 3] == pytest.approx([3.0, 29.98, 2.98])
    assert table[0, 0] == pytest.approx([0.5, 0.0, -0.5])
    flat = np.zeros((3, 2, 3))
    kernels.bin_cycles(np.tile([0.0, 7.0, 1.0], (2, 1)), 2, flat, np.array([0.0, 7.0, 7.0]))
    assert flat[0, 0] == pytest.approx([2.0, 0.0, 14.0])


def test_module_holds_only_compiled_functions():
    module = importlib.import_module("rollsim.kernels.rainflow")
    own = [getattr(module, name) for name in dir(module) if not name.startswith("_")]
    functions = [f for f in own if getattr(f, "__module__", "") == module.__name__]
    assert len(functions) >= 8
    assert all(hasattr(f, "py_func") for f in functions)
