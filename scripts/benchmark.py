"""Speed of the solver, as ratios within one run; absolute times depend on the machine.

python scripts/benchmark.py [--case FILE] [--json FILE] [--quick]
"""

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from scipy.integrate import DOP853, LSODA, RK45

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "cases" / "bench_random_5g.toml"
#: Simulated time of the compiled solver and of scipy's solvers, s.
LONG, SHORT = 1.0, 0.02
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


def compiled_cost(problem, recording, duration):
    """Processor seconds per simulated second of the compiled solver, with recording."""
    from rollsim.simulation.dormand_prince import recorded_march

    spent = np.inf
    for _ in range(REPEATS):
        solver = recorded_march(problem, recording(duration), duration)
        spent = min(spent, timed(solver.step)[1])
    return {
        "seconds_per_simulated_second": spent / duration,
        "steps": int(solver.clock[3]),
        "rejected": int(solver.clock[4]),
        "mean_step_us": 1e6 * duration / float(solver.clock[3]),
        "time_per_step_us": 1e6 * spent / float(solver.clock[3]),
    }


def recorded_problem(case, duration):
    """Problem of a case and a maker of its recordings."""
    from rollsim.model.build import build_model
    from rollsim.simulation.problem import problem_of
    from rollsim.simulation.recording import Recording
    from rollsim.structure.elasticity import cage_elasticity

    problem = problem_of(build_model(case, duration, elasticity=cage_elasticity(case)))
    rate = case.output.rate_Hz

    def recording(seconds):
        return Recording(
            problem.model.count, 1.0 / rate, round(seconds * rate) + 1, 1.0, problem.longest_step
        )

    return problem, recording


def variant_costs(case, duration):
    """Cost of the compiled solver with more physics in the same bearing under the same level."""
    from rollsim.case.change import changed_case

    found = {}
    for name, (motion, changes) in VARIANTS.items():
        sources = [
            {**source.model_dump(exclude_unset=True), "axis": AXES[motion]}
            for source in case.vibration
        ]
        changed = changed_case(case, {"solver.motion": motion, "vibration": sources, **changes})
        problem, recording = recorded_problem(changed, duration)
        compiled_cost(problem, recording, 0.01)
        found[name] = compiled_cost(problem, recording, duration)
    return found


def scipy_cost(method, problem, duration):
    """Processor seconds per simulated second of one of scipy's solvers, without recording."""
    from rollsim.simulation.problem import UNCONTROLLED

    runs = [_scipy_run(method, problem, duration, UNCONTROLLED) for _ in range(REPEATS)]
    spent, steps = min(runs)
    return {
        "seconds_per_simulated_second": spent / duration,
        "steps": steps,
        "mean_step_us": 1e6 * duration / steps,
    }


def _scipy_run(method, problem, duration, uncontrolled):
    """Processor seconds and steps of one run."""
    solver = method(
        problem.function(),
        0.0,
        problem.start[: problem.active],
        duration,
        max_step=problem.longest_step,
        rtol=100 * np.finfo(float).eps,
        atol=np.minimum(problem.scales[: problem.active], uncontrolled),
    )
    steps = 0

    def march():
        nonlocal steps
        while solver.status == "running":
            solver.step()
            steps += 1

    _, spent = timed(march)
    return spent, steps


def parts_cost(case, problem, recording, duration):
    """Where the processor time goes: right-hand side on states of the march, march, whole run.

    A bar that a roller touches costs more than one that it does not, and at the start none is
    touched: so the states are spread over the march. A planar roller has four contacts.
    """
    from rollsim.simulation.dormand_prince import recorded_march
    from rollsim.simulation.run import run
    from rollsim.structure.elasticity import cage_elasticity

    solver = recorded_march(problem, recording(duration), duration)
    solver.step()
    states = solver.recording.states[:: max(1, round(len(solver.recording.states) / 40))][1:-1]
    costs = [evaluation_cost(problem, 5, 500, state.copy()) for state in states]
    mean = float(np.mean(costs))
    calls = float(solver.clock[5] / solver.clock[3])
    elasticity, spent = cage_elasticity(case), np.inf
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "run.h5"

        def whole_run():
            run(case, path, duration=duration, overwrite=True, elasticity=elasticity)

        for _ in range(REPEATS):
            spent = min(spent, timed(whole_run)[1])
    return {
        "right_hand_side_in_march_ns": mean,
        "per_contact_ns": mean / (4 * problem.model.count),
        "evaluations_per_step": calls,
        "right_hand_sides_per_step_us": 1e-3 * mean * calls,
        "whole_run_seconds_per_simulated_second": spent / duration,
    }


def evaluation_cost(problem, rounds=20, calls=2000, state=None):
    """Best time of one right-hand side called from compiled code, ns; at the start by default."""
    from rollsim.kernels.layout import output_size

    repeat = repeated_evaluation()
    y = problem.start.copy() if state is None else state
    dy = np.zeros_like(y)
    out = np.zeros(output_size(problem.model.count))
    repeat(1, y, dy, out, problem.model)
    best = np.inf
    for _ in range(rounds):
        _, spent = timed(lambda: repeat(calls, y, dy, out, problem.model))
        best = min(best, spent / calls)
    return 1e9 * best


