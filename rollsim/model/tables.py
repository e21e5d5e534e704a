"""Per-pocket and per-slice arrays of the kernels from a case."""

import math

import numpy as np

from rollsim.kernels.layout import LOCK_NAMES
from rollsim.kernels.types import Tables
from rollsim.model import pairs
from rollsim.model.pockets import pocket_errors
from rollsim.model.profile import profile_drop, slice_centres, slice_weights

#: Slices that the widest vectors of today's processors hold.
SLICE_VECTOR = 8


def model_tables(case, backing):
    """Per-pocket and per-slice arrays, and the locks.

    Parameters
    ----------
    case : Case
        The case.
    backing : Backing
        Stiffness behind the pocket faces.

    Returns
    -------
    Tables
        As the kernels take them.
    """
    count = case.roller.count
    angle = 2.0 * math.pi * np.arange(count) / count
    length = pairs.effective_length(case)
    slices = case.roller.slices
    centres = slice_centres(length, slices)
    drop = profile_drop(case.roller, centres, length)
    shift, extra = pocket_errors(case)
    locked = set(case.solver.locked)
    if case.solver.motion == "spatial" and slices == 1:
        # One slice in the middle cannot resist tilting.
        locked |= {"roller_tilt_x", "roller_tilt_y", "inner_tilt_x", "inner_tilt_y"}
    free = np.array([0.0 if name in locked else 1.0 for name in LOCK_NAMES])
    # The trailing face of a pocket is on the bar behind it.
    share = np.concatenate([backing.bar, np.roll(backing.bar, 1)]) / backing.bar[0]
    return Tables(
        pocket_cos=np.cos(angle),
        pocket_sin=np.sin(angle),
        pocket_shift=shift,
        pocket_extra=extra,
        bar_share=share,
        bar_root=np.sqrt(share),
        end_share=np.concatenate([backing.base, backing.cover]) / backing.base[0],
        slice_z=_padded(centres, 0.0),
        slice_drop=_padded(drop, 1.0),
        slice_weight=_padded(slice_weights(slices), 0.0),
        free=free,
    )


def _padded(values, filler):
    """Numbers of the slices, filled up to whole vectors of the processor by weightless slices."""
    values = np.asarray(values, dtype=float)
    more = -len(values) % SLICE_VECTOR if len(values) > 1 else 0
    return np.concatenate([values, np.full(more, filler)])
