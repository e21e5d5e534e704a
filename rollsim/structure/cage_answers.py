"""Puts the same questions to the frame of any cage: own vibrations, one static load, its stress."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from rollsim.case.fields import Section as Table
from rollsim.structure.cage_closures import closure_loads
from rollsim.structure.cage_frame import CageFrame, build_cage_frame
from rollsim.structure.cage_influence import local_compliances
from rollsim.structure.cage_mesh import SEGMENTS
from rollsim.structure.cage_modes import cage_modes
from rollsim.structure.cage_solution import FrameSolution, cover_lift, pocket_loads, solve_cage
from rollsim.structure.cage_study import (
    BASE,
    PARTS,
    CageLoad,
    CageStudy,
    PlaceStress,
    count_from_base,
    part_motions,
)
from rollsim.structure.elasticity import cage_backing
from rollsim.structure.hot_spots import HotSpot, hot_spots
from rollsim.structure.ring_holes import ring_hole_spots
from rollsim.structure.sections import rectangle_section

#: Elements that have mass but carry no force are not shown.
_HIDDEN = "shank mass"
_PART_OF_LABEL = {"base": PARTS[0], "bar": PARTS[1], "cover": PARTS[2], "closure": PARTS[3]}
_RING_NOTE = (
    "full section without a notch factor; the edges of the holes for closures are places of their"
    " own, the corners of bar and ring those of the bar roots"
)
_MODEL = (
    "beams along the middle of rings, bars and closures; linear material; notched corners may"
    " yield locally",
    "interface of cover and bar ends carries pressure only, without friction, in the static load;"
    " it is bonded in the free vibrations",
    "the load is the same at every roller and does not vary in time",
)
_HELD = {
    True: "the base ring carries what the load has left over, spread evenly along it",
    False: "the free cage is accelerated by the load; its inertia balances it",
}
#: Keys of the case that shape the frame, beside the tables of cage and closure.
_SHAPE_KEYS = (
    "bearing.pitch_diameter_mm",
    "roller.count",
    "roller.diameter_mm",
    "roller.length_mm",
    "clearance.pocket_um",
    "clearance.pocket_axial_um",
    "cage.outer_diameter_mm",
    "cage.inner_diameter_mm",
    "cage.base_ring_thickness_mm",
    "cage.cover_thickness_mm",
    "cage.pocket_side_angle_deg",
    "cage.pocket_contour_radius_mm",
    "cage.pocket_fillet_mm",
    "cage.cover_load_diameter_mm",
    "cage.mass_kg",
    "cage.material",
    "fatigue.notch_factor",
)
_MATERIAL_NUMBERS = ("youngs_modulus_GPa", "poisson", "density_kg_per_m3", "yield_MPa")


def study_cage(case: Any, load: CageLoad, modes: int) -> CageStudy:
    """Mass, own vibrations, deformation and stress of the cage of a case.

    Parameters
    ----------
    case : Case
        A valid case.
    load : CageLoad
        Static load.
    modes : int
        Number of elastic modes.

    Returns
    -------
    CageStudy

    Raises
    ------
    RollsimError
        The parts cannot be made, or the interface does not settle.
    """
    frame = build_cage_frame(case)
    count = frame.design.count
    loads = _loads(frame, load)
    solution = solve_cage(frame, loads)
    found = cage_modes(frame, modes)
    shown = np.array([k for k, own in enumerate(frame.labels) if not own.startswith(_HIDDEN)])
    parts, numbers = _places(frame, shown)
    lines = frame.elements[shown]
    base = np.arange(frame.mesh.ring_count)
    displacement = count_from_base(frame.nodes, solution.displacement, base)
    members = {
        part: np.unique(lines[[own == part for own in parts]]) for part in PARTS if part in parts
    }
    return CageStudy(
        case.case.name,
        frame.design.kind,
        count,
        frame.total_mass,
        frame.centre,
        frame.inertia,
        frame.nodes,
        lines,
        parts,
        numbers,
        load,
        displacement,
        found.frequencies,
        found.shapes,
        part_motions(frame.nodes, displacement, members, count),
        float(np.abs(cover_lift(frame, solution.displacement)).max()),
        _stresses(frame, solution, case.fatigue.notch_factor),
        _open_share(frame, solution),
        solution.residual,
        {face: 1.0 / own for face, own in local_compliances(frame).items()},
        cage_backing(case, frame)._asdict(),
        (*_MODEL, _HELD[load.held == BASE], *_uneven(frame), *_assumed(case)),
        closure_loads(case, frame, solution, lambda cage: _loads(cage, load)),
        frame.design.bosses is not None,
    )


def _uneven(frame: CageFrame) -> Iterator[str]:
    """What holds where pockets differ: closures on some bars only, weak or missing."""
    design = frame.design
    if design.factors:
        yield (
            "a weak closure is softer in tension, shear, bending and torsion alike; its stress is"
            " that of its full section. Play and growing cracks are left out"
        )
    if design.bosses is not None:
        gaps = ", ".join(str(j + 1) for j in design.bosses.gaps)
        yield (
            f"rivets 1 to {len(design.bosses.gaps)} stand in place of bars {gaps}: a roller pushes"
            " a boss as it would push the bar, and a run keeps its pockets as wide as the others"
        )
        if design.bosses.separate:
            yield (
                "distance pieces are pressed by both rings, without friction, and the shank holds"
                " them sideways; a piece whose rivet is missing stays, held at its foot alone"
            )
    if len(design.closure_bars) < design.count and not design.one_piece:
        yield (
            "free vibrations take bars without a closure as joined to the cover, which holds only"
            " while they press against it"
        )


def _loads(frame: CageFrame, load: CageLoad) -> np.ndarray:
    """Forces on the nodes."""
    loads = pocket_loads(
        frame,
        cover=np.full(frame.design.count, load.cover),
        bars=np.full(frame.design.count, load.bar),
        radial_acceleration=load.radial_acceleration,
    )
    return held_by_base(frame, loads) if load.held == BASE else loads


def held_by_base(frame: CageFrame, loads: np.ndarray) -> np.ndarray:
    """Add forces on the nodes of the base ring that leave no resultant, the smallest ones.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    loads : ndarray, (n, 6)
        Forces in N and couples in N m on the nodes.

    Returns
    -------
    ndarray, (n, 6)
        In balance.
    """
    rigid = frame.rigid.reshape(-1, 6, 6)
    ring = rigid[: frame.mesh.ring_count, :3]
    ways = ring.reshape(-1, 6)
    wanted = -np.einsum("nij,ni->j", rigid, loads)
    held = loads.copy()
    held[: len(ring), :3] += np.linalg.lstsq(ways.T, wanted, rcond=None)[0].reshape(-1, 3)
    return held


def _places(frame: CageFrame, shown: np.ndarray) -> tuple[tuple[str, ...], np.ndarray]:
    """Part and number of the shown elements: bar of bars, bosses, closures; pitch of rings."""
    parts, numbers, seen = [], [], {"base": 0, "cover": 0}
    for k in shown:
        name, _, number = frame.labels[k].partition(" ")
        if frame.design.one_piece and name == "closure":
            # No closure: the bar runs on to the middle of the cover.
            name = "bar"
        parts.append(_PART_OF_LABEL[name])
        if name in seen:
            numbers.append(seen[name] // SEGMENTS)
            seen[name] += 1
        else:
            numbers.append(int(number))
    return tuple(parts), np.array(numbers)


def _open_share(frame: CageFrame, solution: FrameSolution) -> float:
    """Open part of the area of all interfaces."""
    if not solution.closed.size:
        return 0.0
    faces = [frame.design.faces_at(j) for j in range(frame.design.count)]
    area = np.concatenate([points[:, 2] for own in faces for _, points in own])
    return float(area[~solution.closed.ravel()].sum() / area.sum())


def _stresses(
    frame: CageFrame, solution: FrameSolution, notch_factor: float | None
) -> tuple[PlaceStress, ...]:
    """Stress at the hot spots of closures and bars and along both rings."""
    found = []
    for spot in hot_spots(frame.design, notch_factor):
        total, before = (
            getattr(own, spot.field)[spot.bars] for own in (solution.forces, solution.preload)
        )
        found.append(place_stress(spot, total, before, spot.bars))
    pitches = np.arange(frame.mesh.ring_count) // SEGMENTS
    for spot in _rings(frame):
        total, before = (getattr(own, spot.place) for own in (solution.forces, solution.preload))
        found.append(place_stress(spot, total, before, pitches, notched=False))
    for spot in ring_hole_spots(frame.design):
        nodes = [frame.mesh.ring_node("base", j + 0.5) for j in spot.bars]
        total, before = (
            getattr(own, spot.place)[nodes] for own in (solution.forces, solution.preload)
        )
        found.append(place_stress(spot, total, before, spot.bars))
    return tuple(found)


def _rings(frame: CageFrame) -> Iterator[HotSpot]:
    """Both rings as places without a notch; local y outward, z against the axis as r and t."""
    design = frame.design
    base = rectangle_section(design.cover.width_r, design.base_thickness)
    none = np.zeros(0, dtype=int)
    for name, place, section in (
        ("cover ring", "ring_cover", design.cover),
        ("base ring", "ring_base", base),
    ):
        yield HotSpot(
            name, "rings", place, none, section, design.material, 1.0, 1.0, 1.0, 0.0, _RING_NOTE
        )


def place_stress(
    spot: HotSpot,
    forces: np.ndarray,
    preload: np.ndarray,
    bars: np.ndarray,
    notched: bool = True,
) -> PlaceStress:
    """Worst stress at one sort of place.

    Parameters
    ----------
    spot : HotSpot
        The place.
    forces : ndarray, (m, 6)
        Section forces with preload.
    preload : ndarray, (m, 6)
        Their part by the preload.
    bars : ndarray of int, (m,)
        Bar of each row.
    notched : bool
        Whether the notch factors of the spot are known.

    Returns
    -------
    PlaceStress
        Of the row with the largest equivalent stress.
    """
    bare = replace(spot, preload=0.0)
    equivalent = bare.equivalent(forces)
    # Equal loads give equal stresses: rounding must not choose the bar that is named.
    k = int(np.flatnonzero(equivalent >= (1.0 - 1e-6) * equivalent.max())[0])
    own = forces[k]
    factors = (spot.notch_tension, spot.notch_about_r, spot.notch_about_t)
    nominal, local = (float(np.abs(bare.stress(own, kind)).max()) for kind in (False, True))
    strength = spot.material.yield_MPa
    return PlaceStress(
        spot.name,
        int(bars[k]),
        spot.material.name,
        float(own[0]),
        float(np.hypot(own[1], own[2])),
        float(np.hypot(own[4], own[5])),
        float(np.abs(bare.stress(preload[k], notched=False)).max()),
        nominal,
        float(equivalent[k]),
        local if notched else np.nan,
        factors if notched else (),
        np.nan if strength is None else float(equivalent[k]) / spot.material.yield_strength,
        spot.note,
    )


def shape_values(case: Any) -> dict[str, Any]:
    """Every input that the frame and its stresses depend on.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    dict
        Key of the case file -> value in the unit of the key.
    """
    found = {}
    for key in _SHAPE_KEYS:
        table, name = key.split(".")
        found[key] = getattr(getattr(case, table), name)
    closure: Table = case.cage.closure
    found |= {f"cage.closure.{name}": getattr(closure, name) for name in type(closure).model_fields}
    for use in dict.fromkeys((case.cage.material, closure.material or case.cage.material)):
        for name in _MATERIAL_NUMBERS:
            found[f"material.{use}.{name}"] = getattr(case.materials[use], name)
    return found


def shape_differences(case: Any, other: Any) -> list[tuple[str, Any, Any]]:
    """Inputs in which two cages differ; materials that only one of them uses are named by key.

    Parameters
    ----------
    case : Case
        First case.
    other : Case
        Second case.

    Returns
    -------
    list of tuple
        Key, value of the first, value of the second; None where it has none.
    """
    here, there = shape_values(case), shape_values(other)
    keys = dict.fromkeys((*here, *there))
    return [(key, here.get(key), there.get(key)) for key in keys if here.get(key) != there.get(key)]


def _assumed(case: Any) -> Iterator[str]:
    """Values of the case that the user did not give and the frame depends on."""
    if case.cage.mass_kg is not None:
        yield "the mass of every part is scaled so that the whole is cage.mass_kg"
    keys = shape_values(case)
    for item in case.assumptions:
        if item.key in keys:
            if item.value is None:
                yield f"{item.key} not given: {item.why}"
            else:
                value = f"{item.value:g}" if isinstance(item.value, float) else item.value
                unit = f" {item.unit}" if item.unit else ""
                yield f"{item.key} not given: {value}{unit}, {item.why}"
