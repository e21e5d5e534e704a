"""Pictures of the peak forces: exceedance curve and pocket map."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.analysis.extremes import pareto_level
from rollsim.analysis.peaks import PeaksResult
from rollsim.analysis.reduction import block_min_max
from rollsim.analysis.settled import FACES, case_name, settled_window
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

_TAIL_POINTS = 80
# One block is about two pixels wide, so no block maximum is lost in the drawing.
_MAP_BLOCKS = 300
# Forces below this share of the greatest are drawn in the lowest colour.
_MAP_RANGE = 1e-3


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
            _draw_tail(axes, result)
            axes.set_xlim(left=0.0)
            axes.locator_params(axis="x", nbins=7)
            axes.legend(loc="upper right")
        return save_figure(figure, path, _exceedance_caption(result))


def _draw_tail(axes, result: PeaksResult) -> None:
    """Fitted tail with its interval, up to the horizon."""
    tail, level = result.tail, result.return_level
    if tail is None or level is None:
        return
    slowest = min(1.0 / level.horizon_h, tail.rate)
    rate = np.geomspace(tail.rate, slowest, _TAIL_POINTS)
    shape, scale, resampled_rate = tail.resampled.T
    odds = np.minimum(1.0, rate[:, None] / resampled_rate)
    spread = pareto_level(odds, tail.threshold, shape, scale)
    tails = [0.5 - level.confidence / 2.0, 0.5 + level.confidence / 2.0]
    low, high = np.quantile(spread, tails, axis=1)
    fitted = pareto_level(rate / tail.rate, tail.threshold, tail.shape, tail.scale)
    colour = COLOURS["vermilion"]
    axes.fill_betweenx(rate, low, high, color=colour, alpha=0.18, linewidth=0)
    axes.plot(fitted, rate, color=colour, linestyle="--", label="fitted tail")
    axes.plot(
        [level.level],
        [1.0 / level.horizon_h],
        "o",
        color=colour,
        label=f"once in {level.horizon_h:g} h",
    )
    # A heavy tail has an upper limit far to the right that would squeeze everything else.
    greatest = max(level.level, result.exceedance.level[-1])
    axes.set_xlim(right=min(1.05 * high.max(), 1.8 * greatest))


def _exceedance_caption(result: PeaksResult) -> str:
    """Words below the exceedance curve."""
    curve, level = result.exceedance, result.return_level
    shown = (
        f"All pockets together, {result.start:g} s to {result.end:g} s. Independent: the greatest"
        f" within ±{1e3 * curve.separation_s:g}\u00a0ms"
    )
    if level is None:
        return caption_text(result.case_name, shown, "Too few independent peaks for a tail")
    return caption_text(
        result.case_name,
        shown,
        f"Tail: generalised Pareto; band: {100 * level.confidence:.0f} % interval, perhaps cut at"
        " the right edge",
        *(["Beyond the observed rates the curve is an extrapolation"] if level.warnings else []),
    )


def draw_pocket_map(history, path: str | Path) -> Picture:
    """Draw the greatest force in each pocket against time, over the whole run.

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
    peak = np.asarray(history.peak("pocket_force"))
    end = settled_window(history, peak).last
    time = np.asarray(history.time)[:end]
    bars = block_min_max(peak[:end, :, :2].max(axis=2), _MAP_BLOCKS)
    ends = block_min_max(peak[:end, :, 2:].max(axis=2), _MAP_BLOCKS)
    panels = [("Bars: leading and trailing faces", bars.high)]
    if ends.high.max() > 0.0:
        panels.append(("Rings: base and cover faces", ends.high))
    highest = max(float(values.max()) for _, values in panels)
    with drawing():
        figure = new_figure("tall" if len(panels) == 2 else "plain")
        grid = figure.subplots(len(panels), 1, squeeze=False, sharex=True)[:, 0]
        for axes, (title, values) in zip(grid, panels, strict=True):
            image = _draw_map(axes, time, values, highest)
            axes.set_title(title)
            axes.axvline(float(history.attributes.get("settle_s", 0.0)), color="black", lw=1.0)
        if image is not None:
            figure.colorbar(image, ax=list(grid), label="Greatest force in N", pad=0.02)
        grid[-1].set_xlabel("Time in s")
        return save_figure(figure, path, _map_caption(history, bars.samples_per_block, time))


def _draw_map(axes, time: np.ndarray, values: np.ndarray, highest: float):
    """One map: pockets upwards, time to the right, colour is force; None where there is none."""
    from matplotlib.colors import LogNorm
    from matplotlib.ticker import MaxNLocator

    rollers = values.shape[1]
    axes.set_ylabel("Roller")
    axes.yaxis.set_major_locator(MaxNLocator(nbins=10, integer=True))
    axes.grid(False)
    axes.set_facecolor("#F2F2F2")
    axes.set_xlim(time[0], time[-1])
    axes.set_ylim(-0.5, rollers - 0.5)
    if not highest > 0.0:
        empty_note(axes, "No roller touched the cage.")
        return None
    return axes.imshow(
        np.ma.masked_less_equal(values.T, 0.0),
        aspect="auto",
        origin="lower",
        interpolation="nearest",
        extent=(time[0], time[-1], -0.5, rollers - 0.5),
        cmap="cividis",
        norm=LogNorm(_MAP_RANGE * highest, highest),
    )


def _map_caption(history, samples_per_block: float, time: np.ndarray) -> str:
    """Words below the pocket map."""
    span = 1e3 * samples_per_block * (time[-1] - time[0]) / max(1, len(time) - 1)
    return caption_text(
        case_name(history),
        f"Each cell is the greatest force within {number(span)} ms"
        f" ({number(samples_per_block)} samples of the interval maxima), so no peak is lost",
        f"Faces {', '.join(FACES)}; grey: no contact; line: settling time",
    )
