"""Picture of the last milliseconds of a failed run."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.history.black_box import BlackBox
from rollsim.report.black_box_text import largest_forces
from rollsim.report.style import (
    COLOURS,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)

_COLOURS = ("blue", "vermilion", "green")


def draw_black_box(box: BlackBox, path: str | Path) -> Picture:
    """Draw step length, largest forces, and speeds of cage and rollers, step by step.

    Parameters
    ----------
    box : BlackBox
        What a failed run left.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    end = float(box.attributes["failed_at_s"])
    before = 1e3 * (np.asarray(box.steps["time"]) - end)
    with drawing():
        figure = new_figure("tall")
        axes = figure.subplots(3, 1, sharex=True)
        axes[0].plot(before, 1e6 * np.asarray(box.steps["length"]), color=COLOURS["blue"])
        axes[0].set(ylabel="Step length in us", yscale="log", title="Every internal step")
        for (words, force), colour in zip(largest_forces(box).items(), _COLOURS, strict=True):
            axes[1].plot(before, np.where(force > 0.0, force, np.nan), ".-", ms=3, label=words,
                         color=COLOURS[colour])  # fmt: skip
        axes[1].set(ylabel="Largest force in N", yscale="log")
        _draw_speeds(axes[2], before, box)
        axes[2].set_xlabel("Time before the failure in ms")
        for panel in axes[1:]:
            low, high = panel.get_ylim()
            panel.set_ylim(low, high * (high / low) ** 0.3)  # room for the legend
            panel.legend(loc="upper left", ncols=3)
        return save_figure(figure, path, _caption(box))


def _draw_speeds(axes, before, box):
    """Fastest roller and cage centre."""
    for name, words, colour in (
        ("roller_velocity", "fastest roller", "blue"),
        ("cage_velocity", "cage centre", "vermilion"),
        ("inner_velocity", "inner ring centre", "green"),
    ):
        speed = np.linalg.norm(box.channels[name], axis=-1)
        speed = speed.reshape(len(before), -1).max(axis=1)
        axes.plot(before, np.where(speed > 0.0, speed, np.nan), label=words, color=COLOURS[colour])
    axes.set(ylabel="Speed in m/s", yscale="log")


def _caption(box):
    """What the picture shows."""
    return caption_text(
        str(box.attributes.get("case_name")),
        f"The last {len(box.steps['time'])} internal steps of a run that failed: "
        f"{box.attributes.get('reason')}",
        "Nothing was reduced; gaps are contacts without force",
    )
