"""The two kinds of march behind one small contract, for the run loop.

A march has `prepare()` (load or compile what it needs), `advance()` (fill the buffers; a message on
failure), `time`, `next_sample`, `counters()` and `checkpoint()`; `restore(checkpoint)` puts it back
where a run was left. `single_steps` goes through either of them one internal step at a time.
"""

from dataclasses import fields

import numpy as np

from rollsim.kernels.control import Clock, Status
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.march import march
from rollsim.kernels.rhs import rhs
from rollsim.simulation.dormand_prince import recorded_march
from rollsim.simulation.failure import non_finite_cause, stiffest_entry, trial_cause
from rollsim.simulation.problem import Problem
from rollsim.simulation.scipy_march import METHODS, ScipyMarch

COMPILED = "dormand_prince"
SOLVERS = (COMPILED, *METHODS)


#: Arrays of the recorder that a run needs to go on; the rest is scratch.
_KEPT = ("maxima", "tracker", "sums", "smearing")
#: The same of the modes of the cage; the static share of the last end is that of the next start.
_KEPT_OF_MODES = ("place", "pace", "start")


def _kept(recording):
    """Arrays that the recording carries from one block to the next, by their name."""
    kept = {name: getattr(recording.trackers, name) for name in _KEPT}
    if len(recording.modes.speed):
        kept |= {f"mode_{name}": getattr(recording.modes, name) for name in _KEPT_OF_MODES}
    return kept


def recording_state(recording):
    """What the recording carries from one block to the next.

    Parameters
    ----------
    recording : Recording
        Of the march.

    Returns
    -------
    dict of str to ndarray
        Copies.
    """
    return {name: values.copy() for name, values in _kept(recording).items()}


def restore_recording(recording, checkpoint):
    """Put the recording back where a run was left.

    Parameters
    ----------
    recording : Recording
        Written.
    checkpoint : dict of str to ndarray
        With the entries of `recording_state`.
    """
    for name, values in _kept(recording).items():
        values[:] = checkpoint[name]


class CompiledMarch:
    """The compiled solver.

    Parameters
    ----------
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.
    """

    def __init__(self, problem, recording, end):
        self.problem = problem
        self.recording = recording
        self.solver = recorded_march(problem, recording, end)

    @property
    def time(self):
        """Time reached, s."""
        return float(self.solver.clock[Clock.TIME])

    @property
    def next_sample(self):
        """Number of the sample that comes next."""
        return int(self.solver.clock[Clock.NEXT_SAMPLE])

    def prepare(self):
        """Load the compiled kernels, so that the time of the first block is that of its steps."""
        solver, recording = self.solver, self.recording
        march(
            solver.clock,
            solver.limits(0),
            recording.grid(),
            solver.work,
            recording.trackers,
            recording.table,
            self.problem.model,
            recording.modes,
        )

    def advance(self):
        """Fill the buffers or reach the end.

        Returns
        -------
        str or None
            What went wrong.
        """
        if self.solver.status != "running":
            return None
        message = self.solver.step()
        if message == Status.NON_FINITE.name:
            return self._non_finite()
        if message == Status.STEP_COLLAPSED.name:
            model, active = self.problem.model, self.problem.active
            entry = stiffest_entry(self.solver.work, active, model.count)
            return (
                f"the step length fell below 1e-13 s at {self.time:.9g} s; the greatest error is "
                f"in {entry}"
            )
        return message

    def _non_finite(self):
        """Words for a number that stopped being finite."""
        active = self.problem.active
        cause = non_finite_cause(self.problem, self.time, self.solver.work.y[:active])
        if cause is None:
            entry = trial_cause(self.solver.work, active, self.problem.model.count)
            cause = f"a number grew beyond all bounds at {self.time:.9g} s: {entry}"
        return cause

    def counters(self):
        """Steps, rejected steps and evaluations since the start.

        Returns
        -------
        tuple of 3 int
            The counts.
        """
        clock = self.solver.clock
        return tuple(int(clock[i]) for i in (Clock.STEPS, Clock.REJECTED, Clock.EVALUATIONS))

    def checkpoint(self):
        """Everything needed to go on.

        Returns
        -------
        dict of str to ndarray
            Copies.
        """
        work = self.solver.work
        return {
            "clock": self.solver.clock.copy(),
            "state": work.y.copy(),
            "rates": work.k[0].copy(),
            "outputs": work.start.copy(),
            **recording_state(self.recording),
        }

    def restore(self, checkpoint):
        """Go on from a checkpoint.

        Parameters
        ----------
        checkpoint : dict of str to ndarray
            As `checkpoint` gave it.
        """
        work = self.solver.work
        pairs = (
            (self.solver.clock, "clock"),
            (work.y, "state"),
            (work.k[0], "rates"),
            (work.start, "outputs"),
        )
        for target, name in pairs:
            target[:] = checkpoint[name]
        restore_recording(self.recording, checkpoint)
        self.solver.t = self.time
        self.solver.y = work.y[: self.problem.active].copy()


