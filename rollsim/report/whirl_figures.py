"""Picture of the whirl: orbit in its clearance, eccentricity against time, full spectrum."""

from __future__ import annotations

from itertools import cycle
from pathlib import Path

import numpy as np

from rollsim.analysis.orbit import Orbit, cage_orbit
from rollsim.analysis.reduction import block_min_max
from rollsim.analysis.whirl import WhirlResult
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
from rollsim.report.whirl_text import coarse_note

_CELLS = 120
_LAST_POINTS = 4000
# A spectrum with fewer frequencies than this is drawn with a dot at each.
_FEW_FREQUENCIES = 150
_TIME_BLOCKS = 600
_SPECTRUM_BLOCKS = 4000
# The spectrum is shown down to this share of its greatest value.
_SPECTRUM_RANGE = 1e-7
_LINE_STYLES = (
    ("cage speed", "cage", COLOURS["orange"]),
    ("inner ring speed", "inner ring", COLOURS["green"]),
    ("outer ring speed", "outer ring", GREY),
    ("roller passing, outer ring", "rollers past outer ring", COLOURS["purple"]),
    ("roller passing, inner ring", "rollers past inner ring", COLOURS["sky"]),
)
# Lines of imposed vibration are drawn in these colours, in turn.
_IMPOSED_COLOURS = (COLOURS["vermilion"], COLOURS["black"])
_DOTTED_ALSO = "dotted lines: the same frequency reversed"


