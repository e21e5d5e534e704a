"""Forces of the rollers on cover and bars, read from a history piece by piece.

Of every sampling interval three states are used, in this order:

1. the largest force within the interval, caught at every internal step, pushing each bar forward
   (leading face of the roller behind it), or backward where nothing pushed it forward;
2. the same, pushing it backward (trailing face of the roller in front of it), or forward where
   nothing pushed it backward;
3. the forces at the end of the interval, so that a force returns to what it was between impacts.

The largest forces of an interval need not act at one instant. Taking them together, over bars and
faces, gives an envelope on the safe side; two impacts of one face within one interval count once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rollsim.analysis.settled import environment_notes, recording_notes
from rollsim.errors import RollsimError

LEADING, TRAILING, _, COVER = range(4)
#: Fewest samples after the settling time that a verdict is given on.
LEAST_SAMPLES = 20
#: States of a sampling interval.
STATES = 3


@dataclass(frozen=True)
class Span:
    """What a history offers after the settling time.

    Fields: time s (sample times used), interval s between samples, largest_cover and largest_bar N
    (largest force on the cover and on a bar side), notes (what was left out).
    """

    time: np.ndarray
    interval: float
    largest_cover: float
    largest_bar: float
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Time covered by the samples, in s."""
        return len(self.time) * self.interval


def settled_span(history) -> Span:
    """Look through the pocket forces after the settling time.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    Span

    Raises
    ------
    RollsimError
        Too few samples are left, or the pocket forces do not fit the number of rollers.
    """
    settle = float(history.attributes.get("settle_s", 0.0))
    time = np.asarray(history.time, dtype=float)[history.settled]
    _check_length(len(time), settle, float(history.time[-1]) if len(history.time) else 0.0)
    interval = float(np.median(np.diff(time)))
    notes = [*environment_notes(history), *recording_notes(history)]
    end, cover, bar = len(time), 0.0, 0.0
    if history.status != "finished":
        notes.append(f"The run is not complete (status: {history.status}).")
    for first, peak, sample in _pieces(history, time):
        good = np.isfinite(peak).all(axis=(1, 2)) & np.isfinite(sample).all(axis=(1, 2))
        stop = len(good) if good.all() else int(np.argmin(good))
        if stop:
            cover = max(cover, float(peak[:stop, :, COVER].max()))
            bar = max(bar, float(peak[:stop, :, [LEADING, TRAILING]].max()))
        if stop < len(good):
            end = first + stop
            notes.append(
                f"Pocket forces are not numbers from {time[end]:.6g} s on; that part is left out."
            )
            break
    _check_length(end, settle, float(time[min(end, len(time) - 1)]))
    return Span(time[:end], interval, cover, bar, tuple(notes))


def force_pieces(history, time: np.ndarray) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Forces on cover and bars for given sample times, a few hundred samples at a time.

    Parameters
    ----------
    history : History
        Opened history.
    time : ndarray, s
        Consecutive sample times of it.

    Yields
    ------
    cover : ndarray, (3 samples, rollers), N
        Axial force of every roller on the cover.
    bar : ndarray, (3 samples, rollers), N
        Force on bar j, between rollers j and j + 1, positive in the sense of positive rotation.
    """
    for _, peak, sample in _pieces(history, time):
        yield cover_states(peak, sample), bar_states(peak, sample)


def bar_states(peak: np.ndarray, sample: np.ndarray) -> np.ndarray:
    """Force on every bar in the three states of each interval.

    Parameters
    ----------
    peak : ndarray, (n, rollers, 4), N
        Largest pocket forces within the intervals.
    sample : ndarray, (n, rollers, 4), N
        Pocket forces at their ends.

    Returns
    -------
    ndarray, (3 n, rollers)
        N.
    """
    forward = peak[:, :, LEADING]
    backward = np.roll(peak[:, :, TRAILING], -1, axis=1)
    first = np.where(forward > 0.0, forward, -backward)
    second = np.where(backward > 0.0, -backward, forward)
    third = sample[:, :, LEADING] - np.roll(sample[:, :, TRAILING], -1, axis=1)
    return _in_turn(first, second, third)


def cover_states(peak: np.ndarray, sample: np.ndarray) -> np.ndarray:
    """Axial force of every roller on the cover in the three states of each interval.

    Parameters
    ----------
    peak : ndarray, (n, rollers, 4), N
        Largest pocket forces within the intervals.
    sample : ndarray, (n, rollers, 4), N
        Pocket forces at their ends.

    Returns
    -------
    ndarray, (3 n, rollers)
        N.
    """
    return _in_turn(peak[:, :, COVER], peak[:, :, COVER], sample[:, :, COVER])


def _in_turn(*states: np.ndarray) -> np.ndarray:
    """The states of each interval one after the other."""
    return np.stack(states, axis=1).reshape(-1, states[0].shape[1])


def _pieces(history, time: np.ndarray) -> Iterator[tuple[int, np.ndarray, np.ndarray]]:
    """Number of the first sample, largest and sampled pocket forces, piece by piece."""
    step = max(50, 20000 // history.roller_count)
    for first in range(0, len(time), step):
        part = time[first : first + step]
        # Samples with start <= time < end: the next sample is out, half an interval is enough.
        end = part[-1] + 0.5 * (time[1] - time[0])
        peak = history.window("pocket_force", part[0], end, group="peak")
        sample = history.window("pocket_force", part[0], end)
        if peak.shape != (len(part), history.roller_count, 4) or sample.shape != peak.shape:
            raise RollsimError("The pocket forces of the history do not fit its time and rollers.")
        # Contact forces do not pull; rounding in the file may leave a tiny negative number.
        yield first, np.maximum(peak, 0.0), np.maximum(sample, 0.0)


def _check_length(samples: int, settle: float, end: float) -> None:
    """Refuse a verdict on next to nothing."""
    if samples < LEAST_SAMPLES:
        raise RollsimError(
            f"A fatigue verdict needs at least {LEAST_SAMPLES} samples after the settling time of"
            f" {settle:g} s; {samples} usable ones are there (up to {end:g} s). Run longer, or set"
            " a shorter duty.settle_s in the case."
        )
