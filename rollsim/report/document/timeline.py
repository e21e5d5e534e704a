"""Forces, eccentricity and vibration against time, by extremes of blocks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from rollsim.analysis.chunks import chunked_min_max
from rollsim.analysis.reduction import Blocks
from rollsim.analysis.settled import attribute, case_name
from rollsim.report.plain_data import number
from rollsim.report.style import (
    COLOURS,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)

_BLOCKS = 400


def draw_timeline(history: Any, path: str | Path) -> Picture:
    """Draw the greatest contact forces, how far the cage is off the centre, and the vibration.

    Parameters
    ----------
    history : History
        Opened history.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    pocket, land, off, shaking = timeline_blocks(history)
    play = attribute(history, "guidance_clearance_m")
    edges = np.append(0.0, history.time)[pocket.edges]
    with drawing():
        figure = new_figure("tall")
        top, middle, bottom = figure.subplots(3, 1, sharex=True)
        top.stairs(pocket.high, edges, baseline=None, color=COLOURS["blue"], label="pocket")
        if land.high.max(initial=0.0) > 0.0:
            top.stairs(
                land.high, edges, baseline=None, color=COLOURS["vermilion"], label="land", lw=1.0
            )
        top.set(ylabel="Greatest force in N", title="Contact forces on the cage")
        top.set_ylim(bottom=0.0)
        top.legend(loc="upper right", ncols=2)
        _band(middle, edges, off, 1e6, "sky")
        if np.isfinite(play):
            middle.axhline(1e6 * play, color="black", lw=1.2)
        middle.set(ylabel="Off centre in um", title="Cage centre from the bearing axis")
        middle.set_ylim(bottom=0.0)
        for k, colour in enumerate(("blue", "orange", "green")):
            one = Blocks(shaking.edges, shaking.low[:, k], shaking.high[:, k])
            _band(bottom, edges, one, 1.0, colour, "xyz"[k])
        bottom.set(ylabel="m/s²", xlabel="Time in s", title="Vibration of the housing")
        bottom.legend(loc="upper right", ncols=3)
        bottom.set_xlim(edges[0], edges[-1])
        for axes in (top, bottom):
            low, high = axes.get_ylim()
            axes.set_ylim(low, high + 0.3 * (high - low))
        return save_figure(figure, path, _caption(history, pocket, play))


def timeline_blocks(history: Any) -> tuple[Blocks, Blocks, Blocks, Blocks]:
    """Extremes that the panels show.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    tuple of Blocks
        Greatest force of all pockets and of all lands, N; distance of the cage centre from the
        bearing axis, m; vibration along x, y, z, m/s2.
    """
    return (
        chunked_min_max(history, "pocket_force", _BLOCKS, "peak", _greatest),
        chunked_min_max(history, "land_force", _BLOCKS, "peak", _greatest),
        chunked_min_max(history, "cage_position", _BLOCKS, change=_off_centre),
        chunked_min_max(history, "base_acceleration", _BLOCKS),
    )


def _greatest(rows: np.ndarray) -> np.ndarray:
    """Greatest force of each sample."""
    return rows.reshape(len(rows), -1).max(axis=1)


def _off_centre(rows: np.ndarray) -> np.ndarray:
    """Distance from the axis, m."""
    return np.hypot(rows[:, 0], rows[:, 1])


def _band(axes: Any, edges: np.ndarray, blocks: Blocks, unit: float, colour: str, label="") -> None:
    """Between the least and the greatest of each block."""
    low, high = (unit * np.append(each, each[-1:]) for each in (blocks.low, blocks.high))
    axes.fill_between(
        edges, low, high, step="post", color=COLOURS[colour], alpha=0.6, lw=0, label=label or None
    )


def _caption(history: Any, blocks: Blocks, play: float) -> str:
    """Words below the panels."""
    span = 1e3 * blocks.samples_per_block / attribute(history, "sample_rate_Hz")
    return caption_text(
        case_name(history),
        f"Extremes of blocks of {number(span)}\u00a0ms, of maxima caught between samples, so peaks"
        " survive",
        f"Black line: radial guidance clearance, {number(1e6 * play)}\u00a0um"
        if np.isfinite(play)
        else "",
    )
