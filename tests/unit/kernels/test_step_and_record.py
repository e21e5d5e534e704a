"""Dormand-Prince step, dense output, step control, maxima and episodes."""

import math

import numpy as np
import pytest
from scipy.integrate import RK45

from rollsim.kernels.control import first_bad, first_bad_stage, next_factor
from rollsim.kernels.march import CLOSE_INTERVALS, look_closely
from rollsim.kernels.record import (
    CLOSE_LOOK,
    Recorder,
    catch_maxima,
    parabola_peak,
    raise_tops,
    step_tops,
    tops_so_far,
    track_episodes,
    wants_close_look,
)
from rollsim.kernels.step import (
    Workspace,
    advance_stages,
    dense_state,
    dense_weights,
    forces_inside,
)
from rollsim.kernels.wear import SIMPSON


@pytest.mark.parametrize("x", [0.0, 0.1, 0.5, 0.77, 1.0])
def test_dense_weights_are_those_of_scipy(way, x):
    """b_i(x) = sum_k P[i, k] x^(k+1), P of scipy's RK45 (Shampine 1986)."""
    b0, *rest = way(dense_weights)(x)
    expected = RK45.P @ np.array([x, x**2, x**3, x**4])
    assert [b0, 0.0, *rest] == pytest.approx(list(expected), abs=1e-13)


def test_dense_weights_integrate_a_constant_rate(way):
    assert sum(way(dense_weights)(0.3)) == pytest.approx(0.3, abs=1e-13)


@pytest.fixture
def work(bench):
    """A problem, its workspace with the first stage done, the step length."""
    problem = bench.make_problem(bench.make_built(), tolerance=1e-6)
    size = len(problem.start)
    rates, out = bench.evaluate(problem.model, problem.start)
    k = np.zeros((7, size))
    k[0] = rates
    arrays = [np.zeros(size), np.zeros(size), k, out.copy(), *np.zeros((3, len(out)))]
    return problem, Workspace(problem.start.copy(), *arrays, 1.0 / problem.scales), 2e-5


def test_one_step_is_that_of_scipy(way, work):
    """Result, stages, error norm and middle of a step against scipy's RK45 tableau."""
    problem, space, h = work
    norm = way(advance_stages)(0.0, h, space, problem.model)
    f = problem.function()
    n = problem.active
    k = [f(0.0, problem.start[:n])]
    for a, c in zip(RK45.A[1:], RK45.C[1:], strict=True):
        k.append(f(c * h, problem.start[:n] + h * np.tensordot(a[: len(k)], k, 1)))
    end = problem.start[:n] + h * np.tensordot(RK45.B, k, 1)
    k.append(f(h, end))
    assert space.trial[:n] == pytest.approx(end, rel=1e-10, abs=1e-10)
    error = h * np.tensordot(RK45.E, k, 1) / problem.scales[:n]
    assert norm == pytest.approx(math.sqrt(np.mean(error**2)), rel=1e-6)
    way(dense_state)(0.4, h, space, problem.model, space.probe)
    weights = RK45.P @ (0.4 ** np.arange(1, 5))
    middle = problem.start[:n] + h * np.tensordot(weights, k, 1)
    assert space.probe[:n] == pytest.approx(middle, rel=1e-10, abs=1e-10)


def test_step_control(way):
    """0.9 err^-0.17 err_prev^0.04 between 0.2 and 5."""
    f = way(next_factor)
    assert f(0.5, 0.8) == pytest.approx(0.9 * 0.5**-0.17 * 0.8**0.04, rel=1e-12)
    assert f(0.0, 1.0) == 5.0 and f(1e-9, 1.0) == 5.0
    assert f(1e9, 1.0) == 0.2


def test_first_bad(way):
    values = np.array([1.0, 2.0, np.nan, np.inf])
    assert way(first_bad)(values, 2) == -1
    assert way(first_bad)(values, 4) == 2
    assert way(first_bad)(np.array([np.inf]), 1) == 0


def test_the_first_stage_that_went_bad_names_the_entry(way):
    """Later stages spread a number that is not finite over lower entries: they do not count."""
    stages = np.zeros((7, 6))
    assert way(first_bad_stage)(stages, 6) == -1
    stages[3, 4] = np.nan
    stages[4:, :] = np.inf
    assert way(first_bad_stage)(stages, 6) == 4
    assert way(first_bad_stage)(stages, 4) == 0
    stages[2, 5] = -np.inf
    assert way(first_bad_stage)(stages, 6) == 5
    assert way(first_bad_stage)(stages, 5) == 4


