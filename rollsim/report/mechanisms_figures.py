"""Picture of a verdict: utilisation of every mechanism with its interval."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.fatigue.mechanisms import Mechanism
from rollsim.fatigue.pooling import PooledVerdict
from rollsim.fatigue.result import FAILS, SURVIVES, UNKNOWN
from rollsim.report.mechanisms_text import used, verdict_sentence
from rollsim.report.style import (
    COLOURS,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Colour and hatching of a word: told apart without colours too.
WORD_STYLES = {
    SURVIVES: (COLOURS["blue"], ""),
    UNKNOWN: (COLOURS["orange"], "//"),
    FAILS: (COLOURS["vermilion"], "xx"),
}
_LEAST, _MOST = 1e-3, 1e3


def draw_mechanisms(verdict: PooledVerdict, path: str | Path) -> Picture:
    """Draw the utilisation of every mechanism that has a limit.

    Parameters
    ----------
    verdict : PooledVerdict
        From `rollsim.fatigue.pooling`.
    path : str or Path
        File to write; `.png` is added where there is no suffix.

    Returns
    -------
    Picture

    Raises
    ------
    RollsimError
        The suffix is unknown or the file cannot be written.
    """
    lines = [line for line in verdict.mechanisms if line.is_judged][::-1]
    with drawing():
        figure = new_figure("plain")
        axes = figure.subplots()
        governs = verdict.governing
        axes.set_title(f"{governs.word.capitalize()}, governed by {governs.name}")
        _draw_lines(axes, lines)
        return save_figure(figure, path, _caption(verdict))


def _draw_lines(axes: Axes, lines: list[Mechanism]) -> None:
    """A bar and an interval for every mechanism."""
    from matplotlib.patches import Patch

    for place, line in enumerate(lines):
        colour, hatch = WORD_STYLES[line.word]
        value = _shown(line.utilisation)
        axes.barh(
            place, value - _LEAST, 0.6, left=_LEAST, color=colour, hatch=hatch, edgecolor="white"
        )
        if line.interval is not None:
            low, high = (_shown(each) for each in line.interval)
            axes.plot([low, high], [place, place], color=COLOURS["black"], lw=1.6)
            axes.plot([low, high], [place, place], "|", color=COLOURS["black"], ms=9, mew=1.6)
    axes.axvline(1.0, color=COLOURS["black"], lw=1.2, ls="--")
    axes.set_xscale("log")
    axes.set_yticks(range(len(lines)), [f"{line.name}\n{used(line.utilisation)}" for line in lines])
    axes.grid(axis="y", visible=False)
    axes.set_xlabel("Demand over capacity (1: limit)")
    values = [_shown(each) for line in lines for each in (line.utilisation, *(line.interval or ()))]
    axes.set_xlim(max(_LEAST, min(0.5, 0.5 * min(values))), max(3.0, 2.0 * max(values)))
    axes.set_ylim(-0.6, len(lines) - 0.4)
    words = dict.fromkeys(line.word for line in lines)
    patches = [
        Patch(facecolor=WORD_STYLES[w][0], hatch=WORD_STYLES[w][1], edgecolor="white", label=w)
        for w in WORD_STYLES
        if w in words
    ]
    axes.legend(handles=patches, loc="upper left", bbox_to_anchor=(0.0, -0.2), ncols=3)


def _shown(value: float) -> float:
    """A utilisation within the axis."""
    return _MOST if math.isinf(value) else min(max(value, _LEAST), _MOST)


def _caption(verdict: PooledVerdict) -> str:
    """Sentence of the verdict, runs, what the lines are."""
    runs = sum(len(state.runs) for state in verdict.states)
    return caption_text(
        " and ".join(state.name for state in verdict.states),
        verdict_sentence(verdict),
        f"{runs} run{'s' if runs > 1 else ''},"
        f" {3600.0 * sum(state.hours for state in verdict.states):.3g} s evaluated",
        "Black lines: fatigue, interval of the load over the load at the target life; yield and"
        " pressures, interval of the level extrapolated to the service life, or from the largest"
        " observed load to 3 times it where that cannot be told",
    )
