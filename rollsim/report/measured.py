"""A measured recording laid over a history: spectra with known lines, orbit of the housing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rollsim.analysis.whirl import WhirlResult
from rollsim.case.read import load_case
from rollsim.errors import RollsimError
from rollsim.model.recording.replay import build_replays
from rollsim.report.plain_data import number, table, wrapped
from rollsim.report.style import (
    COLOURS,
    GREY,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)
from rollsim.signals.lines import find_tones
from rollsim.signals.motion import drift_free_motion
from rollsim.signals.statistics import averaged_density

_AXES = "xyz"
# Own choices: frequency steps to a turn of the cage, turns of the orbit that are drawn, and how far
# a measured line may lie from a known one, as a share of its frequency.
_STEPS, _TURNS, _NEAR = 4.0, 2.0, 0.03
# Densities are shown down to this share of the greatest one.
_SEEN = 1e-6


class NoRecording(RollsimError):
    """The file that was given as measured holds no recording (exit code 2)."""

    exit_code = 2


@dataclass(frozen=True)
class Measured:
    """A recording on the axes of the bearing.

    Fields: file; rate Hz; acceleration: array (n, 3), m/s2, without its mean.
    """

    file: str
    rate: float
    acceleration: np.ndarray

    @property
    def moving(self) -> tuple[int, ...]:
        """Axes that were measured: 0 x, 1 y, 2 z."""
        size = self.acceleration.std(axis=0)
        return tuple(int(i) for i in np.flatnonzero(size > 1e-9 * max(size.max(), 1e-30)))


def read_measured(path: str | Path) -> Measured:
    """Read the recording that a case file would replay.

    Units, mounting angle, filters and every check are those of a replay, so that a recording is
    described once for both.

    Parameters
    ----------
    path : str or Path
        Case file with a source of kind "recording".

    Returns
    -------
    Measured

    Raises
    ------
    RollsimError
        The case or its recording cannot be used, or there is no recording in it.
    """
    replays = build_replays(load_case(path), 0.0)
    if not replays:
        raise NoRecording(
            f"{path} has no [[vibration]] of kind = 'recording': describe the measured file in one."
        )
    first = replays[0]
    signal = np.array(first.table[:, :3], dtype=float)
    return Measured(first.summary.file, 1.0 / first.interval, signal - signal.mean(axis=0))


def measured_lines(measured: Measured, result: WhirlResult) -> list[tuple[str, float, str]]:
    """Return the steady lines of a recording with the known line each lies at.

    Parameters
    ----------
    measured : Measured
        The recording.
    result : WhirlResult
        Whirl of the history that it is held against.

    Returns
    -------
    list of tuple
        Axis, frequency in Hz, names of known lines within 3 %, empty for none.
    """
    time = np.arange(len(measured.acceleration)) / measured.rate
    found = []
    for i in measured.moving:
        for tone in np.atleast_1d(find_tones(time, measured.acceleration[:, i : i + 1])):
            near = [
                line.name
                for line in result.lines
                if abs(abs(line.frequency) - tone) <= _NEAR * abs(line.frequency)
            ]
            found.append((_AXES[i], float(tone), "; ".join(near)))
    return found


def measured_text(measured: Measured, result: WhirlResult) -> str:
    """Return the lines of a recording in words.

    Parameters
    ----------
    measured : Measured
        The recording.
    result : WhirlResult
        Whirl of the history that it is held against.

    Returns
    -------
    str
    """
    rows = [[axis, number(tone, 4), name or "none"]
            for axis, tone, name in measured_lines(measured, result)]  # fmt: skip
    head = f"Measured: {measured.file}, {len(measured.acceleration) / measured.rate:.4g} s."
    if not rows:
        return f"{head} It holds no steady line."
    lines = table(["axis", "line Hz", "known line within 3 %"], rows)
    note = wrapped("A line of the same frequency is no proof of the same cause.")
    return "\n".join([f"{head} Steady lines:", *lines, *note])


def draw_measured(history, result: WhirlResult, measured: Measured, path: str | Path) -> Picture:
    """Draw measured and computed acceleration of the housing, and both orbits for two axes.

    Parameters
    ----------
    history : History
        Opened history file.
    result : WhirlResult
        Its whirl.
    measured : Measured
        The recording.
    path : str or Path
        File; the suffix chooses the format.

    Returns
    -------
    Picture
    """
    inside = history.settled
    computed = np.asarray(history.channel("base_acceleration"), dtype=float)[inside]
    time = np.asarray(history.time, dtype=float)[inside]
    rate = (len(time) - 1) / (time[-1] - time[0])
    both = {0, 1} <= set(measured.moving)
    turn = abs(result.cage_speed) / (2.0 * np.pi)
    step = max(turn / _STEPS, 4.0 / (time[-1] - time[0]))
    with drawing():
        rows = len(measured.moving)
        figure = new_figure((6.4, 1.9 * rows + (4.4 if both else 1.0)))
        panels = figure.subplots(rows + both, 1, squeeze=False,
                                 height_ratios=[1.0] * rows + [2.0] * both)[:, 0]  # fmt: skip
        for axes, i in zip(panels, measured.moving, strict=False):
            pairs = ((measured.acceleration[:, i], measured.rate), (computed[:, i], rate))
            _draw_axis(axes, _AXES[i], pairs, step, result)
        panels[rows - 1].set_xlabel("Frequency in Hz")
        figure.legend(*_named(panels[0]), loc="outside upper center", ncols=3, fontsize=9)
        if both:
            pairs = ((measured.acceleration, measured.rate), (computed, rate))
            _draw_orbits(panels[-1], pairs, max(turn, 2.0 * step), turn)
        caption = caption_text(
            result.case_name,
            f"Acceleration of the housing, measured ({measured.file}) over computed; averaged"
            f" densities, step about {number(step)} Hz; grey lines: known frequencies of the case",
            f"Orbits: accelerations integrated twice, all below {number(max(turn, 2.0 * step))} Hz"
            f" taken away, {_TURNS:g} cage turns of each" if both else "",
        )  # fmt: skip
        return save_figure(figure, path, caption)


def _named(axes) -> tuple[list, list]:
    """Entries of the legend, each name once."""
    handles, names = axes.get_legend_handles_labels()
    once = dict(zip(names, handles, strict=True))
    return list(once.values()), list(once)


def _draw_axis(axes, name: str, pairs, step: float, result: WhirlResult) -> None:
    """Densities along one axis, measured in front, with the known lines."""
    pens = (("measured", COLOURS["vermilion"], 1.2, 3), ("computed", COLOURS["blue"], 1.6, 2))
    tops, ends = [], []
    for (signal, rate), (label, colour, width, order) in zip(pairs, pens, strict=True):
        if not np.any(signal):
            continue
        frequency, density = averaged_density(signal, rate, step)
        shown = frequency > 0.0
        axes.plot(frequency[shown], density[shown], color=colour, lw=width, zorder=order,
                  label=label)  # fmt: skip
        tops.append(float(density.max()))
        # Beyond the band of a signal there is nothing to see.
        ends.append(float(frequency[density > _SEEN * density.max()].max()))
    reach = 1.3 * max(ends)
    for line in result.lines:
        if step < abs(line.frequency) < reach:
            axes.axvline(abs(line.frequency), color=GREY, lw=1.0, ls=":", label="known lines")
    axes.set(xscale="log", yscale="log", xlim=(step, reach))
    axes.set_ylim(_SEEN * max(tops), 4.0 * max(tops))
    axes.set_ylabel(f"{name}: (m/s²)²/Hz")


def _draw_orbits(axes, pairs, cut: float, turn: float) -> None:
    """Paths of the housing in the plane, some turns of the cage from the middle of each."""
    pens = (("measured", COLOURS["vermilion"], 1.0), ("computed", COLOURS["blue"], 1.4))
    for (signal, rate), (label, colour, width) in zip(pairs, pens, strict=True):
        moved = [drift_free_motion(signal[:, i], rate, cut) for i in (0, 1)]
        x, y = (1e3 * one.displacement[one.valid] for one in moved)
        half = int(0.5 * _TURNS * rate / max(turn, 1e-9))
        part = slice(max(0, len(x) // 2 - half), len(x) // 2 + half)
        axes.plot(x[part], y[part], color=colour, lw=width, label=label)
    axes.set(aspect="equal", xlabel="x in mm", ylabel="y in mm")
    axes.set_title("Orbit of the housing")