@cache
def repeated_evaluation():
    """The right-hand side a number of times, compiled once."""
    from rollsim.kernels.jit import kernel
    from rollsim.kernels.rhs import rhs

    @kernel
    def repeat(count, y, dy, out, model):
        for _ in range(count):
            rhs(0.01, y, dy, out, model)

    return repeat


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


def start_up_cost(case):
    """Wall seconds of `rollsim --help` and of a second start of a very short run."""
    command = [sys.executable, "-m", "rollsim"]
    began = time.perf_counter()
    subprocess.run([*command, "--help"], check=True, capture_output=True)
    found = {"help_s": time.perf_counter() - began}
    with tempfile.TemporaryDirectory() as folder:
        run = [*command, "run", str(case), "--duration", "0.21", "--overwrite"]
        run += ["-o", str(Path(folder) / "start.h5")]
        subprocess.run(run, check=True, capture_output=True)
        began = time.perf_counter()
        subprocess.run(run, check=True, capture_output=True)
        found["second_run_of_0.21_s_s"] = time.perf_counter() - began
    return found


def measure(path, quick):
    """All figures of one case."""
    from rollsim.case.read import load_case

    case = load_case(path)
    duration = 0.3 if quick else LONG
    problem, recording = recorded_problem(case, duration)
    compiled_cost(problem, recording, 0.01)
    figures = {
        "case": case.case.name,
        "machine": f"{platform.machine()}, Python {platform.python_version()}",
        "tolerance": case.solver.tolerance,
        "right_hand_side_ns": evaluation_cost(problem),
        "compiled": compiled_cost(problem, recording, duration),
        "parts": parts_cost(case, problem, recording, duration),
        "RK45": scipy_cost(RK45, problem, SHORT),
        "DOP853": scipy_cost(DOP853, problem, SHORT),
    }
    if not quick:
        figures["LSODA"] = scipy_cost(LSODA, problem, SHORT)
        figures["start_up"] = start_up_cost(path)
    figures["rainflow"] = counting_cost(1_000_000 if quick else 10_000_000)
    figures["variants"] = variant_costs(case, 0.1 if quick else 0.5)
    ours = figures["compiled"]["seconds_per_simulated_second"]
    figures["ratios"] = {
        f"{name} over compiled": figures[name]["seconds_per_simulated_second"] / ours
        for name in ("RK45", "DOP853", "LSODA")
        if name in figures
    }
    return figures


def main():
    """Measure, print, and write JSON when asked."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--case", type=Path, default=REFERENCE)
    parser.add_argument("--json", type=Path)
    parser.add_argument("--quick", action="store_true")
    options = parser.parse_args()
    figures = measure(options.case, options.quick)
    print(f"{figures['case']} at tolerance {figures['tolerance']:g} ({figures['machine']})")
    for name, ratio in figures["ratios"].items():
        print(f"  {name}: {ratio:.1f} times the processor time")
    compiled = figures["compiled"]
    print(f"  compiled: {compiled['seconds_per_simulated_second']:.2f} s per simulated second,")
    print(f"    {compiled['steps']} steps of {compiled['mean_step_us']:.1f} us,")
    print(f"    {compiled['time_per_step_us']:.2f} us of computing a step")
    print(f"  right-hand side: {figures['right_hand_side_ns']:.0f} ns")
    parts = figures["parts"]
    print(f"    {parts['right_hand_side_in_march_ns']:.0f} ns on states of the march,")
    print(f"    {parts['per_contact_ns']:.1f} ns a contact,")
    print(f"    {parts['evaluations_per_step']:.1f} of them a step:")
    print(f"    {parts['right_hand_sides_per_step_us']:.2f} us of a step")
    whole = parts["whole_run_seconds_per_simulated_second"]
    print(f"  a whole run with building and writing: {whole:.2f} s per simulated second")
    for name, cost in figures["variants"].items():
        ratio = cost["seconds_per_simulated_second"] / compiled["seconds_per_simulated_second"]
        print(f"  {name}: {ratio:.1f} times that of the case as it is,")
        print(f"    {cost['seconds_per_simulated_second']:.2f} s per simulated second")
    counting = figures["rainflow"]
    print(f"  rainflow: {counting['samples']:.0e} samples of white noise")
    print(f"    counted in {counting['counting_s']:.2f} s, with damage at 36 points of a section")
    print(f"    {counting['points_ns_per_sample_and_spot']:.1f} ns a sample and point")
    for name, value in figures.get("start_up", {}).items():
        print(f"  start-up, {name.removesuffix('_s').replace('_', ' ')}: {value:.2f} s")
    if options.json:
        options.json.write_text(json.dumps(figures, indent=2), encoding="utf-8")


if __name__ == "__main__":
    main()
