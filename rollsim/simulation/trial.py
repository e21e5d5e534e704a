"""A short trial march: what a run will cost on this machine."""

import time

from rollsim.errors import RunError
from rollsim.kernels.control import Clock, Status
from rollsim.simulation.marches import COMPILED
from rollsim.simulation.recording import Recording

_WARM_UP = 1000
_STEPS = 2000
#: Output interval of the trial, s, and force of an episode, N: the usual ones.
_INTERVAL, _THRESHOLD = 2e-4, 1.0


def cost_per_simulated_second(problem, solver="leapfrog"):
    """Computing time per simulated second from some thousand steps of the real problem.

    Parameters
    ----------
    problem : Problem
        The problem.
    solver : str
        Key of `COMPILED`.

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
    rows = int(end / _INTERVAL) + 1
    recording = Recording(problem.model.count, _INTERVAL, rows, _THRESHOLD, problem.longest_step)
    march = COMPILED[solver](problem, recording, end)
    _stretch(march, _WARM_UP)
    before = float(march.clock[Clock.TIME])
    began = time.perf_counter()
    _stretch(march, _STEPS)
    spent = time.perf_counter() - began
    reached = float(march.clock[Clock.TIME]) - before
    return spent / reached, reached / _STEPS


def _stretch(march, steps):
    """March a number of steps."""
    if march.march_some(steps) != Status.BUDGET:
        reached = float(march.clock[Clock.TIME])
        raise RunError(f"the trial steps came to a stop at {reached:.9g} s of simulated time")
