"""Stress and damage of every hot spot, drawn on the unrolled cage."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from rollsim.report.plain_data import number
from rollsim.report.style import (
    GREY,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)
from rollsim.structure.design import cage_numbers
from rollsim.structure.hot_spots import CLOSURE
from rollsim.units import MM, MPA

_LEAST_DAMAGE = 1e-12
_METAL = "#EDEDED"


def draw_hot_spots(result: Any, case: Any, path: str | Path) -> Picture:
    """Draw the highest local stress and the damage an hour at every place of every bar.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.
    case : Case
        Its case.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    from matplotlib.colors import LogNorm, Normalize

    design = cage_numbers(case)
    places = _places(result, design)
    stress = np.concatenate([spot.highest_stress for spot in result.spots]) / MPA
    damage = np.concatenate([spot.damage_per_h for spot in result.spots])
    least = max(_LEAST_DAMAGE, 1e-6 * float(damage.max(initial=0.0)))
    panels = (
        ("Highest local stress in MPa", stress, Normalize(0.0, max(1.0, float(stress.max())))),
        (
            "Damage per hour (1 breaks)",
            np.maximum(damage, least),
            LogNorm(least, max(10.0 * least, float(damage.max(initial=0.0)))),
        ),
    )
    with drawing():
        figure = new_figure((6.4, 6.4))
        for axes, (title, values, norm) in zip(figure.subplots(2, 1), panels, strict=True):
            _draw_metal(axes, design)
            image = axes.scatter(
                places[:, 0], places[:, 1], c=values, norm=norm, cmap="viridis", s=62,
                edgecolors="black", linewidths=0.7, zorder=3, label=title,
            )  # fmt: skip
            k = int(np.argmax(values))
            axes.plot(*places[k], "o", ms=15, mfc="none", mec="black", mew=1.6, zorder=4)
            axes.set(title=title, ylabel="z in mm", xlim=(-12.0, 372.0))
            axes.set_xticks(range(0, 361, 60))
            axes.grid(False)
            figure.colorbar(image, ax=axes, pad=0.02)
        axes.set_xlabel("Angle on the cage in degrees, bar 1 lies ahead of roller 1")
        return save_figure(figure, path, _caption(result, least))


def _places(result: Any, design: Any) -> np.ndarray:
    """Angle in degrees and height in mm of every place, in the order of the results."""
    length, half = design.bar_length / MM, 180.0 / design.count
    found = []
    for spot in result.spots:
        angle = 2.0 * half * spot.bars + half
        name = spot.name
        if spot.part == CLOSURE:
            inside = "interface" in name or "root" in name
            height = length + (0.0 if inside else design.cover_thickness / MM)
        else:
            height = length - 3.0 if "cover" in name else 0.0
        found.append(np.column_stack([angle, np.full(len(angle), height)]))
    return np.concatenate(found)


def _draw_metal(axes: Any, design: Any) -> None:
    """Base ring, bars and cover of the unrolled cage."""
    length, pitch = design.bar_length / MM, 360.0 / design.count
    base, cover = design.base_thickness / MM, design.cover_thickness / MM
    style = {"color": _METAL, "ec": GREY, "lw": 0.6, "zorder": 1}
    axes.bar(180.0, base, 360.0, bottom=-base, **style)
    axes.bar(180.0, cover, 360.0, bottom=length, **style)
    width = 0.3 * pitch
    for j in range(design.count):
        axes.bar((j + 0.5) * pitch, length, width, bottom=0.0, **style)
    axes.set_ylim(-2.0 * base, length + 2.2 * cover)


def _caption(result: Any, least: float) -> str:
    """Words below the panels."""
    names = ", ".join(spot.name for spot in result.spots)
    return caption_text(
        result.case_name,
        "The cage unrolled, cover above; heights to scale, widths of the bars not",
        f"One circle a place and bar: {names}",
        "Large rings: the highest value",
        f"Damage below {number(least)} per hour has the lowest colour",
    )
