"""A short trial march: what a run will cost on this machine."""

import time

import numpy as np

from rollsim.errors import RunError
from rollsim.kernels.control import Clock
from rollsim.kernels.march import Trail, march_trail
from rollsim.simulation.dormand_prince import DormandPrinceBlocks

_WARM_UP = 300
_STEPS = 500


def cost_per_simulated_second(problem):
    """Computing time per simulated second from a few hundred steps of the real problem.

    Parameters
    ----------
    problem : Problem
        The problem.

    Returns
    -------
    seconds : float
        Seconds of one core for one simulated second.
    step : float
        Mean step length, s.

    Raises
    ------
    RunError
        When the march stops within these steps.
    """
    end = 2.0 * (_WARM_UP + _STEPS) * problem.longest_step
    start = problem.start[: problem.active]
    solver = DormandPrinceBlocks(problem.function(), 0.0, start, end, problem=problem)
    _stretch(solver, problem.model, _WARM_UP)
    before = float(solver.clock[Clock.TIME])
    began = time.perf_counter()
    _stretch(solver, problem.model, _STEPS)
    spent = time.perf_counter() - began
    reached = float(solver.clock[Clock.TIME]) - before
    return spent / reached, reached / _STEPS


def _stretch(solver, model, steps):
    """March a number of steps."""
    size = len(solver.work.y)
    trail = Trail(
        np.zeros(steps), np.zeros(steps), np.zeros((steps, size)), np.zeros((steps, 7, size))
    )
    _, made = march_trail(solver.clock, solver.limits(steps), solver.work, trail, model)
    if made < steps:
        reached = float(solver.clock[Clock.TIME])
        raise RunError(f"the trial steps came to a stop at {reached:.9g} s of simulated time")
