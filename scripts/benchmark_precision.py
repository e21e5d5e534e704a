"""Work and precision: what a method costs, and how far its peak pocket forces are off.

From a state in full motion every method computes the same short time. Its error is that of the
greatest force of every roller on both bars of its pocket in every window of a millisecond: root
mean square of the difference to a reference over that of the reference. The time is short because
any two computations part after some 75 ms of impacts, whatever their tolerance.
"""

import time
from itertools import pairwise

import numpy as np
from benchmark_parts import (
    compiled_cost,
    evaluate_many,
    problem_of_case,
    recording_of,
    spatial_case,
)

WINDOW_S = 1e-3
GRID_S = 2e-6
#: Where the short times begin, s; the first vibration has set everything in motion by then.
BEGINS = (0.1, 0.14)
SPAN_S = 0.01
#: Tolerances over that of the case. Stiff methods cost minutes at fine ones.
FACTORS = {
    "RK45": (10, 3, 1, 0.3, 0.1, 0.03),
    "DOP853": (30, 10, 3, 1, 0.3, 0.1),
    "LSODA": (10, 3, 1, 0.3, 0.1, 0.03),
    "Radau": (10, 1, 0.1),
    "BDF": (1, 0.1, 0.01),
    "dopri5": (10, 3, 1, 0.3, 0.1, 0.03),
}
COMPILED_FACTORS = (10, 3, 1, 0.3, 0.1)
REFERENCE_FACTORS = (1e-3, 1e-2)


def started(problem, case, begins):
    """States in full motion at some times, from one march of the accurate compiled method."""
    from rollsim.simulation.marches import march_of

    rate, end = round(1.0 / WINDOW_S), max(begins)
    recording = recording_of(problem, rate, end + 2 * WINDOW_S)
    march_of("dormand_prince", problem, recording, end + 2 * WINDOW_S).advance()
    return [recording.states[round(at * rate) - 1].copy() for at in begins]


def scaled(problem, factor, start):
    """The problem with another tolerance and another start."""
    from dataclasses import replace

    return replace(problem, scales=factor * problem.scales, start=start)


def compiled_run(name, problem, begin, repeats=3):
    """Greatest forces by window, processor time and evaluations of a compiled method."""
    from rollsim.kernels.control import Clock
    from rollsim.kernels.rhs import rhs
    from rollsim.simulation.marches import march_of

    spent = np.inf
    for _ in range(repeats):
        recording = recording_of(problem, 1.0 / WINDOW_S, SPAN_S)
        march = march_of(name, problem, recording, begin + SPAN_S)
        solver = march.solver
        solver.clock[Clock.TIME] = begin
        solver.clock[Clock.NEXT_SAMPLE] = round(begin / WINDOW_S) + 1
        rhs(begin, solver.work.y, solver.work.k[0], solver.work.start, problem.model)
        solver.work.k[2] = solver.work.k[0]
        solver.work.inside[:] = solver.work.start
        recording.start_block(march.next_sample)
        began = time.process_time()
        failure = march.advance()
        spent = min(spent, time.process_time() - began)
        if failure:
            raise SystemExit(f"{name}: {failure}")
    count = problem.model.count
    rows = round(SPAN_S / WINDOW_S)
    return recording.maxima[:rows, 2 * count : 4 * count].copy(), spent, march.counters()[2]


class Windows:
    """Greatest pocket forces by window, from an interpolant, looked at every few microseconds."""

    def __init__(self, problem, begin):
        self._problem, self._begin = problem, begin
        self._times = begin + GRID_S * np.arange(round(SPAN_S / GRID_S))
        self._states = np.tile(problem.start, (len(self._times), 1))
        self._next = 0

    def take(self, end, interpolant):
        """Keep the states at all instants up to the end of a step."""
        stop = int(np.searchsorted(self._times, end, side="right"))
        if stop > self._next:
            rows = slice(self._next, stop)
            self._states[rows, : self._problem.active] = interpolant(self._times[rows]).T
            self._next = stop

    def greatest(self):
        """Greatest force by window, roller and face."""
        problem = self._problem
        rows = ((self._times - self._begin) / WINDOW_S + 1e-9).astype(int)
        found = np.zeros((round(SPAN_S / WINDOW_S), 2 * problem.model.count))
        evaluate_many(self._times, self._states, rows, 1, problem.model, found)
        return found


def _allowed(problem):
    """Error allowed by entry, as scipy can take it."""
    from rollsim.simulation.problem import UNCONTROLLED

    return np.minimum(problem.scales[: problem.active], UNCONTROLLED)


def scipy_run(name, problem, begin):
    """The same of a method of scipy's `solve_ivp`; looking at forces is not timed."""
    import scipy.integrate

    windows, spent = Windows(problem, begin), 0.0
    began = time.process_time()
    solver = getattr(scipy.integrate, name)(
        problem.function(),
        begin,
        problem.start[: problem.active],
        begin + SPAN_S,
        max_step=problem.longest_step,
        rtol=100 * np.finfo(float).eps,
        atol=_allowed(problem),
    )
    spent += time.process_time() - began
    while solver.status == "running":
        began = time.process_time()
        message = solver.step()
        spent += time.process_time() - began
        if solver.status == "failed":
            raise SystemExit(f"{name}: {message}")
        windows.take(solver.t, solver.dense_output())
    return windows.greatest(), spent, solver.nfev


