"""Pictures of cages side by side: exceedance, utilisation, load of the closures."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.report.compare_text import verdict_sentences
from rollsim.report.style import (
    COLOURS,
    CYCLE,
    Picture,
    caption_text,
    drawing,
    empty_note,
    new_figure,
    save_figure,
)
from rollsim.sweep.compared import UTILISATION
from rollsim.sweep.comparison import Comparison, Side

_LEVELS = 200
_MARKERS = "osD^vP"
_NO_CLOSURES = "No side has closures."


def draw_compared_exceedance(found: Comparison, path: str | Path) -> Picture:
    """Draw how often a pocket force is passed, one curve a side with the band of its runs.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    with drawing():
        figure = new_figure("plain")
        axes = figure.add_subplot()
        axes.set_title("How often a pocket force is passed")
        axes.set_xlabel("Pocket force in N")
        axes.set_ylabel("Independent peaks above, 1/h")
        greatest = max(
            float(run.independent.max(initial=0.0)) for s in found.sides for run in s.measures
        )
        if greatest > 0.0:
            axes.set_yscale("log")
            level = np.linspace(0.0, greatest, _LEVELS)
            for side, colour in zip(found.sides, CYCLE, strict=False):
                _draw_rates(axes, side, level, colour)
            axes.set_xlim(0.0, 1.03 * greatest)
            figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=1)
        else:
            empty_note(axes, "No roller touched the cage.")
        return save_figure(figure, path, _caption(found, _EXCEEDANCE))


_EXCEEDANCE = (
    "Line: all runs of a side together. Band: from the least to the greatest of its runs, where all"
    " of them have peaks; it ends where a run has none"
)


def _draw_rates(axes, side: Side, level: np.ndarray, colour: str) -> None:
    """Curve and band of a side."""
    rates = np.array([_rate(run, level) for run in side.measures])
    hours = sum(run.observed_h for run in side.measures)
    together = np.sum([r * run.observed_h for r, run in zip(rates, side.measures, strict=True)], 0)
    together = together / hours
    shown, least = together > 0.0, rates.min(axis=0)
    axes.plot(level[shown], together[shown], color=colour, label=_label(side))
    band = least > 0.0
    axes.fill_between(
        level[band], least[band], rates.max(axis=0)[band], color=colour, alpha=0.2, lw=0
    )


def _rate(run, level: np.ndarray) -> np.ndarray:
    """Independent peaks above levels, 1/h."""
    peaks = np.sort(run.independent)
    return (len(peaks) - np.searchsorted(peaks, level)) / run.observed_h


def draw_compared_utilisation(found: Comparison, path: str | Path) -> Picture:
    """Draw the utilisation of every mechanism, side by side with intervals.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    rows = [row for row in found.rows if row.quantity.group == UTILISATION]
    with drawing():
        figure = new_figure("plain")
        axes = figure.add_subplot()
        axes.set_title("Utilisation of every mechanism")
        axes.set_xlabel("Demand over capacity")
        if rows:
            _draw_utilisation(axes, found, rows)
            figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=1)
        else:
            empty_note(axes, "Nothing loads the cages.")
        return save_figure(figure, path, _caption(found, _UTILISATION, *verdict_sentences(found)))


def _draw_utilisation(axes, found: Comparison, rows: list) -> None:
    """Columns of all sides."""
    count = len(found.sides)
    height, reach = 0.8 / count, 1.1
    for k, side in enumerate(found.sides):
        place = np.arange(len(rows)) + (k - 0.5 * (count - 1)) * height
        most = _draw_side(axes, place, rows, (k, _label(side), 0.92 * height))
        reach = max(reach, 1.05 * most)
    axes.axvline(1.0, color=COLOURS["black"], lw=1.2, ls="--")
    axes.set_yticks(range(len(rows)), [row.quantity.words for row in rows])
    axes.set_xlim(0.0, reach)
    axes.set_ylim(len(rows) - 0.5, -0.5 - 0.45 * count * height)
    axes.grid(axis="y", visible=False)


def _draw_side(axes, place: np.ndarray, rows: list, side: tuple[int, str, float]) -> float:
    """Columns, intervals and runs of one side; gives the largest value that must be seen."""
    k, label, height = side
    spreads = [row.spreads[k] for row in rows]
    size = np.array([own.estimate if np.isfinite(own.estimate) else 0.0 for own in spreads])
    axes.barh(place, size, height, color=CYCLE[k % len(CYCLE)], label=label)
    ends = np.array([[own.low, own.high] for own in spreads])
    known = np.isfinite(ends).all(axis=1)
    axes.errorbar(
        size[known], place[known], color=COLOURS["black"], fmt="none", capsize=3, lw=1.3,
        xerr=np.abs(ends[known] - size[known, None]).T,
    )  # fmt: skip
    most = 0.0
    for where, row in zip(place, rows, strict=True):
        runs = row.values[k][np.isfinite(row.values[k])]
        most = max(most, float(runs.max(initial=0.0)))
        style = {"color": "white", "mec": COLOURS["black"], "mew": 0.6, "ms": 6}
        axes.plot(runs, np.full(len(runs), where), ".", **style)
    # A wide interval of few runs must not squeeze the runs themselves.
    return max(most, min(float(ends[known].max(initial=0.0)), 2.0 * max(most, 1.0)))


_UTILISATION = (
    "Columns: medians; lines: 90 % intervals over replicates, perhaps cut at the right edge;"
    " points: single runs; dashed: the limit. No column: no such part, or beyond any load"
)


def draw_closure_loads(found: Comparison, path: str | Path) -> Picture:
    """Draw the load of every closure: swing of its axial force, and its bending.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    panels = (
        ("swing", "Swing of axial force in N", 1.0),
        ("bending", "Bending moment in N m", 1.0),
    )
    with drawing():
        figure = new_figure("tall")
        for axes, (name, words, scale) in zip(figure.subplots(2, 1), panels, strict=True):
            axes.set_xlabel("Bar of the closure")
            axes.set_ylabel(words)
            for k, side in enumerate(found.sides):
                _draw_closures(axes, side, name, scale, k)
            if axes.has_data():
                axes.set_ylim(bottom=0.0)
                axes.xaxis.get_major_locator().set_params(integer=True)
            else:
                empty_note(axes, _NO_CLOSURES)
        if axes.has_data():
            handles = axes.get_legend_handles_labels()
            figure.legend(*handles, loc="outside upper left", ncols=1)
        return save_figure(figure, path, _caption(found, _CLOSURES))


