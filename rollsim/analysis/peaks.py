"""Pocket and land forces of a run: statistics by contact, exceedance, return level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.contacts import (
    ContactStatistics,
    Episodes,
    contact_statistics,
    grouped_percentiles,
    select_episodes,
)
from rollsim.analysis.declustering import (
    SECONDS_PER_HOUR,
    Exceedance,
    exceedance_curve,
    independent_peaks,
)
from rollsim.analysis.extrapolation import Extrapolation, extrapolate
from rollsim.analysis.extremes import TailFit, fit_tail
from rollsim.analysis.force_scan import ForceScan, scan_forces
from rollsim.analysis.impact_table import write_impacts_csv
from rollsim.analysis.settled import (
    FACES,
    Window,
    assumption_lines,
    case_name,
    settled_window,
)
from rollsim.analysis.thresholds import ThresholdStudy, threshold_study
from rollsim.errors import RollsimError
from rollsim.history.worked_out import once_a_history

__all__ = ["PeaksResult", "peaks", "write_impacts_csv"]

BLOCKS = 10
# Our own choice: long against the ringing of a struck cage (a few ms), short against a turn of it.
SEPARATION_S = 0.01
# The default of `fatigue.target_life_h`, used where the case of a history cannot be read.
FALLBACK_HORIZON_H = 20000.0


@dataclass(frozen=True)
class PeakEvent:
    """The greatest pocket force of a run.

    Attributes
    ----------
    force : float, N
    time : float, s
        End of the sampling interval in which it acted.
    roller : int
        Number of the roller as in the arrays: the first is 0. Texts and tables count from 1.
    face : str
        leading, trailing, base or cover.
    azimuth : float, rad
        Orbit position of the roller, 0..2 pi, counter-clockwise from the x axis.
    """

    force: float
    time: float
    roller: int
    face: str
    azimuth: float


@dataclass(frozen=True)
class BlockStatistics:
    """Pocket forces in equal parts of the evaluated time: how much the results scatter.

    Attributes
    ----------
    start, end : ndarray (blocks,), s
    maximum : ndarray (blocks,), N
        Greatest pocket force.
    percentile_99 : ndarray (blocks,), N
        99th percentile of the peaks of all pocket episodes; NaN without episodes.
    rms : ndarray (blocks,), N
        Root mean square over time, rollers and faces.
    """

    start: np.ndarray
    end: np.ndarray
    maximum: np.ndarray
    percentile_99: np.ndarray
    rms: np.ndarray


@dataclass(frozen=True)
class PeaksResult:
    """Peak forces on the cage after the settling time.

    Attributes
    ----------
    case_name : str
    start, end : float, s
        Evaluated time.
    pockets : ContactStatistics
        Arrays (roller, face); faces are leading, trailing, base, cover.
    lands : ContactStatistics
        Arrays (land,); lands are base, cover.
    largest : PeakEvent or None
        None where no pocket force acted at all.
    exceedance : Exceedance
        Rate of pocket peaks above a level, all and independent ones.
    independent : ndarray (n,), N
        Independent pocket peaks in order of time.
    tail : TailFit or None
        None where there are too few independent peaks.
    thresholds : ThresholdStudy or None
        How the threshold of the tail was chosen and what others give; None without a tail.
    extrapolation : Extrapolation
        Force exceeded once in the horizon, or why it cannot be told from this run.
    blocks : BlockStatistics
        One-tenths of the evaluated time.
    planar : bool
        The run had no axial motion, so base and cover faces carry nothing by definition.
    assumptions : tuple of str
        Inputs that the user did not give.
    notes : tuple of str
        What was left out or is weak, in plain words.
    """

    case_name: str
    start: float
    end: float
    pockets: ContactStatistics
    lands: ContactStatistics
    largest: PeakEvent | None
    exceedance: Exceedance
    independent: np.ndarray
    tail: TailFit | None
    thresholds: ThresholdStudy | None
    extrapolation: Extrapolation
    blocks: BlockStatistics
    planar: bool
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Evaluated time in s."""
        return self.end - self.start


