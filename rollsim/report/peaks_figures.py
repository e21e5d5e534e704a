"""Pictures of the peak forces: exceedance curve and pocket map."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.analysis.chunks import chunked_min_max
from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.peaks import PeaksResult
from rollsim.analysis.reduction import Blocks
from rollsim.analysis.settled import FACES, case_name, contact_threshold
from rollsim.report.peaks_text import duration_words
from rollsim.report.plain_data import number
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

_TAIL_POINTS = 30
# One block is about two pixels wide, so no block maximum is lost in the drawing.
_MAP_BLOCKS = 300
# Below this share of the greatest force the threshold of contact is cut: the colours must differ.
_LARGEST_FLOOR = 0.3
_NO_CONTACT = "#E4E4E4"


def draw_exceedance(result: PeaksResult, path: str | Path) -> Picture:
    """Draw how often the pocket force passes a level, with the fitted tail.

    Parameters
    ----------
    result : PeaksResult
        Result of `rollsim.analysis.peaks.peaks`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    with drawing():
        figure = new_figure("plain")
        axes = figure.add_subplot()
        axes.set_xlabel("Pocket force in N")
        axes.set_ylabel("Peaks above this force, 1/h")
        axes.set_title("How often a pocket force is passed")
        curve = result.exceedance
        if len(curve.level) == 0:
            empty_note(axes, "No roller touched the cage\nin the evaluated time.")
            axes.set(xticks=[], yticks=[])
        else:
            axes.set_yscale("log")
            axes.plot(curve.level, curve.rate_all, color=GREY, label="all episodes")
            axes.plot(
                curve.level, curve.rate_independent, color=COLOURS["blue"], label="independent"
            )
            slowest = _draw_tail(axes, result)
            axes.set_xlim(0.0, _force_reach(result))
            axes.set_ylim(0.7 * slowest, 2.0 * float(curve.rate_all.max()))
            axes.locator_params(axis="x", nbins=7)
            axes.legend(loc="upper right")
        return save_figure(figure, path, _exceedance_caption(result))


def _force_reach(result: PeaksResult) -> float:
    """End of the force axis: what was observed and as much again, and a level that is told."""
    told = result.extrapolation.level
    observed = 2.0 * float(result.exceedance.level[-1])
    return observed if told is None else max(observed, 1.1 * told.level)


def _slowest_rate(result: PeaksResult) -> float:
    """Lowest rate that is drawn, 1/h: as far as the run carries the tail."""
    found = result.extrapolation
    shown = found.level or found.supported
    lowest = SECONDS_PER_HOUR / result.duration
    return lowest if shown is None else min(lowest, 1.0 / shown.horizon_h)


def _draw_tail(axes, result: PeaksResult) -> float:
    """Fitted tail with its interval, as far as the run carries it; returns the lowest rate."""
    tail, slowest = result.tail, _slowest_rate(result)
    level = result.extrapolation.level or result.extrapolation.supported
    if tail is None or level is None:
        return slowest
    rate = np.geomspace(tail.rate, min(slowest, tail.rate), _TAIL_POINTS)
    odds = [0.5 - level.confidence / 2.0, 0.5, 0.5 + level.confidence / 2.0]
    found = [tail.threshold + tail.posterior.levels(1.0 / each, odds) for each in rate]
    low, fitted, high = np.transpose(found)
    colour = COLOURS["vermilion"]
    axes.fill_betweenx(rate, low, high, color=colour, alpha=0.18, linewidth=0)
    axes.plot(fitted, rate, color=colour, linestyle="--", label="fitted tail")
    axes.plot(
        [level.level],
        [1.0 / level.horizon_h],
        "o",
        color=colour,
        label=f"once in {duration_words(level.horizon_h)}",
        clip_on=False,
    )
    return slowest


def _exceedance_caption(result: PeaksResult) -> str:
    """Words below the exceedance curve."""
    curve, found = result.exceedance, result.extrapolation
    shown = (
        f"All pockets together, {result.start:g} s to {result.end:g} s. Independent: the greatest"
        f" within ±{1e3 * curve.separation_s:g}\u00a0ms"
    )
    horizon = duration_words(found.horizon_h).replace(" ", "\u00a0")
    refused = f"The level of {horizon} cannot be told from this run"
    if result.tail is None:
        return caption_text(result.case_name, shown, "Too few independent peaks for a tail")
    level = found.level or found.supported
    if level is None:
        return caption_text(result.case_name, shown, refused)
    return caption_text(
        result.case_name,
        shown,
        f"Tail: generalised Pareto from {result.tail.exceedances} peaks; band:"
        f" {100 * level.confidence:.0f}\u00a0% interval, perhaps cut at the right edge",
        "Below the observed rates the curve is an extrapolation",
        *([refused] if found.level is None else []),
    )


