"""The compiled march: scipy's interface, other solvers, block sizes, checkpoints."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim.kernels.control import Clock
from rollsim.kernels.layout import cage_offset
from rollsim.simulation.dormand_prince import DormandPrinceBlocks
from rollsim.simulation.marches import march_of
from rollsim.simulation.recording import Recording

SHAKING = [{"kind": "sine", "axis": "y", "frequency_Hz": 131.0, "amplitude_g": 5.0}]


@pytest.fixture(scope="module")
def built(bench):
    """Shaken planar case."""
    return bench.make_built(vibration=SHAKING, duty__ramp_s=0.001)


def test_solve_ivp_with_times_and_dense_output(bench, built):
    """Samples at given times, dense output and the recording march agree."""
    problem = bench.make_problem(built, tolerance=1e-6)
    times = np.linspace(0.0, 0.01, 41)[1:]
    y0 = problem.start[: problem.active]
    arguments = {"method": DormandPrinceBlocks, "problem": problem}
    at = solve_ivp(problem.function(), (0.0, 0.01), y0, t_eval=times, **arguments)
    dense = solve_ivp(problem.function(), (0.0, 0.01), y0, dense_output=True, **arguments)
    assert at.success and dense.success and dense.nfev > 1000
    assert np.array_equal(at.t, times)
    assert dense.sol(times) == pytest.approx(at.y, rel=1e-12, abs=1e-15)
    assert dense.sol(0.0042) == pytest.approx(dense.sol(np.array([0.0042]))[:, 0])
    samples, _ = bench.record(problem, 0.01, interval=2.5e-4)
    assert pytest.approx(at.y, rel=1e-11, abs=1e-14) == samples.states[:, : problem.active].T


@pytest.mark.parametrize("steps", [1, 17, 500])
def test_steps_of_a_solver_block_do_not_matter(bench, built, steps):
    problem = bench.make_problem(built)
    ends = [
        solve_ivp(
            problem.function(), (0.0, 0.01), problem.start[: problem.active],
            method=DormandPrinceBlocks, problem=problem, block_steps=n,
        ).y[:, -1]
        for n in (128, steps)
    ]  # fmt: skip
    assert np.array_equal(*ends)


def test_events_of_scipy_see_the_march(bench, built):
    """An event between two blocks is found with the dense output."""
    problem = bench.make_problem(built, tolerance=1e-6)
    z = problem.model.count

    def turned(_, y):
        """Cage angle of 0.3 rad."""
        return y[cage_offset(z) + 2] - 0.3

    result = solve_ivp(
        problem.function(), (0.0, 0.01), problem.start[: problem.active],
        method=DormandPrinceBlocks, problem=problem, events=turned,
    )  # fmt: skip
    assert result.y_events[0][0][cage_offset(z) + 2] == pytest.approx(0.3, abs=1e-12)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_agrees_with_an_eighth_order_method(bench, motion):
    """DOP853 and the compiled march before impacts drive them apart: 1e-5 at the least."""
    built = bench.make_built(solver__motion=motion)
    z = built.model.count
    fine, _ = bench.record(bench.make_problem(built, tolerance=1e-7), 0.006, name="DOP853")
    coarse, _ = bench.record(bench.make_problem(built, tolerance=1e-4), 0.006)
    same, _ = bench.record(bench.make_problem(built, tolerance=1e-7), 0.006)
    c = cage_offset(z)
    speed = fine.states[:, c + 5]
    play = built.model.pocket.half_clearance
    for samples, bound in ((coarse, 1e-5), (same, 1e-7)):
        assert samples.states[:, c + 5] == pytest.approx(speed, rel=bound)
        assert samples.states[:, c : c + 2] == pytest.approx(
            fine.states[:, c : c + 2], abs=bound * play
        )
        assert samples.states[:, c + 2] == pytest.approx(fine.states[:, c + 2], rel=bound)
    assert np.abs(fine.states[-1, c : c + 2]).max() > 1e-8


@pytest.mark.parametrize("name", ["RK45", "LSODA", "Radau"])
def test_other_solvers_agree(bench, name):
    """The recording of scipy's solvers gives the same motion, samples and forces."""
    built = bench.make_built(roller__count=5)
    z = built.model.count
    problem = bench.make_problem(built, tolerance=1e-5)
    theirs, _ = bench.record(problem, 0.003, name=name)
    ours, _ = bench.record(problem, 0.003)
    assert theirs.states[:, cage_offset(z) + 5] == pytest.approx(
        ours.states[:, cage_offset(z) + 5], rel=1e-5
    )
    assert theirs.states[:, : 2 * z] == pytest.approx(ours.states[:, : 2 * z], abs=2e-8)
    top = ours.outputs[:, : 2 * z].max()
    assert theirs.outputs[:, : 2 * z] == pytest.approx(ours.outputs[:, : 2 * z], abs=2e-3 * top)


