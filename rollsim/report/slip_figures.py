"""Pictures of slip, smearing and wear."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from rollsim.analysis.settled import FACES
from rollsim.analysis.slip import SlipResult
from rollsim.analysis.smearing import RINGS
from rollsim.analysis.wear import WearResult, total
from rollsim.report.plain_data import number
from rollsim.report.slip_text import FINDING, RPM
from rollsim.report.style import (
    COLOURS,
    Picture,
    caption_text,
    drawing,
    empty_note,
    new_figure,
    save_figure,
)

_FACE_COLOURS = ("blue", "orange", "green", "purple")
_BAND = "#B9D6EA"
#: Width of a number of two digits with the gap behind it, and what a figure has beside its panels.
_NUMBER_IN, _BESIDE_IN = 0.24, 1.0


def draw_slip(history, result: SlipResult, path: str | Path) -> Picture:
    """Draw slip of cage and rollers against time, with load and speed.

    Parameters
    ----------
    history : History or None
        Not needed: the result holds what is drawn.
    result : SlipResult
        Result of `rollsim.analysis.slip.slip`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    bands = result.bands
    w = result.windows
    with drawing():
        figure = new_figure("tall")
        axes = figure.subplots(3, 1, sharex=True)
        _band(axes[0], bands.edges, bands.cage)
        _steps(axes[0], w, 100.0 * w.cage, "mean of the part")
        axes[0].set(ylabel="Cage slip in %", title="Slip against pure rolling")
        _band(axes[1], bands.edges, bands.spin)
        _steps(axes[1], w, 100.0 * w.spin_loaded, "mean, load zone")
        _steps(axes[1], w, 100.0 * w.spin_unloaded, "mean, outside", "vermilion")
        axes[1].set_ylabel("Roller spin slip in %")
        _draw_drive(axes[2], result)
        axes[2].set_xlabel("Time in s")
        for panel in axes[:2]:
            panel.legend(loc="upper right", ncols=2, handlelength=1.4)
            low, high = panel.get_ylim()
            panel.set_ylim(low, high + 0.25 * (high - low))
        return save_figure(figure, path, _slip_caption(result, bands.samples_per_block))


def _band(axes, edges: np.ndarray, extremes: np.ndarray) -> None:
    """Between the least and the greatest slip of the blocks."""
    low, high = (np.append(100.0 * values, np.nan) for values in extremes)
    axes.fill_between(edges, low, high, step="post", color=_BAND, lw=0.8)


def _steps(axes, windows, values, label, colour="blue") -> None:
    """Values of the parts of the time as a stair; nothing where there are none."""
    if not np.isfinite(values).any():
        return
    edges = np.append(windows.start, windows.end[-1])
    axes.stairs(values, edges, baseline=None, color=COLOURS[colour], lw=1.8, label=label)


def _draw_drive(axes, result: SlipResult) -> None:
    """Load of the parts, and their speed where it varies."""
    w = result.windows
    _steps(axes, w, 1e-3 * w.load, "load")
    axes.set_ylabel("Bearing load in kN")
    axes.set_ylim(0.0, 1.35e-3 * max(float(w.load.max()), 1.0))
    axes.legend(loc="upper left")
    if np.ptp(w.speed) > 1e-3 * np.abs(w.speed).max():
        other = axes.twinx()
        other.spines["right"].set_visible(True)
        _steps(other, w, RPM * w.speed, "speed between the rings", "vermilion")
        other.set_ylabel("Speed in rpm")
        # Room for the legends above the lines, as on the left.
        reach = 1.35 * RPM * float(np.abs(w.speed).max())
        other.set_ylim(min(0.0, 1.35 * RPM * float(w.speed.min())), reach)
        other.grid(False)
        other.legend(loc="upper right")


def _slip_caption(result: SlipResult, every: float) -> str:
    """Words below the panels."""
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s; slip 0 rolls, 100\u00a0% stands still",
        f"Bands: extremes of blocks of {every:.0f} samples, so peaks survive; middle: rollers"
        " in the load zone",
        f"Lines: means of {len(result.windows.start)} equal parts of the time",
        "Load: size of the sum of the forces on the inner raceway",
    )


