"""Pictures of an investigation: the table of evidence, and the cage with what its parts bore."""

from __future__ import annotations

import csv
import textwrap
from pathlib import Path

import numpy as np

from rollsim.analysis.settled import FACES
from rollsim.inquiry.criteria import AGREES, CONTRADICTS, UNKNOWN
from rollsim.inquiry.facts import SECTORS, Facts
from rollsim.inquiry.judged import Inquiry
from rollsim.report.plain_data import number
from rollsim.report.style import (
    COLOURS,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
    tell_numbers,
)

_MARKS = {AGREES: ("+", COLOURS["sky"]), CONTRADICTS: ("−", COLOURS["orange"]),
          UNKNOWN: ("?", "#EEEEEE")}  # fmt: skip
_ROW, _WORDS = 0.46, 46


def draw_evidence(found: Inquiry, path: str | Path) -> Picture:
    """Draw observations down, cases across; colour and sign tell the score.

    Parameters
    ----------
    found : Inquiry
        Result of `rollsim.inquiry.judged.inquire`.
    path : str or Path
        File; the suffix chooses the format.

    Returns
    -------
    Picture
    """
    from matplotlib.patches import Patch, Rectangle

    with drawing():
        figure = new_figure((6.4, 1.6 + _ROW * len(found.rows)))
        axes = figure.subplots()
        for j, row in enumerate(found.rows):
            for i, cell in enumerate(row.cells):
                sign, colour = _MARKS[cell.score]
                axes.add_patch(Rectangle((i, j), 1.0, 1.0, facecolor=colour, edgecolor="white"))
                axes.text(i + 0.5, j + 0.5, sign, ha="center", va="center", fontsize=14)
        axes.set(xlim=(0, len(found.hypotheses)), ylim=(len(found.rows), 0))
        words = [textwrap.fill(row.words, _WORDS) for row in found.rows]
        axes.set_yticks(np.arange(len(words)) + 0.5, words)
        letters = [one.letter for one in found.hypotheses]
        axes.set_xticks(np.arange(len(letters)) + 0.5, letters)
        axes.xaxis.tick_top()
        axes.tick_params(length=0)
        axes.grid(False)
        axes.spines[:].set_visible(False)
        handles = [Patch(facecolor=colour, edgecolor="#999999", label=f"{sign}  {score}")
                   for score, (sign, colour) in _MARKS.items()]  # fmt: skip
        figure.legend(handles=handles, loc="outside upper center", ncols=3)
        names = [f"{one.letter}: {one.name}" for one in found.hypotheses]
        caption = caption_text(
            f"Evidence by hypothesis: {found.site}",
            "; ".join(names),
            "Written criteria and numbers stand in the table; no threshold is published",
        )
        return save_figure(figure, path, caption)


def draw_cage_map(facts: Facts, path: str | Path) -> Picture:
    """Draw the cage to scale with impulse and friction work of its pocket faces and lands.

    To be held beside a photograph: pocket numbers, leading and trailing sides, lands, closures.

    Parameters
    ----------
    facts : Facts
        What a history says, with wear.
    path : str or Path
        File; the suffix chooses the format.

    Returns
    -------
    Picture
    """
    wear = facts.wear
    panels = (
        (wear.pocket_impulse.mean, "Impulse in N\u00a0s/s"),
        (1e-3 * wear.pocket_work.mean, "Friction work in kJ/h"),
    )
    with drawing():
        figure = new_figure((6.4, 9.6))
        for axes, (values, words) in zip(figure.subplots(2, 1), panels, strict=True):
            image = _draw_cage(axes, facts, values)
            _tell(axes, facts, values, words)
            bar = figure.colorbar(image, ax=axes, pad=0.02, shrink=0.8)
            bar.set_label(f"{words} a pocket face")
        # Inches before any scaling: three columns do not fit a narrow page.
        columns = 3 if figure.get_figwidth() >= 5.5 else 2
        handles = _handles(facts)
        figure.legend(handles=handles, loc="outside upper center", ncols=columns, fontsize=9)
        return save_figure(figure, path, _map_caption(facts))


