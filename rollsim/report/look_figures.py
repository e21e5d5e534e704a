"""Pictures of the imposed vibration: asked and applied spectrum, histogram, shock response."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from rollsim.model.asked import asked_density
from rollsim.report.look import Look
from rollsim.report.plain_data import number
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

_AXES = "xyz"
#: Densities more than this below the largest one are not drawn.
_DEPTH = 1e-7
#: Ratio of the ends of a frequency axis beyond which decades alone are numbered.
_WIDE = 150.0
_STILL = "The housing stands still."


def _moving(look: Look) -> list[int]:
    """Axes along which something is asked or applied."""
    return [
        i
        for i, axis in enumerate(look.measures.axes)
        if axis.whole.rms > 0.0 or look.asked_rms[i] > 0.0
    ]


def _flags(look: Look) -> list[str]:
    """Named environments with their source and basis, for a caption."""
    named = [f"{item.name}: {item.flag}" for item in look.environments]
    return [*named, *(look.sources if look.origin == "shock" else ())]


def draw_look(look: Look, folder: Path) -> list[Path]:
    """Draw all pictures of a look.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.
    folder : Path
        Where they go.

    Returns
    -------
    list of Path
        The files.
    """
    pictures = []
    if spectral(look):
        pictures.append(draw_spectrum(look, folder / "vibration_spectrum.png").path)
    if look.measures.course is not None:
        pictures.append(draw_course(look, folder / "vibration_course.png").path)
    return [
        *pictures,
        draw_histogram(look, folder / "vibration_histogram.png").path,
        draw_response(look, folder / "shock_response.png").path,
    ]


def spectral(look: Look) -> bool:
    """Whether a spectrum says anything: something random or a steady sine, or nothing at all.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    bool
        False where sweeps and shocks act alone.
    """
    m = look.measures
    rests = [axis.rest_rms > 1e-6 * axis.whole.rms for axis in m.axes]
    return bool(look.asked_rms.any() or any(rests) or len(m.lines) or m.course is None)


def draw_course(look: Look, path: str | Path) -> Picture:
    """Draw the acceleration along each axis against time, everything together.

    Parameters
    ----------
    look : Look
        With sweeps or shocks.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    axes = _moving(look)
    times, lowest, highest = look.measures.course
    with drawing():
        figure = new_figure((6.4, 1.6 + 1.8 * max(1, len(axes))))
        grid = figure.subplots(max(1, len(axes)), 1, squeeze=False, sharex=True)[:, 0]
        if not axes:
            empty_note(grid[0], _STILL)
        for panel, i in zip(grid, axes, strict=False):
            both = np.column_stack([lowest[:, i], highest[:, i]]).ravel()
            panel.plot(np.repeat(times, 2), both, color=CYCLE[i], linewidth=1.0)
            panel.set_ylabel("m/s²")
            panel.set_title(f"Along {_AXES[i]}")
        grid[-1].set_xlabel("Time in s")
        words = (
            "Acceleration of the housing, all sources together; least and greatest of each piece"
        )
        return save_figure(figure, path, caption_text(look.title, words, *_flags(look)))


def _frequencies(panel, low: float, high: float) -> None:
    """Logarithmic axis of frequencies with plain numbers that do not run into each other."""
    panel.set_xscale("log")
    panel.set_xlim(low, high)
    within = (1.0,) if high > _WIDE * low else (1.0, 2.0, 5.0)
    panel.xaxis.set_major_locator(LogLocator(subs=within))
    panel.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    panel.xaxis.set_minor_formatter(NullFormatter())


