"""Sketch to scale of bearing, pocket and closure."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from rollsim.report.document.shapes import Shapes, pocket_edges
from rollsim.report.plain_data import number
from rollsim.report.style import COLOURS, Picture, caption_text, drawing, new_figure
from rollsim.report.style import save_figure as save

_RING, _CAGE, _ROLLER = "#D9D9D9", "#E8C77A", "#BFD9EA"
_ARC = np.linspace(-1.0, 1.0, 25)


def draw_sketch(case: Any, shapes: Shapes, path: str | Path) -> Picture:
    """Draw the bearing from its cover side, one pocket, and the closure of a bar cut lengthwise.

    Parameters
    ----------
    case : Case
        The case.
    shapes : Shapes
        Its sizes.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    with drawing():
        figure = new_figure((6.4, 7.4))
        grid = figure.add_gridspec(2, 2, height_ratios=[1.35, 1.0])
        whole = figure.add_subplot(grid[0, :])
        _draw_bearing(whole, case, shapes)
        whole.set_title("Bearing, seen from the cover (all to scale)")
        pocket = figure.add_subplot(grid[1, 0])
        _draw_bearing(pocket, case, shapes)
        reach = 1.75 * shapes.roller
        pocket.set(xlim=(-reach, reach), ylim=(shapes.pitch - reach, shapes.pitch + reach))
        pocket.set_title("One pocket (to scale)")
        closure = figure.add_subplot(grid[1, 1])
        words = _draw_closure(closure, case)
        closure.set_title("Bar and closure,\ncut lengthwise (to scale)")
        for axes, label in ((whole, "mm"), (pocket, "mm"), (closure, "mm")):
            axes.set_aspect("equal")
            axes.set_xlabel(label)
            axes.grid(False)
        return save(figure, path, _caption(case, words))


def _draw_bearing(axes: Any, case: Any, shapes: Shapes) -> None:
    """Rings, cage and rollers, every clearance as it is, all parts centred; pocket 1 on top."""
    from matplotlib.patches import Circle

    s = shapes
    _ring(axes, s.outer, s.pitch + s.roller + s.gap, _RING)
    _ring(axes, s.pitch - s.roller - s.gap, s.inner, _RING)
    radii = np.linspace(s.cage_in, s.cage_out, 15)
    half = pocket_edges(case, radii)
    for k in range(s.count):
        middle = 0.5 * np.pi + 2.0 * np.pi * k / s.count
        axes.add_patch(
            Circle(
                (s.pitch * np.cos(middle), s.pitch * np.sin(middle)),
                s.roller, fc=_ROLLER, ec="black", lw=0.6,
            )
        )  # fmt: skip
        first, last = middle + half, middle + 2.0 * np.pi / s.count - half
        side = np.concatenate([first, last[::-1]])
        r = np.concatenate([radii, radii[::-1]])
        axes.fill(r * np.cos(side), r * np.sin(side), fc=_CAGE, ec="black", lw=0.6)
    for r in (s.cage_in, s.cage_out):
        axes.add_patch(Circle((0.0, 0.0), r, fill=False, ec=COLOURS["orange"], lw=0.8, ls="--"))
    reach = 1.03 * s.outer
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach))


def _ring(axes: Any, outside: float, inside: float, colour: str) -> None:
    """An annulus."""
    from matplotlib.patches import Annulus

    axes.add_patch(Annulus((0.0, 0.0), outside, outside - inside, fc=colour, ec="black", lw=0.8))


def _draw_closure(axes: Any, case: Any) -> str:
    """Rings and a bar along the axis, with the closure in it; returns what is drawn."""
    from rollsim.structure.design import cage_numbers

    design, closure = cage_numbers(case), case.cage.closure
    length = 1e3 * design.bar_length
    base, cover = 1e3 * design.base_thickness, 1e3 * design.cover_thickness
    low, high = 0.5 * case.cage.inner_diameter_mm, 0.5 * case.cage.outer_diameter_mm
    for start, size in ((-base, base), (0.0, length), (length, cover)):
        _box(axes, start, low, size, high - low, _CAGE)
    circle = 1e3 * design.closure_radius
    if closure.kind == "one_piece":
        words = "cage in one piece"
    elif closure.kind == "steel_rivet":
        d = closure.diameter_mm
        words = f"steel rivet of {number(d)}\u00a0mm on a circle of {number(2 * circle)}\u00a0mm"
        _box(axes, -base, circle - 0.5 * d, base + length + cover, d, "#9BB3C6")
        for start in (-base - 0.35 * d, length + cover):
            _box(axes, start, circle - 0.8 * d, 0.35 * d, 1.6 * d, "#9BB3C6")
        words += " (head: 1.6 by 0.35 diameters, drawn only)"
        if closure.position == "beside_bars":
            words += ", beside the bars: the bar drawn behind it is not cut"
    else:
        height = closure.radial_height_mm or closure.diameter_mm
        words = f"integral tenon, radial height {number(height)}\u00a0mm, on a circle of"
        words += f" {number(2 * circle)}\u00a0mm"
        _box(axes, length, circle - 0.5 * height, cover, height, "#9BB3C6")
    axes.plot([length, length], [low, high], color="black", lw=1.4)
    axes.set(xlim=(-2.5 * base, length + 2.5 * cover), ylim=(low - 3.0, high + 3.0))
    axes.annotate("base ring", (-0.5 * base, low), (0, -9), textcoords="offset points",
                  ha="center", va="top", fontsize=8, color="#333333")  # fmt: skip
    axes.annotate("cover", (length + 0.5 * cover, low), (0, -9), textcoords="offset points",
                  ha="center", va="top", fontsize=8, color="#333333")  # fmt: skip
    axes.set_ylim(low - 8.0, high + 3.0)
    return words


def _box(axes: Any, x: float, y: float, width: float, height: float, colour: str) -> None:
    """A rectangle."""
    from matplotlib.patches import Rectangle

    axes.add_patch(Rectangle((x, y), width, height, fc=colour, ec="black", lw=0.7))


def _caption(case: Any, closure: str) -> str:
    """Words below the panels."""
    play = case.clearance
    guide = "" if play.guidance_um is None else f", guidance {number(play.guidance_um)}\u00a0um"
    return caption_text(
        case.case.name,
        f"{case.roller.count} rollers of {number(case.roller.diameter_mm)} by"
        f" {number(case.roller.length_mm)}\u00a0mm on"
        f" {number(case.bearing.pitch_diameter_mm)}\u00a0mm;"
        f" clearances (of diameters): radial {number(play.radial_um)}\u00a0um, pocket"
        f" {number(play.pocket_um)}\u00a0um{guide}",
        f"Closure: {closure}",
        "Grey: rings; blue: rollers; yellow: cage. Clearances are drawn as they are: most are"
        " thinner than a line",
    )
