"""The compiled leapfrog method as the solver of a recording march."""

import numpy as np

from rollsim.kernels.control import CLOCK_SIZE, Clock, Limits, Status
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.leap_march import leap_march
from rollsim.kernels.leapfrog import ROWS
from rollsim.kernels.modes import rest_modes
from rollsim.kernels.rhs import rhs
from rollsim.kernels.step import Workspace
from rollsim.simulation.dormand_prince import BUDGET, FIRST_STEP, SHORTEST_STEP

#: Longest step times the angular frequency of a roller between its raceways. The method is stable
#: up to 2, but steps of changing length stir the oscillation up from about 1.6 on, and then the
#: step control refuses every third step.
PHASE = 1.3
#: Greatest force on a raceway that is reckoned with, over that of the static equilibrium.
SURPLUS = 4.0


def steady_step(model, forces):
    """Longest step that leaves the oscillation of the rollers between their raceways in peace.

    h = PHASE / w with w^2 m = sum over both raceways of dQ/d(delta) = (10/9) K^(9/10) Q^(1/10).
    The force hardly counts, so that of the static equilibrium serves for the whole run.

    Parameters
    ----------
    model : Model
        Constants.
    forces : ndarray (2 Z,), N
        Normal forces of the raceways in the static equilibrium.

    Returns
    -------
    float
        s.
    """
    force = SURPLUS * max(float(np.max(forces)), 1.0)
    constants = np.array([model.outer.constant, model.inner.constant])
    stiffness = (10.0 / 9.0 * constants**0.9 * force**0.1).sum()
    return PHASE / np.sqrt(stiffness / model.roller.mass)


class LeapfrogBlocks:
    """Compiled leapfrog with absolute error scales, advancing in blocks of recorded samples.

    Parameters
    ----------
    problem : Problem
        Constants and error scales.
    recording : Recording
        Buffers to fill; one step of this solver ends when they are full.
    end : float, s
        End of the run.
    """

    def __init__(self, problem, recording, end):
        self.problem = problem
        self.recording = recording
        self.t_bound = end
        self.status = "running"
        size, outputs = state_size(problem.model.count), output_size(problem.model.count)
        self.work = Workspace(
            problem.start.copy(),
            np.zeros(size),
            np.zeros(size),
            np.zeros((ROWS, size)),
            *(np.zeros(outputs) for _ in range(4)),
            1.0 / problem.scales,
        )
        self.clock = np.zeros(CLOCK_SIZE)
        self.clock[Clock.STEP] = self.clock[Clock.PREVIOUS] = FIRST_STEP
        self.clock[Clock.ERROR] = self.clock[Clock.NEXT_SAMPLE] = 1.0
        self._begin()
        forces = self.work.start[: 2 * problem.model.count]
        self._longest = min(problem.longest_step, steady_step(problem.model, forces))
        rest_modes(self.work, recording.modes, problem.model)

    def _begin(self):
        """Rates and forces of the first state; those of the step before are the same."""
        work = self.work
        rhs(self.t, work.y, work.k[0], work.start, self.problem.model)
        work.k[2] = work.k[0]
        work.inside[:] = work.start
        self.clock[Clock.EVALUATIONS] += 1.0

    @property
    def t(self):
        """Time reached, s."""
        return float(self.clock[Clock.TIME])

    @property
    def y(self):
        """State reached, the active part, a copy."""
        return self.work.y[: self.problem.active].copy()

    def kept(self):
        """Arrays that go into a checkpoint, by name.

        Returns
        -------
        dict of str to ndarray
            The arrays themselves.
        """
        work = self.work
        return {
            "clock": self.clock,
            "state": work.y,
            "rates": work.k[0],
            "rates_before": work.k[2],
            "outputs": work.start,
            "outputs_before": work.inside,
        }

    def errors(self):
        """Estimated errors of the step last tried over what is allowed.

        Returns
        -------
        ndarray (active,)
            Every entry of the state.
        """
        return self.work.k[3, : self.problem.active]

    def settle(self):
        """Take over a clock and a state that were put back; time and state are read from them."""

    def limits(self, budget):
        """Bounds of the next stretch.

        Parameters
        ----------
        budget : int
            Internal steps.

        Returns
        -------
        Limits
            The bounds.
        """
        return Limits(self.t_bound, self._longest, SHORTEST_STEP, budget)

    def march_some(self, budget):
        """March a number of internal steps, less where the buffers are full or the end is reached.

        Parameters
        ----------
        budget : int
            Internal steps.

        Returns
        -------
        Status
            Why it came back.
        """
        recording = self.recording
        status, rows = leap_march(
            self.clock,
            self.limits(budget),
            recording.grid(),
            self.work,
            recording.trackers,
            recording.table,
            self.problem.model,
            recording.modes,
        )
        recording.keep_episodes(rows)
        return Status(status)

    def step(self):
        """March until the sample buffers are full or the end is reached.

        Returns
        -------
        str or None
            Name of the status of a failed step.
        """
        while True:
            status = self.march_some(BUDGET)
            if status in (Status.NON_FINITE, Status.STEP_COLLAPSED):
                self.status = "failed"
                return status.name
            if self.t >= self.t_bound:
                self.status = "finished"
            if status not in (Status.EPISODES_FULL, Status.BUDGET):
                return None
