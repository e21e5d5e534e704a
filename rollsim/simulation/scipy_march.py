"""scipy's own solvers on the same right-hand side, recorded the same way: the cross-check."""

import numpy as np
from scipy.integrate import DOP853, LSODA, RK45, Radau

from rollsim.kernels.control import Clock
from rollsim.kernels.layout import force_count, output_size, state_size
from rollsim.kernels.march import CLOSE_INTERVALS, emit_wear
from rollsim.kernels.modes import advance_modes, push_modes, rest_modes, sample_modes
from rollsim.kernels.record import (
    catch_maxima,
    raise_tops,
    step_tops,
    track_episodes,
    wants_close_look,
)
from rollsim.kernels.rhs import rhs
from rollsim.kernels.step import Workspace
from rollsim.kernels.wear import SIMPSON, add_step, raise_smearing
from rollsim.simulation.problem import UNCONTROLLED

METHODS = {"RK45": RK45, "DOP853": DOP853, "LSODA": LSODA, "Radau": Radau}
#: Smallest relative tolerance that scipy accepts; the absolute scales do the work.
LEAST_RELATIVE = 100.0 * np.finfo(float).eps


class ScipyMarch:
    """One of scipy's solvers as a recording march.

    Parameters
    ----------
    name : str
        Key of `METHODS`.
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.
    time : float, s
        Start.
    state : ndarray (active,) or None
        State at the start; that of the problem when None.
    """

    def __init__(self, name, problem, recording, end, time=0.0, state=None):
        self.problem = problem
        self.recording = recording
        self.t_bound = end
        start = problem.start[: problem.active] if state is None else state
        allowed = np.minimum(problem.scales[: problem.active], UNCONTROLLED)
        self.solver = METHODS[name](
            problem.function(),
            time,
            start,
            end,
            max_step=problem.longest_step,
            rtol=LEAST_RELATIVE,
            atol=allowed,
        )
        count = problem.model.count
        size, outputs = state_size(count), output_size(count)
        full = [problem.start.copy() for _ in range(3)]
        out = [np.zeros(outputs) for _ in range(4)]
        self.work = Workspace(*full, np.zeros((7, size)), *out, 1.0 / problem.scales)
        self.clock = np.zeros(len(Clock))
        self.clock[Clock.TIME] = time
        self.clock[Clock.NEXT_SAMPLE] = np.floor(time / recording.interval + 1e-9) + 1.0
        self._evaluations = 0.0
        self._forces_at(time, start, self.work.y, self.work.start)
        rest_modes(self.work, recording.modes, problem.model)

    @property
    def t(self):
        """Time reached, s."""
        return float(self.solver.t)

    def _forces_at(self, time, y, state, out):
        """Contact output at a state of the solver."""
        state[: self.problem.active] = y
        rhs(time, state, self.work.k[1], out, self.problem.model)

    def step(self):
        """Advance until the sample buffers are full or the end is reached.

        Returns
        -------
        str or None
            Message of a failed step.
        """
        grid = self.recording.grid()
        while not self.is_full(grid):
            if self.solver.status != "running":
                return None
            message = self.one_step(grid)
            if self.solver.status == "failed":
                return message
        return None

    def is_full(self, grid):
        """Tell whether the sample buffers are full.

        Parameters
        ----------
        grid : Grid
            Buffers of the block.

        Returns
        -------
        bool
            True when they are.
        """
        return int(self.clock[Clock.NEXT_SAMPLE]) - grid.first >= grid.rows

    def one_step(self, grid):
        """One step of the solver, recorded.

        Parameters
        ----------
        grid : Grid
            Buffers of the block.

        Returns
        -------
        str or None
            Message of a failed step.
        """
        message = self.solver.step()
        if self.solver.status == "failed":
            return message
        self._record_step(grid)
        return None

    def take_counters(self, clock):
        """Go on with the counters of a march that this one continues.

        Parameters
        ----------
        clock : ndarray (CLOCK_SIZE,)
            Of the other march; its time is the start of this one.
        """
        self.clock[:] = clock
        self._evaluations = float(clock[Clock.EVALUATIONS])

    def _look_closely(self, dense, begin, step):
        """Raise the greatest forces of a step by those at more instants in it."""
        forces = force_count(self.problem.model.count)
        for i in range(1, CLOSE_INTERVALS):
            at = begin + i / CLOSE_INTERVALS * step
            self._forces_at(at, dense(at), self.work.probe, self.work.spare)
            raise_tops(self.work.spare, self.recording.trackers, forces)

    def _record_step(self, grid):
        """Maxima, episodes and samples of the step just made."""
        solver, work, recording = self.solver, self.work, self.recording
        dense = solver.dense_output()
        step = solver.t - solver.t_old
        self._forces_at(solver.t, solver.y, work.trial, work.end)
        middle = solver.t_old + 0.5 * step
        self._forces_at(middle, dense(middle), work.probe, work.inside)
        count = self.problem.model.count
        push_modes(work, recording.modes, self.problem.model)
        trackers = recording.trackers
        forces = force_count(count)
        step_tops(work, trackers, forces)
        if wants_close_look(work, trackers, count, self.clock[Clock.LARGEST]):
            self._look_closely(dense, solver.t_old, step)
        greatest = catch_maxima(trackers, count, forces)
        self.clock[Clock.LARGEST] = max(self.clock[Clock.LARGEST], greatest)
        span = (solver.t_old, step)
        rows = track_episodes(span, count, work, recording.trackers, recording.table, 0, SIMPSON)
        recording.keep_episodes(rows)
        raise_smearing(trackers.smearing, work.inside, count)
        raise_smearing(trackers.smearing, work.end, count)
        maxima = trackers.maxima
        while self.clock[Clock.NEXT_SAMPLE] * grid.interval <= solver.t + 1e-12:
            row = int(self.clock[Clock.NEXT_SAMPLE]) - grid.first
            at = min(self.clock[Clock.NEXT_SAMPLE] * grid.interval, solver.t)
            self._forces_at(at, dense(at), grid.states[row], grid.outputs[row])
            grid.maxima[row] = np.maximum(maxima, grid.outputs[row, : len(maxima)])
            maxima[:] = work.end[: len(maxima)]
            emit_wear(at - solver.t_old, row, grid, work, trackers, count, SIMPSON)
            sample_modes((at - solver.t_old) / step, step, row, recording.modes)
            self.clock[Clock.NEXT_SAMPLE] += 1.0
        add_step(trackers.sums, work, step, count, SIMPSON)
        advance_modes(step, recording.modes)
        work.y[:] = work.trial
        work.start[:] = work.end
        self.clock[Clock.TIME] = solver.t
        self.clock[Clock.STEPS] += 1.0
        self.clock[Clock.EVALUATIONS] = self._evaluations + solver.nfev
