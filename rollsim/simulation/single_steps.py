"""A march one internal step at a time, for a look at what a run did last."""

from typing import NamedTuple

import numpy as np

from rollsim.kernels.control import Clock, Status
from rollsim.simulation.dormand_prince import BUDGET
from rollsim.simulation.marches import CompiledMarch

_GOES_ON = (Status.BUDGET, Status.EPISODES_FULL, Status.SAMPLES_FULL)


class InternalStep(NamedTuple):
    """End of an internal step: time s, length s, error norm, state, contact output, sums."""

    time: float
    length: float
    error: float
    state: np.ndarray
    outputs: np.ndarray
    sums: np.ndarray


def single_steps(march, begin, after):
    """Take a march back to a checkpoint and go on one internal step at a time, as a run would.

    Parameters
    ----------
    march : CompiledMarch or ReferenceMarch
        The march.
    begin : dict of str to ndarray
        Its checkpoint at the beginning of a block.
    after : float, s
        Steps that end earlier may be made without being told.

    Yields
    ------
    InternalStep
        Until the end of the run or a step that fails.
    """
    march.restore(begin)
    march.recording.start_block(march.next_sample)
    if isinstance(march, CompiledMarch):
        yield from _compiled_steps(march, after)
    else:
        yield from _reference_steps(march)


def _compiled_steps(march, after):
    """Steps of the compiled solver, after a run-up of many steps at a time."""
    while True:
        before = march.checkpoint()
        if not _goes_on(march, BUDGET) or march.time > after:
            break
    march.restore(before)
    march.recording.start_block(march.next_sample)
    goes_on = True
    while goes_on:
        begin = march.time
        goes_on = _goes_on(march, 1)
        if march.time > begin:
            error = float(march.solver.clock[Clock.ERROR])
            yield _step(march, march.solver.work, begin, march.time, error)


def _goes_on(march, budget):
    """Make some internal steps; False where no more can follow."""
    status = march.solver.march_some(budget)
    if status == Status.SAMPLES_FULL:
        march.recording.start_block(march.next_sample)
    return status in _GOES_ON


def _reference_steps(march):
    """Steps of a solver of scipy, which starts afresh after every block."""
    message = None
    while message is None and march.march.solver.status == "running":
        begin = march.time
        message = march.march.one_step(march.recording.grid())
        if message is None and march.time > begin:
            yield _step(march, march.march.work, begin, march.time, np.nan)
        if march.march.is_full(march.recording.grid()):
            march.restore(march.checkpoint())
            march.recording.start_block(march.next_sample)


def _step(march, work, begin, end, error):
    """Copies of what a step came to."""
    sums = march.recording.trackers.sums.copy()
    return InternalStep(end, end - begin, error, work.y.copy(), work.start.copy(), sums)
