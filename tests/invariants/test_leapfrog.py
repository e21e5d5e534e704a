"""The leapfrog march against a far tighter Dormand-Prince march: states, peaks, statistics, books.

Impacts drive two solutions apart within some hundredths of a second, so peaks are compared over
short stretches that begin at states of the reference, and long runs by their statistics alone.
"""

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset
from rollsim.simulation.balance import energy_book

SHAKING = [
    {"kind": "sine", "axis": "x", "frequency_Hz": 80.0, "amplitude_g": 5.0},
    {"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0},
]
RANDOM = [
    {"kind": "psd", "axis": ["x", "y"], "psd": [[10.0, 0.0126], [2000.0, 0.0126]],
     "psd_unit": "g2/Hz"}
]  # fmt: skip


def _built(bench, **changes):
    """The shaken case."""
    return bench.make_built(**{"vibration": SHAKING, "duty__ramp_s": 0.001, **changes})


def test_finer_tolerances_come_nearer_to_the_other_method(bench):
    """Before impacts: a tenth of the tolerance is half the step, a quarter of the error."""
    built = bench.make_built()
    z = built.model.count
    fine = bench.record(bench.make_problem(built, tolerance=1e-10), 0.004)[0].states[-1]
    errors = []
    for tolerance in (1e-4, 1e-7, 1e-8, 1e-9):
        problem = bench.make_problem(built, tolerance=tolerance)
        found = bench.record(problem, 0.004, name="leapfrog")[0].states[-1]
        errors.append(np.abs(found - fine)[: 2 * z].max())
    assert errors[0] < 1e-8
    assert errors[1] > 3.0 * errors[2] > 9.0 * errors[3]


def test_peaks_of_short_stretches_come_nearer_to_a_tight_reference(bench):
    """Peaks above 20 N: at the default tolerance as good as those of the other method.

    Measured medians: 1.1 % at 1e-4 (Dormand-Prince: 1.3 %), 0.2 % at 1e-5, 0.04 % at 1e-6.
    """
    built = _built(bench)
    z = built.model.count
    start = bench.make_problem(built).start
    kinds = (("dormand_prince", 1e-4), ("leapfrog", 1e-4), ("leapfrog", 1e-6))
    errors = {kind: [] for kind in kinds}
    for _ in range(6):
        tight = bench.make_problem(built, tolerance=1e-8, start=start)
        reference, _ = bench.record(tight, 0.004, interval=2e-3)
        peaks = reference.maxima[:, 2 * z : 4 * z].max(axis=0)
        great = peaks > 20.0
        for name, tolerance in kinds:
            problem = bench.make_problem(built, tolerance=tolerance, start=start)
            found, _ = bench.record(problem, 0.004, interval=2e-3, name=name)
            ours = found.maxima[:, 2 * z : 4 * z].max(axis=0)
            errors[name, tolerance].extend(np.abs(ours[great] / peaks[great] - 1.0))
        start = reference.states[-1]
    theirs, usual, fine = (np.median(errors[kind]) for kind in kinds)
    assert len(errors[kinds[0]]) > 20
    assert usual < 1.5 * theirs
    assert fine < 2e-3 and fine < 0.2 * usual


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_the_books_stay_closed(bench, motion):
    """Energy put in, stored and turned into heat: within 1 % of the heat."""
    built = _built(bench, solver__motion=motion)
    problem = bench.make_problem(built)
    samples, _ = bench.record(problem, 0.05, name="leapfrog")
    book = energy_book(problem.model, samples.states, samples.outputs)
    assert book["heat"][-1] > 0.1
    assert np.abs(book["sum"] - book["sum"][0]).max() < 0.01 * book["heat"][-1]


def test_one_evaluation_a_step(bench):
    """And far fewer steps than evaluations of the other method."""
    problem = bench.make_problem(_built(bench))
    _, (steps, rejected, evaluations) = bench.record(problem, 0.05, name="leapfrog")
    _, (_, _, others) = bench.record(problem, 0.05)
    assert steps + rejected <= evaluations <= steps + rejected + 10
    assert evaluations < 0.5 * others


def test_other_solver_records_the_same(bench):
    """Samples, sums and episodes of both compiled methods before impacts drive them apart."""
    problem = bench.make_problem(_built(bench), tolerance=1e-7)
    ours, _ = bench.record(problem, 0.006, interval=5e-5, name="leapfrog")
    theirs, _ = bench.record(problem, 0.006, interval=5e-5)
    z = problem.model.count
    top = theirs.outputs[:, : 4 * z].max()
    assert ours.outputs[:, : 4 * z] == pytest.approx(theirs.outputs[:, : 4 * z], abs=2e-3 * top)
    assert ours.sums[-1] == pytest.approx(theirs.sums[-1], rel=0.01, abs=1e-6)
    assert ours.smearing.max() == pytest.approx(theirs.smearing.max(), rel=0.01)
    assert np.all(ours.maxima >= ours.outputs[:, : 8 * z + 2])
    # Contacts near the threshold of 1 N may be one episode or two.
    hard = []
    for samples in (ours, theirs):
        rows = samples.episodes
        hard.append(np.sort(rows[(rows[:, 0] >= 0.0) & (rows[:, 4] > 5.0), 4]))
    assert len(hard[0]) > 5
    assert hard[0] == pytest.approx(hard[1], rel=0.01)


@pytest.mark.parametrize("traction", [0.02, 0.005, 0.001, "ehl"])
def test_a_stiff_law_of_friction_costs_no_more(bench, traction):
    """Evaluations at most twice those of a soft law (0.1 m/s); Dormand-Prince: many times as many.

    Peaks above 20 N against a tight reference, over stretches of 4 ms. Measured medians: 0.4 to 1.3
    %, and evaluations as of the soft law within 10 %.
    """
    key = "lubricant__raceway_slip_scale_m_per_s"
    stiff = {"lubricant__raceway_traction": "ehl"} if traction == "ehl" else {key: traction}
    soft = bench.make_problem(_built(bench, **{key: 0.1}))
    _, (_, _, few) = bench.record(soft, 0.02, name="leapfrog")
    built = _built(bench, **stiff)
    z, start = built.model.count, bench.make_problem(built).start
    _, (_, _, many) = bench.record(bench.make_problem(built), 0.02, name="leapfrog")
    assert many < 2.0 * few
    errors = []
    for _ in range(3):
        problem = bench.make_problem(built, start=start)
        found, _ = bench.record(problem, 0.004, interval=2e-3, name="leapfrog")
        tight = bench.make_problem(built, tolerance=1e-7, start=start)
        reference, _ = bench.record(tight, 0.004, interval=2e-3)
        peaks = reference.maxima[:, 2 * z : 4 * z].max(axis=0)
        ours = found.maxima[:, 2 * z : 4 * z].max(axis=0)
        errors.extend(np.abs(ours[peaks > 20.0] / peaks[peaks > 20.0] - 1.0))
        start = reference.states[-1]
    assert len(errors) > 8
    assert np.median(errors) < 0.04


def _statistics(bench, built, name, tolerance, duration):
    """Rms and 99th percentile of the greatest pocket force of 1 ms, turns of the cage centre."""
    problem = bench.make_problem(built, tolerance=tolerance)
    samples, _ = bench.record(problem, duration, name=name)
    z = problem.model.count
    peaks = samples.maxima[samples.times > 0.05, 2 * z : 4 * z].max(axis=1)
    x, y = samples.states[:, cage_offset(z) : cage_offset(z) + 2].T
    turns = np.diff(np.unwrap(np.arctan2(y, x))).sum() / duration
    return np.sqrt(np.mean(peaks**2)), np.quantile(peaks, 0.9), turns


def _agree(bench, duration, bound):
    """Rms and percentile of both methods within a bound."""
    built = bench.make_built(vibration=RANDOM, duty__ramp_s=0.01)
    ours = _statistics(bench, built, "leapfrog", 1e-4, duration)
    theirs = _statistics(bench, built, "dormand_prince", 1e-6, duration)
    assert ours[:2] == pytest.approx(theirs[:2], rel=bound)
    return ours[2], theirs[2]


def test_statistics_are_those_of_a_tight_reference(bench):
    """0.4 s: two runs of this length from starts 1 nm apart differ as much."""
    _agree(bench, 0.4, 0.15)


@pytest.mark.long
def test_statistics_of_a_longer_run_are_those_of_a_tight_reference(bench):
    ours, theirs = _agree(bench, 4.0, 0.05)
    assert ours == pytest.approx(theirs, rel=0.25)
