"""Modes of the cage as the compiled march takes them."""

import math

import numpy as np

from rollsim.kernels.cage_loads import load_count
from rollsim.kernels.modes import ModeBank, ramp_series


def mode_bank(modes, count, capacity):
    """Constants and arrays of the modes, at rest without load.

    Parameters
    ----------
    modes : CageModesData or None
        Frequencies rising; None for no modes.
    count : int
        Rollers Z.
    capacity : int
        Output samples that have room.

    Returns
    -------
    ModeBank
        Without modes its arrays are empty and cost nothing.

    Raises
    ------
    ValueError
        When the participation does not belong to a cage of so many pockets.
    """
    if modes is None:
        return _bank(0.0, np.zeros(0), np.zeros((0, 0)), capacity)
    if np.shape(modes.participation) != (load_count(count), len(modes.frequencies)):
        raise ValueError(
            f"participation of {load_count(count)} loads and {len(modes.frequencies)} modes is"
            f" needed, not of shape {np.shape(modes.participation)}"
        )
    speed = 2.0 * math.pi * np.asarray(modes.frequencies, dtype=float)
    share = np.ascontiguousarray(modes.participation / speed**2)
    return _bank(float(modes.damping), speed, share, capacity)


def _bank(damping, speed, share, capacity):
    """The bank with arrays of fitting length."""
    size = len(speed)
    return ModeBank(
        damping,
        *ramp_series(damping),
        speed,
        share,
        np.zeros(len(share)),
        *np.zeros((5, size)),
        np.zeros((capacity if size else 0, 2 * size)),
    )
