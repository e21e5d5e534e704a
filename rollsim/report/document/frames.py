"""Frames of the motion player: the whole run in steps, and stretches round the top impacts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from rollsim.analysis.chunks import CHUNK, rows_at
from rollsim.history.worked_out import once_a_history
from rollsim.report.document.impacts import Impact

#: Frames over the whole run, and of the stretch round an impact.
OVERVIEW, ROUND = 160, 25
#: Time before and after the start of an impact, s.
BEFORE_S, AFTER_S = 0.0020, 0.0028
_AXES = 2
_PLACES = (
    "outer_position", "cage_position", "inner_position", "cage_angle", "roller_position",
    "inner_angle",
)  # fmt: skip
_FORCES = ("raceway_force", "pocket_force")


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
    whole = overview_samples(longest)
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


def overview_samples(history: Any) -> np.ndarray:
    """Samples that cover the whole run.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    ndarray of int
        Ascending, the first and the last sample among them.
    """
    return np.unique(np.rint(np.linspace(0, len(history.time) - 1, OVERVIEW)).astype(int))


@once_a_history
def overview_rows(history: Any, name: str, group: str = "history") -> np.ndarray:
    """Rows of a channel at the samples of the overview.

    Parameters
    ----------
    history : History
        Opened history.
    name : str
        Channel.
    group : str
        "history" or "peak".

    Returns
    -------
    ndarray
        One row a sample.
    """
    return rows_at(history, name, overview_samples(history), group)


@once_a_history
def overview_maxima(history: Any, name: str) -> np.ndarray:
    """Largest values of a channel since the overview sample before.

    Parameters
    ----------
    history : History
        Opened history.
    name : str
        Channel of the group "peak".

    Returns
    -------
    ndarray
        One row a sample of the overview.
    """
    return _largest_since(history, name, overview_samples(history))


def keep_overview(history: Any) -> None:
    """Work out what the player needs of a run whatever its impacts are.

    Parameters
    ----------
    history : History
        Opened history that keeps results.
    """
    for name in (*_PLACES, "land_force"):
        if name in history.names():
            overview_rows(history, name)
    overview_rows(history, "land_force", "peak")
    for name in _FORCES:
        overview_maxima(history, name)


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
        outer = _rows(history, "outer_position", samples)[:, :_AXES]
    cage = _rows(history, "cage_position", samples)[:, :_AXES] - outer
    inner = _rows(history, "inner_position", samples)[:, :_AXES] - outer
    angle = _rows(history, "cage_angle", samples)
    roller = _rows(history, "roller_position", samples)[:, :, :_AXES] - outer[:, None]
    pocket = angle[:, None] + 2.0 * np.pi * np.arange(shapes.count) / shapes.count
    out = np.stack([np.cos(pocket), np.sin(pocket)], axis=2)
    ahead = np.stack([-out[:, :, 1], out[:, :, 0]], axis=2)
    off = roller - 1e-3 * shapes.pitch * out
    local = np.stack([(off * out).sum(axis=2), (off * ahead).sum(axis=2)], axis=2)
    return {
        "cage": 1e6 * cage,
        "inner": 1e6 * inner,
        "cage_angle": np.mod(angle, 2.0 * np.pi),
        "inner_angle": np.mod(_rows(history, "inner_angle", samples), 2.0 * np.pi),
        "roller": 1e6 * local,
    }


def _forces(history: Any, samples: np.ndarray) -> dict[str, np.ndarray]:
    """Largest forces since the frame before; the player takes the largest of those it skips."""
    land = _rows(history, "land_force", samples)[:, :, :_AXES]
    size = np.linalg.norm(land, axis=2, keepdims=True)
    peak = _rows(history, "land_force", samples, "peak")[:, :, None]
    land = np.where(size > 0.0, land / np.maximum(size, 1e-12) * np.maximum(size, peak), 0.0)
    return {
        "raceway": _largest(history, "raceway_force", samples),
        "pocket": _largest(history, "pocket_force", samples),
        "land": land,
    }


def _rows(history: Any, name: str, samples: np.ndarray, group: str = "history") -> np.ndarray:
    """Rows at samples, those of the overview as they are kept."""
    known = overview_samples(history)
    place = np.minimum(np.searchsorted(known, samples), len(known) - 1)
    there = known[place] == samples
    kept = overview_rows(history, name, group)
    found = np.empty((len(samples), *kept.shape[1:]))
    found[there] = kept[place[there]]
    if not there.all():
        found[~there] = rows_at(history, name, samples[~there], group)
    return found


def _largest(history: Any, name: str, samples: np.ndarray) -> np.ndarray:
    """Largest values of a channel since the frame before.

    What lies between two samples of the overview is kept; only stretches round impacts are read.
    """
    steps = np.maximum.accumulate(samples)
    known = overview_samples(history)
    place = np.minimum(np.searchsorted(known, steps), len(known) - 1)
    before = np.append(-1, steps[:-1])
    # A frame that ends an interval of the overview which no other frame divides.
    whole = (known[place] == steps) & (before == np.append(-1, known[:-1])[place])
    kept = overview_maxima(history, name)
    found = np.empty((len(steps), *kept.shape[1:]))
    found[whole] = kept[place[whole]]
    rest = np.flatnonzero(~whole)
    for run in np.split(rest, np.flatnonzero(np.diff(rest) > 1) + 1):
        if len(run):
            found[run] = _largest_since(history, name, steps[run], int(before[run[0]]) + 1)
    return found


def _largest_since(
    history: Any, name: str, steps: np.ndarray, first: int | None = None
) -> np.ndarray:
    """Largest values since the sample before, ascending; the first one since `first`, or alone."""
    first = int(steps[0]) if first is None else min(first, int(steps[0]))
    found = rows_at(history, name, steps, "peak")
    for begin in range(first, int(steps[-1]) + 1, CHUNK):
        rows = history.rows(name, begin, min(begin + CHUNK, int(steps[-1]) + 1), "peak")
        # Frame k stands for the samples after that of frame k - 1 and up to its own.
        owner = np.searchsorted(steps, np.arange(begin, begin + len(rows)))
        starts = np.flatnonzero(np.diff(owner, prepend=-1))
        np.maximum.at(found, owner[starts], np.maximum.reduceat(rows, starts, axis=0))
    return found
