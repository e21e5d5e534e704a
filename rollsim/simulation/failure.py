"""What went wrong when a march stops: which body, which channel, which number."""

import math

import numpy as np

from rollsim.kernels.layout import ledger_offset, output_size, planar_size, state_size
from rollsim.kernels.rhs import rhs
from rollsim.kernels.vibration import base_acceleration
from rollsim.simulation.channels import entry_name

#: Times after the last good state at which the equations are looked at, s: the cause may lie
#: anywhere in the step that could not be made.
_LOOK_AHEAD = (0.0, 1e-13, 1e-12, 1e-10, 1e-8, 1e-6, 1e-5, 1e-4)
_AXES = "xyz"


def non_finite_cause(problem, time, state):
    """Name what is not a finite number just behind a state, in plain words.

    Parameters
    ----------
    problem : Problem
        The problem.
    time : float, s
        Time of the last good state.
    state : ndarray (active,)
        That state.

    Returns
    -------
    str or None
        Time, body and channel; None when everything is finite.
    """
    bad = np.flatnonzero(~np.isfinite(state))
    if len(bad):
        return _words(time, "the value of", bad, problem.model.count)
    for ahead in _LOOK_AHEAD:
        found = _at(problem, time + ahead, state)
        if found is not None:
            return found
    return None


def _at(problem, time, state):
    """The same at one instant."""
    shaking = base_acceleration(time, problem.model.shaking)
    for axis, value in zip(_AXES, shaking, strict=True):
        if not math.isfinite(value):
            return (
                f"a number stopped being finite at {time:.9g} s: housing, imposed acceleration "
                f"{axis}"
            )
    count = problem.model.count
    full = problem.start.copy()
    full[: problem.active] = state
    rates = np.zeros(state_size(count))
    rhs(time, full, rates, np.zeros(output_size(count)), problem.model)
    bad = np.flatnonzero(~np.isfinite(rates[: problem.active]))
    return _words(time, "the rate of", bad, count) if len(bad) else None


def _words(time, what, bad, count):
    """Sentence on the first of some bad entries."""
    others = "" if len(bad) == 1 else f" (and {len(bad) - 1} more numbers)"
    return (
        f"a number stopped being finite at {time:.9g} s: {what} {entry_name(bad[0], count)}{others}"
    )


def trial_cause(work, active, count, last=6):
    """Name what ran away in a step that was tried in vain.

    Parameters
    ----------
    work : Workspace
        Stages and error scales.
    active : int
        State entries in use.
    count : int
        Rollers Z.
    last : int
        Row of the rates at the end of the step; rows behind it hold none of this step.

    Returns
    -------
    str
        Body and channel.
    """
    rates = work.k[: last + 1, :active].copy()
    # The ledger only follows what the bodies do.
    rates[:, ledger_offset(count) : planar_size(count)] = 0.0
    # A bad number spreads from stage to stage, so the earliest stage tells where it began.
    for stage in rates:
        bad = np.flatnonzero(~np.isfinite(stage))
        if len(bad):
            return entry_name(int(bad[0]), count)
    return entry_name(int(np.argmax(np.abs(rates[last]) * work.inverse_scale[:active])), count)


def stiffest_entry(errors, count):
    """Name the entry with the greatest estimated error of the step last tried.

    Parameters
    ----------
    errors : ndarray (active,)
        Errors over their scales.
    count : int
        Rollers Z.

    Returns
    -------
    str
        Body and channel.
    """
    return entry_name(int(np.argmax(np.abs(errors))), count)
