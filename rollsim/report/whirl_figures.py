"""Pictures of the whirl, each as a figure from the result and as a file.

`orbit_figure`, `eccentricity_figure`, `spectrum_figure`, `coherence_figure` and `waterfall_figure`
take the result and return a matplotlib figure without a caption; call them inside
`rollsim.report.style.drawing()`. `whirl_caption` and its like give the words. The `draw_` functions
write files.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.analysis.coherence import SOURCE
from rollsim.analysis.whirl import WhirlResult
from rollsim.report.plain_data import number
from rollsim.report.style import Picture, caption_text, drawing, new_figure, save_figure
from rollsim.report.whirl_panels import (
    draw_band,
    draw_coherence_panels,
    draw_frame,
    draw_spectrum_panel,
    draw_waterfall_panel,
    frame_scale,
    waterfall_against_speed,
)
from rollsim.report.whirl_text import coarse_note
from rollsim.units import RPM_TO_RAD_S

_DOTTED_ALSO = "dotted lines: the same frequency reversed"


def draw_orbit(history, result: WhirlResult, path: str | Path) -> Picture:
    """Draw the orbit of the cage centre, its eccentricity against time and its full spectrum.

    Parameters
    ----------
    history : History or None
        Not needed: the result holds what is drawn.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    with drawing():
        figure = new_figure("triple")
        top, middle, bottom = figure.subfigures(3, 1, height_ratios=[1.55, 1.0, 1.45])
        _frames(top, result)
        draw_band(middle.subplots(), result)
        step = draw_spectrum_panel(bottom.subplots(), result)
        words = (*_orbit_words(result), *_band_words(result), *_spectrum_words(result, step))
        return save_figure(figure, path, caption_text(result.case_name, *words))


def _frames(figure, result: WhirlResult) -> None:
    """All frames side by side with one colour bar and one legend."""
    panels = figure.subplots(1, len(result.frames), squeeze=False)[0]
    scale = frame_scale(result.frames)
    for axes, frame in zip(panels, result.frames, strict=True):
        image = draw_frame(axes, frame, scale)
    for axes in panels[1:]:
        axes.set_ylabel("")
    bar = figure.colorbar(image, ax=panels, location="bottom", shrink=0.6, aspect=35, pad=0.02)
    bar.set_label("Share of time per cell in %")
    ratio = result.whirl_ratio
    ratio_words = "" if np.isnan(ratio) else f", whirl ratio {ratio:+.4g}"
    figure.suptitle(f"Cage centre: {result.verdict.name}{ratio_words}", fontsize=12)
    handles = panels[0].get_legend_handles_labels()
    figure.legend(*handles, loc="outside lower center", ncols=2, frameon=False)


def orbit_figure(result: WhirlResult):
    """Orbit in its clearance circle: density of all samples and last turn, in every frame.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    Figure
    """
    figure = new_figure((6.4, 4.6))
    _frames(figure, result)
    return figure


def eccentricity_figure(result: WhirlResult):
    """Eccentricity against time as block extremes.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    Figure
    """
    figure = new_figure("flat")
    draw_band(figure.subplots(), result)
    return figure


def spectrum_figure(result: WhirlResult):
    """Two-sided spectrum of the orbit with its known lines.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    Figure
    """
    figure = new_figure("plain")
    draw_spectrum_panel(figure.subplots(), result)
    return figure


def coherence_figure(result: WhirlResult):
    """Power of the motion with its coherent part, and the coherence with the vibration.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    Figure or None
        None where nothing shakes the housing.
    """
    if result.coherence is None:
        return None
    figure = new_figure("plain")
    panels = figure.subplots(2, 1, sharex=True)
    draw_coherence_panels(*panels, result)
    named = [
        pair for axes in panels for pair in zip(*axes.get_legend_handles_labels(), strict=True)
    ]
    figure.legend(*zip(*named, strict=True), loc="outside upper center", ncols=2)
    return figure


