"""A cage frame with its base ring held, and frames of designs that no case describes."""

import numpy as np
from cage_cases import cage_case
from scipy.sparse.linalg import splu

from rollsim.structure import cage_frame
from rollsim.structure.cage_contact import settle_contact
from rollsim.structure.cage_solution import section_forces


def held(frame, load):
    """Solution with every node of the base ring held: motion, section forces, closed springs."""
    first = 6 * frame.mesh.ring_count

    def solve(closed):
        stiffness = frame.with_closed(closed).tocsc()[first:, first:]
        motion = np.zeros(load.size)
        motion[first:] = splu(stiffness).solve(load.ravel()[first:])
        return motion

    motion, closed, _ = settle_contact(solve, frame.opening)
    motion = motion.reshape(-1, 6)
    return motion, section_forces(frame, frame.beams.end_forces(motion)), closed


def frame_of(monkeypatch, change, *args, **kwargs):
    """Frame of a cage whose design was changed by a function."""
    original = cage_frame.frame_design
    with monkeypatch.context() as own:
        own.setattr(cage_frame, "frame_design", lambda case: change(original(case)))
        return cage_frame.build_cage_frame(cage_case(*args, **kwargs))