def test_parabola_peak(way):
    """Vertex of a known parabola; the greatest end when the vertex is outside."""
    f = way(parabola_peak)

    def curve(x):
        """Peak 7 at x = 0.6."""
        return 7.0 - 3.0 * (x - 0.6) ** 2

    assert f(curve(0.0), curve(0.5), curve(1.0)) == pytest.approx(7.0)
    assert f(1.0, 2.0, 3.0) == 3.0
    assert f(3.0, 1.0, 2.0) == 3.0
    assert f(0.0, 0.0, 0.0) == 0.0
    assert f(0.0, 1.0, 4.0) == 4.0


def _space(first, middle, last, state):
    """Workspace with given contact outputs."""
    empty = np.zeros((7, len(state)))
    outputs = (first, last, middle, np.zeros_like(first))
    return Workspace(state, state, state, empty, *outputs, np.ones(len(state)))


def _recorder(forces, tracked):
    """Recorder with nothing recorded yet and a threshold of 1 N."""
    empty = (np.zeros(forces), np.zeros(forces), np.zeros((tracked, 6)))
    return Recorder(*empty, 1.0, np.zeros(3 * forces), np.zeros(forces))


def test_tops_of_a_step_keep_the_vertex(way):
    """Every force by itself: vertex of the parabola, or the greatest end."""
    first, middle, last = (np.array([a, 0.0, 5.0]) for a in (1.0, 4.0, 3.0))
    recorder = _recorder(3, 1)
    way(step_tops)(_space(first, middle, last, np.zeros(3)), recorder, 3)
    assert recorder.top == pytest.approx([way(parabola_peak)(1.0, 4.0, 3.0), 0.0, 5.0])
    way(raise_tops)(np.array([0.0, 7.0, 6.0]), recorder, 3)
    assert recorder.top == pytest.approx([way(parabola_peak)(1.0, 4.0, 3.0), 7.0, 6.0])


def test_tops_so_far_find_the_vertex_behind_two_unequal_steps(way):
    """Parabola of peak 7 at 0.6 through 0, 0.4 and 1: seen as soon as the force falls."""

    def curve(x):
        """Peak 7 at x = 0.6."""
        return 7.0 - 3.0 * (x - 0.6) ** 2

    # The middle one falls throughout, the last one rises throughout.
    before, start, end = (
        np.array([curve(x), 5.0 - x, x]) for x in (0.0, 0.55, 1.0)
    )  # fmt: skip
    recorder = _recorder(3, 1)
    space = _space(start, before, end, np.zeros(3))
    way(tops_so_far)(0.45, 0.55, space, recorder, 3)
    assert recorder.top == pytest.approx([7.0, 4.45, 1.0])


def test_catch_maxima_folds_the_tops_and_tells_the_greatest_pocket_force(way):
    """With one roller: raceways 0 and 1, pocket faces 2 to 5, flanges and lands behind."""
    recorder = _recorder(10, 6)
    recorder.maxima[:] = 2.5
    recorder.top[:] = [9.0, 8.0, 1.0, 4.0, 3.0, 2.0, 7.0, 6.0, 0.0, 5.0]
    assert way(catch_maxima)(recorder, 1, 10) == 4.0
    assert recorder.maxima == pytest.approx(np.maximum(recorder.top, 2.5))


def test_only_great_pocket_forces_near_their_peak_are_looked_at_closely(way):
    """From a twentieth of the greatest pocket force so far; only pocket faces count."""
    recorder = _recorder(10, 6)
    wants = way(wants_close_look)
    assert CLOSE_LOOK == 0.05

    def looks(first, middle, last, largest, at=3):
        """One contact with these forces, the others at rest."""
        start, inside, end = (np.zeros(10) for _ in range(3))
        start[at], inside[at], end[at] = first, middle, last
        recorder.top[:] = np.maximum(np.maximum(start, inside), end)
        return wants(_space(start, inside, end, np.zeros(3)), recorder, 1, largest)

    assert looks(8.0, 10.1, 9.0, 200.0)
    assert not looks(8.0, 10.1, 9.0, 203.0)
    # Vertex a quarter of the step beyond the end, and a little further.
    assert looks(0.0, 8.2, 12.1, 100.0)
    assert not looks(0.0, 7.5, 12.1, 100.0)
    assert not looks(20.0, 12.0, 8.0, 100.0)
    # Raceways, flanges and lands do not count.
    assert not any(looks(8.0, 10.1, 9.0, 100.0, at) for at in (0, 1, 6, 7, 8, 9))