def _tell(axes, facts: Facts, values: np.ndarray, words: str) -> None:
    """The numbers behind the colours: of pocket faces, lands and closures, by their place in mm."""
    angle = 2.0 * np.pi * np.arange(facts.rollers) / facts.rollers
    pitch = 0.5e3 * facts.pitch_diameter
    places = np.column_stack([pitch * np.cos(angle), np.full(len(angle), np.nan),
                              pitch * np.sin(angle)])  # fmt: skip
    for face, own in zip(FACES[: 2 if facts.planar else 4], np.transpose(values), strict=False):
        tell_numbers(
            axes, f"{face} faces, pockets in turn: {words}", np.column_stack([places, own])
        )
    if facts.land is not None:
        share = facts.land.cage
        edges = np.linspace(0.0, 360.0, len(share) + 1)
        rows = [edges[:-1], edges[1:], np.full(len(share), np.nan), share]
        tell_numbers(axes, "land, x angle on the cage in degrees: share of impulse",
                     np.column_stack(rows))  # fmt: skip
    bars = np.flatnonzero(np.isfinite(facts.closure_use))
    spots = pitch * np.exp(2j * np.pi * (bars + 0.5) / facts.rollers)
    rows = [spots.real, np.full(len(bars), np.nan), spots.imag, facts.closure_use[bars]]
    tell_numbers(axes, "closures: share of the reserve used", np.column_stack(rows))


def _draw_cage(axes, facts: Facts, values: np.ndarray):
    """One cage seen along its axis; faces in colours of their values."""
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize
    from matplotlib.patches import Circle

    scale = ScalarMappable(Normalize(0.0, max(float(values.max()), 1e-30)), "cividis")
    outer, inner = 0.5e3 * facts.cage_outer, 0.5e3 * facts.cage_inner
    for radius in (inner, outer):
        axes.add_patch(Circle((0.0, 0.0), radius, fill=False, color="#666666", lw=0.8))
    for pocket in range(facts.rollers):
        _draw_pocket(axes, facts, pocket, scale.to_rgba(values[pocket]))
    if facts.land is not None:
        _draw_land(axes, facts)
    _draw_closures(axes, facts)
    reach = 1.27 * outer
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach), aspect="equal")
    # Not shown: for the table of numbers.
    axes.set(xlabel="x in mm", ylabel="y in mm")
    axes.set_axis_off()
    return scale


def _draw_pocket(axes, facts: Facts, pocket: int, colours: np.ndarray) -> None:
    """Sides of a pocket as half circles, base and cover faces as two dots within."""
    from matplotlib.patches import Arc

    angle = 2.0 * np.pi * pocket / facts.rollers
    pitch, radius = 0.5e3 * facts.pitch_diameter, 0.5e3 * facts.roller_diameter
    x, y = pitch * np.cos(angle), pitch * np.sin(angle)
    turn = np.degrees(angle)
    # Ahead is counter-clockwise: the leading side of a pocket faces that way.
    for colour, begin in ((colours[0], 0.0), (colours[1], 180.0)):
        axes.add_patch(
            Arc((x, y), 1.7 * radius, 1.7 * radius, angle=turn, theta1=begin + 12.0,
                theta2=begin + 168.0, color=colour, lw=5.0)
        )  # fmt: skip
    if not facts.planar:
        for colour, away in ((colours[2], -0.42), (colours[3], 0.42)):
            spot = (pitch + away * radius) * np.exp(1j * angle)
            axes.plot(spot.real, spot.imag, "s", color=colour, ms=6.0, mec="#888888", mew=0.3)
    out = (0.5e3 * facts.cage_outer * 1.19) * np.exp(1j * angle)
    axes.text(out.real, out.imag, str(pocket + 1), ha="center", va="center", fontsize=9)


def _draw_land(axes, facts: Facts) -> None:
    """Where the land of the cage is loaded: a band whose height is the share of the impulse."""
    from matplotlib.patches import Wedge

    outside = facts.guide == "outer ring"
    edge = 0.5e3 * (facts.cage_outer if outside else facts.cage_inner)
    share = facts.land.cage
    for sector, value in enumerate(share):
        height = 0.1 * edge * float(value / share.max())
        radius = edge + height if outside else edge
        begin = 360.0 * sector / SECTORS
        axes.add_patch(
            Wedge((0.0, 0.0), radius, begin, begin + 360.0 / SECTORS, width=max(height, 1e-9),
                  color=COLOURS["vermilion"], lw=0)
        )  # fmt: skip


