"""Tornado picture of a one-at-a-time variation."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from matplotlib.ticker import FuncFormatter, NullFormatter, NullLocator

from rollsim.report.sensitivity_text import rests_on, shown
from rollsim.report.style import (
    COLOURS,
    GREY,
    Picture,
    caption_text,
    drawing,
    empty_note,
    new_figure,
    save_figure,
)
from rollsim.sweep.sensitivity_types import Bar, InputEffect, Sensitivity

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Most inputs in the picture; the table holds all.
MOST = 16
_WIDTH, _ROW, _REST = 8.0, 0.36, 2.6
_STEP = 0.7
_TICKS = (0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0)


def draw_tornado(found: Sensitivity, path: Path) -> Picture:
    """Draw the change of the reserve by every input.

    Parameters
    ----------
    found : Sensitivity
        The variation.
    path : Path
        File to write.

    Returns
    -------
    Picture
    """
    known = [effect for effect in found.effects if any(bar.reserve for bar in effect.bars)]
    # An input without any effect at all has no bar to draw.
    moving = [effect for effect in known if effect.swing > 5e-3]
    kept = moving[:MOST]
    with drawing():
        figure = new_figure((_WIDTH, _REST + _ROW * max(len(kept), 4)))
        axes = figure.add_subplot()
        axes.set_title("what moves the reserve", fontsize=12.0)
        if kept:
            _draw(axes, kept, found)
        else:
            empty_note(axes, "no value changed the reserve by 0.5 % or more")
        return save_figure(figure, path, _caption(found, len(known), len(moving), len(kept)))


def _draw(axes: Axes, effects: list[InputEffect], found: Sensitivity) -> None:
    """Bars from the case to every value, with intervals."""
    for row, effect in enumerate(effects):
        seen = sorted((bar for bar in effect.bars if bar.reserve), key=lambda bar: bar.reserve.log)
        for place, bar in enumerate(seen):
            _draw_bar(
                axes,
                row + (place - (len(seen) - 1) / 2.0) * _STEP / len(seen),
                bar,
                0.6 / max(len(seen), 2),
            )
    axes.set_xscale("log")
    axes.axvline(1.0, color=COLOURS["black"], linewidth=1.2)
    limit = 1.0 / found.base_reserve
    low, high = axes.get_xlim()
    if low <= limit <= high:
        axes.axvline(limit, color=COLOURS["vermilion"], linestyle="--")
        axes.text(limit, -0.95, "reserve 1", ha="center", va="center", fontsize=9.0,
                  color=COLOURS["vermilion"], backgroundcolor="white")  # fmt: skip
    axes.set_xlim(low / 1.25, high * 1.25)
    axes.set_ylim(len(effects) - 0.4, -1.3)
    axes.set_yticks(range(len(effects)), [_label(effect) for effect in effects], fontsize=8.5)
    axes.grid(axis="y", visible=False)
    low, high = axes.get_xlim()
    axes.set_xticks([tick for tick in _TICKS if low <= tick <= high])
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.tick_params(axis="x", labelsize=9.0)
    axes.set_xlabel("reserve of the variant over that of the case (-), logarithmic", fontsize=10.0)


def _draw_bar(axes: Axes, height: float, bar: Bar, thick: float) -> None:
    """One value: bar, interval, its value beside the end."""
    change, (low, high) = bar.reserve, bar.reserve.limits
    colour = GREY if not change.seen else COLOURS["blue" if change.log > 0.0 else "orange"]
    solid = {"color": colour} if change.seen else {"facecolor": "white", "edgecolor": colour}
    axes.barh(height, change.ratio - 1.0, left=1.0, height=thick, linewidth=1.0, **solid)
    axes.plot([low, high], [height, height], color=COLOURS["black"], linewidth=1.0)
    up = change.log > 0.0
    text = f"{shown(bar.value)}{' *' if bar.flips else ''}"
    place = max(high, 1.0) if up else min(low, 1.0)
    axes.annotate(text, (place, height), (4 if up else -4, 0), textcoords="offset points",
                  ha="left" if up else "right", va="center", fontsize=7.5)  # fmt: skip


def _label(effect: InputEffect) -> str:
    """Name of a row."""
    return f"{effect.input.key} = {shown(effect.input.base)}"


def _caption(found: Sensitivity, known: int, moving: int, kept: int) -> str:
    """What the picture shows and leaves out."""
    left = (
        f"{known - moving} further inputs moved the reserve by less than 0.5 %"
        if known > moving
        else ""
    )
    beyond = f"{moving - kept} more inputs are in the table alone" if moving > kept else ""
    return caption_text(
        found.case_name,
        rests_on(found),
        f"{len(found.seeds)} replicates of {found.duration_s:g} s; reserve of the case "
        f"{found.base_reserve:.2f} ({found.base_word})",
        "Lines: 90 % intervals. Blue more reserve, orange less, white: no effect seen. Beside each"
        " bar its value; * changes the verdict",
        left,
        beyond,
    )