def draw_pocket_map(history, path: str | Path) -> Picture:
    """Draw the greatest force in each pocket against time, over the whole run.

    Rollers count from 1 in the picture (the arrays of the history count from 0). Forces below the
    threshold of a contact episode, such as those of the oil film, are drawn as no contact.

    Parameters
    ----------
    history : History
        Opened history file.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    blocks = pocket_map_blocks(history)
    # A run that failed leaves numbers that are none, from some instant on.
    good = np.isfinite(blocks.high).all(axis=(1, 2))
    kept = len(good) if good.all() else max(1, int(np.argmin(good)))
    bars, ends = blocks.high[:kept, 0], blocks.high[:kept, 1]
    time = np.asarray(history.time)[: blocks.edges[kept]]
    panels = [("Bars: leading and trailing faces", bars)]
    if ends.max() > 0.0:
        panels.append(("Rings: base and cover faces", ends))
    highest = max(float(values.max()) for _, values in panels)
    floor = min(contact_threshold(history), _LARGEST_FLOOR * highest)
    with drawing():
        figure = new_figure("tall" if len(panels) == 2 else "plain")
        grid = figure.subplots(len(panels), 1, squeeze=False, sharex=True)[:, 0]
        for axes, (title, values) in zip(grid, panels, strict=True):
            image = _draw_map(axes, time, values, (floor, highest))
            axes.set_title(title)
            axes.axvline(float(history.attributes.get("settle_s", 0.0)), color="black", lw=1.0)
        if image is not None:
            bar = figure.colorbar(image, ax=list(grid), label="Greatest force in N", pad=0.02)
            bar.ax.yaxis.set_major_formatter("{x:g}")
        grid[-1].set_xlabel("Time in s")
        return save_figure(
            figure, path, _map_caption(history, blocks.samples_per_block, time, floor)
        )


def pocket_map_blocks(history) -> Blocks:
    """Extremes that the map of the pockets shows.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    Blocks
        Of forces (2, rollers) in N: the greatest on the bars, and on the rings.
    """
    return chunked_min_max(history, "pocket_force", _MAP_BLOCKS, "peak", _by_part)


def _by_part(rows: np.ndarray) -> np.ndarray:
    """Greatest force of each roller on bars and on rings: (samples, 2, rollers)."""
    return np.stack([rows[:, :, :2].max(axis=2), rows[:, :, 2:].max(axis=2)], axis=1)


def _draw_map(axes, time: np.ndarray, values: np.ndarray, limits: tuple[float, float]):
    """One map: pockets upwards, time to the right, colour is force; None where there is none."""
    from matplotlib.colors import LogNorm
    from matplotlib.ticker import FixedLocator

    rollers = values.shape[1]
    axes.set_ylabel("Roller")
    step = max(1, -(-rollers // 9))
    axes.yaxis.set_major_locator(FixedLocator(np.arange(1, rollers + 1, step)))
    axes.grid(False)
    axes.set_facecolor(_NO_CONTACT)
    axes.set_xlim(time[0], time[-1])
    axes.set_ylim(0.5, rollers + 0.5)
    if not limits[1] > 0.0:
        empty_note(axes, "No roller touched the cage.")
        return None
    return axes.imshow(
        np.ma.masked_less(values.T, limits[0]),
        aspect="auto",
        origin="lower",
        interpolation="nearest",
        extent=(time[0], time[-1], 0.5, rollers + 0.5),
        # No grey in it, so that "no contact" is a colour of its own.
        cmap="viridis",
        norm=LogNorm(*limits),
    )


def _map_caption(history, samples_per_block: float, time: np.ndarray, floor: float) -> str:
    """Words below the pocket map."""
    span = 1e3 * samples_per_block * (time[-1] - time[0]) / max(1, len(time) - 1)
    return caption_text(
        case_name(history),
        f"Each cell is the greatest force within {number(span)}\u00a0ms"
        f" ({number(samples_per_block)} intervals whose maxima were caught), so no peak is lost",
        f"Faces {', '.join(FACES)}",
        f"Grey: no contact (below {floor:.2g}\u00a0N); black line: settling time",
    )