def test_finer_tolerances_come_nearer(bench):
    """Against a reference at 1e-11: the error falls with the tolerance."""
    built = bench.make_built()
    z = built.model.count
    ends = {
        tolerance: bench.record(bench.make_problem(built, tolerance=tolerance), 0.005)[0].states[-1]
        for tolerance in (1e-4, 1e-6, 1e-8, 1e-11)
    }
    errors = [np.abs(ends[t] - ends[1e-11])[: 2 * z].max() for t in (1e-4, 1e-6, 1e-8)]
    assert errors[0] > 10.0 * errors[1] > 30.0 * errors[2]
    assert errors[0] < 1e-8


@pytest.mark.parametrize("solver", ["leapfrog", "dormand_prince"])
@pytest.mark.parametrize("motion", ["planar", "spatial"])
@pytest.mark.parametrize("rows", [1, 7, 53])
def test_block_size_does_not_matter(bench, rows, motion, solver):
    """Samples, maxima and episodes are the same bits whatever the length of a segment."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, solver__motion=motion)
    problem = bench.make_problem(built)
    whole, count = bench.record(problem, 0.02, 2e-4, solver)
    parts, more = bench.record(problem, 0.02, 2e-4, solver, rows)
    assert count == more
    assert len(whole.episodes) > 5
    for name in ("times", "states", "outputs", "maxima", "episodes"):
        assert np.array_equal(getattr(whole, name), getattr(parts, name)), name


def _march(problem, end=0.02, rows=20, solver="dormand_prince"):
    """Recording march with segments of 20 samples."""
    recording = Recording(problem.model.count, 2e-4, rows, 1.0, problem.longest_step)
    return march_of(solver, problem, recording, end)


def _block(march):
    """Advance by one segment."""
    march.recording.start_block(march.next_sample)
    assert march.advance() is None
    return march.recording.take(march.next_sample)


@pytest.mark.parametrize("solver", ["leapfrog", "dormand_prince"])
@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_a_restored_checkpoint_goes_on_bit_for_bit(bench, motion, solver):
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, solver__motion=motion)
    problem = bench.make_problem(built)
    through = _march(problem, solver=solver)
    blocks = [_block(through) for _ in range(3)]
    first = _march(problem, solver=solver)
    _block(first)
    saved = {name: np.array(value) for name, value in first.checkpoint().items()}
    second = _march(bench.make_problem(built), solver=solver)
    second.restore(saved)
    assert second.time == first.time and second.next_sample == first.next_sample
    for expected in blocks[1:]:
        got = _block(second)
        for name in ("times", "states", "outputs", "maxima", "episodes"):
            assert np.array_equal(getattr(expected, name), getattr(got, name)), name
    assert second.counters() == through.counters()


def test_maxima_are_those_of_the_dense_solution(bench):
    """No film: recorded pocket maxima within 0.6 % of the forces along the dense output."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, lubricant__oil_fraction=0.0)
    problem = bench.make_problem(built)
    z, end = problem.model.count, 0.02
    samples, _ = bench.record(problem, end, interval=2e-4)
    dense = solve_ivp(
        problem.function(), (0.0, end), problem.start[: problem.active],
        method=DormandPrinceBlocks, problem=problem, dense_output=True,
    ).sol  # fmt: skip
    times = np.arange(0.0, end, 1e-6)
    state = problem.start.copy()
    top = np.zeros(2 * z)
    for time, column in zip(times, dense(times).T, strict=True):
        state[: problem.active] = column
        top = np.maximum(top, bench.evaluate(problem.model, state, time)[1][2 * z : 4 * z])
    recorded = samples.maxima[:, 2 * z : 4 * z].max(axis=0)
    assert top.max() > 200.0
    assert recorded == pytest.approx(top, rel=6e-3, abs=0.5)
    # The maximum of an interval is never below the sample at its end.
    assert np.all(samples.maxima >= samples.outputs[:, : 8 * z + 2])


