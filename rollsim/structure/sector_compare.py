"""Solid model of one cage sector beside the frame of beams, for the same axial load."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rollsim.structure.cage_answers import held_by_base
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_solution import cover_lift, pocket_loads, solve_cage
from rollsim.structure.design import CageDesign
from rollsim.structure.hot_spots import HotSpot, hot_spots
from rollsim.structure.sector_cut import SectorCut
from rollsim.structure.sector_detail import MESHES, SectorDetail, sector_detail, sector_picture

#: Frame and solid of the shipped cages agree within this for stiffness and closure force.
AGREEMENT = 0.15
#: Components of a section force that an even load on all pockets calls up, with their units.
_PARTS = (("axial force", 0, "N"), ("shear force, radial", 1, "N"), ("moment", 5, "N m"))


@dataclass(frozen=True)
class ComparedValue:
    """One number of both models.

    Fields: name; unit; solid; frame.
    """

    name: str
    unit: str
    solid: float
    frame: float

    @property
    def ratio(self) -> float:
        """Frame over solid; NaN where the solid has nothing."""
        return self.frame / self.solid if self.solid else np.nan


@dataclass(frozen=True)
class SectorComparison:
    """Both models of one cage under one load.

    Fields: case_name; design; force_N of every roller; meshes, coarse ones first, the last one is
    compared; seconds, of each mesh (near 0 from the cache); values, stiffness and section force of
    the closure in the plane between cover and bar; head, section force below its head: the frame
    takes it at half the cover's thickness; notch, name of the hot spot with a fillet (empty
    without one) and formula_factor, largest local over largest nominal stress by the formulas under
    the section force of the solid; cut.
    """

    case_name: str
    design: CageDesign
    force_N: float
    meshes: tuple[SectorDetail, ...]
    seconds: tuple[float, ...]
    values: tuple[ComparedValue, ...]
    head: tuple[ComparedValue, ...]
    notch: str
    formula_factor: float
    cut: SectorCut


def compare_sector(
    case: Any,
    force_N: float,
    held: str = "base",
    refines: Sequence[float] = MESHES,
    tell: Callable[[int, int, int], None] | None = None,
) -> SectorComparison:
    """Solve the sector on finer and finer meshes and the frame, without preload.

    Parameters
    ----------
    case : Case
        A valid case.
    force_N : float, N
        Axial force of every roller on the cover.
    held : str
        base or inertia: what balances the load.
    refines : sequence of float
        Meshes, coarse ones first.
    tell : callable, optional
        Called with number of the mesh that comes next, how many there are, unknowns of the last.

    Returns
    -------
    SectorComparison

    Raises
    ------
    RollsimError
        The solid cannot model this cage, or scikit-fem is not installed.
    """
    meshes, seconds = [], []
    for number, refine in enumerate(refines, 1):
        if tell is not None:
            tell(number, len(refines), meshes[-1].unknowns if meshes else 0)
        start = time.perf_counter()
        meshes.append(sector_detail(case, force_N, "cover", refine, held))
        seconds.append(time.perf_counter() - start)
    finest = meshes[-1]
    frame = build_cage_frame(case)
    frame = replace(frame, design=replace(frame.design, preload=0.0))
    loads = pocket_loads(frame, cover=np.full(frame.design.count, force_N))
    solution = solve_cage(frame, held_by_base(frame, loads) if held == "base" else loads)
    lift = float(cover_lift(frame, solution.displacement)[0])
    stiffness = ComparedValue(
        "stiffness of the cover", "N/um", 1e-6 * finest.stiffness_N_per_m, 1e-6 * force_N / lift
    )
    notch, formula = _formula(case, frame.design, finest)
    return SectorComparison(
        case.case.name,
        frame.design,
        force_N,
        tuple(meshes),
        tuple(seconds),
        (stiffness, *_forces(finest.interface_force, solution.forces.interface[0])),
        _forces(finest.head_force, solution.forces.head[0]) if not frame.design.one_piece else (),
        notch,
        formula,
        sector_picture(case, refines[-1], held),
    )


def _forces(solid: Sequence[float], frame: np.ndarray) -> tuple[ComparedValue, ...]:
    """Components of a section force of both models."""
    return tuple(ComparedValue(name, unit, solid[k], float(frame[k])) for name, k, unit in _PARTS)


def _formula(case: Any, design: CageDesign, detail: SectorDetail) -> tuple[str, float]:
    """Hot spot with the fillet of the solid, and what the formulas make of the solid's forces."""
    if detail.notch_factor == 0.0:
        return "", 0.0
    spot: HotSpot = hot_spots(design, case.fatigue.notch_factor)[0]
    force = np.array(detail.head_force if spot.place == "head" else detail.interface_force)
    local, nominal = (float(np.max(spot.stress(force, kind))) for kind in (True, False))
    return spot.name, local / nominal
