"""Runs under every sort of source: books close, steps end at corners, shocks give their area."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim.kernels.layout import cage_offset
from rollsim.kernels.shaking_types import PulseShape, SweepLaw
from rollsim.model.shaking import make_shaking
from rollsim.model.tracks import Track
from rollsim.simulation.balance import energy_book
from rollsim.simulation.channels import acceleration_series, history_channels
from rollsim.simulation.dormand_prince import DormandPrinceBlocks

SAW = [0.002, 0.003, PulseShape.SAW_TOOTH, 0.1, 0.1, 0.0, 300.0, 0.0]
SOURCES = {
    "half-sine": {"pulse": [[0.002, 0.004, PulseShape.HALF_SINE, 0.1, 0.1, 300.0, -200.0, 0.0]]},
    "trapezoid": {"pulse": [[0.002, 0.004, PulseShape.TRAPEZOID, 0.1, 0.2, 0.0, 300.0, 0.0]]},
    "saw-tooth": {"pulse": [SAW]},
    "sweep": {
        "sweep": [[0.0, 0.01, 50.0, 400.0, SweepLaw.LOG, 100.0, math.inf, 0.6, 0.8, 0.0, 1.0]]
    },
    "locked": {"locked": [[1.0, 0.0, 5e-3, 0.0, 5e-3, 0.0, 0.0]]},
    "loop": {"tracks": [Track(np.random.default_rng(2).normal(0.0, 90.0, (16, 3)), 5e-4)]},
    "once": {
        "tracks": [Track(np.random.default_rng(1).normal(0.0, 90.0, (9, 3)), 5e-4, 2e-3, False)]
    },
}


def _problem(bench, sources, change=None, tolerance=1e-6, **changes):
    """Problem under sources of vibration without fade-in."""
    built = bench.make_built(**changes)

    def shaken(model):
        model = change(model) if change else model
        return model._replace(shaking=make_shaking(**sources))

    return bench.make_problem(built, tolerance=tolerance, change=shaken)


@pytest.mark.parametrize("name", SOURCES)
def test_the_energy_book_closes(bench, name):
    """Work of the base against kinetic and elastic energy and heat, jumps included."""
    problem = _problem(
        bench, SOURCES[name], tolerance=1e-7, duty__speed_table=[[0, 0], [0.01, 900]]
    )
    samples, _ = bench.record(problem, 0.012, interval=1e-4)
    book = energy_book(problem.model, samples.states, samples.outputs)
    moved = np.abs(np.diff(book["work"])).sum()
    assert moved > 0.05
    assert np.ptp(book["sum"]) < 1e-4 * moved
    channel = history_channels(samples, problem.model)["base_acceleration"]
    assert np.abs(channel).max() > 10.0


@pytest.mark.parametrize("name", ["half-sine", "trapezoid", "saw-tooth", "once"])
def test_steps_end_at_the_corners(bench, name):
    """Every corner has the end of a step just before it; the next step is no shorter than usual.

    A jump that a step took for part of the motion would shorten it to a hundredth.
    """
    problem = _problem(bench, SOURCES[name])
    result = solve_ivp(
        problem.function(), (0.0, 0.01), problem.start[: problem.active],
        method=DormandPrinceBlocks, problem=problem, block_steps=1,
    )  # fmt: skip
    lengths = np.diff(result.t)
    for corner in problem.model.shaking.corners:
        at = np.argmin(np.abs(result.t - corner))
        assert 0.0 < corner - result.t[at] < 1e-9
        assert lengths[at] > 0.1 * np.median(lengths[at - 20 : at])


@pytest.mark.parametrize(
    "row", [SAW, *SOURCES["half-sine"]["pulse"], *SOURCES["trapezoid"]["pulse"]]
)
def test_the_free_cage_takes_up_the_area_of_the_shock(bench, row):
    """A cage that nothing touches changes its speed by minus the area of the pulse."""
    area = {0: 2.0 / math.pi, 1: 1.0 - 0.5 * (row[3] + row[4]), 2: 0.5}[row[2]]
    problem = _problem(bench, {"pulse": [row]}, _apart, duty__gravity=False)
    samples, _ = bench.record(problem, 0.008, interval=1e-3)
    z = problem.model.count
    c = cage_offset(z)
    change = samples.states[-1, c + 3 : c + 5] - samples.states[0, c + 3 : c + 5]
    expected = -area * row[1] * np.array(row[5:7])
    assert samples.maxima[:, 2 * z : 4 * z].max() == 0.0
    assert change == pytest.approx(expected, rel=1e-9, abs=1e-12)


def _apart(model):
    """Rollers, cage and land without contact: pockets and land play out of reach, no films."""
    return model._replace(
        pocket=model.pocket._replace(half_clearance=1.0, film=0.0),
        land=model.land._replace(gap=1.0),
        land_film=model.land_film._replace(squeeze=0.0, couette=0.0),
        drag=model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0)),
    )


def test_the_channel_holds_all_sources(bench):
    """A locked exciter and a sine in base_acceleration: the sum of the closed forms."""
    harmonic = [[300.0, 0.0, 0.0, 0.0, 7.0, 0.0, 0.0]]
    locked = [[2.0, 1e-3, 0.0, 0.0, 0.0, 1e-3, 0.0]]
    problem = _problem(bench, {"harmonic": harmonic, "locked": locked})
    times = np.linspace(0.0, 0.1, 41)
    found = np.empty((41, 3))
    acceleration_series(times, np.zeros((41, len(problem.start))), problem.model, found)
    omega = 2.0 * 1200.0 * math.pi / 30.0
    size = -1e-3 * omega**2
    expected = np.zeros((41, 3))
    expected[:, 0] = size * np.cos(omega * times) + 7.0 * np.sin(300.0 * times)
    expected[:, 1] = size * np.sin(omega * times)
    np.testing.assert_allclose(found, expected, atol=1e-9 * abs(size))
