"""Which rows and channels of a history are exported, handed over piece by piece."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from rollsim.case.problems import nearest
from rollsim.errors import HistoryError
from rollsim.history.layout import CHANNELS, COUNTED, LABELS, Channel

#: Samples that are in memory at a time, and rows of tables without samples.
_PIECE, _TABLE_PIECE = 8192, 50_000
SAMPLED = ("history", "peak")
_TIMES = {"impacts": "start", "quality": "end_time"}


@dataclass(frozen=True)
class Selection:
    """What is exported.

    Fields: names (group -> channels, without time); first, count (samples: where they begin, and
    how many rows they give); every (samples a row); start, until s (as asked for).
    """

    names: dict[str, tuple[str, ...]]
    first: int
    count: int
    every: int
    start: float
    until: float


def select(
    history: Any,
    channels: list[str] | None = None,
    start: float | None = None,
    until: float | None = None,
    every: int = 1,
) -> Selection:
    """Choose rows and channels.

    Parameters
    ----------
    history : History
        Open for reading, finished or not.
    channels : list of str or None
        Names in `history`, "peak/NAME", "impacts", "quality", or names of those columns; all when
        None.
    start, until : float or None, s
        First time that belongs to it, and first that no longer does; all when None.
    every : int
        Samples a row.

    Returns
    -------
    Selection

    Raises
    ------
    HistoryError
        A channel that the history does not have, or no row in that time.
    """
    start = -math.inf if start is None else start
    until = math.inf if until is None else until
    if channels is None:
        names = {group: history.names(group) for group in CHANNELS}
    else:
        names = _named(history, channels)
    rows = history.samples(start, until)
    count = (rows.stop - rows.start) // every
    if not count and (names.get("history") or names.get("peak")):
        times = history.time
        reach = f"{times[0]:g} to {times[-1]:g} s" if len(times) else "nothing"
        raise HistoryError(
            f"{history.path} has no {every} samples between {start:g} and {until:g} s: it holds "
            f"{reach}. Choose another stretch, or a smaller step."
        )
    return Selection(names, rows.start, count, every, start, until)


def _named(history: Any, channels: list[str]) -> dict[str, tuple[str, ...]]:
    """Channels by group, from what the user wrote."""
    found: dict[str, list[str]] = {}
    for word in channels:
        group, _, name = word.rpartition("/")
        if word in _TIMES:
            found[word] = list(history.names(word))
            continue
        group = group or "history"
        held = history.names(group) if group in CHANNELS else ()
        if name not in held:
            known = [*history.names("history"), *(f"peak/{own}" for own in history.names("peak"))]
            guess = nearest(word, [*known, *_TIMES])
            hint = f" Did you mean '{guess}'?" if guess else ""
            raise HistoryError(
                f"{history.path} has no channel '{word}'.{hint} It has: {', '.join(known)}; and "
                "the tables impacts and quality."
            )
        found.setdefault(group, []).append(name)
    return {group: tuple(dict.fromkeys(names)) for group, names in found.items()}


def sampled_pieces(
    history: Any, chosen: Selection, wanted: dict[str, tuple[str, ...]]
) -> Iterator[dict[str, dict[str, np.ndarray]]]:
    """Rows of channels with samples, piece by piece, thinned.

    Parameters
    ----------
    history : History
        Open for reading.
    chosen : Selection
        From `select`.
    wanted : dict
        Group ("history", "peak") -> channels.

    Yields
    ------
    dict
        Group -> channel -> rows in the number type of the file, `time` first. A row stands for
        `every` samples: channels of `history` at the last of them, those of `peak` the largest.
    """
    step = chosen.every
    length = step * max(1, _PIECE // step)
    end = chosen.first + chosen.count * step
    for first in range(chosen.first, end, length):
        last = min(first + length, end)
        time = history.raw("history", "time", first, last)[step - 1 :: step]
        piece = {}
        for group, names in wanted.items():
            rows = {"time": time}
            for name in names:
                if name == "time":
                    continue
                values = history.raw(group, name, first, last)
                if group == "peak":
                    rows[name] = values.reshape(-1, step, *values.shape[1:]).max(axis=1)
                else:
                    rows[name] = values[step - 1 :: step]
            piece[group] = rows
        yield piece


def table_pieces(
    history: Any, chosen: Selection, group: str, names: tuple[str, ...]
) -> Iterator[dict[str, np.ndarray]]:
    """Rows of the impacts or the blocks that lie in the time, piece by piece.

    Parameters
    ----------
    history : History
        Open for reading.
    chosen : Selection
        From `select`.
    group : str
        "impacts" or "quality".
    names : tuple of str
        Columns.

    Yields
    ------
    dict
        Column -> rows. Rollers count from 1, 0 stands for a land.
    """
    first = 0
    while True:
        times = history.raw(group, _TIMES[group], first, first + _TABLE_PIECE)
        inside = (times >= chosen.start) & (times < chosen.until)
        if inside.any():
            rows = {}
            for name in names:
                values = history.raw(group, name, first, first + _TABLE_PIECE)[inside]
                rows[name] = values + 1 if (group, name) == ("impacts", "roller") else values
            yield rows
        if len(times) < _TABLE_PIECE:
            return
        first += _TABLE_PIECE


@dataclass(frozen=True)
class Column:
    """One column of a table: name, unit, meaning, number type of the file."""

    name: str
    unit: str
    meaning: str
    dtype: str


def columns(channel: Channel, counts: dict[str, int]) -> list[Column]:
    """Columns that a channel is spread over, in the order of its numbers.

    Parameters
    ----------
    channel : Channel
        Entry of the layout.
    counts : dict
        Numbers of rollers and of modes: keys "roller", "mode".

    Returns
    -------
    list of Column

    >>> from rollsim.history.layout import CHANNELS
    >>> [own.name for own in columns(CHANNELS["history"]["cage_position"], {})]
    ['cage_position_x', 'cage_position_y', 'cage_position_z']
    """
    unit = "-" if channel.unit == "1" else channel.unit
    meaning = channel.meaning.replace("; -1 for a land", ", from 1; 0 for a land")
    labels = [_labels(name, counts) for name in channel.dims[1:]]
    return [
        Column("_".join((channel.name, *place)), unit, meaning, channel.dtype)
        for place in product(*labels)
    ]


def _labels(dimension: str, counts: dict[str, int]) -> list[str]:
    """Words along a dimension; what is counted counts from 1."""
    if dimension not in COUNTED:
        return [label.replace(" ", "_") for label in LABELS[dimension]]
    return [f"{dimension}_{number:02d}" for number in range(1, counts[dimension] + 1)]
