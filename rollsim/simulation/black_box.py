"""What a failed run did last: its last block once more, every internal step of the end kept.

The march is deterministic, so the last block comes out as it did; nothing is spent on this as long
as nothing fails.
"""

from collections import deque
from contextlib import suppress

import numpy as np

from rollsim.history.black_box import BlackBox, black_box_path, write_black_box
from rollsim.simulation.channels import history_channels
from rollsim.simulation.recording import Samples
from rollsim.simulation.single_steps import single_steps

#: Simulated time kept before a failure, s, and the most steps of it.
KEPT_TIME = 0.010
MOST_STEPS = 5000


def leave_black_box(path, march, begin, fault, attributes):
    """Replay the last block and write the black box; a fault here must not hide the failure.

    Parameters
    ----------
    path : Path
        Output file of the run.
    march : CompiledMarch or ReferenceMarch
        The march that failed.
    begin : dict of str to ndarray
        Its checkpoint at the beginning of the block that failed.
    fault : Fault
        What failed, and when.
    attributes : dict
        Root attributes of the run.

    Returns
    -------
    str
        Sentence for the user; empty when no step was made.
    """
    try:
        steps = _last_steps(march, begin, fault.time)
        if not steps:
            return ""
        kept = {name: attributes.get(name) for name in _TOLD}
        told = {**kept, "reason": fault.words, "history": path.name, "failed_at_s": fault.time}
        box = _box(steps, march.problem.model, told)
        write_black_box(black_box_path(path), box)
    except (OSError, ValueError, ArithmeticError) as problem:
        return f"The black box could not be written: {problem}."
    return (
        f"Its last {len(steps)} internal steps are in {black_box_path(path)}: "
        f"rollsim blackbox {path}"
    )


_TOLD = ("case_name", "case_text", "seed", "solver", "rollsim_version")


def _last_steps(march, begin, until):
    """Internal steps at the end of a block: time, length, error, state, outputs, sums."""
    kept = deque(maxlen=MOST_STEPS)
    with suppress(ValueError, ArithmeticError), np.errstate(all="ignore"):
        for step in single_steps(march, begin, until - KEPT_TIME):
            if step.time > until:
                break
            kept.append(step)
    return [step for step in kept if step.time > until - KEPT_TIME]


def _box(steps, model, attributes):
    """Steps as named channels."""
    times, lengths, errors, states, outputs, sums = map(np.array, zip(*steps, strict=True))
    none = np.zeros((len(times), 0))
    samples = Samples(times, states, outputs, none, sums, none, none, np.zeros((0, 8)))
    return BlackBox(
        attributes,
        {"time": times, "length": lengths, "error": errors},
        history_channels(samples, model),
    )
