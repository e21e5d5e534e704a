"""Picture of a fatigue verdict: stress cycles against the S-N line, utilisation of every place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from rollsim.fatigue.result import FatigueResult, SpotResult
from rollsim.report.fatigue_table import NO_CLOSURE, factor, hours, verdict_words, with_interval
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
from rollsim.structure.hot_spots import CLOSURE
from rollsim.units import HOUR, MPA

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: One colour for each sort of place, in every execution and in both panels.
PLACE_COLOURS = {
    "rivet head fillet": COLOURS["blue"],
    "rivet at interface": COLOURS["sky"],
    "tenon root": COLOURS["orange"],
    "bar root at cover": COLOURS["purple"],
    "bar root at base ring": COLOURS["green"],
    "root of unriveted bar": COLOURS["vermilion"],
    # Never beside a tenon or a bar root at the cover.
    "boss root at base ring": COLOURS["orange"],
    "foot of distance piece": COLOURS["purple"],
}
_BEYOND = 3.0


def draw_fatigue(result: FatigueResult, path: str | Path) -> Picture:
    """Draw the spectrum of the governing place and the utilisation of every place.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.
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
    with drawing():
        figure = new_figure("tall")
        upper, lower = figure.subplots(2, 1)
        figure.suptitle(_headline(result), fontsize=11.0)
        _draw_spectrum(upper, result)
        _draw_utilisation(lower, result)
        return save_figure(figure, path, _caption(result))


def _headline(result: FatigueResult) -> str:
    """Closures and bars, a line each."""
    lines = [] if result.closures else [f"{CLOSURE}: {NO_CLOSURE}"]
    for part in result.parts:
        reserve = with_interval(part.reserve, part.reserve_interval, factor)
        lines.append(f"{part.part}: {verdict_words(result, part)}, reserve {reserve}")
    return "\n".join(lines)


def _draw_spectrum(axes: Axes, result: FatigueResult) -> None:
    """Cycles in the target life above each amplitude, beside the S-N line."""
    spot = result.governing.spot
    axes.set_title(f"Governing place: {spot.name}, bar {result.governing.bar + 1}")
    axes.set_xlabel("Cycles in the target life")
    axes.set_ylabel("Local amplitude\nat zero mean in MPa")
    amplitude, number = _exceedance(spot, result)
    if not len(amplitude):
        empty_note(axes, "no stress cycles in the evaluated time")
        return
    _draw_line(axes, spot, amplitude, number)
    left, bottom = axes.get_xlim()[0], axes.get_ylim()[0]
    axes.step(
        np.concatenate([[left], number, number[-1:]]),
        np.concatenate([amplitude[:1] / MPA, amplitude / MPA, [bottom]]),
        where="pre",
        color=PLACE_COLOURS[spot.name],
        label="cycles at or above",
    )
    axes.set_xscale("log")
    axes.set_yscale("log")
    _plain_stress_ticks(axes)
    axes.legend(loc="best")


def _draw_line(axes: Axes, spot: SpotResult, amplitude: np.ndarray, number: np.ndarray) -> None:
    """S-N line over the range of the spectrum and the knee."""
    curve = spot.curve
    low = min(curve.strength / 1.5, max(amplitude.max() / 20.0, amplitude.min()))
    high = max(1.5 * curve.strength, 1.3 * amplitude.max())
    levels = np.geomspace(low, high, 200)
    cycles = curve.cycles(levels)
    axes.plot(cycles, levels / MPA, color=COLOURS["black"], label="S-N line, all factors")
    axes.plot(curve.knee_cycles, curve.strength / MPA, "o", color=COLOURS["black"], ms=5)
    axes.set_ylim(low / MPA, high / MPA)
    right = _BEYOND * max(number.max(), curve.knee_cycles)
    if np.isinf(curve.slope_beyond):
        flat = np.full(2, curve.strength / MPA)
        axes.plot([curve.knee_cycles, right], flat, color=COLOURS["black"])
    left = min(number.min(), max(cycles.min(), number.min() / 1e4)) / _BEYOND
    axes.set_xlim(max(1.0, left), right)


