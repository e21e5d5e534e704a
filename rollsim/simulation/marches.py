"""Compiled and scipy's marches behind one small contract, for the run loop.

A march has `prepare()` (load or compile what it needs), `advance()` (fill the buffers; a message on
failure), `time`, `next_sample`, `counters()` and `checkpoint()`; `restore(checkpoint)` puts it back
where a run was left. `single_steps` goes through either of them one internal step at a time.
"""

from dataclasses import fields

import numpy as np

from rollsim.kernels.control import Clock, Status
from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.rhs import rhs
from rollsim.simulation.dormand_prince import recorded_march
from rollsim.simulation.failure import non_finite_cause, stiffest_entry, trial_cause
from rollsim.simulation.leapfrog import LeapfrogBlocks
from rollsim.simulation.problem import Problem
from rollsim.simulation.scipy_march import METHODS, ScipyMarch

#: Solvers in compiled code; makers of them from (problem, recording, end).
COMPILED = {"leapfrog": LeapfrogBlocks, "dormand_prince": recorded_march}
SOLVERS = (*COMPILED, *METHODS)


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
    """A compiled solver.

    Parameters
    ----------
    name : str
        Key of `COMPILED`.
    problem : Problem
        The problem.
    recording : Recording
        Buffers.
    end : float, s
        End of the run.
    """

    def __init__(self, name, problem, recording, end):
        self.problem = problem
        self.recording = recording
        self.solver = COMPILED[name](problem, recording, end)

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
        self.solver.march_some(0)

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
            entry = stiffest_entry(self.solver.errors(), self.problem.model.count)
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
            work = self.solver.work
            last = 1 if isinstance(self.solver, LeapfrogBlocks) else 6
            entry = trial_cause(work, active, self.problem.model.count, last)
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
        kept = {name: values.copy() for name, values in self.solver.kept().items()}
        return {**kept, **recording_state(self.recording)}

    def restore(self, checkpoint):
        """Go on from a checkpoint.

        Parameters
        ----------
        checkpoint : dict of str to ndarray
            As `checkpoint` gave it.
        """
        for name, values in self.solver.kept().items():
            values[:] = checkpoint[name]
        restore_recording(self.recording, checkpoint)
        self.solver.settle()


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
        One of `SOLVERS`.
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
    if name in COMPILED:
        return CompiledMarch(name, problem, recording, end)
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
