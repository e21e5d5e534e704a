"""The leapfrog step: pairs of position and velocity, its formulas, its stability."""

import numpy as np
import pytest

from rollsim.kernels.layout import (
    output_size,
    planar_size,
    state_size,
    stretch,
    stretch_count,
)
from rollsim.kernels.leapfrog import (
    ACROSS,
    ALLOWANCE,
    GROWTH,
    ROWS,
    correct,
    hermite,
    leap_error,
    leap_factor,
    predict,
    weaken_across,
)
from rollsim.kernels.step import Workspace


def _pairs(model):
    """Index of the velocity of every position."""
    found = {}
    for s in range(stretch_count.py_func(model.spatial)):
        first, count, shift = stretch.py_func(s, model.count)
        found.update({i: i + shift for i in range(first, first + count)})
    return found


def _space(problem, seed=2):
    """Workspace with random rates and a disturbed state."""
    size = state_size(problem.model.count)
    generator = np.random.default_rng(seed)
    k = generator.uniform(-1.0, 1.0, (ROWS, size))
    empty = [np.zeros(output_size(problem.model.count)) for _ in range(4)]
    state = problem.start.copy()
    return Workspace(state, np.zeros(size), np.zeros(size), k, *empty, 1.0 / problem.scales)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_the_rate_of_every_position_is_its_velocity(bench, motion):
    """Shown by the right-hand side itself; all other entries are velocities, or the ledger."""
    built = bench.make_built(solver__motion=motion)
    problem = bench.make_problem(built)
    z = built.model.count
    state = bench.disturbed(problem.start, z, 5)
    rates, _ = bench.evaluate(problem.model, state)
    pairs = _pairs(problem.model)
    assert len(set(pairs.values())) == len(pairs)
    moving = {p: v for p, v in pairs.items() if rates[p] != 0.0}
    for position, velocity in moving.items():
        assert rates[position] == pytest.approx(state[velocity], rel=1e-12), position
    assert len(moving) >= 2 * z + 3
    # Spins of the rollers and the ledger have no position.
    alone = set(range(problem.active)) - set(pairs) - set(pairs.values())
    assert alone == {*range(4 * z, 5 * z), *range(planar_size(z) - 3, planar_size(z))}


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_prediction_and_correction_are_the_formulas(bench, way, motion):
    problem = bench.make_problem(bench.make_built(solver__motion=motion))
    space, h = _space(problem), 3e-6
    pairs = _pairs(problem.model)
    k = space.k.copy()
    way(predict)(h, space, problem.model)
    expected = space.y + h * k[0]
    for position, velocity in pairs.items():
        expected[position] += 0.5 * h * h * k[0, velocity]
    n = problem.active
    assert space.trial[:n] == pytest.approx(expected[:n], rel=1e-14, abs=1e-18)
    way(correct)(h, space, problem.model)
    assert space.trial[:n] == pytest.approx((space.y + 0.5 * h * (k[0] + k[1]))[:n], rel=1e-14)
    for position, velocity in pairs.items():
        better = k[1, position] + 0.5 * h * (k[1, velocity] - k[0, velocity])
        assert space.k[1, position] == pytest.approx(better, rel=1e-12)


def test_the_error_is_that_of_the_leading_terms(bench, way):
    """Rates that are parabolas in time: h^3/6 a' for positions, h^3/12 a'' for velocities."""
    problem = bench.make_problem(bench.make_built())
    space, h, g = _space(problem), 4e-6, 2.5e-6
    n, z = problem.active, problem.model.count
    slope, curve = np.random.default_rng(4).uniform(-1e5, 1e5, (2, len(space.y)))
    curve *= 1e4
    for row, t in ((2, -g), (0, 0.0), (1, h)):
        space.k[row] = slope * t + 0.5 * curve * t * t
    space.trial[:] = space.y
    greatest = way(leap_error)(h, g, space, problem.model)
    expected = h**3 / 12.0 * curve
    for position, velocity in _pairs(problem.model).items():
        expected[position] = h * h / 6.0 * space.k[1, velocity]
    expected = (expected * space.inverse_scale / ALLOWANCE)[:n]
    # Cage and rings: as they are. Rollers: their radial part is weakened.
    rest = np.r_[4 * z : n]
    assert space.k[3, rest] == pytest.approx(expected[rest], rel=1e-9, abs=1e-12)
    x, y = space.y[:z], space.y[z : 2 * z]
    radius = np.hypot(x, y)
    for first in (0, 2 * z):
        mine, plain = (e[first : first + 2 * z].reshape(2, z) for e in (space.k[3], expected))
        for part, weight in (((x, y), ACROSS), ((-y, x), 1.0)):
            along = [(a[0] * part[0] + a[1] * part[1]) / radius for a in (mine, plain)]
            assert along[0] == pytest.approx(weight * along[1], rel=1e-9, abs=1e-9)
    assert greatest == pytest.approx(np.abs(space.k[3, :n]).max())


def test_an_error_that_is_not_finite_is_seen(bench, way):
    problem = bench.make_problem(bench.make_built())
    for bad in (np.nan, np.inf):
        space = _space(problem)
        space.trial[:] = space.y
        space.k[1, 2 * problem.model.count + 7] = bad
        assert not np.isfinite(way(leap_error)(1e-6, 1e-6, space, problem.model))


def test_weakening_keeps_what_is_along_the_orbit(way):
    errors = np.zeros((ROWS, 4))
    errors[3] = [3.0, 1.0, 4.0, 2.0]
    way(weaken_across)(errors, np.array([1.0, 0.0, 0.0, 2.0]), 0, 2)
    # Roller 1 lies on the x axis, roller 2 on the y axis.
    assert errors[3] == pytest.approx([3.0 * ACROSS, 1.0, 4.0, 2.0 * ACROSS])


def test_step_factor(way):
    f = way(leap_factor)
    assert f(1.0) == pytest.approx(0.9)
    assert f(0.125) == pytest.approx(1.8)
    assert f(0.0) == f(1e-12) == GROWTH
    assert f(1e9) == 0.2


def test_cubic_through_both_ends(way):
    """A cubic is met exactly."""
    p = np.polynomial.Polynomial([1.0, -2.0, 0.5, 3.0])
    h, x = 0.4, 0.3
    weights = way(hermite)(x, h)
    values = (p(0.0), p(h), p.deriv()(0.0), p.deriv()(h))
    assert np.dot(weights, values) == pytest.approx(p(x * h))
