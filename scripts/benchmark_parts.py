"""Cost of the compiled solver and of its parts: shared tools of the benchmark."""

import time
from functools import cache

import numpy as np

#: Best of so many runs: a shared machine makes single ones slower by chance, never faster.
REPEATS = 3
#: What else the same bearing is measured with: physics that costs. Spatial ones are shaken along
#: the axis too.
AXES = {"spatial": ["x", "y", "z"], "planar": ["x", "y"]}
VARIANTS = {
    "planar, lubricated traction": ("planar", {"lubricant.raceway_traction": "ehl"}),
    "spatial, 5 slices": ("spatial", {"roller.slices": 5}),
    "spatial, 11 slices": ("spatial", {"roller.slices": 11}),
    "spatial, 11 slices, lubricated traction": (
        "spatial",
        {"roller.slices": 11, "lubricant.raceway_traction": "ehl"},
    ),
}


def timed(work):
    """Run a function; return its result and the processor time in s."""
    began = time.process_time()
    result = work()
    return result, time.process_time() - began


def problem_of_case(case, duration, elastic=True):
    """Initial value problem of a case; without `elastic` no frame of the cage is built."""
    from rollsim.model.build import build_model
    from rollsim.simulation.problem import problem_of
    from rollsim.structure.elasticity import cage_elasticity

    elasticity = cage_elasticity(case) if elastic else None
    return problem_of(build_model(case, duration, elasticity=elasticity))


def recording_of(problem, rate, seconds):
    """Buffers for that many seconds of samples."""
    from rollsim.simulation.recording import Recording

    rows = round(seconds * rate)
    return Recording(problem.model.count, 1.0 / rate, rows, 1.0, problem.longest_step)


def spatial_case(case, motion, changes):
    """The same bearing with other physics."""
    from rollsim.case.change import changed_case

    sources = [
        {**source.model_dump(exclude_unset=True), "axis": AXES[motion]} for source in case.vibration
    ]
    return changed_case(case, {"solver.motion": motion, "vibration": sources, **changes})


def compiled_cost(case, problem, duration, name=None, repeats=REPEATS):
    """Processor seconds per simulated second of a compiled solver, with recording."""
    from rollsim.simulation.marches import march_of

    name = name or case.solver.name
    march_of(name, problem, recording_of(problem, case.output.rate_Hz, 0.01), 0.01).advance()
    spent = np.inf
    for _ in range(repeats):
        recording = recording_of(problem, case.output.rate_Hz, duration)
        march = march_of(name, problem, recording, duration)
        failure, seconds = timed(march.advance)
        if failure:
            raise SystemExit(f"{name}: {failure}")
        spent = min(spent, seconds)
    steps, rejected, evaluations = march.counters()
    return {
        "seconds_per_simulated_second": spent / duration,
        "steps": steps,
        "rejected": rejected,
        "mean_step_us": 1e6 * duration / steps,
        "time_per_step_us": 1e6 * spent / steps,
        "evaluations_per_step": evaluations / steps,
        "states": recording.states[:: max(1, len(recording.states) // 20)][1:-1],
    }


def contact_cost(problem, cost):
    """Right-hand side on states of the march: a bar that is touched costs more than a free one.

    At the start none is touched, so the states are spread over the march. A planar roller has four
    contacts.
    """
    states = cost.pop("states")
    mean = evaluation_cost(problem, states=states)
    return {
        "right_hand_side_in_march_ns": mean,
        "per_contact_ns": mean / (4 * problem.model.count),
        "right_hand_sides_per_step_us": 1e-3 * mean * cost["evaluations_per_step"],
    }


def variant_costs(case, duration):
    """Cost of the compiled solver with more physics in the same bearing under the same level."""
    found = {}
    for name, (motion, changes) in VARIANTS.items():
        changed = spatial_case(case, motion, changes)
        problem = problem_of_case(changed, duration)
        found[name] = compiled_cost(changed, problem, duration, repeats=2)
        states = found[name].pop("states")
        found[name]["right_hand_side_ns"] = evaluation_cost(problem, 5, 300, states)
    return found


def evaluation_cost(problem, rounds=20, calls=2000, states=None):
    """Best time of one right-hand side called from compiled code, ns; at the start by default."""
    states = problem.start[None, :] if states is None else np.ascontiguousarray(states)
    times, rows = np.full(len(states), 0.01), np.full(len(states), -1)
    repeats = max(1, calls // len(states))
    greatest = np.zeros((1, 2 * problem.model.count))
    evaluate_many(times, states, rows, 1, problem.model, greatest)
    best = np.inf
    for _ in range(rounds):
        _, spent = timed(
            lambda: evaluate_many(times, states, rows, repeats, problem.model, greatest)
        )
        best = min(best, spent / (repeats * len(states)))
    return 1e9 * best


def evaluate_many(times, states, rows, repeats, model, greatest):
    """Right-hand side at many instants; the greatest pocket forces by the row of each."""
    from rollsim.kernels.layout import output_size

    work = np.zeros_like(states[0]), np.zeros(output_size(model.count))
    compiled_evaluations()(times, states, rows, repeats, *work, model, greatest)


@cache
def compiled_evaluations():
    """The loop behind `evaluate_many`, compiled once; a row of -1 is not looked at."""
    from rollsim.kernels.jit import kernel
    from rollsim.kernels.rhs import rhs

    @kernel
    def evaluations(times, states, rows, repeats, dy, out, model, greatest):
        faces = greatest.shape[1]
        for _ in range(repeats):
            for i in range(times.shape[0]):
                rhs(times[i], states[i], dy, out, model)
                if rows[i] >= 0:
                    for j in range(faces):
                        greatest[rows[i], j] = max(greatest[rows[i], j], out[faces + j])

    return evaluations


def counting_cost(samples):
    """Processor seconds of rainflow counting of white noise, whole and with damage at 36 points.

    White noise turns at two samples of three: the dearest history there is. Fed in pieces, so that
    memory does not grow with the history.
    """
    from rollsim.fatigue.sn_curve import SNCurve
    from rollsim.kernels.rainflow import STACK_SIZE, STATE_SIZE, feed_points, feed_stream

    piece, points = 100_000, 36
    rng = np.random.default_rng(1)
    series = [50e6 * rng.normal(size=piece) for _ in range(samples // piece)]
    stack, state, cycles = np.zeros(STACK_SIZE), np.zeros(STATE_SIZE), np.empty((piece + 300, 3))
    feed_stream(series[0], stack, state, cycles)
    _, whole = timed(lambda: [feed_stream(part, stack, state, cycles) for part in series])
    forces, coefficients = rng.normal(size=(piece, 3)), 50e6 * rng.normal(size=(points, 3))
    line, static = SNCurve(100e6, 1e6, 9.0, 17.0, 400e6).line, np.zeros(points)
    sums = np.zeros((points, STACK_SIZE)), np.zeros((points, STATE_SIZE)), np.zeros((points, 3))
    feed_points(forces, coefficients, static, line, *sums)
    spent = np.inf
    for _ in range(REPEATS):
        spent = min(spent, timed(lambda: feed_points(forces, coefficients, static, line, *sums))[1])
    return {
        "samples": samples,
        "counting_s": whole,
        "points_ns_per_sample_and_spot": 1e9 * spent / (piece * points),
    }