def _exceedance(spot: SpotResult, result: FatigueResult) -> tuple[np.ndarray, np.ndarray]:
    """Amplitudes at zero mean, largest first, and cycles in the target life at or above them."""
    cycles = spot.cycles
    mean = cycles.mean + spot.preload_stress
    # Beyond the ultimate strength Goodman's amplitude has no limit: shown at that strength.
    amplitude = np.minimum(spot.curve.equivalent(cycles.range, mean), spot.curve.ultimate)
    scale = result.target_life_h * result.load_share * HOUR / result.duration_s
    keep = amplitude > 0.0
    order = np.argsort(-amplitude[keep])
    return amplitude[keep][order], np.cumsum(cycles.count[keep][order]) * scale


def _plain_stress_ticks(axes: Axes) -> None:
    """Write stresses as plain numbers on the logarithmic axis."""
    from matplotlib.ticker import LogLocator, NullFormatter, StrMethodFormatter

    axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:g}"))
    axes.yaxis.set_minor_formatter(NullFormatter())


def _draw_utilisation(axes: Axes, result: FatigueResult) -> None:
    """One over the reserve factor, for every bar and sort of place."""
    axes.set_title("Utilisation of every bar and closure")
    axes.set_xlabel("Bar")
    axes.set_ylabel("Load over load at target life")
    width, hopeless = 0.8 / len(result.spots), np.zeros(0)
    for spot in result.spots:
        with np.errstate(divide="ignore"):
            used = 1.0 / spot.reserve
        shown = np.where(np.isfinite(used), used, 0.0)
        place = _column(result, spot, spot.bars)
        axes.bar(place, shown, width, color=PLACE_COLOURS[spot.name], label=spot.name)
        hopeless = np.append(hopeless, place[~np.isfinite(used)])
    axes.axhline(1.0, color=COLOURS["black"], lw=1.2, ls="--", label="limit")
    _mark_hopeless(axes, hopeless)
    _mark_intervals(axes, result)
    axes.grid(axis="x", visible=False)
    bars = np.concatenate([spot.bars for spot in result.spots])
    axes.set_xticks(np.arange(bars.min(), bars.max() + 1, max(1, -(-len(set(bars)) // 18))) + 1)
    axes.set_xlim(bars.min() + 0.3, bars.max() + 1.7)
    axes.set_ylim(0.0, 1.6 * max(1.0, axes.dataLim.ymax))
    axes.legend(loc="upper center", ncols=2)


def _column(result: FatigueResult, spot: SpotResult, bars: np.ndarray | int):
    """Where the columns of a sort of place stand: side by side at the number of their bar."""
    beside = [each.name for each in result.spots].index(spot.name) - 0.5 * (len(result.spots) - 1)
    return bars + 1 + beside * 0.8 / len(result.spots)


def _mark_hopeless(axes: Axes, places: np.ndarray) -> None:
    """Mark places that preload alone uses up."""
    if len(places):
        axes.plot(places, np.ones(len(places)), "x", color=GREY, label="preload alone is too much")


def _mark_intervals(axes: Axes, result: FatigueResult) -> None:
    """Show the spread over the blocks at the worst place of the closures and of the bars."""
    label = "spread over blocks"
    for part in result.parts:
        interval = part.reserve_interval
        if interval is None or part.reserve <= 0.0 or not np.isfinite(part.reserve):
            continue
        used = 1.0 / part.reserve
        top = 1.0 / interval[0] if interval[0] > 0.0 else used
        axes.errorbar(
            _column(result, part.spot, part.bar),
            used,
            yerr=[[max(used - 1.0 / interval[1], 0.0)], [max(top - used, 0.0)]],
            color=COLOURS["black"],
            capsize=4,
            lw=1.4,
            label=label,
        )
        label = None


def _caption(result: FatigueResult) -> str:
    """Case, verdict, what the panels show and what was reduced."""
    life = hours(result.life_h)
    return caption_text(
        result.case_name,
        f"Verdict: {verdict_words(result, result.governing)}, governed by the"
        f" {result.governing.part}; life {life} {'' if life == 'no limit' else 'h '}"
        f"(target {hours(result.target_life_h)} h), reserve factor on load"
        f" {factor(result.reserve)}, {100.0 * result.survival_probability:g} % survival",
        f"{result.duration_s:.3g} s of history repeated over the target life; rainflow cycles"
        " gathered by range and mean, turned into amplitudes at zero mean stress by the rule"
        f" {result.governing.spot.curve.mean_law}",
        "Largest forces of each sampling interval, taken together",
        *(warning.split(". ")[0] for warning in result.warnings),
    )
