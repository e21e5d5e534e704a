"""A planar run with the lubricated law of traction: the energy book closes, rollers behave."""

import numpy as np
import pytest

from rollsim.simulation.balance import energy_book

EHL = {"lubricant__raceway_traction": "ehl"}


def _run(bench, tolerance, duration=0.03, **changes):
    """Built model, samples, energy book."""
    built = bench.make_built(**EHL, **changes)
    problem = bench.make_problem(built, tolerance=tolerance)
    samples, _ = bench.record(problem, duration, interval=1e-4)
    return built, samples, energy_book(problem.model, samples.states, samples.outputs)


def test_energy_book_closes(bench):
    """The residual over the heat falls with the tolerance; rolling resistance is in the book."""
    shares = []
    for tolerance, bound in ((1e-4, 5e-4), (1e-6, 7e-6), (1e-8, 6e-8)):
        _, _, book = _run(bench, tolerance)
        assert book["heat"][-1] > 3.0 and np.all(np.diff(book["heat"]) > 0.0)
        shares.append(np.ptp(book["sum"]) / book["heat"][-1])
        assert shares[-1] < bound
    assert shares[2] < 0.05 * shares[0]


@pytest.mark.parametrize("speeds", [(1200.0, 0.0), (-1200.0, 0.0), (700.0, -500.0)])
def test_rolling_resistance_costs_its_power(bench, speeds):
    """Heat with less heat without it is about F (u1 + u2), summed over the touching contacts."""
    duty = {"duty__speed_rpm": speeds[0], "duty__outer_speed_rpm": speeds[1]}
    built, samples, book = _run(bench, 1e-5, **duty)
    _, _, plain = _run(bench, 1e-5, **duty, lubricant__rolling_resistance=False)
    z = built.model.count
    expected = 0.0
    for part, pair in ((slice(0, z), built.model.outer), (slice(z, 2 * z), built.model.inner)):
        normal = samples.outputs[:, part].mean(axis=0)
        speed = abs(built.cage_speed - (0.0 if part.start == 0 else built.model.duty.inner_speed))
        if part.start == 0:
            speed = abs(built.cage_speed - built.model.duty.outer_speed)
        entrainment = speed * (pair.side * pair.gap + pair.arm)
        oil = pair.traction.oil
        force = oil.rolling * entrainment**0.648 * np.maximum(normal, 0.0) ** 0.246
        expected += 2.0 * np.sum(force) * entrainment
    more = (book["heat"][-1] - plain["heat"][-1]) / samples.times[-1]
    assert more == pytest.approx(expected, rel=0.35)


def test_loaded_rollers_roll_and_unloaded_ones_slow_down(bench):
    """Without rolling resistance nearly no slip; with it the unloaded rollers lag behind."""
    z = 18
    lags = []
    for resistance in (True, False):
        built, samples, _ = _run(
            bench, 1e-4, 0.15, lubricant__rolling_resistance=resistance,
            output__rate_Hz=5000.0,
        )  # fmt: skip
        late = samples.times > 0.1
        loaded = samples.outputs[late, z : 2 * z] > 500.0
        spin = samples.states[late, 4 * z : 5 * z] / built.roller_spin
        lags.append((1.0 - spin[loaded].mean(), 1.0 - spin[~loaded].mean()))
        cage = samples.states[late, 5 * z + 5].mean() / built.cage_speed
        assert cage == pytest.approx(1.0, abs=0.03)
    (loaded, idle), (loaded_plain, idle_plain) = lags
    assert abs(loaded_plain) < 0.02 and abs(idle_plain) < 0.03
    assert idle > loaded + 0.03
    assert loaded < 0.04
