"""Loads on the cage, read from a history piece by piece, in the order of `unit_loads`.

Of every sampling interval three states are used, in this order:

1. the largest forces within the interval, caught at every internal step. They push each bar forward
   (leading face of the roller behind it), or backward where nothing pushed it forward; and they
   push the cover at each pocket, or the base ring where nothing pushed the cover;
2. the same, the other way round: backward before forward, base before cover;
3. the forces at the end of the interval, so that a force returns to what it was between impacts.

The largest forces of an interval need not act at one instant. Taking them together, over bars and
pockets, gives an envelope; two impacts of one face within one interval count once. The free cage
meets such a state with the inertia of the rigid acceleration that these forces together would give
it, although it never had that acceleration: every force is balanced by the metal itself, as a real
one would be, and no support is invented. Forces that push the cage the same way (all rollers on the
cover) share its inertia and are the worse for being taken together; a force that stands against
others (rollers on the cover at one place, on the base ring at another) adds what passes between
them. Only a force that eases another one makes the envelope smaller than its parts; the third
state, whose forces did act at one instant, is there for that.

Lands push where `land_loads` says. Rubbing of rollers on pocket faces and axial forces of lands are
left out. The centrifugal field comes from the cage speed at the end of the interval, that of a
turning carrier included.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from rollsim.analysis.settled import environment_notes, recording_notes
from rollsim.errors import RollsimError
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.land_loads import LandMotion, land_columns, land_states
from rollsim.structure.cage_influence import KINDS
from rollsim.units import MM, RPM_TO_RAD_S

LEADING, TRAILING, BASE, COVER = range(4)
#: Fewest samples after the settling time that a verdict is given on.
LEAST_SAMPLES = 20
#: Blocks of a history.
BLOCKS = 8
#: States of a sampling interval.
STATES = 3


@dataclass(frozen=True)
class Span:
    """What a history offers after the settling time.

    Fields: time s (sample times used), interval s between samples, largest_cover, largest_base,
    largest_bar, largest_land N (largest force on the cover, the base ring, a bar side, and of a
    land), notes (what was left out).
    """

    time: np.ndarray
    interval: float
    largest_cover: float
    largest_bar: float
    largest_base: float
    largest_land: float
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Time covered by the samples, in s."""
        return len(self.time) * self.interval


def settled_span(history, kept: KeptPieces | None = None) -> Span:
    """Look through the pocket forces after the settling time.

    Parameters
    ----------
    history : History
        Opened history.
    kept : KeptPieces or None
        What was read of this history; more is added.

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
    end, largest = len(time), np.zeros(5)
    if history.status != "finished":
        notes.append(f"The run is not complete (status: {history.status}).")
    for first, piece in _every_piece(history, time, kept or KeptPieces()):
        good = piece.is_finite()
        stop = len(good) if good.all() else int(np.argmin(good))
        if stop:
            own = (*piece.peak[:stop].max(axis=(0, 1)), piece.motion.peak[:stop].max())
            largest = np.maximum(largest, own)
        if stop < len(good):
            end = first + stop
            notes.append(
                f"Forces on the cage are not numbers from {time[end]:.6g} s on; that part is left"
                " out."
            )
            break
    _check_length(end, settle, float(time[min(end, len(time) - 1)]))
    bar = max(largest[LEADING], largest[TRAILING])
    found = (largest[COVER], bar, largest[BASE], largest[-1])
    return Span(time[:end], interval, *(float(value) for value in found), tuple(notes))


def blocks_of(time: np.ndarray) -> list[np.ndarray]:
    """Blocks of a history, whose scatter tells how sure a verdict is.

    Parameters
    ----------
    time : ndarray, s
        Consecutive sample times.

    Returns
    -------
    list of ndarray
        Eight of nearly equal length, fewer where they would be too short to judge.
    """
    return np.array_split(time, max(1, min(BLOCKS, len(time) // LEAST_SAMPLES)))


def _every_piece(history, time: np.ndarray, kept: KeptPieces) -> Iterator[tuple[int, _Piece]]:
    """Number of the first sample and the forces, piece by piece, in the blocks of a verdict."""
    first = 0
    for part in blocks_of(time):
        for piece in _kept_pieces(history, part, kept):
            yield first, piece
            first += len(piece.sample)


def _kept_pieces(history, time: np.ndarray, kept: KeptPieces) -> Iterator[_Piece]:
    """Forces of a block, read once where there is room for them."""
    return kept.through(("read", float(time[0]), len(time)), lambda: _pieces(history, time))


def force_pieces(history, time: np.ndarray, kept: KeptPieces | None = None) -> Iterator[np.ndarray]:
    """Loads on the cage for given sample times, a few hundred samples at a time.

    Parameters
    ----------
    history : History
        Opened history.
    time : ndarray, s
        Consecutive sample times of it.
    kept : KeptPieces or None
        What was read of this history; more is added.

    Yields
    ------
    ndarray, (3 samples, loads)
        N, the last column (rad/s)^2; three states a sample, see above.
    """
    inside = history.case.cage.guidance == "inner_ring"
    for piece in _kept_pieces(history, time, kept or KeptPieces()):
        count = history.roller_count
        loads = np.zeros((STATES * len(piece.sample), len(KINDS) * count + 1))
        parts = {"bar": bar_states(piece.peak, piece.sample)}
        parts["cover"], parts["base"] = end_states(piece.peak, piece.sample)
        for kind, part in parts.items():
            start = KINDS.index(kind) * count
            loads[:, start : start + count] = part
        for states, rows in zip(land_states(piece.motion), range(STATES), strict=True):
            first = KINDS.index("land base radial") * count
            loads[rows::STATES, first:-1] = land_columns(piece.motion, states, count, inside)
        loads[:, -1] = np.repeat(piece.motion.speed**2, STATES)
        yield loads


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


def end_states(peak: np.ndarray, sample: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Axial forces of every roller on cover and base ring in the three states of each interval.

    Parameters
    ----------
    peak : ndarray, (n, rollers, 4), N
        Largest pocket forces within the intervals.
    sample : ndarray, (n, rollers, 4), N
        Pocket forces at their ends.

    Returns
    -------
    cover, base : ndarray, (3 n, rollers)
        N.
    """
    cover, base = peak[:, :, COVER], peak[:, :, BASE]
    only_cover = np.where(base > 0.0, 0.0, cover)
    only_base = np.where(cover > 0.0, 0.0, base)
    return (
        _in_turn(cover, only_cover, sample[:, :, COVER]),
        _in_turn(only_base, base, sample[:, :, BASE]),
    )