def test_episodes_hold_the_impulse_of_the_pocket_forces(bench):
    """Sum of the impulses of all episodes against the integral of the sampled forces."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, lubricant__oil_fraction=0.0)
    problem = bench.make_problem(built, tolerance=1e-5)
    z = problem.model.count
    samples, _ = bench.record(problem, 0.03, interval=2e-6)
    episodes = samples.episodes[samples.episodes[:, 0] >= 0.0]
    total = samples.outputs[:, 2 * z : 4 * z].sum() * 2e-6
    assert episodes[:, 5].sum() == pytest.approx(total, rel=0.02)
    for roller, face, start, duration, peak, *_ in episodes[episodes[:, 4] > 50.0]:
        force = samples.outputs[:, int((2 + face) * z + roller)]
        inside = (samples.times >= start) & (samples.times <= start + duration)
        assert force[inside].max() == pytest.approx(peak, rel=0.01)


def test_a_march_backwards_is_refused(bench, built):
    """The end lies before the start: an error in plain words instead of a march that stands."""
    problem = bench.make_problem(built)
    y0 = problem.start[: problem.active]
    arguments = {"method": DormandPrinceBlocks, "problem": problem}
    with pytest.raises(ValueError, match="forward in time only"):
        solve_ivp(problem.function(), (0.01, 0.0), y0, **arguments)
    with pytest.raises(ValueError, match="forward in time only"):
        DormandPrinceBlocks(problem.function(), 1e-3, y0, 0.9e-3, problem=problem)
    # An end at the start is no error: nothing is to be done.
    still = solve_ivp(problem.function(), (0.01, 0.01), y0, **arguments)
    assert still.success and np.array_equal(still.y[:, -1], y0)


def test_error_scales_have_bounds(bench):
    """Load does not loosen them beyond 5 um, nor idling below 1 um; speeds stay below the orbit's.

    Heavily loaded raceways and slow bearings must not loosen the accuracy of the pockets.
    """
    for load, rpm in ((0.0, 1200.0), (20.0, 1200.0), (300.0, 1200.0), (20.0, 3.0), (300.0, 3.0)):
        built = bench.make_built(duty__radial_load_kN=load, duty__speed_rpm=rpm)
        z = built.model.count
        scales = bench.make_problem(built, tolerance=1.0).scales
        assert 1e-6 <= scales[0] <= 5e-6
        orbit = abs(built.cage_speed) * built.model.pocket.pitch_radius
        assert 0.0 < scales[2 * z] <= 0.1 * orbit * (1.0 + 1e-12)
        assert scales[cage_offset(z) + 3] == scales[2 * z]
    standing = bench.make_built(duty__speed_rpm=0.0)
    assert np.all(bench.make_problem(standing, tolerance=1.0).scales > 0.0)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_the_clock_names_the_entry_where_a_bad_number_began(bench, motion):
    """Pocket 5 goes bad: the speed of roller 5 is named, not the first entry that it reaches."""
    built = bench.make_built(vibration=SHAKING, duty__ramp_s=0.001, solver__motion=motion)
    problem = bench.make_problem(built)
    march = _march(problem)
    _block(march)
    tables = problem.model.tables
    extra = tables.pocket_extra.copy()
    extra[4] = np.nan
    model = problem.model._replace(tables=tables._replace(pocket_extra=extra))
    march.problem = march.solver.problem = replace(problem, model=model)
    march.recording.start_block(march.next_sample)
    message = march.advance()
    assert "finite" in message and "roller 5, velocity x" in message
    z = model.count
    assert march.solver.clock[Clock.BAD_ENTRY] == 2 * z + 4
    # The last stage is bad all over: it would have named the first entry of all.
    assert not np.isfinite(march.solver.work.k[6, 0])


def test_a_number_that_is_not_finite_stops_the_march(bench, built):
    """It does not go on with a number that means nothing, and says when it stopped."""
    problem = bench.make_problem(built)
    model = problem.model._replace(duty=problem.model.duty._replace(force_x=np.nan))
    recording = Recording(model.count, 2e-4, 20, 1.0, problem.longest_step)
    march = march_of("dormand_prince", problem, recording, 0.02)
    march.problem = march.solver.problem = replace(problem, model=model)
    recording.start_block(1)
    message = march.advance()
    assert "finite" in message and " 0 s" in message and "inner ring, velocity x" in message
    assert march.time == 0.0 and np.all(np.isfinite(march.solver.work.y))