@once_a_history
def peaks(
    history,
    horizon_h: float | None = None,
    separation_s: float = SEPARATION_S,
    threshold: float | None = None,
) -> PeaksResult:
    """Evaluate the peak forces of a run after its settling time.

    Parameters
    ----------
    history : History
        Opened history file.
    horizon_h : float or None, h
        Time for the return level; None takes the target life of the case.
    separation_s : float, s
        Of the pocket peaks within this time before and after, only the greatest is counted as
        independent.
    threshold : float or None, N
        Threshold of the tail fit; None chooses it from the peaks.

    Returns
    -------
    PeaksResult

    Raises
    ------
    RollsimError
        The history is too short, or an argument is impossible.
    """
    _check_arguments(horizon_h, separation_s)
    window, scan, land_scan = _scan(history)
    rollers = int(history.attributes["roller_count"])
    shape = (rollers, len(FACES))
    pockets, lands, dropped = select_episodes(history.impacts(), window.start, window.end, rollers)
    observed_h = window.duration / SECONDS_PER_HOUR
    horizon, notes = _horizon(history, horizon_h)
    marks = independent_peaks(pockets.start, pockets.peak, separation_s)
    independent = pockets.peak[marks]
    tail = fit_tail(independent, observed_h, threshold)
    greatest = float(independent.max(initial=0.0))
    extrapolation = extrapolate(tail, len(independent), greatest, horizon)
    return PeaksResult(
        case_name=case_name(history),
        start=window.start,
        end=window.end,
        pockets=contact_statistics(
            pockets, scan.maximum.reshape(shape), scan.rms.reshape(shape), window.duration
        ),
        lands=contact_statistics(lands, land_scan.maximum, land_scan.rms, window.duration),
        largest=_largest(history, window, scan),
        exceedance=exceedance_curve(pockets.peak, marks, observed_h, separation_s),
        independent=independent,
        tail=tail,
        thresholds=_thresholds(tail, independent, extrapolation, threshold is not None),
        extrapolation=extrapolation,
        blocks=_blocks(window, scan, pockets),
        planar=str(history.attributes.get("motion", "")) == "planar",
        assumptions=assumption_lines(history),
        notes=(*window.notes, *notes, *_row_notes(dropped)),
    )


def _check_arguments(horizon_h: float | None, separation_s: float) -> None:
    """Refuse impossible arguments."""
    if horizon_h is not None and not horizon_h > 0.0:
        raise RollsimError(f"The horizon must be greater than 0 h; {horizon_h:g} h was given.")
    if not separation_s >= 0.0:
        raise RollsimError(f"The separation time must not be negative; got {separation_s:g} s.")


def _scan(history) -> tuple[Window, ForceScan, ForceScan]:
    """Scan the forces of pockets and lands within the usable window."""
    sampled = _flat(history.stored("pocket_force"))
    peak = _flat(history.stored("pocket_force", "peak"))
    land_sampled = np.linalg.norm(np.asarray(history.channel("land_force")), axis=-1)
    land_peak = _flat(history.peak("land_force"))
    window = settled_window(history, sampled, peak, land_sampled, land_peak)
    # A peak belongs to the interval that ends at its sample: the first lies before the window.
    inside = slice(window.first + 1, window.last)
    pockets = scan_forces(sampled[inside], peak[inside], BLOCKS)
    return window, pockets, scan_forces(land_sampled[inside], land_peak[inside], BLOCKS)


def _flat(values) -> np.ndarray:
    """One row a sample, one column a contact."""
    values = np.asarray(values)
    return values.reshape(len(values), -1)


def _largest(history, window: Window, scan: ForceScan) -> PeakEvent | None:
    """Describe the greatest pocket force."""
    if scan.largest is None:
        return None
    sample, contact = scan.largest[0] + window.first + 1, scan.largest[1]
    roller, face = divmod(contact, len(FACES))
    azimuth = np.asarray(history.channel("roller_azimuth")[sample])[roller]
    return PeakEvent(
        force=float(scan.maximum[contact]),
        time=float(history.time[sample]),
        roller=roller,
        face=FACES[face],
        azimuth=float(np.mod(azimuth, 2.0 * np.pi)),
    )


def _thresholds(
    tail: TailFit | None, independent: np.ndarray, found: Extrapolation, given: bool
) -> ThresholdStudy | None:
    """Compare the threshold with others, at the horizon that is told."""
    if tail is None:
        return None
    told = found.level or found.supported
    horizon_h = tail.observed_h if told is None else told.horizon_h
    return threshold_study(independent, tail.observed_h, tail.threshold, horizon_h, given)


def _blocks(window: Window, scan: ForceScan, pockets: Episodes) -> BlockStatistics:
    """Statistics by tenths of the evaluated time."""
    count = len(scan.block_rms)
    edges = np.linspace(window.start, window.end, count + 1)
    block = np.clip(np.searchsorted(edges, pockets.start, side="right") - 1, 0, count - 1)
    p99 = grouped_percentiles(block, pockets.peak, count, (99.0,))[0]
    return BlockStatistics(edges[:-1], edges[1:], scan.block_maximum, p99, scan.block_rms)


def _horizon(history, given: float | None) -> tuple[float, list[str]]:
    """Return the horizon in h and a note where it had to be assumed."""
    if given is not None:
        return float(given), []
    try:
        return float(history.case.fatigue.target_life_h), []
    except RollsimError:
        text = f"The case in the history cannot be read: a horizon of {FALLBACK_HORIZON_H:g} h"
        return FALLBACK_HORIZON_H, [f"{text} was assumed."]


def _row_notes(dropped: int) -> list[str]:
    """Say how many rows of the impact table were unusable."""
    if dropped == 0:
        return []
    return [f"{dropped} rows of the impact table hold values that are not numbers: left out."]
