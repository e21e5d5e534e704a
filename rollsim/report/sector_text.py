"""Solid model of a cage sector beside the frame: in words and as plain data."""

from __future__ import annotations

from typing import Any

import numpy as np

from rollsim.report.cage_text import CLOSURES
from rollsim.report.plain_data import CAUTION, json_ready, number, table, wrapped
from rollsim.structure.sector_compare import AGREEMENT, ComparedValue, SectorComparison
from rollsim.units import MPA, UM

_HELD = {
    "base": "the base ring carries the load, evenly",
    "inertia": "the inertia of the cage balances the load",
}
_ASSUMED = (
    "the same force on every pocket, no preload, no friction, linear material",
    "cover and bar end press where they touch and part where they do not",
    "flanks of the bars as the pocket sides of the case cut them",
)
_EXECUTION = {
    "free": "the shank fills its hole in the cover, has play in the bar and leans on the edge of "
    "that hole only",
    "tight": "the shank is bonded to its holes: the corner at the interface is sharp and its stress"
    " grows with every finer mesh",
    "integral_tenon": "the tenon is one piece with its bar and bonded to the outer half of its "
    "hole, which it fills by upsetting",
    "one_piece": "the corner of cover and bar is sharp: its stress grows with every finer mesh",
}
_HEAD_NOTE = (
    "Below the head the two are not the same section: the frame has none of the pressure between"
    " closure and hole of the cover that takes up part of the moment on the way, and gives the"
    " section force at half the cover's thickness."
)


def sector_text(found: SectorComparison) -> str:
    """Stiffness, closure forces, notch factor and convergence for a terminal.

    Parameters
    ----------
    found : SectorComparison
        Both models.

    Returns
    -------
    str
        Lines without a closing line break.
    """
    finest = found.meshes[-1]
    lines = [
        f"Sector of the cage as a solid: {found.case_name} ({CLOSURES[found.design.kind]})",
        *wrapped(
            f"{found.force_N:g} N axially of every roller on the cover;"
            f" {_HELD[finest.held]}; finest mesh {finest.unknowns} unknowns"
        ),
        "",
        "Closure in the plane between cover and bar"
        if not found.design.one_piece
        else "Bar in the plane where the cover begins",
        *_beside(found.values),
        *wrapped(_verdict(found)),
    ]
    if found.head:
        lines += ["", "Closure below its head", *_beside(found.head), *wrapped(_HEAD_NOTE)]
    lines += ["", "Stress of the solid", *_stress_lines(found)]
    lines += ["", "Convergence, change against the mesh before", *_convergence(found)]
    lines += ["", "Assumptions of the solid"]
    for note in assumptions(found):
        lines += wrapped(f"  - {note}")
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def sector_dict(found: SectorComparison) -> dict[str, Any]:
    """The same as plain data in SI units, ready for JSON.

    Parameters
    ----------
    found : SectorComparison
        Both models.

    Returns
    -------
    dict
    """
    content = {
        "case": found.case_name,
        "closure": found.design.kind,
        "cover_force_N": found.force_N,
        "held_by": found.meshes[-1].held,
        "compared": [_value_dict(own) for own in found.values],
        "compared_below_head": [_value_dict(own) for own in found.head],
        "agreement_asked_for": AGREEMENT,
        "notch": {
            "place": found.notch,
            "solid": found.meshes[-1].notch_factor,
            "formula": found.formula_factor,
        }
        if found.notch
        else None,
        "meshes": [
            {**vars(mesh), "seconds": seconds}
            for mesh, seconds in zip(found.meshes, found.seconds, strict=True)
        ],
        "assumptions": assumptions(found),
        "caution": CAUTION,
    }
    return json_ready(content)


def assumptions(found: SectorComparison) -> list[str]:
    """What the solid takes for granted.

    Parameters
    ----------
    found : SectorComparison
        Both models.

    Returns
    -------
    list of str
    """
    notes, design = list(_ASSUMED), found.design
    fit = "free" if design.shank_free else "tight"
    notes.append(_EXECUTION[fit if design.kind == "steel_rivet" else design.kind])
    swing = found.meshes[-1].swing_m
    if swing:
        notes.append(
            f"that takes a radial play of {number(swing / UM)} um in the bar at this force; with"
            " less the wall stops the shank and the joint is stiffer"
        )
    return notes


def _beside(values: tuple[ComparedValue, ...]) -> list[str]:
    """Solid and frame side by side."""
    rows = [
        (f"{own.name} {own.unit}", number(own.solid), number(own.frame), number(own.ratio, 3))
        for own in values
    ]
    return table(("", "solid", "frame", "ratio"), rows)


def _verdict(found: SectorComparison) -> str:
    """Whether stiffness and closure force agree."""
    apart = [own.name for own in found.values if not abs(own.ratio - 1.0) <= AGREEMENT]
    if not apart:
        return f"Frame and solid agree within {100 * AGREEMENT:.0f} %."
    return f"More than {100 * AGREEMENT:.0f} % apart: {', '.join(apart)}."


def _stress_lines(found: SectorComparison) -> list[str]:
    """Peaks and notch factor."""
    finest = found.meshes[-1]
    rows = [("largest tension near the interface MPa", number(finest.closure_stress_Pa / MPA))]
    if found.notch:
        rows += [
            (f"largest tension, {found.notch} MPa", number(finest.fillet_stress_Pa / MPA)),
            ("nominal there MPa", number(finest.fillet_nominal_Pa / MPA)),
            ("notch factor of the solid", number(finest.notch_factor, 3)),
            ("notch factor of the formula", number(found.formula_factor, 3)),
        ]
    if len(found.meshes[-1].note):
        return [*table(("", "value"), rows), *wrapped(f"  {finest.note}")]
    return table(("", "value"), rows)


def _convergence(found: SectorComparison) -> list[str]:
    """One line a mesh."""
    head = ["unknowns", "stiffness N/um", "%", "axial N", "%", "moment Nm", "%"]
    head += ["peak MPa", "%", "time s"]
    rows, before = [], None
    for mesh, seconds in zip(found.meshes, found.seconds, strict=True):
        peak = mesh.fillet_stress_Pa or mesh.closure_stress_Pa
        values = (
            1e-6 * mesh.stiffness_N_per_m,
            mesh.interface_force[0],
            mesh.interface_force[5],
            peak / MPA,
        )
        row = [str(mesh.unknowns)]
        for k, value in enumerate(values):
            change = "" if before is None else f"{100 * (value / before[k] - 1):+.1f}"
            row += [number(value), change]
        rows.append([*row, f"{seconds:.1f}"])
        before = values
    return table(head, rows)


def _value_dict(own: ComparedValue) -> dict[str, Any]:
    """One compared value."""
    ratio = own.ratio if np.isfinite(own.ratio) else None
    return {
        "name": own.name,
        "unit": own.unit,
        "solid": own.solid,
        "frame": own.frame,
        "frame_over_solid": ratio,
    }