def _in_turn(*states: np.ndarray) -> np.ndarray:
    """The states of each interval one after the other."""
    return np.stack(states, axis=1).reshape(-1, states[0].shape[1])


class _Piece(NamedTuple):
    """Forces of a few hundred samples: largest and sampled pocket forces, lands and motion."""

    peak: np.ndarray
    sample: np.ndarray
    motion: LandMotion

    def is_finite(self) -> np.ndarray:
        """Tell for every sample whether all of it are numbers."""
        parts = (self.peak, self.sample, *self.motion)
        return np.all([np.isfinite(p).reshape(len(p), -1).all(axis=1) for p in parts], axis=0)


def piece_spans(history, time: np.ndarray) -> Iterator[tuple[float, float]]:
    """Stretches of time of a few hundred samples each.

    Parameters
    ----------
    history : History
        Opened history.
    time : ndarray, s
        Consecutive sample times of it.

    Yields
    ------
    tuple of 2 float, s
        Samples with start <= time < end belong to it.
    """
    step = _piece_length(history)
    for first in range(0, len(time), step):
        part = time[first : first + step]
        # The next sample is out: half an interval is enough.
        yield part[0], part[-1] + 0.5 * (time[1] - time[0])


def _piece_length(history) -> int:
    """Samples of a piece."""
    return max(50, 20000 // history.roller_count)


def _pieces(history, time: np.ndarray) -> Iterator[_Piece]:
    """Forces, piece by piece."""
    step = _piece_length(history)
    for number, span in enumerate(piece_spans(history, time)):
        first = number * step
        samples = min(step, len(time) - first)
        peak = history.window("pocket_force", *span, group="peak")
        sample = history.window("pocket_force", *span)
        if peak.shape != (samples, history.roller_count, 4) or sample.shape != peak.shape:
            raise RollsimError("The pocket forces of the history do not fit its time and rollers.")
        # Contact forces do not pull; rounding in the file may leave a tiny negative number.
        yield _Piece(np.maximum(peak, 0.0), np.maximum(sample, 0.0), _motion(history, span))


def _motion(history, span: tuple[float, float]) -> LandMotion:
    """Forces of the lands and where the cage stands."""
    case = history.case
    inner = case.cage.guidance == "inner_ring"
    ring = history.window("inner_position" if inner else "outer_position", *span)
    lean = history.window("cage_position", *span)[:, None, :2] - ring[:, None, :2]
    half = 0.5 * MM * (case.roller.length_mm + case.cage.base_ring_thickness_mm)
    tilt = history.window("cage_tilt", *span)
    lean = lean + np.array([-half, half])[:, None] * tilt[:, None, :]
    return LandMotion(
        history.window("land_force", *span)[:, :, :2],
        np.maximum(history.window("land_force", *span, group="peak"), 0.0),
        lean,
        history.window("cage_angle", *span),
        # In a turning carrier frame the metal feels its absolute speed.
        history.window("cage_speed", *span) + RPM_TO_RAD_S * case.duty.carrier_speed_rpm,
    )


def _check_length(samples: int, settle: float, end: float) -> None:
    """Refuse a verdict on next to nothing."""
    if samples < LEAST_SAMPLES:
        raise RollsimError(
            f"A fatigue verdict needs at least {LEAST_SAMPLES} samples after the settling time of"
            f" {settle:g} s; {samples} usable ones are there (up to {end:g} s). Run longer, or set"
            " a shorter duty.settle_s in the case."
        )
