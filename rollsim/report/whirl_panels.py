"""Panels of the pictures of whirl: orbit in a frame, eccentricity, spectrum, coherence, waterfall.

Each function draws on axes and returns what the caption needs to know of the reduction.
"""

from __future__ import annotations

from itertools import cycle

import numpy as np

from rollsim.analysis.orbit_frames import OrbitFrame
from rollsim.analysis.reduction import block_min_max
from rollsim.analysis.whirl import WhirlResult
from rollsim.report.plain_data import number
from rollsim.report.style import COLOURS, GREY, empty_note
from rollsim.units import RPM_TO_RAD_S

# A spectrum with fewer frequencies than this is drawn with a dot at each.
_FEW_FREQUENCIES = 150
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
_WATERFALL_RANGE = 1e-5


def frame_scale(frames: tuple[OrbitFrame, ...]):
    """Return the common logarithmic colour scale of the density of all frames.

    Parameters
    ----------
    frames : tuple of OrbitFrame
        Frames of one orbit.

    Returns
    -------
    LogNorm
    """
    from matplotlib.colors import LogNorm

    least = min(float(frame.share[frame.share > 0.0].min()) for frame in frames)
    most = max(float(frame.share.max()) for frame in frames)
    return LogNorm(min(0.3 * least, 0.03 * most), most)


def draw_frame(axes, frame: OrbitFrame, scale):
    """Draw density and last turn in one frame, the clearance circle to scale.

    Parameters
    ----------
    axes : Axes
        The panel.
    frame : OrbitFrame
        What to draw.
    scale : LogNorm
        Colours of the density.

    Returns
    -------
    AxesImage
        For a colour bar.
    """
    from matplotlib.patches import Circle

    reach = frame.reach
    image = axes.imshow(
        np.ma.masked_equal(frame.share, 0.0),
        origin="lower",
        extent=(-reach, reach, -reach, reach),
        cmap="Blues",
        interpolation="nearest",
        norm=scale,
    )
    # On top of everything: an orbit along the land would hide it.
    axes.add_patch(Circle((0.0, 0.0), 1.0, fill=False, color="black", lw=0.8, zorder=5))
    axes.plot([], [], color="black", lw=0.8, label="clearance")
    last, name = frame.path, frame.path_name
    axes.plot(last.real, last.imag, color=COLOURS["vermilion"], lw=1.0, alpha=0.9, label=name)
    axes.plot(last.real[-1:], last.imag[-1:], "o", ms=5, color=COLOURS["vermilion"])
    axes.plot([0.0], [0.0], "+", ms=8, mew=1.2, color="black")
    if frame.turns_with == "cage":
        out = reach / 1.2
        axes.plot(
            [0.93 * out, 1.07 * out], [0.0, 0.0], color="black", lw=2.5, solid_capstyle="butt"
        )
        axes.text(1.08 * out, 0.0, "pocket 1", ha="left", va="center", rotation=90, fontsize=9)
    axes.set_aspect("equal")
    axes.grid(False)
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach))
    axes.set_title(frame.name[0].upper() + frame.name[1:], fontsize=10.5)
    axes.set_xlabel("x in clearances")
    axes.set_ylabel("y in clearances")
    return image


def draw_band(axes, result: WhirlResult) -> float:
    """Draw the band between block minima and maxima of the eccentricity.

    Parameters
    ----------
    axes : Axes
        The panel.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    float
        Length of a block in s.
    """
    band = result.band
    axes.fill_between(
        band.time, band.low, band.high, color=COLOURS["sky"], alpha=0.55, lw=0, label="min to max"
    )
    axes.plot(band.time, band.high, color=COLOURS["blue"], lw=1.0, label="block maximum")
    axes.axhline(1.0, color="black", lw=1.4)
    top = max(1.08, 1.05 * float(band.high.max()))
    axes.set_ylim(0.0, top)
    axes.set_xlim(result.start, result.end)
    axes.set_xlabel("Time in s")
    axes.set_ylabel("Eccentricity\nin clearances")
    axes.set_title("Eccentricity (black line: clearance used up)")
    for part in result.parts:
        axes.axvline(part.start, color=GREY, lw=0.8, ls=":")
        middle = 0.5 * (part.start + part.end)
        words = part.verdict.name.replace(" ", "\n")
        axes.text(middle, 0.03 * top, words, ha="center", va="bottom", fontsize=8.5)
    return band.span