def test_a_close_look_finds_the_forces_between_the_three_instants(bench, work, way):
    """Forces at eighths of a step in which a roller runs into its bar, against the dense output."""
    problem, space, _ = work
    z, h = problem.model.count, 5e-6
    # Roller 1 touches its leading bar within the step and is on its way back at the end.
    step = problem.model.pocket.half_clearance - 1e-7
    space.y[z] += step
    space.y[2 * z : 3 * z] *= 0.0
    space.y[3 * z] += 0.4
    space.k[0], space.start[:] = bench.evaluate(problem.model, space.y)
    advance_stages(0.0, h, space, problem.model)
    forces = 8 * z + 2
    found = np.zeros(forces)
    out = np.zeros_like(space.start)
    for i in range(1, CLOSE_INTERVALS):
        if 2 * i != CLOSE_INTERVALS:
            x = i / CLOSE_INTERVALS
            forces_inside(x, x * h, h, space, problem.model, space.probe, out)
            found = np.maximum(found, out[:forces])
    recorder = _recorder(forces, 4 * z + 2)
    recorder.top[:z] = 1e6
    before = space.y.copy(), space.trial.copy(), space.end.copy()
    way(look_closely)(0.0, h, space, recorder, forces, problem.model)
    assert found[2 * z] > 100.0
    assert recorder.top[:z] == pytest.approx(np.full(z, 1e6))
    assert recorder.top[z:] == pytest.approx(found[z:], rel=1e-9, abs=1e-9)
    for kept, now in zip(before, (space.y, space.trial, space.end), strict=True):
        assert np.array_equal(kept, now)


def test_an_episode_from_half_sine_forces(way):
    """A half sine of 100 N over 1 ms on the leading face of roller 1 of 3, 40 steps."""
    count, at, steps = 3, 2 * 3 + 1, 40
    dt = 1.2e-3 / steps
    recorder = _recorder(26, 14)
    table = np.zeros((50, 8))
    state = np.zeros(58)
    state[1], state[count + 1] = 0.0, 0.09
    rows = 0

    def output(time):
        """Contact output with the pulse and its approach speed."""
        out = np.zeros(45)
        out[at] = 100.0 * math.sin(math.pi * time / 1e-3) if 0.0 < time < 1e-3 else 0.0
        out[8 * count + 7 + 1] = 0.25 * math.cos(math.pi * time / 1e-3)
        return out

    for i in range(steps):
        t = i * dt
        space = _space(output(t), output(t + 0.5 * dt), output(t + dt), state)
        way(step_tops)(space, recorder, 26)
        rows = way(track_episodes)((t, dt), count, space, recorder, table, rows, SIMPSON)
    assert rows == 1
    roller, face, start, duration, peak, impulse, approach, azimuth = table[0]
    assert (roller, face) == (1.0, 0.0)
    assert start == pytest.approx(0.0, abs=dt)
    assert duration == pytest.approx(1e-3, abs=2.0 * dt)
    assert peak == pytest.approx(100.0, rel=1e-5)
    assert impulse == pytest.approx(2.0 / math.pi * 0.1, rel=1e-3)
    assert approach == pytest.approx(0.25)
    assert azimuth == pytest.approx(0.5 * math.pi)


def test_an_episode_on_a_land_names_the_land(way):
    count = 3
    recorder = _recorder(26, 14)
    table = np.zeros((50, 8))
    high, low = np.zeros(45), np.zeros(45)
    high[8 * count + 1] = 20.0
    high[8 * count + 3], high[8 * count + 5] = -12.0, 16.0
    state = np.zeros(58)
    for i, forces in enumerate(((low, high, high), (high, low, low))):
        space = _space(*forces, state)
        way(step_tops)(space, recorder, 26)
        rows = way(track_episodes)((1e-5 * i, 1e-5), count, space, recorder, table, 0, SIMPSON)
        assert rows == i
    assert table[0, :2] == pytest.approx([-1.0, 5.0])
    assert table[0, 7] == pytest.approx(math.atan2(16.0, -12.0))
