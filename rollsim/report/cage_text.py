"""Elastic cage at rest in words and as plain data, alone or beside another execution."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from rollsim.report.cage_stress import closure_lines, place_notes, stress_rows, yield_warning
from rollsim.report.plain_data import CAUTION, json_ready, number, numbering, table, wrapped
from rollsim.structure.cage_study import BASE, PARTS, CageStudy
from rollsim.units import G0, MM, UM

CLOSURES = {
    "steel_rivet": "steel rivets",
    "integral_tenon": "integral tenons",
    "one_piece": "one piece, no closures",
}
_COUNTED = "counted from the mean rigid motion of the base ring"


_STIFFNESS_NOTE = (
    "The frame's: face against the far ring (cover, base) or both rings (bar), interface held "
    "together where the preload presses it, open without preload. A run takes the frame's unless "
    "the case gives cage.end_stiffness_N_per_um or cage.bar_stiffness_N_per_um."
)


def cage_text(studies: Sequence[CageStudy], differences: Sequence[tuple]) -> str:
    """Mass, frequencies, deformation and stress for a terminal.

    Parameters
    ----------
    studies : sequence of CageStudy
        One, or two for the same load.
    differences : sequence of tuple
        Key, value of the first, value of the second; empty for one study.

    Returns
    -------
    str
        Lines without a closing line break.
    """
    first = studies[0]
    lines = ["Elastic cage at rest, " + " against ".join(_title(study) for study in studies), ""]
    if len(studies) > 1:
        lines += [*_difference_lines(differences), ""]
    lines += ["Mass and inertia (about the centre of mass)", *_mass_table(studies), ""]
    lines += ["Free vibrations (nothing holds the cage; interface bonded)"]
    lines += [*_mode_table(studies), ""]
    lines += ["Stiffness behind a pocket face in N/um", *_stiffness_table(studies)]
    lines += [*wrapped(_STIFFNESS_NOTE), ""]
    lines += wrapped(f"Static load: {load_words(first)}")
    lines += [f"Deformation in um, {_COUNTED}", *_motion_table(studies), ""]
    lines += ["Stress in MPa, the worst of all bars; preload included", *_stress_table(studies)]
    for study, head in zip(studies, _heads(studies), strict=False):
        lead = f", {head}" if len(studies) > 1 else ""
        if study.closures:
            lines += ["", f"Closures one by one{lead}", *closure_lines(study.closures)]
        lines += ["", f"Places{lead}", *place_notes(study)]
    lines += ["", "Assumptions"]
    for note in assumptions(studies):
        lines += wrapped(f"  - {note}")
    lines += ["", f"Numbers: {numbering(first.count)}.", "", *wrapped(CAUTION)]
    return "\n".join(lines)


def cage_dict(studies: Sequence[CageStudy], differences: Sequence[tuple]) -> dict[str, Any]:
    """The same as plain data in SI units, ready for JSON.

    Parameters
    ----------
    studies : sequence of CageStudy
        One, or two for the same load.
    differences : sequence of tuple
        As for `cage_text`.

    Returns
    -------
    dict
    """
    load = studies[0].load
    content = {
        "load": {
            "cover_force_N": load.cover,
            "bar_force_N": load.bar,
            "radial_acceleration_m_per_s2": load.radial_acceleration,
            "held_by": load.held,
            "assumed": load.assumed,
        },
        "numbering": numbering(studies[0].count),
        "deformation_counted": _COUNTED,
        **_study_dict(studies[0]),
        "caution": CAUTION,
    }
    if len(studies) > 1:
        content["against"] = _study_dict(studies[1])
        content["differences"] = [
            {"key": key, "value": here, "against": there} for key, here, there in differences
        ]
    return json_ready(content)


def load_words(study: CageStudy) -> str:
    """The static load in a sentence part.

    Parameters
    ----------
    study : CageStudy
        Its load counts.

    Returns
    -------
    str
    """
    load, parts = study.load, []
    if load.cover:
        parts.append(f"{load.cover:g} N axially of every roller on the cover")
    if load.bar:
        parts.append(f"{load.bar:g} N tangentially on every bar, positive rotation")
    if load.radial_acceleration:
        parts.append(
            f"centrifugal acceleration of {load.radial_acceleration / G0:g} g at the rings"
        )
    parts.append("held by the base ring" if load.held == BASE else "balanced by the cage's inertia")
    usual = " (no load was given: this one is assumed)" if load.assumed else ""
    return "; ".join(parts) + usual


def assumptions(studies: Sequence[CageStudy]) -> list[str]:
    """Assumptions of all studies, each once; those of one alone say of which.

    Parameters
    ----------
    studies : sequence of CageStudy
        One or two.

    Returns
    -------
    list of str
    """
    found, named = [], list(zip(_heads(studies), studies, strict=False))
    for note in dict.fromkeys(note for study in studies for note in study.assumptions):
        own = [head for head, study in named if note in study.assumptions]
        found.append(note if len(own) == len(studies) else f"{own[0]}: {note}")
    return found


def execution_words(study: CageStudy) -> str:
    """How cover and bars of a cage are joined.

    Parameters
    ----------
    study : CageStudy
        The cage.

    Returns
    -------
    str
    """
    return CLOSURES[study.closure] + (" beside the bars" if study.beside_bars else "")


def _title(study: CageStudy) -> str:
    """Case and execution."""
    return f"{study.case_name} ({execution_words(study)})"


def _difference_lines(differences: Sequence[tuple]) -> list[str]:
    """Inputs of the structure that differ."""
    if not differences:
        return ["Inputs that shape the cage: no difference."]
    rows = [(key, _value(here), _value(there)) for key, here, there in differences]
    return ["Inputs that differ", *table(("key", "this case", "against"), rows)]


def _value(value: Any) -> str:
    """A value of a case file."""
    if value is None:
        return "-"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _heads(studies: Sequence[CageStudy]) -> tuple[str, ...]:
    """Titles of the columns of values."""
    return ("this case", "against", "ratio") if len(studies) > 1 else ("value",)


def _beside(values: Sequence[float], digits: int = 4) -> list[str]:
    """Values side by side and, for two, the second over the first."""
    cells = [number(value, digits) for value in values]
    if len(values) > 1:
        ratio = values[1] / values[0] if abs(values[0]) > 0.0 else np.nan
        cells.append(number(ratio, 3))
    return cells


def _mass_table(studies: Sequence[CageStudy]) -> list[str]:
    """Mass, centre, inertia."""
    rows = [
        ("mass g", [1e3 * study.mass for study in studies]),
        (
            "centre z mm, from the pocket middle",
            [round(study.centre[2] / MM, 6) for study in studies],
        ),
        ("about the bearing axis kg mm2", [1e6 * study.inertia[2, 2] for study in studies]),
        ("about a diameter kg mm2", [1e6 * study.inertia[0, 0] for study in studies]),
    ]
    cells = [[name, *_beside(values)] for name, values in rows]
    return table(("", *_heads(studies)), cells)


def _mode_table(studies: Sequence[CageStudy]) -> list[str]:
    """Frequencies in Hz."""
    rows = [
        [f"mode {k + 1} Hz", *_beside([float(study.frequencies[k]) for study in studies])]
        for k in range(min(len(study.frequencies) for study in studies))
    ]
    return table(("", *_heads(studies)), rows)


def _stiffness_table(studies: Sequence[CageStudy]) -> list[str]:
    """What gives way under a roller, in the frame and in a run."""
    rows = []
    for face in studies[0].stiffness:
        for name, own in (("", "stiffness"), (", in a run", "in_runs")):
            values = [1e-6 * getattr(study, own)[face] for study in studies]
            rows.append((face + name, *_beside([each.max() for each in values])))
            if any(each.min() < 0.999 * each.max() for each in values):
                rows.append((f"{face}{name}, softest", *_beside([each.min() for each in values])))
    return table(("", *_heads(studies)), rows)


def _motion_table(studies: Sequence[CageStudy]) -> list[str]:
    """Largest deformations of the parts."""
    head = ["part", "largest", "axial", "tangential", "radial"]
    rows = []
    for part in PARTS:
        for study, whose in zip(studies, _heads(studies), strict=False):
            # Rounding is no deformation.
            least = 1e-6 * max(own.largest for own in study.motions)
            name = f"{part}, {whose}" if len(studies) > 1 else part
            for own in study.motions:
                if own.part == part:
                    sizes = (own.largest, own.axial, own.tangential, own.radial)
                    cells = [number(size / UM if size > least else 0.0) for size in sizes]
                    rows.append([name, *cells])
    lift = " and ".join(f"{number(study.lift / UM)} um" for study in studies)
    note = f"  where a roller pushes, the cover moves {lift} axially from the base ring"
    return [*table(head, rows), note]


def _stress_table(studies: Sequence[CageStudy]) -> list[str]:
    """Stress at every sort of place."""
    head = ["place", "bar", "axial N", "shear N", "bending Nm", "nominal", "local", "of yield %"]
    lines = []
    for k, study in enumerate(studies):
        if len(studies) > 1:
            lines.append(f" {_heads(studies)[k]}: {_title(study)}")
        lines += table(head, stress_rows(study))
        if study.closure != "one_piece":
            share = 100.0 * study.open_share
            lines.append(f"  interface of cover and bar ends: {share:.0f} % of its area open")
        lines += yield_warning(study)
    return lines


def _study_dict(study: CageStudy) -> dict[str, Any]:
    """One cage as plain data."""
    return {
        "case": study.case_name,
        "closure": study.closure,
        "beside_bars": study.beside_bars,
        "mass_kg": study.mass,
        "centre_m": study.centre,
        "inertia_kg_m2": study.inertia,
        "frequencies_Hz": study.frequencies,
        "pocket_face_stiffness_N_per_m": study.stiffness,
        "pocket_face_stiffness_in_runs_N_per_m": study.in_runs,
        "deformation": [
            {
                "part": own.part,
                "largest_m": own.largest,
                "axial_m": own.axial,
                "tangential_m": own.tangential,
                "radial_m": own.radial,
                "at_pocket": own.pocket + 1,
            }
            for own in study.motions
        ],
        "cover_lift_m": study.lift,
        "stress": [
            {
                "place": own.place,
                "bar": own.bar + 1,
                "material": own.material,
                "axial_N": own.axial,
                "shear_N": own.shear,
                "bending_Nm": own.bending,
                "preload_Pa": own.preload,
                "nominal_Pa": own.nominal,
                "equivalent_Pa": own.equivalent,
                "local_Pa": own.local,
                "notch_factors": own.notch_factors,
                "share_of_yield": own.yield_share,
                "note": own.note,
            }
            for own in study.stresses
        ],
        "closures": [
            {
                "closure": own.number,
                "bar": own.bar + 1,
                "stiffness_factor": own.factor,
                "axial_N": own.axial,
                "shear_N": own.shear,
                "bending_Nm": own.bending,
                "nominal_Pa": own.nominal,
                "nominal_all_sound_Pa": own.sound,
            }
            for own in study.closures
        ],
        "interface_open_share": study.open_share,
        "balance_residual": study.residual,
        "assumptions": study.assumptions,
    }
