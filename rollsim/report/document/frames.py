"""Frames of the motion player: the whole run in steps, and stretches round the top impacts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from rollsim.analysis.chunks import CHUNK, rows_at
from rollsim.report.document.impacts import Impact

#: Frames over the whole run, and of the stretch round an impact.
OVERVIEW, ROUND = 160, 25
#: Time before and after the start of an impact, s.
BEFORE_S, AFTER_S = 0.0020, 0.0028
_AXES = 2


@dataclass(frozen=True)
class Plan:
    """Times that the player shows.

    Fields: times (s, ascending, without repeats); overview (numbers of the times that cover the
    whole run); stretches (numbers of the times round each impact, in the order of the impacts).
    """

    times: np.ndarray
    overview: np.ndarray
    stretches: tuple[np.ndarray, ...]


def plan_frames(histories: Sequence[Any], impacts: Sequence[Impact]) -> Plan:
    """Choose the times of the frames, the same for all histories.

    Parameters
    ----------
    histories : sequence of History
        One or two.
    impacts : sequence of Impact
        Impacts to look at closely.

    Returns
    -------
    Plan
        Every time is a sample of the first history that holds one there.
    """
    longest = max(histories, key=lambda history: float(history.time[-1]))
    time = np.asarray(longest.time)
    whole = np.unique(np.rint(np.linspace(0, len(time) - 1, OVERVIEW)).astype(int))
    near = [_near(time, impact.time) for impact in impacts]
    every = np.unique(np.concatenate([whole, *near]))
    return Plan(
        time[every],
        np.searchsorted(every, whole),
        tuple(np.searchsorted(every, own) for own in near),
    )


def _near(time: np.ndarray, start: float) -> np.ndarray:
    """Samples round an impact: all of them, or evenly chosen ones where there are many."""
    first, last = np.searchsorted(time, [start - BEFORE_S, start + AFTER_S])
    last = max(int(last), int(first) + 2)
    first, last = max(0, min(int(first), len(time) - 2)), min(last, len(time))
    return np.unique(np.rint(np.linspace(first, last - 1, ROUND)).astype(int))


def read_frames(history: Any, plan: Plan, shapes: Any) -> dict[str, np.ndarray]:
    """Places and forces at the planned times.

    Parameters
    ----------
    history : History
        Opened history.
    plan : Plan
        Of `plan_frames`.
    shapes : Shapes
        Sizes of its bearing.

    Returns
    -------
    dict of ndarray
        One row a frame. valid: 1 where the run reaches; cage, inner um (x, y) from the centre of
        the outer ring; cage_angle, inner_angle rad within a turn; roller um (roller, 2): how far
        each stands from the middle of its pocket on a cage in the centre, outward and ahead;
        raceway N (roller: outer, inner), pocket N (roller, face): the largest since the frame
        before; land N (land: x, y).
    """
    samples = np.clip(_nearest(history.time, plan.times), 0, len(history.time) - 1)
    reach = plan.times <= float(history.time[-1]) + 1e-9
    found = _places(history, samples, shapes)
    found |= _forces(history, samples)
    return {"valid": reach.astype(float)} | found


def _nearest(time: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Numbers of the samples nearest to times."""
    after = np.clip(np.searchsorted(time, wanted), 1, len(time) - 1)
    return np.where(wanted - time[after - 1] < time[after] - wanted, after - 1, after)


def _places(history: Any, samples: np.ndarray, shapes: Any) -> dict[str, np.ndarray]:
    """Where everything stands, counted from the outer ring."""
    outer = np.zeros((len(samples), _AXES))
    if "outer_position" in history.names():
        outer = rows_at(history, "outer_position", samples)[:, :_AXES]
    cage = rows_at(history, "cage_position", samples)[:, :_AXES] - outer
    inner = rows_at(history, "inner_position", samples)[:, :_AXES] - outer
    angle = rows_at(history, "cage_angle", samples)
    roller = rows_at(history, "roller_position", samples)[:, :, :_AXES] - outer[:, None]
    pocket = angle[:, None] + 2.0 * np.pi * np.arange(shapes.count) / shapes.count
    out = np.stack([np.cos(pocket), np.sin(pocket)], axis=2)
    ahead = np.stack([-out[:, :, 1], out[:, :, 0]], axis=2)
    off = roller - 1e-3 * shapes.pitch * out
    local = np.stack([(off * out).sum(axis=2), (off * ahead).sum(axis=2)], axis=2)
    return {
        "cage": 1e6 * cage,
        "inner": 1e6 * inner,
        "cage_angle": np.mod(angle, 2.0 * np.pi),
        "inner_angle": np.mod(rows_at(history, "inner_angle", samples), 2.0 * np.pi),
        "roller": 1e6 * local,
    }


def _forces(history: Any, samples: np.ndarray) -> dict[str, np.ndarray]:
    """Largest forces since the frame before; the player takes the largest of those it skips."""
    land = rows_at(history, "land_force", samples)[:, :, :_AXES]
    size = np.linalg.norm(land, axis=2, keepdims=True)
    peak = rows_at(history, "land_force", samples, "peak")[:, :, None]
    land = np.where(size > 0.0, land / np.maximum(size, 1e-12) * np.maximum(size, peak), 0.0)
    return {
        "raceway": _largest(history, "raceway_force", samples),
        "pocket": _largest(history, "pocket_force", samples),
        "land": land,
    }


def _largest(history: Any, name: str, samples: np.ndarray) -> np.ndarray:
    """Largest values of a channel since the frame before, read once, in pieces."""
    steps = np.maximum.accumulate(samples)
    found = rows_at(history, name, samples, "peak")
    for first in range(int(steps[0]), int(steps[-1]) + 1, CHUNK):
        rows = history.rows(name, first, min(first + CHUNK, int(steps[-1]) + 1), "peak")
        # Frame k stands for the samples after that of frame k - 1 and up to its own.
        owner = np.searchsorted(steps, np.arange(first, first + len(rows)))
        starts = np.flatnonzero(np.diff(owner, prepend=-1))
        np.maximum.at(found, owner[starts], np.maximum.reduceat(rows, starts, axis=0))
    return found