class _GuardedProblem(Problem):
    """A problem whose right-hand side breaks off where a rate is not finite."""

    def function(self):
        """The guarded right-hand side."""
        unguarded = super().function()

        def rates_of(time, y):
            rates = unguarded(time, y)
            if not np.isfinite(rates).all():
                raise FloatingPointError("a rate is not finite")
            return rates

        return rates_of


def _guarded(problem):
    """The same problem with a guarded right-hand side."""
    return _GuardedProblem(*(getattr(problem, item.name) for item in fields(problem)))


class ReferenceMarch:
    """One of scipy's solvers.

    Parameters
    ----------
    name : str
        Name of the solver.
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.
    """

    def __init__(self, name, problem, recording, end):
        self.name = name
        # LSODA alone goes on with numbers that are not finite, and calls that a success.
        self.problem = _guarded(problem) if name == "LSODA" else problem
        self.recording = recording
        self.end = end
        self.march = ScipyMarch(name, self.problem, recording, end)

    @property
    def time(self):
        """Time reached, s."""
        return self.march.t

    @property
    def next_sample(self):
        """Number of the sample that comes next."""
        return int(self.march.clock[Clock.NEXT_SAMPLE])

    def prepare(self):
        """Nothing: the right-hand side was compiled for the first state."""

    def advance(self):
        """Fill the buffers or reach the end.

        Returns
        -------
        str or None
            What went wrong.
        """
        try:
            # Numbers that are not finite are looked for below.
            with np.errstate(all="ignore"):
                message = self.march.step()
        except (ValueError, ArithmeticError):
            # Some of these solvers stumble over a number that is not finite.
            cause = self._cause()
            if cause is None:
                raise
            return cause
        if message is None and np.all(np.isfinite(self.march.solver.y)):
            if self.march.solver.status == "running":
                self.restore(self.checkpoint())
            return None
        return self._cause() or f"{message} (at {self.time:.9g} s)"

    def _cause(self):
        """Words for a number that is not finite, or None."""
        return non_finite_cause(self.problem, self.time, self.march.solver.y)

    def counters(self):
        """Steps, rejected steps (not told by scipy: 0) and evaluations since the start.

        Returns
        -------
        tuple of 3 int
            The counts.
        """
        clock = self.march.clock
        return int(clock[Clock.STEPS]), 0, int(clock[Clock.EVALUATIONS])

    def checkpoint(self):
        """Everything needed to go on.

        The memory of scipy's solvers cannot be kept, so they start afresh after every block, in a
        run that was never stopped too: both come to the same bits.

        Returns
        -------
        dict of str to ndarray
            Copies.
        """
        return {
            "clock": self.march.clock.copy(),
            "state": self.march.work.y.copy(),
            **recording_state(self.recording),
        }

    def restore(self, checkpoint):
        """Go on from a checkpoint.

        Parameters
        ----------
        checkpoint : dict of str to ndarray
            As `checkpoint` gave it.
        """
        clock = checkpoint["clock"]
        state = checkpoint["state"][: self.problem.active]
        self.march = ScipyMarch(
            self.name, self.problem, self.recording, self.end, float(clock[Clock.TIME]), state
        )
        self.march.take_counters(clock)
        restore_recording(self.recording, checkpoint)


def march_of(name, problem, recording, end):
    """The march of a solver name.

    Parameters
    ----------
    name : str
        "dormand_prince" or one of scipy's solvers.
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.

    Returns
    -------
    CompiledMarch or ReferenceMarch
        At time zero.
    """
    if name == COMPILED:
        return CompiledMarch(problem, recording, end)
    return ReferenceMarch(name, problem, recording, end)


def initial_energy(problem):
    """State and contact output at time zero, as arrays of one row for the energy book.

    Parameters
    ----------
    problem : Problem
        The problem.

    Returns
    -------
    states : ndarray (1, state_size)
        Initial state.
    outputs : ndarray (1, output_size)
        Contact output.
    """
    count = problem.model.count
    outputs = np.zeros((1, output_size(count)))
    rhs(0.0, problem.start, np.zeros(state_size(count)), outputs[0], problem.model)
    return problem.start[None, :].copy(), outputs