def waterfall_figure(result: WhirlResult):
    """Spectra of sections against the speed of the ring where the duty changes it, else time.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    Figure or None
        None where the speed and the orbit stay what they are, or the record is too short.
    """
    found = result.waterfall
    if found is None or not (found.ramp or result.stationarity.changes):
        return None
    figure = new_figure((6.4, 5.0))
    side = found.ramp and not waterfall_against_speed(result)
    panels = figure.subplots(1, 2 if side else 1, sharey=True, squeeze=False,
                             width_ratios=[1.0, 4.0] if side else None)[0]  # fmt: skip
    image = draw_waterfall_panel(panels[-1], result)
    if side:
        panels[0].plot(found.speed / RPM_TO_RAD_S, found.time, color="black")
        panels[0].set(xlabel=f"{found.ring} ring\nrpm", ylabel="Time in s")
        panels[1].set_ylabel("")
    figure.colorbar(image, ax=panels, pad=0.02).set_label("Power in clearances² per Hz")
    return figure


def draw_coherence(result: WhirlResult, path: str | Path) -> Picture | None:
    """Write the coherence with the imposed vibration.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.
    path : str or Path
        File; the suffix chooses the format.

    Returns
    -------
    Picture or None
        None where nothing shakes the housing.
    """
    with drawing():
        figure = coherence_figure(result)
        return figure and save_figure(figure, path, coherence_caption(result))


def draw_waterfall(result: WhirlResult, path: str | Path) -> Picture | None:
    """Write the waterfall over a speed ramp, or over the time of an orbit that changes.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.
    path : str or Path
        File; the suffix chooses the format.

    Returns
    -------
    Picture or None
        None where nothing changes or the record is too short.
    """
    with drawing():
        figure = waterfall_figure(result)
        return figure and save_figure(figure, path, waterfall_caption(result))


def coherence_caption(result: WhirlResult) -> str:
    """Words below the coherence.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`, with a coherence.

    Returns
    -------
    str
    """
    found = result.coherence
    share = "not known" if np.isnan(found.share) else f"{100.0 * found.share:.0f} %"
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s; share of the power of the cage motion that"
        f" follows the housing ({', '.join(found.inputs)}) linearly: {share}, chance taken off",
        f"{found.averages} half-overlapping averages; no curve where the housing does not move",
        f"Measure: {SOURCE}",
    )


def waterfall_caption(result: WhirlResult) -> str:
    """Words below the waterfall.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`, with a waterfall.

    Returns
    -------
    str
    """
    found = result.waterfall
    span = found.time[1] - found.time[0]
    return caption_text(
        result.case_name,
        f"{result.start:g} s to {result.end:g} s; spectra of {len(found.time)} half-overlapping"
        f" sections of {number(2.0 * span)} s, greatest power in columns of"
        f" {number(found.edges[1] - found.edges[0])} Hz; {_DOTTED_ALSO}",
    )


def _orbit_words(result: WhirlResult) -> list[str]:
    """What the orbit shows and what was reduced."""
    every = result.frames[0].every
    return [
        f"{result.start:g} s to {result.end:g} s; 1 clearance = {number(1e6 * result.clearance)} um"
        f" ({result.guide}); equal scales in x and y",
        "Blue: density of all samples; turning with the cage, one spot of it stays in place",
        f"Line: one of {every} samples" if every > 1 else "",
    ]


def _band_words(result: WhirlResult) -> list[str]:
    """What the eccentricity shows."""
    return [
        f"Eccentricity: extremes of blocks of {number(1e3 * result.band.span)} ms, so peaks survive"
    ]


def _spectrum_words(result: WhirlResult, step: float) -> list[str]:
    """What the spectrum shows; `step`: width of a drawn block in Hz."""
    return [
        f"Spectrum: {result.spectrum.averages} averages, step {number(result.spectrum.step)} Hz,"
        f" maxima over {number(step)} Hz; {_DOTTED_ALSO}",
        coarse_note(result),
        "Frequency scale linear as far as the ring speed, logarithmic beyond",
    ]