def draw_spectrum(look: Look, path: str | Path) -> Picture:
    """Draw asked and applied density of each axis, steady sines as lines of their amplitude.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    axes = _moving(look)
    with drawing():
        figure = new_figure((6.4, 2.2 + 2.5 * max(1, len(axes))))
        grid = figure.subplots(max(1, len(axes)), 1, squeeze=False, sharex=True)[:, 0]
        if not axes:
            empty_note(grid[0], _STILL)
            grid[0].set(xticks=[], yticks=[])
        for panel, i in zip(grid, axes, strict=False):
            _draw_density(panel, look, i)
            _draw_lines(panel, look, i)
            panel.set_title(f"Along {_AXES[i]}")
        grid[-1].set_xlabel("Frequency in Hz")
        return save_figure(figure, path, _spectrum_caption(look, bool(axes)))


def _draw_density(panel, look: Look, i: int) -> None:
    """Densities of one axis."""
    m, axis = look.measures, look.measures.axes[i]
    panel.set_ylabel("(m/s²)²/Hz")
    low, high = 0.7 * m.plan.lowest, min(1.5 * m.plan.highest, 0.5 * m.rate)
    if len(m.lines):
        low = min(low, 0.7 * m.lines[0])
    _frequencies(panel, low, max(high, 2.0 * low))
    seen = (axis.frequency >= low) & (axis.frequency <= high) & (axis.density > 0.0)
    if not (look.asked_rms[i] > 0.0 or (axis.rest_rms > 1e-6 * axis.whole.rms and seen.any())):
        panel.set_yticks([])
        panel.set_ylabel("")
        if not len(m.lines):
            empty_note(panel, "Nothing random here: see its course and the shock response.")
        return
    panel.set_yscale("log")
    panel.plot(
        axis.frequency[seen], axis.density[seen], color=COLOURS["sky"], label="applied",
        zorder=2.2, linewidth=1.0 if look.recorded is not None else None,
    )  # fmt: skip
    top = float(axis.density[seen].max(initial=0.0))
    if look.asked_rms[i] > 0.0:
        fine, asked = _asked_curve(look, i, low, high)
        top = max(top, float(asked.max()))
        # A recording is followed so closely that the thin line lies within the wide one.
        way = {"linestyle": "--", "zorder": 2.3}
        if look.recorded is not None:
            way = {"linewidth": 3.0, "zorder": 2.1}
        panel.plot(fine, asked, color=COLOURS["black"], label="asked", **way)
        floor = min(float(asked[asked > 0.0].min(initial=top)), top)
    else:
        floor = top
    # Two decades at least, so that the scale has round numbers.
    panel.set_ylim(max(_DEPTH * top, min(0.1 * floor, 0.01 * top)), 5.0 * top)
    panel.legend(loc="lower left")


def _asked_curve(look: Look, i: int, low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
    """Density that sources ask for along one axis; recordings: averaged like what is applied."""
    if look.recorded is not None:
        seen = (look.recorded.frequency >= low) & (look.recorded.frequency <= high)
        fine = look.recorded.frequency[seen]
        return fine, look.recorded.density[i][seen] + asked_density(look.tables[i], fine)
    points = np.concatenate([table[:, 0] for table in look.tables[i]])
    fine = np.union1d(np.geomspace(points.min(), points.max(), 500), points)
    return fine, asked_density(look.tables[i], fine)


def _draw_lines(panel, look: Look, i: int) -> None:
    """Steady sines of one axis on a scale of their own."""
    m = look.measures
    # What was found and not asked has no asked amplitude (NaN).
    shown = [k for k in range(len(m.lines)) if look.asked_amplitude[k, i] != 0.0]
    if not shown:
        return
    scale = panel.twinx()
    scale.grid(False)
    scale.spines["right"].set_visible(True)
    scale.set_ylabel("Sine, m/s²", color=COLOURS["vermilion"])
    frequency = m.lines[shown]
    scale.vlines(frequency, 0.0, m.amplitude[shown, i], color=COLOURS["vermilion"], linewidth=2.0)
    scale.plot(frequency, m.amplitude[shown, i], "o", color=COLOURS["vermilion"], label="applied")
    scale.plot(
        frequency, look.asked_amplitude[shown, i], "_", color=COLOURS["black"], markersize=16,
        markeredgewidth=2.0, label="asked",
    )  # fmt: skip
    scale.set_ylim(0.0, 1.25 * float(max(m.amplitude[shown, i].max(), 1e-12)))


def _which_is_which(look: Look) -> str:
    """How asked and applied densities are drawn."""
    if look.recorded is not None:
        return " Wide black line: asked density, thin line: applied"
    return " Dashed: asked density, solid: applied" if look.asked_rms.any() else " Applied density"


def _spectrum_caption(look: Look, moves: bool) -> str:
    """Words below the spectrum."""
    m = look.measures
    if not moves:
        return caption_text(look.title, _STILL)
    sentences = [
        f"Acceleration of the housing, {m.start:.4g} s to {m.end:.4g} s."
        + _which_is_which(look)
        + " (averaged over half-overlapping sections, Hann window)"
    ]
    if len(m.lines):
        sentences.append(
            "Steady sines are taken out of the density and stand as lines of their amplitude (right"
            " scale"
            + (
                "; found, not asked)"
                if np.isnan(look.asked_amplitude).all()
                else "; bar across: asked)"
            )
        )
    ratios = [
        f"{_AXES[i]}\u00a0{look.measures.axes[i].rest_rms / look.asked_rms[i]:.3f}"
        for i in range(3)
        if look.asked_rms[i] > 0.0
    ]
    if look.recorded is not None:
        sentences.append("Asked of a recording: its own samples, before they are resampled")
    if ratios:
        sentences.append(f"Random part, applied over asked rms: {', '.join(ratios)}")
    return caption_text(look.title, *sentences, *_flags(look))


def draw_histogram(look: Look, path: str | Path) -> Picture:
    """Draw how the acceleration is distributed, against the Gaussian distribution.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    axes = _moving(look)
    with drawing():
        figure = new_figure("plain")
        panel = figure.add_subplot()
        if not axes:
            empty_note(panel, _STILL)
            panel.set(xticks=[], yticks=[])
            return save_figure(figure, path, caption_text(look.title, _STILL))
        for i in axes:
            axis = look.measures.axes[i]
            middle = 0.5 * (axis.edges[1:] + axis.edges[:-1])
            seen = axis.share > 0.0
            label = f"{_AXES[i]}: rms {number(axis.whole.rms)} m/s²"
            panel.plot(middle[seen], axis.share[seen], ".-", color=CYCLE[i], label=label)
        place = np.linspace(-4.5, 4.5, 300)
        normal = np.exp(-0.5 * place**2) / np.sqrt(2.0 * np.pi)
        panel.plot(place, normal, color=GREY, linestyle="--", label="Gaussian")
        panel.set(xlabel="Acceleration over its rms", ylabel="Share of the time per rms")
        panel.set_yscale("log")
        panel.set_ylim(1e-5, 3.0 * max(1.0, *(look.measures.axes[i].share.max() for i in axes)))
        panel.legend(loc="upper right", fontsize=8.5)
        values = ", ".join(
            f"{_AXES[i]}\u00a0{number(look.measures.axes[i].whole.kurtosis)}" for i in axes
        )
        words = "Distribution of the acceleration, random part and sines together, without the mean"
        return save_figure(
            figure,
            path,
            caption_text(look.title, words, f"Kurtosis (Gaussian 3, sine 1.5): {values}",
                         *_flags(look)),
        )  # fmt: skip


def draw_response(look: Look, path: str | Path) -> Picture:
    """Draw the shock response spectrum of each axis.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    axes, m = _moving(look), look.measures
    with drawing():
        figure = new_figure("plain")
        panel = figure.add_subplot()
        if not axes or not len(m.response_frequency):
            empty_note(panel, _STILL)
            panel.set(xticks=[], yticks=[])
            return save_figure(figure, path, caption_text(look.title, _STILL))
        for i in axes:
            panel.plot(m.response_frequency, m.axes[i].response, color=CYCLE[i], label=_AXES[i])
        panel.set(yscale="log", xlabel="Natural frequency in Hz")
        _frequencies(panel, 0.85 * m.response_frequency[0], 1.18 * m.response_frequency[-1])
        panel.set_ylabel("Largest response in m/s²")
        panel.legend(loc="best", title="along")
        after = "also after the end" if m.plan.afterwards else "within the time looked at"
        words = (
            "Largest absolute acceleration, either sign, of a light resonator on the housing,"
            f" Q\u00a0=\u00a0{m.plan.quality:g}, {after} ({m.start:.4g} s to {m.end:.4g} s)"
        )
        return save_figure(figure, path, caption_text(look.title, words, *_flags(look)))
