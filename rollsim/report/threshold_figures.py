"""Picture of the threshold diagnostics beside the return level."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.peaks import PeaksResult
from rollsim.analysis.thresholds import LEAST_ODDS
from rollsim.report.peaks_text import duration_words
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

_SIZE = (9.6, 7.4)
_POINTS = 30
_CONFIDENCE = 0.9


def draw_thresholds(result: PeaksResult, path: str | Path) -> Picture:
    """Draw the return level, the mean residual life and the stability of shape and level.

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
        if result.tail is None:
            figure = new_figure("flat")
            axes = figure.add_subplot()
            axes.set(xticks=[], yticks=[])
            empty_note(axes, "Too few independent peaks for a tail.")
            return save_figure(
                figure, path, caption_text(result.case_name, "Threshold of the tail")
            )
        figure = new_figure(_SIZE)
        grid = figure.subplots(2, 2)
        _draw_level(grid[0, 0], result)
        _draw_mean_excess(grid[0, 1], result)
        _draw_shape(grid[1, 0], result)
        _draw_levels(grid[1, 1], result)
        return save_figure(figure, path, _caption(result))


def _draw_level(axes, result: PeaksResult) -> None:
    """Level against the time in which it is passed once, with the observed peaks."""
    tail, told = result.tail, result.extrapolation.level or result.extrapolation.supported
    longest = tail.observed_h if told is None else max(told.horizon_h, tail.observed_h)
    times = np.geomspace(1.0 / tail.rate, longest, _POINTS)
    odds = [0.5 - _CONFIDENCE / 2.0, 0.5, 0.5 + _CONFIDENCE / 2.0]
    found = [tail.threshold + tail.posterior.levels(each, odds) for each in times]
    low, middle, high = np.transpose(found)
    # Gringorten's plotting position of the exponential family, from memory.
    peaks = np.sort(result.independent)[::-1][: tail.exceedances]
    period = (tail.observed_h + 0.12 / tail.rate) / (np.arange(1, len(peaks) + 1) - 0.44)
    unit, word = (1.0, "h") if longest >= 1.0 else (SECONDS_PER_HOUR, "s")
    colour = COLOURS["vermilion"]
    axes.fill_between(unit * times, low, high, color=colour, alpha=0.18, linewidth=0)
    axes.plot(unit * times, middle, "--", color=colour, label="fitted tail")
    axes.plot(unit * period, peaks, ".", color=COLOURS["blue"], label="observed")
    axes.axvline(unit * tail.observed_h, color=GREY, lw=1.0, label="evaluated time")
    axes.set_xscale("log")
    axes.set(title="Return level", xlabel=f"Passed once in, {word}", ylabel="Pocket force in N")
    axes.legend(loc="upper left")


def _draw_mean_excess(axes, result: PeaksResult) -> None:
    """Mean residual life, with the line of the fitted tail above the chosen threshold."""
    study = result.thresholds
    found, chosen = study.candidates, study.chosen
    _bars(axes, found, [(one.mean_excess, one.mean_low, one.mean_high) for one in found])
    last = found[-1].level
    if chosen.shape < 1.0:
        start = chosen.modified_scale + chosen.shape * chosen.level
        slope = chosen.shape
        ends = np.array([chosen.level, max(last, chosen.level)])
        line = (start + slope * (ends - chosen.level)) / (1.0 - chosen.shape)
        axes.plot(ends, line, "--", color=COLOURS["vermilion"], label="fitted tail")
        axes.legend(loc="best")
    axes.set(title="Mean residual life", ylabel="Mean excess in N")
    _mark(axes, chosen.level)


def _draw_shape(axes, result: PeaksResult) -> None:
    """Shape against threshold."""
    found, chosen = result.thresholds.candidates, result.thresholds.chosen
    _bars(axes, found, [(one.shape, one.shape_low, one.shape_high) for one in found])
    axes.axhline(0.0, color=GREY, lw=0.8)
    axes.set(title="Stability of the shape", ylabel="Shape")
    _mark(axes, chosen.level)


def _draw_levels(axes, result: PeaksResult) -> None:
    """Level against threshold; a threshold that the test rejects is hollow."""
    study = result.thresholds
    found = study.candidates
    _bars(axes, found, [(one.median, one.low, one.high) for one in found])
    title = f"Level passed once\nin {duration_words(study.horizon_h)}"
    axes.set(title=title, ylabel="Pocket force in N")
    _mark(axes, study.chosen.level)


def _bars(axes, found, values) -> None:
    """Estimates with intervals over the thresholds, hollow where the fit is rejected."""
    blue = COLOURS["blue"]
    for one, (middle, low, high) in zip(found, values, strict=True):
        face = "white" if one.fit_odds < LEAST_ODDS else blue
        axes.plot([one.level, one.level], [low, high], color=blue, lw=1.2)
        axes.plot([one.level], [middle], "o", color=blue, markerfacecolor=face)
    axes.set_xlabel("Threshold in N")


def _mark(axes, level: float) -> None:
    """Mark the chosen threshold."""
    axes.axvline(level, color=COLOURS["black"], lw=1.0, ls=":")


def _caption(result: PeaksResult) -> str:
    """Words below the picture."""
    return caption_text(
        result.case_name,
        "Bars and band: 90\u00a0% intervals; dotted: the threshold used; hollow: the fit is"
        " rejected (Anderson-Darling test at 10\u00a0%)",
        "Above a good threshold the mean excess follows a straight line and the shape stays level;"
        " neighbours share most of their peaks, so their errors are alike",
    )
