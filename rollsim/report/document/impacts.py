"""The hardest contacts of a run, apart in time: what the list of impacts shows."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from rollsim.history.layout import IMPACT_FACES
from rollsim.history.worked_out import once_a_history

#: Contacts with pockets and with lands in the list of a run.
POCKETS, LANDS = 7, 3
#: Two contacts of one sort in the list are this far apart at least.
APART_S = 0.005
_FIRST_LAND = IMPACT_FACES.index("land base")


class Impact(NamedTuple):
    """A contact: side (letter), time s of its peak, peak N, roller from 1 (0 for a land), face,
    approach_speed m/s, duration s, impulse N s, azimuth degrees"""

    side: str
    time: float
    peak: float
    roller: int
    face: str
    approach_speed: float
    duration: float
    impulse: float
    azimuth: float


@once_a_history
def top_impacts(history: Any, side: str = "A") -> tuple[Impact, ...]:
    """Find the hardest contacts of the cage after the settling time.

    Parameters
    ----------
    history : History
        Opened history.
    side : str
        Letter of the execution.

    Returns
    -------
    tuple of Impact
        The hardest first, 7 with pockets and 3 with lands at most; of contacts of one sort within
        5 ms only the hardest.
    """
    table = history.impacts()
    settled = table["start"] >= float(history.attributes.get("settle_s", 0.0))
    at_land = table["face"] >= _FIRST_LAND
    chosen = _hardest(table, settled & ~at_land, POCKETS) + _hardest(
        table, settled & at_land, LANDS
    )
    chosen.sort(key=lambda k: -table["peak"][k])
    rows = [{name: column[k] for name, column in table.items()} for k in chosen]
    return tuple(_impact(row, side, _peak_time(history, row)) for row in rows)


def _hardest(table: dict[str, np.ndarray], wanted: np.ndarray, most: int) -> list[int]:
    """Rows of the hardest contacts that are apart in time."""
    chosen: list[int] = []
    places = np.flatnonzero(wanted)
    for k in places[np.argsort(-table["peak"][places], kind="stable")]:
        if len(chosen) == most:
            break
        if all(_apart(table, k, other) for other in chosen):
            chosen.append(int(k))
    return chosen


def _apart(table: dict[str, np.ndarray], k: int, other: int) -> bool:
    """Whether two contacts neither overlap nor follow each other closely."""
    first, second = sorted((k, other), key=lambda one: table["start"][one])
    return table["start"][second] - table["start"][first] >= APART_S


def _peak_time(history: Any, row: dict[str, Any]) -> float:
    """End of the sampling interval in which a contact reached its peak, s.

    A contact may last for long before it becomes hard.
    """
    start, end = float(row["start"]), float(row["start"] + row["duration"])
    samples = history.samples(start, end)
    last = min(samples.stop + 1, len(history.time))
    first = min(samples.start, last - 1)
    face, roller = int(row["face"]), int(row["roller"])
    if roller < 0:
        force = history.rows("land_force", first, last, "peak")[:, face - _FIRST_LAND]
    else:
        force = history.rows("pocket_force", first, last, "peak")[:, roller, face]
    return float(history.time[first + int(np.argmax(force))])


def _impact(row: dict[str, Any], side: str, time: float) -> Impact:
    """One row of the table."""
    return Impact(
        side,
        time,
        float(row["peak"]),
        int(row["roller"]) + 1,
        IMPACT_FACES[int(row["face"])],
        float(row["approach_speed"]),
        float(row["duration"]),
        float(row["impulse"]),
        math.degrees(float(row["azimuth"]) % (2.0 * math.pi)),
    )