def dopri5_run(problem, begin):
    """The same of `scipy.integrate.ode('dopri5')`, whose steps are interpolated afterwards.

    It takes one tolerance for all entries: every entry is counted in units of its own.
    """
    from scipy.integrate import RK45, ode

    function, unit, calls, steps = problem.function(), _allowed(problem), [0], []

    def counted(at, scaled_y):
        calls[0] += 1
        return function(at, unit * scaled_y) / unit

    solver = ode(counted).set_integrator(
        "dopri5",
        rtol=100 * np.finfo(float).eps,
        atol=1.0,
        nsteps=10**7,
        max_step=problem.longest_step,
    )
    solver.set_solout(lambda at, y: steps.append((float(at), unit * y)))
    solver.set_initial_value(problem.start[: problem.active] / unit, begin)
    began = time.process_time()
    solver.integrate(begin + SPAN_S)
    spent = time.process_time() - began
    if not solver.successful():
        raise SystemExit("dopri5: the integration failed")
    windows = Windows(problem, begin)
    for (at, y), (end, _) in pairwise(steps):
        if end > at:
            # Both are the pair of Dormand and Prince: one step of scipy's RK45 gives its stages.
            one = RK45(function, at, y, end, first_step=end - at, rtol=1.0, atol=np.inf)
            one.step()
            windows.take(end, one.dense_output())
    return windows.greatest(), spent, calls[0]


def one_method(name, run, problem, starts, references):
    """Costs and errors of a method at one tolerance, over all short times."""
    difference = norm = spent = calls = 0.0
    for begin, start, reference in zip(BEGINS, starts, references, strict=True):
        greatest, seconds, evaluations = run(name, scaled(problem, 1.0, start), begin)
        difference += np.sum((greatest - reference) ** 2)
        norm += np.sum(reference**2)
        spent += seconds
        calls += evaluations
    simulated = SPAN_S * len(BEGINS)
    return {
        "error": float(np.sqrt(difference / norm)),
        "seconds_per_simulated_second": spent / simulated,
        "evaluations_per_simulated_second": calls / simulated,
    }


def spatial_precision(case, motion, changes):
    """The same for the bearing in space, against scipy's RK45 alone: others take hours."""
    changed = spatial_case(case, motion, changes)
    problem = problem_of_case(changed, max(BEGINS) + SPAN_S)
    return work_precision(changed, problem, False, {"RK45": (3, 1, 0.3)})


def work_precision(case, problem, quick, factors=None):
    """Table of costs and errors of all methods, and costs at the error of our own solver."""
    from rollsim.simulation.marches import SOLVERS
    from rollsim.simulation.scipy_march import METHODS

    starts = started(problem, case, BEGINS)
    sharp = [
        [
            scipy_run("DOP853", scaled(problem, f, y), at)[0]
            for at, y in zip(BEGINS, starts, strict=True)
        ]
        for f in REFERENCE_FACTORS
    ]
    references = sharp[0]
    own_error = np.sqrt(
        sum(np.sum((a - b) ** 2) for a, b in zip(*sharp, strict=True))
        / sum(np.sum(a**2) for a in references)
    )
    table = {}
    for name in SOLVERS:
        if name not in METHODS:
            compiled_cost(case, problem, 0.01, name, 1)
            table[f"rollsim {name}"] = {
                factor: one_method(
                    name, compiled_run, scaled(problem, factor, problem.start), starts, references
                )
                for factor in COMPILED_FACTORS
            }
    for name, own_factors in (factors or FACTORS).items():
        if quick and name in ("LSODA", "Radau", "BDF"):
            continue
        run = (lambda _, own, at: dopri5_run(own, at)) if name == "dopri5" else scipy_run
        table[name] = {
            factor: one_method(
                name, run, scaled(problem, factor, problem.start), starts, references
            )
            for factor in own_factors
        }
        print(f"  measured {name}", flush=True)
    own = f"rollsim {case.solver.name}"
    ours = table[own][1]
    return {
        "ours": own,
        "error_of_reference": float(own_error),
        "tolerance_factors": table,
        "error_of_ours": ours["error"],
        "at_equal_error": {name: cost_at(rows, ours["error"]) for name, rows in table.items()},
    }


def cost_at(rows, error):
    """Cost at an error between measured ones, on a log-log line; the nearest row beyond them."""
    points = sorted((row["error"], row["seconds_per_simulated_second"]) for row in rows.values())
    errors, costs = (np.log([point[i] for point in points]) for i in range(2))
    within = errors[0] <= np.log(error) <= errors[-1]
    return {
        "seconds_per_simulated_second": float(np.exp(np.interp(np.log(error), errors, costs))),
        "bracketed": bool(within),
        "nearest": min((point[0] for point in points), key=lambda own: abs(np.log(own / error))),
    }