_CLOSURES = (
    "Section forces between cover and bar after the settling time; swing: largest less least."
    " Points: mean of the runs; lines: from the least to the greatest run"
)


def _draw_closures(axes, side: Side, name: str, scale: float, k: int) -> None:
    """Points and ranges of one side; nothing for a cage in one piece."""
    runs = [run.closures for run in side.measures if run.closures is not None]
    if not runs:
        return
    values = scale * np.array([getattr(own, name) for own in runs])
    mean = values.mean(axis=0)
    axes.errorbar(
        runs[0].bars + 1 + 0.16 * (k - 0.5), mean,
        yerr=[mean - values.min(axis=0), values.max(axis=0) - mean],
        fmt=_MARKERS[k % len(_MARKERS)], color=CYCLE[k % len(CYCLE)], ms=5, capsize=2, lw=1.2,
        label=_label(side),
    )  # fmt: skip


def draw_closure_ring(found: Comparison, path: str | Path) -> Picture:
    """Draw the load of the closures around the cage.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    from matplotlib.ticker import MaxNLocator

    with drawing():
        figure = new_figure((6.4, 6.0))
        axes = figure.add_subplot(projection="polar")
        for side, colour in zip(found.sides, CYCLE, strict=False):
            runs = [run.closures for run in side.measures if run.closures is not None]
            if not runs:
                continue
            angle = np.append(runs[0].azimuth, runs[0].azimuth[0] + 2.0 * np.pi)
            values = np.array([np.append(own.swing, own.swing[0]) for own in runs])
            axes.plot(angle, values.mean(axis=0), "o-", color=colour, ms=4, label=_label(side))
            axes.fill_between(
                angle, values.min(axis=0), values.max(axis=0), color=colour, alpha=0.2, lw=0
            )
        if axes.has_data():
            axes.set_ylim(bottom=0.0)
            axes.set_rlabel_position(10)
            axes.yaxis.set_major_locator(MaxNLocator(4))
            axes.set_xlabel("Swing of the axial closure force in N,\nby the place of the closure")
            figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=1)
        else:
            empty_note(axes, _NO_CLOSURES)
        return save_figure(figure, path, _caption(found, _RING))


_RING = (
    "The cage at angle zero, seen from its cover. Line: mean of the runs; band: from the least to"
    " the greatest run"
)


def draw_comparison(found: Comparison, folder: Path) -> list[Path]:
    """Draw all pictures of a comparison.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    folder : Path
        Where they go.

    Returns
    -------
    list of Path
    """
    pictures = (
        draw_compared_exceedance(found, folder / "compared_exceedance.png"),
        draw_compared_utilisation(found, folder / "compared_utilisation.png"),
        draw_closure_loads(found, folder / "compared_closures.png"),
        draw_closure_ring(found, folder / "compared_closure_ring.png"),
    )
    return [picture.path for picture in pictures]


def _label(side: Side) -> str:
    """Letter and name."""
    return f"{side.letter}  {side.runs.name}"


def _caption(found: Comparison, *sentences: str) -> str:
    """Runs of every side, and what is shown."""
    sides = ", ".join(
        f"{side.letter} {side.runs.count} x {side.runs.duration_s:g}\u00a0s" for side in found.sides
    )
    alarm = "MORE THAN THE CAGE DIFFERS" if any("MORE THAN" in w for w in found.warnings) else ""
    return caption_text(f"Runs: {sides}", alarm, *sentences)