def _draw_closures(axes, facts: Facts) -> None:
    """Closures at their bars, the larger the more of their reserve is used up."""
    used = facts.closure_use
    for bar in np.flatnonzero(np.isfinite(used)):
        spot = 0.5e3 * facts.pitch_diameter * np.exp(2j * np.pi * (bar + 0.5) / facts.rollers)
        size = 2.0 + 6.0 * min(float(used[bar]), 1.5) / 1.5
        worst = used[bar] == np.nanmax(used)
        colour = COLOURS["vermilion"] if worst else COLOURS["black"]
        axes.plot(spot.real, spot.imag, "o", ms=size, color=colour, mew=0)


def _handles(facts: Facts) -> list:
    """What the marks mean."""
    from matplotlib.lines import Line2D

    handles = [Line2D([], [], color=COLOURS["black"], lw=3.5, label="pocket sides")]
    if not facts.planar:
        handles.append(
            Line2D([], [], ls="", marker="s", ms=5, color="#666666", label="base and cover face")
        )
    if np.isfinite(facts.closure_use).any():
        handles.append(
            Line2D([], [], ls="", marker="o", color=COLOURS["black"], label="closure, by 1/reserve")
        )
    if facts.land is not None:
        handles.append(Line2D([], [], color=COLOURS["vermilion"], lw=4, label="load on the land"))
    return handles


def _map_caption(facts: Facts) -> str:
    """Words below the cages."""
    wear, used = facts.wear, facts.closure_use
    most = wear.ranking[0]
    stands = "it stands out" if wear.distinct else "no more than chance would give"
    closures = ""
    if np.isfinite(used).any():
        bar = int(np.nanargmax(used))
        closures = (
            f"Closures: dot by 1/reserve, largest {number(float(used[bar]))} at bar {bar + 1} (red)"
        )
    return caption_text(
        facts.name,
        f"{wear.start:g} s to {wear.end:g} s, cage to scale, turning with it, seen from the side"
        " from which it turns counter-clockwise for positive speeds; bar 1 lies ahead of pocket 1",
        "Half rings: leading side ahead, counter-clockwise, trailing side behind; squares: base"
        " face nearer to the axis, cover face farther out",
        f"Most impulse: pocket {most.roller + 1}, {stands}",
        "Base and cover faces carry nothing: the run had no axial motion" if facts.planar else "",
        closures,
        "Load on the land: share of its impulse by sectors of 10\u00a0degrees"
        if facts.land is not None
        else "",
    )


def write_cage_map_csv(facts: Facts, path: str | Path) -> Path:
    """Write the numbers of the map: one row a pocket face, closure and sector of the land.

    Parameters
    ----------
    facts : Facts
        What a history says, with wear.
    path : str or Path
        File.

    Returns
    -------
    Path
    """
    path, pitch = Path(path), 360.0 / facts.rollers
    impulse, work = facts.wear.pocket_impulse.mean, facts.wear.pocket_work.mean
    with path.open("w", newline="", encoding="utf-8") as file:
        write = csv.writer(file, lineterminator="\n").writerow
        write(["part", "number", "face", "azimuth_deg", "impulse_N", "friction_work_J_per_h",
               "one_over_reserve", "share_of_land_impulse"])  # fmt: skip
        for pocket in range(facts.rollers):
            for face, name in enumerate(FACES):
                at = f"{pocket * pitch:.6g}"
                values = (f"{impulse[pocket, face]:.6g}", f"{work[pocket, face]:.6g}")
                write(["pocket", pocket + 1, name, at, *values, "", ""])
        for bar in np.flatnonzero(np.isfinite(facts.closure_use)):
            at, used = f"{(bar + 0.5) * pitch:.6g}", f"{facts.closure_use[bar]:.6g}"
            write(["closure", bar + 1, "", at, "", "", used, ""])
        if facts.land is not None:
            for sector, share in enumerate(facts.land.cage):
                middle = f"{(sector + 0.5) * 360.0 / SECTORS:.6g}"
                write(["land", sector + 1, "", middle, "", "", "", f"{share:.6g}"])
    return path
