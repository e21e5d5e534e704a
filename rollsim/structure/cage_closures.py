"""What every closure carries where some are loose, cracked or missing, beside the sound cage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rollsim.structure.cage_frame import CageFrame, build_cage_frame
from rollsim.structure.cage_solution import FrameSolution, solve_cage
from rollsim.structure.hot_spots import CLOSURE, hot_spots


@dataclass(frozen=True)
class ClosureLoad:
    """One closure under the static load.

    Fields: number (count from 1, counter-clockwise); bar (count from 0); factor, stiffness over
    that of a sound closure; axial N, shear N, bending N m in the plane between cover and bar, with
    preload, zero where it is missing; nominal Pa, largest normal stress of its full section; sound
    Pa, the same where every closure is sound.
    """

    number: int
    bar: int
    factor: float
    axial: float
    shear: float
    bending: float
    nominal: float
    sound: float


def closure_loads(
    case: Any,
    frame: CageFrame,
    solution: FrameSolution,
    loads: Callable[[CageFrame], np.ndarray],
) -> tuple[ClosureLoad, ...]:
    """Load of every closure; nothing where all of them are sound.

    Parameters
    ----------
    case : Case
        A valid case.
    frame : CageFrame
        Its cage.
    solution : FrameSolution
        Answer of the cage to the load.
    loads : callable
        Forces on the nodes of a frame by the same load.

    Returns
    -------
    tuple of ClosureLoad
        One a closure, by number.
    """
    design = frame.design
    if not design.factors:
        return ()
    whole = build_cage_frame(sound_case(case))
    here = _stresses(frame, solution)
    there = _stresses(whole, solve_cage(whole, loads(whole)))
    found = []
    for k, j in enumerate(design.closure_places):
        axial, shear_r, shear_t, _, about_r, about_t = solution.forces.interface[j]
        found.append(
            ClosureLoad(
                k + 1,
                int(j),
                design.closure_factor(j),
                float(axial),
                float(np.hypot(shear_r, shear_t)),
                float(np.hypot(about_r, about_t)),
                float(here[j]),
                float(there[j]),
            )
        )
    return tuple(found)


def sound_case(case: Any) -> Any:
    """The same case with every closure sound.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    Case
    """
    closure = case.cage.closure.model_copy(update={"stiffness_factors": ()})
    return replace(case, cage=case.cage.model_copy(update={"closure": closure}))


def _stresses(frame: CageFrame, solution: FrameSolution) -> np.ndarray:
    """Largest nominal normal stress of the closure on every bar; zero where there is none."""
    worst = np.zeros(frame.design.count)
    for spot in hot_spots(frame.design):
        if spot.part == CLOSURE:
            # The section forces have the preload in them already.
            forces = getattr(solution.forces, spot.place)[spot.bars]
            stress = np.abs(spot.stress(forces, notched=False)).max(axis=-1)
            worst[spot.bars] = np.maximum(worst[spot.bars], stress)
    return worst
