"""The compiled Dormand-Prince 5(4) method as a solver of scipy's interface.

One step of this solver is a block of many internal steps, made in compiled code.
"""

import numpy as np
from scipy.integrate import RK45, DenseOutput, OdeSolver

from rollsim.errors import RunError
from rollsim.kernels.control import CLOCK_SIZE, Clock, Limits, Status
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.march import Trail, first_stage, march, march_trail
from rollsim.kernels.modes import rest_modes
from rollsim.kernels.step import Workspace, dense_weights

FIRST_STEP = 1e-7
SHORTEST_STEP = 1e-13
#: Internal steps between two looks at the clock by Python.
BUDGET = 20000


class DormandPrinceBlocks(OdeSolver):
    """Compiled Dormand-Prince 5(4) with absolute error scales, advancing in blocks.

    Works in `scipy.integrate.solve_ivp(fun, span, y0, method=DormandPrinceBlocks, problem=...)`;
    with a recording it also samples on the output grid and catches maxima and episodes.

    Parameters
    ----------
    fun : callable
        Kept for scipy's interface; the compiled right-hand side of the problem is used.
    t0 : float, s
        Start.
    y0 : ndarray (active,)
        Initial state, the active part.
    t_bound : float, s
        End.
    vectorized : bool
        Ignored.
    problem : Problem
        Constants and error scales.
    block_steps : int
        Internal steps of one step of this solver when nothing is recorded.
    recording : Recording or None
        Buffers to fill; one step then ends when they are full.

    Raises
    ------
    ValueError
        When the end lies before the start.
    """

    def __init__(
        self, fun, t0, y0, t_bound, vectorized=False, problem=None, block_steps=128, recording=None
    ):
        if t_bound < t0:
            raise ValueError("this solver marches forward in time only")
        super().__init__(fun, t0, np.array(y0, dtype=float), t_bound, False)
        self.problem = problem
        self.block_steps = block_steps
        self.recording = recording
        count = problem.model.count
        size = state_size(count)
        outputs = output_size(count)
        state = problem.start.copy()
        state[: problem.active] = y0
        self.work = Workspace(
            state,
            np.zeros(size),
            np.zeros(size),
            np.zeros((7, size)),
            np.zeros(outputs),
            np.zeros(outputs),
            np.zeros(outputs),
            np.zeros(outputs),
            1.0 / problem.scales,
        )
        self.clock = np.zeros(CLOCK_SIZE)
        self.clock[Clock.TIME] = t0
        self.clock[Clock.STEP] = FIRST_STEP
        self.clock[Clock.ERROR] = 1.0
        self.clock[Clock.NEXT_SAMPLE] = 1.0
        self._trail = None
        self._used = 0
        first_stage(self.clock, self.work, problem.model)
        if recording:
            rest_modes(self.work, recording.modes, problem.model)

    def kept(self):
        """Arrays that go into a checkpoint, by name.

        Returns
        -------
        dict of str to ndarray
            The arrays themselves.
        """
        work = self.work
        return {"clock": self.clock, "state": work.y, "rates": work.k[0], "outputs": work.start}

    def errors(self):
        """Estimated errors of the step last tried over what is allowed, but for its length.

        Returns
        -------
        ndarray (active,)
            Every entry of the state. The weights are those of the same pair in scipy.
        """
        work, active = self.work, self.problem.active
        return RK45.E @ work.k[:, :active] * work.inverse_scale[:active]

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
        return Limits(self.t_bound, self.problem.longest_step, SHORTEST_STEP, budget)

    def _step_impl(self):
        """Advance one block."""
        status = self._record_block() if self.recording else self._plain_block()
        self.settle()
        self.nfev = int(self.clock[Clock.EVALUATIONS])
        if status in (Status.NON_FINITE, Status.STEP_COLLAPSED):
            return False, Status(status).name
        return True, None

    def settle(self):
        """Take over a clock and a state that were put back."""
        self.t = float(self.clock[Clock.TIME])
        self.y = self.work.y[: self.problem.active].copy()

    def _record_block(self):
        """March until the sample buffers are full, keeping finished episodes."""
        while True:
            status = self.march_some(BUDGET)
            if status not in (Status.EPISODES_FULL, Status.BUDGET):
                return status

    def march_some(self, budget):
        """Advance at most a number of internal steps with recording; results do not depend on it.

        Parameters
        ----------
        budget : int
            Internal steps.

        Returns
        -------
        int
            A member of `Status`.
        """
        recording = self.recording
        status, rows = march(
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
        return status

    def _plain_block(self):
        """March a number of steps and keep them for dense output."""
        if self._trail is None:
            size = state_size(self.problem.model.count)
            self._trail = Trail(
                np.zeros(self.block_steps),
                np.zeros(self.block_steps),
                np.zeros((self.block_steps, size)),
                np.zeros((self.block_steps, 7, size)),
            )
        status, self._used = march_trail(
            self.clock, self.limits(self.block_steps), self.work, self._trail, self.problem.model
        )
        return status

    def _dense_output_impl(self):
        """Interpolant over the last block."""
        if self.recording:
            raise RunError("a recording march keeps its samples instead of a dense output")
        used = self._used
        trail = Trail(*(array[:used].copy() for array in self._trail))
        return BlockInterpolant(self.t_old, self.t, trail, self.problem.active)


class BlockInterpolant(DenseOutput):
    """Fourth-order interpolant over the internal steps of one block.

    Parameters
    ----------
    t_old : float, s
        Beginning.
    t : float, s
        End.
    trail : Trail
        Internal steps.
    active : int
        State entries to return.
    """

    def __init__(self, t_old, t, trail, active):
        super().__init__(t_old, t)
        self.trail = trail
        self.active = active

    def _call_impl(self, t):
        """State at one time or several, shape (active,) or (active, n)."""
        times = np.atleast_1d(t)
        cells = np.searchsorted(self.trail.times, times, side="right") - 1
        cells = np.clip(cells, 0, len(self.trail.times) - 1)
        result = np.empty((self.active, len(times)))
        for column, (time, cell) in enumerate(zip(times, cells, strict=True)):
            step = self.trail.steps[cell]
            x = (time - self.trail.times[cell]) / step
            b0, *rest = dense_weights(x)
            weights = np.array([b0, 0.0, *rest])
            change = weights @ self.trail.stages[cell, :, : self.active]
            result[:, column] = self.trail.states[cell, : self.active] + step * change
        return result[:, 0] if np.ndim(t) == 0 else result


def recorded_march(problem, recording, end):
    """A recording solver ready to step from time zero.

    Parameters
    ----------
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.

    Returns
    -------
    DormandPrinceBlocks
        The solver.
    """
    return DormandPrinceBlocks(
        problem.function(),
        0.0,
        problem.start[: problem.active],
        end,
        problem=problem,
        recording=recording,
    )
