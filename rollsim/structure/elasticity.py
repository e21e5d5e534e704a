"""Elasticity of the cage of a case for the dynamics, from its frame model."""

from __future__ import annotations

from typing import Any

import numpy as np

from rollsim.errors import RollsimError
from rollsim.model.elasticity import (
    Backing,
    CageElasticity,
    CageModesData,
    given_backing,
    modes_wanted,
)
from rollsim.structure.cage_frame import CageFrame, build_cage_frame
from rollsim.structure.cage_influence import local_compliances, unit_loads
from rollsim.structure.cage_modes import cage_modes

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
        Stiffness in N/m, to six digits; modes as far as the case asks for them.

    Raises
    ------
    NoFrame
        The cage cannot be made as a frame.
    """
    wanted = modes_wanted(case)
    if not wanted:
        return CageElasticity(cage_backing(case))
    frame = _frame(case)
    return CageElasticity(
        cage_backing(case, frame), modes_data(frame, wanted, case.cage.mode_damping)
    )


def cage_backing(case: Any, frame: CageFrame | None = None) -> Backing:
    """Stiffness behind every pocket face: as the case gives it, else by the frame model.

    Parameters
    ----------
    case : Case
        A valid case.
    frame : CageFrame or None
        The frame of its cage where there is one already; else it is built when it is needed.

    Returns
    -------
    Backing
        N/m; that of the frame to six digits.

    Raises
    ------
    NoFrame
        The cage cannot be made as a frame.
    """
    given = given_backing(case)
    found = {face: np.full(case.roller.count, value) for face, value in given.items()}
    if not _complete(given):
        found = _stiffness(_frame(case) if frame is None else frame) | found
    return Backing(**found)


def frame_backing(case: Any) -> Backing:
    """Stiffness behind every pocket face by the frame model, whatever the case gives.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    Backing
        N/m, to six digits.

    Raises
    ------
    RollsimError
        The cage cannot be made as a frame.
    """
    return Backing(**_stiffness(build_cage_frame(case)))


def modes_data(frame: CageFrame, count: int, damping: float) -> CageModesData:
    """Lowest elastic modes of a free cage, tightened, its interface bonded, as plain numbers.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    count : int
        Number of modes.
    damping : float
        Share of critical damping of all of them.

    Returns
    -------
    CageModesData
    """
    modes, loads = cage_modes(frame, count), unit_loads(frame)
    participation = loads.reshape(len(loads), -1) @ modes.shapes.reshape(count, -1).T
    return CageModesData(modes.frequencies, damping, participation, modes.shapes)


def _complete(given: dict[str, float]) -> bool:
    """Tell whether the case gives the stiffness behind every face."""
    return len(given) == len(Backing._fields)


def _frame(case: Any) -> CageFrame:
    """Frame of the cage, or what to do without one."""
    try:
        return build_cage_frame(case)
    except RollsimError as problem:
        if _complete(given_backing(case)):  # wanted for its modes alone
            raise NoFrame(
                f"The modes of the cage cannot be computed: {problem} Mend the case, or set "
                "cage.elastic_modes = 0."
            ) from problem
        modes = ", and set cage.elastic_modes = 0" if modes_wanted(case) else ""
        raise NoFrame(
            f"The stiffness of the cage cannot be computed: {problem} Mend the case, or give "
            f"cage.bar_stiffness_N_per_um and cage.end_stiffness_N_per_um{modes}."
        ) from problem


def _stiffness(frame: CageFrame) -> dict[str, np.ndarray]:
    """Stiffness behind every pocket face, N/m."""
    return {face: _rounded(1.0 / own) for face, own in local_compliances(frame).items()}


def _rounded(values: np.ndarray) -> np.ndarray:
    """Values to `_DIGITS` digits."""
    return np.array([float(f"{value:.{_DIGITS}g}") for value in values])
