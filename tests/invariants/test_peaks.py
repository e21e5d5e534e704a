"""Peak forces of impacts: what the march catches against the dense solution, and how they change.

With the film on, forces rise and fall within microseconds; the peak decides the fatigue of the
cage, so it has to be caught whatever the length of a step.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim.simulation.dormand_prince import DormandPrinceBlocks

FINE = 5e-7


def _shaking(level, phase=0.0):
    """Sines along x and y."""
    return [
        {"kind": "sine", "axis": "x", "frequency_Hz": 80.0, "amplitude_g": level,
         "phase_deg": phase},
        {"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": level},
    ]  # fmt: skip


def _pocket_episodes(samples, least):
    """Rows of episodes on leading and trailing faces with at least a peak."""
    rows = samples.episodes
    return rows[(rows[:, 0] >= 0.0) & (rows[:, 1] < 2.0) & (rows[:, 4] > least)]


def _dense_peak(bench, problem, solution, row):
    """Greatest force of one contact within its episode, looked at every 0.5 us."""
    z = problem.model.count
    at = int((2 + row[1]) * z + row[0])
    times = np.arange(row[2], row[2] + row[3] + FINE, FINE)
    state = problem.start.copy()
    top = 0.0
    for time, column in zip(times, solution(times).T, strict=True):
        state[: problem.active] = column
        top = max(top, bench.evaluate(problem.model, state, time)[1][at])
    return top


@pytest.mark.parametrize(("motion", "slices"), [("planar", 1), ("spatial", 5)])
def test_peaks_of_episodes_are_those_of_the_dense_solution(bench, motion, slices):
    """Default oil and tolerance: every peak above 50 N within 0.5 %, half of them within 0.02 %."""
    built = bench.make_built(
        vibration=_shaking(5.0), duty__ramp_s=0.001, solver__motion=motion, roller__slices=slices
    )
    problem = bench.make_problem(built)
    assert problem.model.pocket.film > 0.0
    end, z = 0.02, problem.model.count
    samples, _ = bench.record(problem, end, interval=1e-5)
    solution = solve_ivp(
        problem.function(), (0.0, end), problem.start[: problem.active],
        method=DormandPrinceBlocks, problem=problem, dense_output=True,
    ).sol  # fmt: skip
    episodes = _pocket_episodes(samples, 50.0)
    assert len(episodes) > 15 and episodes[:, 4].max() > 300.0
    dense = np.array([_dense_peak(bench, problem, solution, row) for row in episodes])
    errors = np.abs(dense / episodes[:, 4] - 1.0)
    assert errors.max() < 5e-3
    assert np.median(errors) < 2e-4
    # None is missed: great forces at samples lie in one of these episodes, or in an open one.
    for contact in range(2 * z):
        mine = episodes[episodes[:, 1] * z + episodes[:, 0] == contact]
        great = samples.times[samples.outputs[:, 2 * z + contact] > 50.0]
        open_since = samples.times[-1] - 1e-3
        for time in great[great < open_since]:
            assert np.any((mine[:, 2] <= time) & (time <= mine[:, 2] + mine[:, 3] + 1e-12))


def test_peaks_do_not_depend_on_the_tolerance(bench):
    """Greatest pocket force of the first 10 ms at 1e-4, 1e-5 and 1e-7 within 0.5 %."""
    built = bench.make_built(vibration=_shaking(5.0), duty__ramp_s=0.001)
    z = built.model.count
    tops = []
    for tolerance in (1e-4, 1e-5, 1e-7):
        samples, _ = bench.record(bench.make_problem(built, tolerance=tolerance), 0.01)
        tops.append(samples.maxima[:, 2 * z : 4 * z].max())
    assert tops[2] > 300.0
    assert tops[:2] == pytest.approx([tops[2]] * 2, rel=0.005)


def _level(bench, phase, **changes):
    """Mean of the twenty greatest peaks in 0.2 s, N: chance moves it by some per cent."""
    built = bench.make_built(vibration=_shaking(8.0, phase), duty__ramp_s=0.001, **changes)
    samples, _ = bench.record(bench.make_problem(built), 0.2)
    peaks = np.sort(_pocket_episodes(samples, 50.0)[:, 4])
    assert len(peaks) > 200
    return peaks[-20:].mean()


@pytest.mark.parametrize("phase", [0.0, 50.0])
def test_oil_softens_impacts(bench, phase):
    """Twenty greatest peaks with no, little, default and full oil: each over 5 % lower."""
    levels = [_level(bench, phase, lubricant__oil_fraction=oil) for oil in (0.0, 0.1, 0.3, 1.0)]
    assert np.all(np.diff(levels) < -0.05 * np.array(levels[:-1]))
    assert levels[3] < 0.5 * levels[0]


@pytest.mark.parametrize("phase", [0.0, 50.0])
def test_stiffer_bars_are_hit_harder(bench, phase):
    """Bars of 5 to 320 N/um, with oil: each step of four in stiffness gives over a quarter more.

    Less than the factor two of sqrt(k m): the film takes its share and the roller's own contact
    is in series with the bar.
    """
    levels = np.array(
        [_level(bench, phase, cage__bar_stiffness_N_per_um=k) for k in (5.0, 20.0, 80.0, 320.0)]
    )
    ratios = levels[1:] / levels[:-1]
    assert np.all(ratios > 1.25) and np.all(ratios < 2.0)
