"""Stress of the elastic cage at rest in words: places, closures one by one, what yields."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rollsim.report.plain_data import number, table, wrapped
from rollsim.structure.cage_closures import ClosureLoad
from rollsim.structure.cage_study import CageStudy
from rollsim.units import MPA


def stress_rows(study: CageStudy) -> list[list[str]]:
    """Section forces in N and N m, stress in MPa, share of yield in percent.

    Parameters
    ----------
    study : CageStudy
        The cage.

    Returns
    -------
    list of list of str
    """
    columns = [
        [getattr(own, name) / unit for own in study.stresses]
        for name, unit in (
            ("axial", 1.0),
            ("shear", 1.0),
            ("bending", 1.0),
            ("nominal", MPA),
            ("local", MPA),
            ("yield_share", 0.01),
        )
    ]
    rows = [[own.place, str(own.bar + 1)] for own in study.stresses]
    for values, digits in zip(columns, (3, 3, 3, 3, 3, 2), strict=True):
        # Rounding is no load.
        least = 1e-9 * np.nanmax(np.abs(values))
        for row, value in zip(rows, values, strict=True):
            row.append(number(0.0 if abs(value) < least else value, digits))
    return rows


def closure_lines(closures: Sequence[ClosureLoad]) -> list[str]:
    """Load of every closure and which one is loaded most, beside the cage with all of them sound.

    Parameters
    ----------
    closures : sequence of ClosureLoad
        All of a cage.

    Returns
    -------
    list of str
    """
    head = ["closure", "bar", "stiffness", "axial N", "shear N", "bending Nm", "nominal MPa"]
    head.append("all sound")
    rows = []
    for own in closures:
        forces = [number(size) for size in (own.axial, own.shear, own.bending)]
        stress = [number(size / MPA) for size in (own.nominal, own.sound)]
        missing = own.factor == 0.0
        cells = ["-"] * 4 if missing else [*forces, stress[0]]
        state = "missing" if missing else f"{own.factor:g}"
        rows.append([str(own.number), str(own.bar + 1), state, *cells, stress[1]])
    highest = max(own.nominal for own in closures)
    # Rounding must not choose between neighbours that carry the same.
    most = [str(own.number) for own in closures if own.nominal >= (1.0 - 1e-6) * highest]
    names = f"closures {' and '.join(most)} are" if len(most) > 1 else f"closure {most[0]} is"
    ratio = highest / max(own.sound for own in closures)
    return [
        *table(head, rows),
        f"  {names} loaded most: {number(ratio, 3)} times the highest stress with all sound",
    ]


def yield_warning(study: CageStudy) -> list[str]:
    """What yields by nominal stress; linear numbers say no more then.

    Parameters
    ----------
    study : CageStudy
        The cage.

    Returns
    -------
    list of str
    """
    names = [own.place for own in study.stresses if own.yield_share > 1.0]
    if not names:
        return []
    return wrapped(
        f"  !! beyond yield by nominal stress: {', '.join(names)}. The part yields under this load;"
        " the linear numbers of deformation and stress no longer hold."
    )


def place_notes(study: CageStudy) -> list[str]:
    """Material and notch factors of every place.

    Parameters
    ----------
    study : CageStudy
        The cage.

    Returns
    -------
    list of str
    """
    lines = []
    for own in study.stresses:
        text = f"  - {own.place}: {own.material}; "
        if own.notch_factors:
            pull, about_r, about_t = (f"{value:.2f}" for value in own.notch_factors)
            text += f"notch factors {pull} (tension), {about_r} (bending about the radius), "
            text += f"{about_t} (bending about the tangent): "
        text += own.note
        if own.preload > 0.5 * MPA:
            text += f"; preload {own.preload / MPA:.0f} MPa"
        lines += wrapped(text)
    return lines
