"""Picture of a fatigue verdict: stress ranges against the S-N line, reserve of every closure."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from rollsim.fatigue.mean_stress import equivalent_amplitudes
from rollsim.fatigue.result import FatigueResult, SpotResult
from rollsim.report.fatigue_table import factor, hours
from rollsim.report.style import (
    COLOURS,
    CYCLE,
    GREY,
    Picture,
    caption_text,
    drawing,
    empty_note,
    new_figure,
    save_figure,
)
from rollsim.units import HOUR, MPA

if TYPE_CHECKING:
    from matplotlib.axes import Axes

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
        _draw_spectrum(upper, result)
        _draw_utilisation(lower, result)
        return save_figure(figure, path, _caption(result))


def _draw_spectrum(axes: Axes, result: FatigueResult) -> None:
    """Cycles in the target life above each amplitude, beside the S-N line."""
    spot = result.governing_spot
    axes.set_title(f"Local stress in the target life: {spot.name}, bar {result.bar + 1}")
    axes.set_xlabel("Cycles")
    axes.set_ylabel("Amplitude at zero mean in MPa")
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
        color=COLOURS["blue"],
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
    axes.plot(cycles, levels / MPA, color=COLOURS["vermilion"], label="S-N line, all factors")
    axes.plot(curve.knee_cycles, curve.strength / MPA, "o", color=COLOURS["vermilion"], ms=5)
    axes.set_ylim(low / MPA, high / MPA)
    right = _BEYOND * max(number.max(), curve.knee_cycles)
    left = min(number.min(), max(cycles.min(), number.min() / 1e4)) / _BEYOND
    axes.set_xlim(max(1.0, left), right)


def _exceedance(spot: SpotResult, result: FatigueResult) -> tuple[np.ndarray, np.ndarray]:
    """Amplitudes at zero mean, largest first, and cycles in the target life at or above them."""
    cycles = spot.cycles
    mean = cycles.mean + spot.preload_stress
    law, ultimate = spot.curve.mean_law, spot.curve.ultimate
    amplitude = equivalent_amplitudes(0.5 * cycles.range, mean, ultimate, law)
    # Beyond the ultimate strength Goodman's amplitude has no limit: shown at that strength.
    amplitude = np.minimum(amplitude, ultimate)
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
    for k, (spot, colour) in enumerate(zip(result.spots, CYCLE, strict=False)):
        with np.errstate(divide="ignore"):
            used = 1.0 / spot.reserve
        shown = np.where(np.isfinite(used), used, 0.0)
        place = spot.bars + 1 + (k - 0.5 * (len(result.spots) - 1)) * width
        axes.bar(place, shown, width, color=colour, label=spot.name)
        hopeless = np.append(hopeless, place[~np.isfinite(used)])
    axes.axhline(1.0, color=COLOURS["black"], lw=1.2, ls="--", label="limit")
    _mark_hopeless(axes, hopeless)
    _mark_interval(axes, result)
    axes.grid(axis="x", visible=False)
    bars = np.concatenate([spot.bars for spot in result.spots])
    axes.set_xticks(np.arange(bars.min(), bars.max() + 1, max(1, -(-len(set(bars)) // 18))) + 1)
    axes.set_xlim(bars.min() + 0.3, bars.max() + 1.7)
    axes.set_ylim(0.0, 1.6 * max(1.0, axes.dataLim.ymax))
    axes.legend(loc="upper center", ncols=2)


def _mark_hopeless(axes: Axes, places: np.ndarray) -> None:
    """Mark places that preload alone uses up."""
    if len(places):
        axes.plot(places, np.ones(len(places)), "x", color=GREY, label="preload alone is too much")


def _mark_interval(axes: Axes, result: FatigueResult) -> None:
    """Show the spread over the blocks at the governing place."""
    if result.reserve_interval is None or result.reserve <= 0.0 or not np.isfinite(result.reserve):
        return
    low, high = result.reserve_interval
    width = 0.8 / len(result.spots)
    place = result.bar + 1 + (result.governing - 0.5 * (len(result.spots) - 1)) * width
    used = 1.0 / result.reserve
    top = 1.0 / low if low > 0.0 else used
    bottom = 1.0 / high if np.isfinite(high) else 0.0
    axes.errorbar(
        place,
        used,
        yerr=[[max(used - bottom, 0.0)], [max(top - used, 0.0)]],
        color=COLOURS["black"],
        capsize=4,
        lw=1.4,
        label="spread over blocks",
    )


def _caption(result: FatigueResult) -> str:
    """Case, verdict, what the panels show and what was reduced."""
    life = hours(result.life_h)
    return caption_text(
        result.case_name,
        f"Verdict: {result.verdict}; life {life} {'' if life == 'no limit' else 'h '}"
        f"(target {hours(result.target_life_h)} h), reserve factor on load"
        f" {factor(result.reserve)}, {100.0 * result.survival_probability:g} % survival",
        f"{result.duration_s:.3g} s of history repeated over the target life; rainflow cycles"
        " gathered by range and mean, turned into amplitudes at zero mean stress after Goodman",
        "Largest forces of each sampling interval, taken together",
        *(warning.split(". ")[0] for warning in result.warnings),
    )
