"""The 5(4) pair of Dormand and Prince, J. Comput. Appl. Math. 6 (1980), in compiled code.

The problem with a known answer: bodies that touch nothing, seen from a carrier frame that turns
at Omega. Their straight lines become spirals, x(t) = R(-Omega t) (x0 + (v0 + Omega x x0) t).
"""

import importlib.util

import numpy as np
import pytest
from scipy.integrate import RK45, solve_ivp

from rollsim.kernels.step import Workspace, advance_stages, dense_state
from rollsim.simulation.dormand_prince import DormandPrinceBlocks

CARRIER = 400.0


@pytest.fixture(scope="module")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_dormand_prince", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def free(bench):
    """Problem in which nothing touches, in a turning frame."""

    def loose(model):
        """Endless clearances, no gravity, no load, no losses."""
        model = bench.conservative(model)
        duty = model.duty._replace(
            carrier_speed=CARRIER, gravity=0.0, force_x=0.0, force_y=0.0, carrier_radius=0.0
        )
        return model._replace(
            outer=model.outer._replace(gap=1e3), inner=model.inner._replace(gap=1e3),
            land=model.land._replace(gap=1e3), duty=duty,
            pocket=model.pocket._replace(half_clearance=1e3),
        )  # fmt: skip

    return bench.make_problem(bench.make_built(), tolerance=1e-6, change=loose)


def _exact(problem, time):
    """Positions of the rollers, (2, Z)."""
    z = problem.model.count
    x, y, vx, vy = (problem.start[i * z : (i + 1) * z] for i in range(4))
    px, py = x + (vx - CARRIER * y) * time, y + (vy + CARRIER * x) * time
    c, s = np.cos(CARRIER * time), np.sin(CARRIER * time)
    return np.array([c * px + s * py, -s * px + c * py])


def _workspace(bench, problem):
    """Workspace at the start with its first stage."""
    rates, out = bench.evaluate(problem.model, problem.start)
    k = np.zeros((7, len(rates)))
    k[0] = rates
    other = [np.zeros_like(rates), np.zeros_like(rates), k]
    outputs = [out.copy() for _ in range(4)]
    return Workspace(problem.start.copy(), *other, *outputs, 1.0 / problem.scales)


def _march(bench, problem, steps, end):
    """Largest position error after fixed steps, the error inside them, the last error norm."""
    work = _workspace(bench, problem)
    n, z, h = problem.active, problem.model.count, end / steps
    inside = 0.0
    for i in range(steps):
        norm = advance_stages(i * h, h, work, problem.model)
        dense_state(0.43, h, work, problem.model, work.probe)
        gap = work.probe[: 2 * z].reshape(2, z) - _exact(problem, (i + 0.43) * h)
        inside = max(inside, np.abs(gap).max())
        work.y[:n], work.k[0] = work.trial[:n], work.k[6]
    return np.abs(work.y[: 2 * z].reshape(2, z) - _exact(problem, end)).max(), inside, norm


def test_order_five_and_dense_output_of_order_four(bench, free):
    """Halving the step divides the error by 2^5; the local error inside a step by 2^5 too."""
    results = np.array([_march(bench, free, steps, 0.01) for steps in (8, 16, 32)])
    order = np.log2(results[:-1] / results[1:])
    assert order[:, 0] == pytest.approx([5.0, 5.0], abs=0.35)
    assert np.all(order[:, 1] > 4.5)
    # The estimate is the difference to the fourth-order solution: locally of order 5.
    assert order[:, 2] == pytest.approx([5.0, 5.0], abs=0.5)


def test_scipy_makes_the_same_fixed_steps(bench, free):
    """scipy's RK45 held at one step length ends where the compiled steps end."""
    end, steps = 0.01, 32
    solver = RK45(
        free.function(), 0.0, free.start[: free.active], end, max_step=end / steps,
        first_step=end / steps, rtol=1e-3, atol=1e9,
    )  # fmt: skip
    while solver.status == "running":
        solver.step()
    work = _workspace(bench, free)
    n, h = free.active, end / steps
    for i in range(steps):
        advance_stages(i * h, h, work, free.model)
        work.y[:n], work.k[0] = work.trial[:n], work.k[6]
    assert work.y[:n] == pytest.approx(solver.y, rel=1e-10, abs=1e-12)


def test_error_falls_with_the_tolerance(bench, free):
    """Adaptive march in solve_ivp: the global error follows the tolerance."""
    errors = []
    z = free.model.count
    for tolerance in (1e-2, 1e-4, 1e-6):
        problem = bench.make_problem(
            bench.make_built(), tolerance=tolerance, change=lambda _: free.model, longest=1.0
        )
        result = solve_ivp(
            problem.function(), (0.0, 0.02), problem.start[: problem.active],
            method=DormandPrinceBlocks, problem=problem,
        )  # fmt: skip
        assert result.success
        gap = result.y[: 2 * z, -1].reshape(2, z) - _exact(problem, 0.02)
        errors.append(np.abs(gap).max())
    assert errors[0] > 10.0 * errors[1] > 100.0 * errors[2]
    assert errors[2] < 1e-10