def draw_smearing(result: SlipResult, path: str | Path) -> Picture:
    """Draw the smearing measure against the orbit angle.

    Parameters
    ----------
    result : SlipResult
        Result of `rollsim.analysis.slip.slip`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    found = result.smearing
    with drawing():
        figure = new_figure("tall")
        axes = figure.subplots(2, 1, sharex=True)
        for i, (panel, ring) in enumerate(zip(axes, RINGS, strict=True)):
            panel.set_ylabel("Pressure times sliding\nspeed in W/mm\u00b2")
            panel.set_title(f"{ring.capitalize()} raceway")
            if found is None or found.largest[i] == 0.0:
                empty_note(panel, "No roller slid on this raceway\nin the evaluated time.")
                continue
            edges = np.degrees(found.sector_edges)
            panel.stairs(
                1e-6 * found.sector_maximum[:, i], edges, color=COLOURS["blue"], lw=1.8,
                label="greatest",
            )  # fmt: skip
            panel.stairs(
                1e-6 * np.nan_to_num(found.sector_mean[:, i]), edges, color=COLOURS["orange"],
                fill=True, label="mean of the interval maxima",
            )  # fmt: skip
            panel.set_ylim(0.0, 1.08e-6 * found.largest[i])
        named = [panel.get_legend_handles_labels() for panel in axes]
        handles, labels = max(named, key=lambda pair: len(pair[1]))
        if handles:
            # Below the panels: in a narrow figure it would cover the numbers of an axis.
            figure.legend(handles, labels, loc="outside lower center", ncols=2)
        axes[1].set_xlabel("Orbit angle of the roller in degrees")
        axes[1].set(xlim=(0.0, 360.0), xticks=range(0, 361, 45))
        return save_figure(figure, path, _smearing_caption(result))


def _smearing_caption(result: SlipResult) -> str:
    """Words below the panels."""
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s",
        "Hertzian pressure times sliding speed along the orbit, all rollers, by sectors of"
        " 10\u00a0degrees, counter-clockwise from the x axis; maxima of the output intervals were"
        " caught at every internal step",
        "No limit is shown: what a raceway bears depends on oil, film, roughness and coating",
    )


def draw_wear(result: WearResult, path: str | Path) -> Picture:
    """Draw impulse and friction work of every pocket, by face.

    Parameters
    ----------
    result : WearResult
        Result of `rollsim.analysis.wear.wear`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    with drawing():
        figure = new_figure("tall")
        axes = figure.subplots(2, 1, sharex=True)
        panels = (
            (result.pocket_impulse, 1.0, "Impulse per second\nin N\u00a0s/s"),
            (result.pocket_work, 1e-3, "Friction work per hour\nin kJ/h"),
        )
        for panel, (rate, factor, label) in zip(axes, panels, strict=True):
            _bars(panel, rate, factor, result.planar)
            panel.set_ylabel(label)
        axes[0].set_title("What wear of the pockets goes with")
        named = axes[0].get_legend_handles_labels()
        figure.legend(*named, loc="outside lower center", ncols=4)
        axes[1].set_xlabel("Pocket")
        pockets = len(result.ranking)
        room = (figure.get_size_inches()[0] - _BESIDE_IN) / _NUMBER_IN
        axes[1].set_xticks(range(1, pockets + 1, math.ceil(pockets / room)))
        return save_figure(figure, path, _wear_caption(result))


def _bars(axes, rate, factor: float, planar: bool) -> None:
    """One bar a pocket, its faces on top of each other, with the error of the sum."""
    sums = total(rate, 1)
    pockets = np.arange(1, len(rate.mean) + 1)
    base = np.zeros(len(pockets))
    for i, face in enumerate(FACES[:2] if planar else FACES):
        height = factor * rate.mean[:, i]
        axes.bar(pockets, height, bottom=base, color=COLOURS[_FACE_COLOURS[i]], label=face)
        base = base + height
    error = factor * np.nan_to_num(sums.error)
    axes.errorbar(pockets, base, yerr=error, fmt="none", ecolor="black", elinewidth=1.2, capsize=3)
    axes.set_ylim(0.0, 1.08 * max(float((base + error).max()), 1e-9))


def _wear_caption(result: WearResult) -> str:
    """Words below the panels."""
    lands = number(float(result.land_impulse.mean.sum()))
    work = number(1e-3 * float(result.land_work.mean.sum()))
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s; bars: mean over time; black: standard error of"
        f" the sum of the faces from {len(result.window_edges) - 1} equal parts of the time",
        f"Both lands together: {lands}\u00a0N\u00a0s/s and {work}\u00a0kJ/h",
        FINDING,
    )