def draw_orbit(history, result: WhirlResult, path: str | Path) -> Picture:
    """Draw the orbit of the cage centre, its eccentricity against time and its full spectrum.

    Parameters
    ----------
    history : History
        Opened history file.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl` for that history.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    orbit = cage_orbit(history)
    with drawing():
        figure = new_figure("triple")
        top, middle, bottom = figure.subplots(3, 1, height_ratios=[2.0, 1.0, 1.15])
        every = _draw_path(figure, top, orbit, result)
        span = _draw_eccentricity(middle, orbit)
        step = _draw_spectrum(bottom, result)
        return save_figure(figure, path, _caption(result, (every, span, step)))


def _draw_path(figure, axes, orbit: Orbit, result: WhirlResult) -> int:
    """Density of all samples to scale, and the last turn; returns its samples to a point."""
    from matplotlib.colors import LogNorm
    from matplotlib.patches import Circle

    reach = max(1.0, float(np.abs(orbit.position).max())) * 1.2
    edges = np.linspace(-reach, reach, _CELLS + 1)
    z = orbit.position
    share = np.histogram2d(z.real, z.imag, bins=(edges, edges))[0].T / len(z) * 100.0
    image = axes.imshow(
        np.ma.masked_equal(share, 0.0),
        origin="lower",
        extent=(-reach, reach, -reach, reach),
        cmap="Blues",
        interpolation="nearest",
        norm=LogNorm(min(0.3 * share[share > 0.0].min(), 0.03 * share.max()), share.max()),
    )
    bar = figure.colorbar(image, ax=axes, pad=0.02)
    bar.set_label("Share of time per cell in %")
    # On top of everything: an orbit along the land would hide it.
    axes.add_patch(Circle((0.0, 0.0), 1.0, fill=False, color="black", lw=0.8, zorder=5))
    axes.plot([], [], color="black", lw=0.8, label="land")
    last, name, every = _last_turn(orbit, result)
    axes.plot(last.real, last.imag, color=COLOURS["vermilion"], lw=1.0, alpha=0.9, label=name)
    axes.plot(last.real[-1:], last.imag[-1:], "o", ms=5, color=COLOURS["vermilion"])
    axes.plot([0.0], [0.0], "+", ms=10, mew=1.4, color="black")
    axes.set_aspect("equal")
    axes.grid(False)
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach))
    axes.set_xlabel("x in clearances")
    axes.set_ylabel("y in clearances")
    ratio = result.whirl_ratio
    ratio_words = "" if np.isnan(ratio) else f", whirl ratio {ratio:+.3f}"
    axes.set_title(f"Cage centre: {result.verdict.name}{ratio_words}")
    axes.legend(
        loc="upper right", handlelength=1.0, borderpad=0.25, borderaxespad=0.2, fontsize=9.5
    )
    return every


def _last_turn(orbit: Orbit, result: WhirlResult) -> tuple[np.ndarray, str, int]:
    """Path of the last turn of cage or orbit, whichever is quicker; its name; samples to a point.

    A run that is shorter than a turn is taken whole and called so.
    """
    speeds = [abs(s) for s in (result.cage_speed, result.whirl_speed) if np.isfinite(s)]
    begin = orbit.time[-1] - 2.0 * np.pi / max([*speeds, 1e-9])
    path = orbit.position[np.searchsorted(orbit.time, begin) :]
    every = -(-len(path) // _LAST_POINTS)
    # Counted from the end: the last sample is always drawn.
    thinned = path[::-1][::every][::-1]
    return thinned, "last turn" if begin > orbit.time[0] else "all, less than a turn", every


def _draw_eccentricity(axes, orbit: Orbit) -> float:
    """Band between block minima and maxima; returns the length of a block in s."""
    radius = np.abs(orbit.position)
    blocks = block_min_max(radius, _TIME_BLOCKS)
    middle = 0.5 * (blocks.edges[:-1] + blocks.edges[1:] - 1)
    time = np.interp(middle, np.arange(len(orbit.time)), orbit.time)
    axes.fill_between(
        time, blocks.low, blocks.high, color=COLOURS["sky"], alpha=0.55, lw=0, label="min to max"
    )
    axes.plot(time, blocks.high, color=COLOURS["blue"], lw=1.0, label="block maximum")
    axes.axhline(1.0, color="black", lw=1.4)
    axes.set_ylim(0.0, max(1.08, 1.05 * float(radius.max())))
    axes.set_xlim(orbit.time[0], orbit.time[-1])
    axes.set_xlabel("Time in s")
    axes.set_ylabel("Eccentricity\nin clearances")
    axes.set_title("Eccentricity (black line: land)")
    return float((orbit.time[-1] - orbit.time[0]) / len(blocks.low))


def _draw_spectrum(axes, result: WhirlResult) -> float:
    """Two-sided spectrum with the kinematic lines; returns the width of a drawn block in Hz."""
    spectrum = result.spectrum
    axes.set_title("Full spectrum (right: counter-clockwise)")
    axes.set_xlabel("Frequency in Hz")
    axes.set_ylabel("Power in\nclearances² per Hz")
    greatest = float(spectrum.density.max())
    if not greatest > 0.0:
        empty_note(axes, "The cage centre does not move.")
        axes.set(yticks=[])
        return spectrum.step
    reach = _frequency_reach(result)
    shown = np.abs(spectrum.frequency) <= reach
    blocks = block_min_max(spectrum.density[shown], _SPECTRUM_BLOCKS)
    frequency = spectrum.frequency[shown]
    middle = np.interp(
        0.5 * (blocks.edges[:-1] + blocks.edges[1:] - 1), np.arange(len(frequency)), frequency
    )
    _draw_lines(axes, result, reach)
    marker = "." if len(middle) < _FEW_FREQUENCIES else "None"
    density = np.maximum(blocks.high, 1e-300)
    axes.plot(middle, density, marker=marker, color=COLOURS["blue"], lw=1.2)
    axes.set_yscale("log")
    lowest = 0.3 * float(blocks.high.min())
    axes.set_ylim(max(_SPECTRUM_RANGE * greatest, lowest), 4.0 * greatest)
    _stretch_middle(axes, result, reach)
    axes.set_xlim(-reach, reach)
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.3), ncols=2, handlelength=1.4)
    return spectrum.step * blocks.samples_per_block


def _stretch_middle(axes, result: WhirlResult, reach: float) -> None:
    """Linear frequency scale as far as the ring speed, logarithmic beyond: whirl is slow."""
    speeds = [abs(line.frequency) for line in result.lines if line.name.endswith("speed")]
    linear = 1.25 * max([s for s in speeds if np.isfinite(s)], default=0.0)
    if not 0.0 < linear < 0.5 * reach:
        return
    axes.set_xscale("symlog", linthresh=linear, linscale=1.2)
    ticks = _ticks(linear, reach)
    axes.set_xticks([*(-t for t in ticks[::-1]), 0.0, *ticks])
    axes.set_xticklabels([*(f"-{t:g}" for t in ticks[::-1]), "0", *(f"{t:g}" for t in ticks)])
    axes.minorticks_off()


def _ticks(linear: float, reach: float) -> list[float]:
    """Round frequencies: one inside the linear part, then growing four to five times."""
    decades = 10.0 ** np.arange(-3, 7)
    rounds = np.sort(np.concatenate([decades, 2.0 * decades, 5.0 * decades]))
    ticks = [float(rounds[rounds >= 0.4 * linear][0])]
    for value in rounds[rounds <= reach]:
        if value >= 3.9 * ticks[-1] and value >= 1.15 * linear:
            ticks.append(float(value))
    return ticks


def _frequency_reach(result: WhirlResult) -> float:
    """Half width of the frequency axis: all lines that the sampling can show."""
    nyquist = float(result.spectrum.frequency.max())
    lines = [abs(line.frequency) for line in result.lines if np.isfinite(line.frequency)]
    inside = [line for line in lines if line <= nyquist]
    return min(nyquist, 1.25 * max(inside, default=nyquist))


def _draw_lines(axes, result: WhirlResult, reach: float) -> None:
    """Known frequencies on both sides, named once; imposed ones thicker and below the others."""
    by_name = {line.name: line.frequency for line in result.lines}
    imposed = [line for line in result.lines if line.imposed]
    styles = [
        (line.frequency, line.name, colour, 4.0)
        for line, colour in zip(imposed, cycle(_IMPOSED_COLOURS), strict=False)
    ]
    styles += [
        (by_name.get(name, float("nan")), label, colour, 1.5)
        for name, label, colour in _LINE_STYLES
    ]
    for frequency, label, colour, width in styles:
        if not abs(frequency) <= reach:
            continue
        for side, style in ((1.0, "--"), (-1.0, ":")):
            axes.axvline(
                side * frequency,
                color=colour,
                lw=width,
                ls=style,
                alpha=0.4 if width > 2.0 else 1.0,
                label=f"{label}, {number(frequency)} Hz" if side > 0.0 else None,
            )


def _caption(result: WhirlResult, reduced: tuple[int, float, float]) -> str:
    """Words below the panels; `reduced`: samples to a point, block lengths in s and in Hz."""
    every, span, step = reduced
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s; 1 clearance = {number(1e6 * result.clearance)} um"
        f" ({result.guide}); equal scales in x and y",
        "Blue: density of all samples",
        f"Line: one of {every} samples" if every > 1 else "",
        f"Eccentricity: extremes of blocks of {number(1e3 * span)} ms, so peaks survive",
        f"Spectrum: {result.spectrum.averages} averages, step {number(result.spectrum.step)} Hz,"
        f" maxima over {number(step)} Hz; {_DOTTED_ALSO}",
        coarse_note(result),
        "Frequency scale linear as far as the ring speed, logarithmic beyond",
    )
