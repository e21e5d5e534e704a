"""Spectra of the orbit one after the other: against speed where the duty changes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.orbit import Orbit
from rollsim.analysis.reduction import block_edges
from rollsim.analysis.rolling import has_channel
from rollsim.analysis.spectra import KinematicLine

# Our own choices: change of the speed of a ring that makes a ramp, sections at most, frequencies
# that are kept, turns of the cage in a section, and how far beyond the lines the axis goes.
RAMP = 0.05
MOST_SECTIONS = 90
MOST_FREQUENCIES = 400
TURNS = 6.0
_REACH = 1.5


@dataclass(frozen=True)
class Waterfall:
    """Two-sided spectra of sections of the record.

    Attributes
    ----------
    ring : str
        Ring whose speed the sections are told by.
    ramp : bool
        The speed of that ring changes by more than 5 %.
    time, speed, cage_speed : ndarray (sections,), s, rad/s, rad/s
        Middle of every section, mean speed of the ring and of the cage in it.
    edges : ndarray (frequencies + 1,), Hz
        Limits of the columns, counter-clockwise positive.
    density : ndarray (sections, frequencies), 1/Hz
        Greatest power per Hz of the scaled orbit in the column.
    """

    ring: str
    ramp: bool
    time: np.ndarray
    speed: np.ndarray
    cage_speed: np.ndarray
    edges: np.ndarray
    density: np.ndarray


def waterfall(
    history, orbit: Orbit, lines: tuple[KinematicLine, ...], whirling: float
) -> Waterfall | None:
    """Return the spectra of half-overlapping sections of the orbit.

    Parameters
    ----------
    history : History
        Opened history file.
    orbit : Orbit
        Orbit of the cage centre.
    lines : tuple of KinematicLine
        Known frequencies; ring and cage speeds and imposed lines set the range of frequencies.
    whirling : float, rad/s
        Mean whirl speed.

    Returns
    -------
    Waterfall or None
        None where the record is too short for eight sections.
    """
    inside = orbit.window.slice
    ring, speed = _driven(history, inside)
    cage = np.asarray(history.channel("cage_speed"), dtype=float)[inside]
    rate = float((len(orbit.time) - 1) / (orbit.time[-1] - orbit.time[0]))
    section = _section(len(orbit.time), rate, float(np.abs(cage).mean()))
    starts = np.arange(0, len(orbit.time) - section + 1, max(1, section // 2))
    if len(starts) < 8 or section < 16:
        return None
    reach = min(0.5 * rate, _reach(lines, whirling, float(np.abs(speed).max())))
    rows = [_row(orbit.position[start : start + section], rate, reach) for start in starts]
    middle = [slice(start, start + section) for start in starts]
    means = np.array([[orbit.time[m].mean(), speed[m].mean(), cage[m].mean()] for m in middle])
    largest = float(np.abs(means[:, 1]).max())
    ramp = bool(np.ptp(means[:, 1]) > RAMP * largest) if largest > 0.0 else False
    return Waterfall(ring, ramp, *means.T, rows[0][0], np.array([row[1] for row in rows]))


def _driven(history, inside: slice) -> tuple[str, np.ndarray]:
    """The ring that turns most, and its speed."""
    found = {
        ring: np.asarray(history.channel(f"{ring}_speed"), dtype=float)[inside]
        for ring in ("inner", "outer")
        if has_channel(history, f"{ring}_speed")
    }
    if not found:
        speed = float(history.attributes.get("inner_speed_rad_per_s", 0.0))
        return "inner", np.full(len(np.asarray(history.time)[inside]), speed)
    ring = max(found, key=lambda name: float(np.abs(found[name]).max()))
    return ring, found[ring]


def _section(samples: int, rate: float, turning: float) -> int:
    """Samples of a section: some turns of the cage, not more sections than can be seen."""
    wanted = TURNS * 2.0 * np.pi / max(turning, 1e-9) * rate
    return int(min(max(wanted, 2.0 * samples / (MOST_SECTIONS + 1)), samples / 4.5))


def _reach(lines: tuple[KinematicLine, ...], whirling: float, ring: float) -> float:
    """Highest frequency that is shown, Hz: whirl is slow beside the passing rollers."""
    known = [abs(line.frequency) for line in lines if line.imposed or line.name.endswith("speed")]
    turning = [abs(whirling) / (2.0 * np.pi), ring / (2.0 * np.pi)]
    return _REACH * max([value for value in [*known, *turning] if np.isfinite(value)] + [1e-9])


def _row(position: np.ndarray, rate: float, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Limits of the columns and greatest density in each, for one section."""
    window = np.hanning(len(position))
    line = np.fft.fftshift(np.fft.fft(window * (position - position.mean())))
    frequency = np.fft.fftshift(np.fft.fftfreq(len(position), 1.0 / rate))
    density = np.abs(line) ** 2 / (rate * np.sum(window**2))
    shown = np.flatnonzero(np.abs(frequency) <= reach)
    step = rate / len(position)
    edges = block_edges(len(shown), min(MOST_FREQUENCIES, len(shown)))
    limits = frequency[shown[0]] + step * (edges - 0.5)
    return limits, np.maximum.reduceat(density[shown], edges[:-1])
