"""Elasticity of the cage of a case for the dynamics, from its frame model."""

from __future__ import annotations

from typing import Any

import numpy as np

from rollsim.errors import RollsimError
from rollsim.model.elasticity import Backing, CageElasticity, given_backing
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_influence import local_compliances

#: Digits of a stiffness from the frame: the same case has the same numbers on every machine.
_DIGITS = 6


class NoFrame(RollsimError):
    """The cage of a case cannot be made as a frame (exit code 2)."""

    exit_code = 2


def cage_elasticity(case: Any) -> CageElasticity:
    """Elasticity of the cage of a case.

    What the case gives is taken as it is; the frame is built only for what it leaves open.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    CageElasticity
        Stiffness in N/m, to six digits.

    Raises
    ------
    NoFrame
        The cage cannot be made as a frame.
    """
    given, count = given_backing(case), case.roller.count
    found = {} if len(given) == len(Backing._fields) else _of_frame(case)
    found |= {face: np.full(count, value) for face, value in given.items()}
    return CageElasticity(Backing(**found))


def _of_frame(case: Any) -> dict[str, np.ndarray]:
    """Stiffness behind every pocket face, N/m."""
    try:
        frame = build_cage_frame(case)
    except RollsimError as problem:
        raise NoFrame(
            f"The stiffness of the cage cannot be computed: {problem} Mend the case, or give "
            "cage.bar_stiffness_N_per_um and cage.end_stiffness_N_per_um."
        ) from problem
    return {face: _rounded(1.0 / own) for face, own in local_compliances(frame).items()}


def _rounded(values: np.ndarray) -> np.ndarray:
    """Values to `_DIGITS` digits."""
    return np.array([float(f"{value:.{_DIGITS}g}") for value in values])
