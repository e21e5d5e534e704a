"""One computed block of a run, and the check that it fits the layout."""

from dataclasses import dataclass, field

import numpy as np

from rollsim.history.layout import CHANNELS, ROW_DIMENSION, TABLE_GROUPS, row_shape

# Without these a block can neither be placed in time nor continued from.
_NEEDED = {"history": ("time",), "peak": (), "impacts": (), "quality": ("end_time",)}


@dataclass(frozen=True)
class Block:
    """Everything that one stretch of simulated time adds to a history file.

    `history` and `peak` hold arrays with one row a sample, `impacts` arrays with one row a contact
    episode, `quality` one number a column, `checkpoint` the arrays needed to continue after the
    block (any names). Names, units and shapes are those of rollsim.history.layout. Channels may be
    left out, the same ones in every block; `peak` may leave out its `time`: it is that of
    `history`. Blocks of a whole multiple of 1000 samples are merged several times faster.
    """

    history: dict
    peak: dict = field(default_factory=dict)
    impacts: dict = field(default_factory=dict)
    quality: dict = field(default_factory=dict)
    checkpoint: dict = field(default_factory=dict)


def block_tables(block, roller_count, mode_count=0):
    """Check a block against the layout and put its arrays in the number types of the file.

    Parameters
    ----------
    block : Block
        What a run computed.
    roller_count : int
        Number of rollers.
    mode_count : int
        Number of elastic modes of the cage.

    Returns
    -------
    dict of dict of ndarray
        Group name to channel name to array.

    Raises
    ------
    ValueError
        For an unknown or missing name, a wrong shape or times that do not rise.
    """
    groups = {name: dict(getattr(block, name)) for name in TABLE_GROUPS}
    if groups["peak"]:
        groups["peak"].setdefault("time", groups["history"].get("time"))
    groups["quality"] = {name: np.atleast_1d(value) for name, value in groups["quality"].items()}
    counts = (roller_count, mode_count)
    tables = {name: _checked_group(name, arrays, counts) for name, arrays in groups.items()}
    if np.any(np.diff(tables["history"]["time"]) <= 0.0):
        raise ValueError("history/time must rise from sample to sample")
    return tables


def _checked_group(group, arrays, counts):
    """Arrays of one group in file types, all with the same number of rows."""
    unknown = sorted(set(arrays) - set(CHANNELS[group]))
    missing = [name for name in _NEEDED[group] if name not in arrays]
    if unknown or missing:
        raise ValueError(f"group {group}: unknown names {unknown}, missing names {missing}")
    table = {
        name: np.ascontiguousarray(arrays[name], dtype=channel.dtype)
        for name, channel in CHANNELS[group].items()
        if name in arrays
    }
    rows = {len(values) for values in table.values()}
    if len(rows) > 1 or (group == "quality" and rows != {1}):
        raise ValueError(f"group {group}: numbers of rows {sorted(rows)} along its dimension")
    for name, values in table.items():
        wanted = row_shape(CHANNELS[group][name], *counts)
        if values.shape[1:] != wanted:
            dims = ", ".join((ROW_DIMENSION[group], *CHANNELS[group][name].dims[1:]))
            raise ValueError(
                f"{group}/{name}: a row has the shape {values.shape[1:]}, not {wanted} ({dims})"
            )
    return table
