"""Longest step of the leapfrog method: the oscillation of a roller between its raceways."""

import numpy as np
import pytest

from rollsim.kernels.line_contact import line_force
from rollsim.simulation.leapfrog import PHASE, SURPLUS, steady_step


def test_the_step_is_a_share_of_the_period(bench):
    """Stiffness of both raceways by differences of the law of the contact."""
    model = bench.make_built().model
    forces = np.array([0.0, 500.0, 2000.0])
    force, stiffness = SURPLUS * 2000.0, 0.0
    for pair in (model.outer, model.inner):
        depth = (force / pair.constant) ** 0.9
        rise = line_force(depth * 1.001, pair.constant) - line_force(depth * 0.999, pair.constant)
        stiffness += rise / (0.002 * depth)
    speed = np.sqrt(stiffness / model.roller.mass)
    assert steady_step(model, forces) == pytest.approx(PHASE / speed, rel=1e-5)
    assert steady_step(model, np.zeros(3)) > steady_step(model, forces)


def test_the_march_keeps_to_it(bench):
    problem = bench.make_problem(bench.make_built(), longest=1.0)
    samples, (steps, _, _) = bench.record(problem, 0.01, name="leapfrog")
    z = problem.model.count
    longest = steady_step(problem.model, samples.outputs[0, : 2 * z])
    assert steps >= 0.01 / longest - 1
    assert steps < 2.0 * 0.01 / longest
