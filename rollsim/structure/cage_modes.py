"""Free vibrations of the cage: linear modes of the tightened state (interface bonded)."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import eigsh

from rollsim.structure.cage_frame import CageFrame

#: Shift below zero, as a frequency: makes the stiffness of a free body regular.
_SHIFT_HZ = 30.0


@dataclass(frozen=True)
class CageModes:
    """Elastic modes of a free body, rigid motions left out.

    Fields: frequencies (k,) Hz, ascending; shapes (k, n, 6), m and rad, with unit modal mass;
    rigid_frequency Hz: the highest that the six rigid motions came out with (a check, near zero).
    """

    frequencies: np.ndarray
    shapes: np.ndarray
    rigid_frequency: float


def cage_modes(frame: CageFrame, count: int) -> CageModes:
    """First elastic modes of a cage that nothing holds.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    count : int
        Number of elastic modes.

    Returns
    -------
    CageModes
    """
    return free_modes(frame.stiffness, frame.mass, count)


def free_modes(stiffness: sparse.spmatrix, mass: sparse.spmatrix, count: int) -> CageModes:
    """First elastic modes of a free body, K v = (2 pi f)^2 M v.

    Parameters
    ----------
    stiffness : sparse matrix
        K.
    mass : sparse matrix
        M.
    count : int
        Number of elastic modes.

    Returns
    -------
    CageModes
    """
    size = stiffness.shape[0]
    # A fixed start makes the answer repeatable to the last digit.
    start = np.random.default_rng(0).standard_normal(size)
    shift = -((2.0 * math.pi * _SHIFT_HZ) ** 2)
    values, vectors = eigsh(
        stiffness.tocsc(), k=count + 6, M=mass.tocsc(), sigma=shift, which="LM", v0=start
    )
    order = np.argsort(values)
    hertz = np.sqrt(np.maximum(values[order], 0.0)) / (2.0 * math.pi)
    shapes = vectors[:, order[6:]].T.reshape(count, -1, 6)
    return CageModes(hertz[6:], shapes, float(hertz[5]))