def draw_spectrum_panel(axes, result: WhirlResult) -> float:
    """Draw the two-sided spectrum with the known lines.

    Parameters
    ----------
    axes : Axes
        The panel.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    float
        Width of a drawn block in Hz.
    """
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
    # Side by side where the page is wide enough, in inches before any scaling.
    columns = 2 if axes.figure.figure.get_figwidth() >= 5.5 else 1
    handles = axes.get_legend_handles_labels()
    axes.figure.legend(*handles, loc="outside lower center", ncols=columns, handlelength=1.4)
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


def draw_coherence_panels(upper, lower, result: WhirlResult) -> None:
    """Draw the power of the motion with its coherent part, and the coherence below.

    Parameters
    ----------
    upper, lower : Axes
        The panels.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`, with a coherence.
    """
    from matplotlib.ticker import LogLocator, NullFormatter

    found = result.coherence
    shown = slice(0, max(2, int(np.searchsorted(found.frequency, _frequency_reach(result)))))
    frequency, power = found.frequency[shown], found.power[shown]
    value = np.nan_to_num(found.value[shown])
    upper.plot(frequency, power, color=COLOURS["blue"], label="motion of the cage, x and y")
    upper.fill_between(
        frequency, power * value, color=COLOURS["orange"], alpha=0.6, lw=0, label="coherent part"
    )
    top = float(power.max())
    upper.set(yscale="log", xscale="log", ylim=(max(1e-8 * top, 0.3 * float(power.min())), 4 * top))
    upper.set_ylabel("Power in\nclearances² per Hz")
    lower.plot(frequency, found.value[shown], color=COLOURS["orange"], lw=1.2, label="coherence")
    lower.axhline(found.chance, color=GREY, ls="--", label="chance alone")
    lower.set(ylim=(0.0, 1.05), xlabel="Frequency in Hz", ylabel="Coherence", xscale="log")
    lower.set_xlim(frequency[0], frequency[-1])
    # Less than a decade would otherwise be labelled at every step.
    lower.xaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
    lower.xaxis.set_major_formatter("{x:g}")
    lower.xaxis.set_minor_formatter(NullFormatter())


def waterfall_against_speed(result: WhirlResult) -> bool:
    """Tell whether the waterfall is drawn against speed: over a ramp in one direction.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`, with a waterfall.

    Returns
    -------
    bool
    """
    steps = np.diff(np.abs(result.waterfall.speed))
    return bool(result.waterfall.ramp and (np.all(steps > 0.0) or np.all(steps < 0.0)))


def draw_waterfall_panel(axes, result: WhirlResult):
    """Draw the spectra of all sections, colours logarithmic, with the lines that move.

    Parameters
    ----------
    axes : Axes
        The panel.
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`, with a waterfall.

    Returns
    -------
    QuadMesh
        For a colour bar.
    """
    from matplotlib.colors import LogNorm

    found = result.waterfall
    against = waterfall_against_speed(result)
    level = np.abs(found.speed) / RPM_TO_RAD_S if against else found.time
    top = max(float(found.density.max()), 1e-300)
    image = axes.pcolormesh(
        found.edges,
        _limits(level),
        np.maximum(found.density, _WATERFALL_RANGE * top),
        norm=LogNorm(_WATERFALL_RANGE * top, top),
        cmap="cividis",
        rasterized=True,
    )
    turns = 2.0 * np.pi
    pens = (
        ("cage speed", found.cage_speed / turns, "white", "--"),
        (f"{found.ring} ring speed", found.speed / turns, COLOURS["sky"], "-."),
    )
    for name, frequency, colour, style in pens:
        axes.plot(frequency, level, color=colour, ls=style, lw=1.3, label=name)
        axes.plot(-frequency, level, color=colour, ls=":", lw=1.3)
    for line in result.lines:
        if line.imposed:
            axes.axvline(line.frequency, color=COLOURS["vermilion"], lw=1.0, label=line.name)
    axes.grid(False)
    axes.set(xlim=(found.edges[0], found.edges[-1]), ylim=(level.min(), level.max()))
    axes.set_xlabel("Frequency in Hz (right: counter-clockwise)")
    axes.set_ylabel(f"Speed of the {found.ring} ring in rpm" if against else "Time in s")
    axes.legend(
        loc="lower center",
        bbox_to_anchor=(0.5, 1.0),
        ncols=3,
        facecolor="#444444",
        labelcolor="white",
        fontsize=9,
    )
    return image


def _limits(level: np.ndarray) -> np.ndarray:
    """Limits of the rows around their middles."""
    inner = 0.5 * (level[:-1] + level[1:])
    return np.concatenate([[2.0 * level[0] - inner[0]], inner, [2.0 * level[-1] - inner[-1]]])
