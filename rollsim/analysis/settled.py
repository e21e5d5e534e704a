"""The part of a history that counts: after the settling time, up to the first bad number."""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError

FACES = ("leading", "trailing", "base", "cover")
LANDS = ("base", "cover")
# Numbers in the `face` column of the impact table that mean a land.
LAND_FACES = (4, 5)
MINIMUM_SAMPLES = 20
# The default of `output.episode_threshold_N`, used where the case of a history cannot be read.
FALLBACK_THRESHOLD = 1.0


@dataclass(frozen=True)
class Window:
    """Samples that an evaluation uses.

    Attributes
    ----------
    first, last : int
        Sample numbers, `last` is not included.
    start, end : float, s
        Time of the first and of the last used sample.
    notes : tuple of str
        What was left out, in plain words.
    """

    first: int
    last: int
    start: float
    end: float
    notes: tuple[str, ...]

    @property
    def slice(self) -> slice:
        """The window as a slice of samples."""
        return slice(self.first, self.last)

    @property
    def duration(self) -> float:
        """Length in s."""
        return self.end - self.start


def settled_window(history, *series: np.ndarray) -> Window:
    """Return the samples after the settling time for which all series hold numbers.

    A run that failed leaves NaN from some instant on: everything from the first such instant is
    left out, with a note.

    Parameters
    ----------
    history : History
        Opened history file.
    *series : ndarray (time, ...)
        Channels, over the whole time grid, that must be finite.

    Returns
    -------
    Window

    Raises
    ------
    RollsimError
        Too little is left.
    """
    time = np.asarray(history.time, dtype=float)
    settle = float(history.attributes.get("settle_s", 0.0))
    first, last, _ = history.settled.indices(len(time))
    notes = [*_status_notes(history), *environment_notes(history), *recording_notes(history)]
    good = np.isfinite(time[first:last])
    for values in series:
        part = np.asarray(values)[first:last]
        # A sum is finite only where all its terms are; cheaper than a mask of the full array.
        good &= np.isfinite(part.sum(axis=tuple(range(1, part.ndim))))
    bad = np.flatnonzero(~good)
    if bad.size:
        notes.append(
            f"The history holds values that are not numbers from {time[first + bad[0]]:.6g} s on;"
            " that part was left out."
        )
        last = first + int(bad[0])
    _check_length(time, settle, last - first, bool(bad.size))
    return Window(first, last, float(time[first]), float(time[last - 1]), tuple(notes))


def _status_notes(history) -> list[str]:
    """Say when the run has not come to its end."""
    status = str(history.status)
    if status == "finished":
        return []
    return [f"The run is not complete (status: {status}); the numbers cover what is there."]


def environment_notes(history) -> list[str]:
    """Say which published environments a run used and how sure their numbers are.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    list of str
        One sentence an environment.
    """
    records = json.loads(history.attributes.get("environments", "[]"))
    return [
        f"Vibration environment {record['name']}: {record['source']}; {record['basis']}"
        + (f"; {record['note']}." if record["note"] else ".")
        for record in records
    ]


def recording_notes(history) -> list[str]:
    """Say which recordings a run replayed, and what was amiss with them.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    list of str
        One sentence a recording, then its warnings.
    """
    notes = []
    for item in json.loads(history.attributes.get("recordings", "[]")):
        notes.append(
            f"Recording {item['file']} ({item['size_bytes']} bytes, SHA-256 {item['sha256']}): "
            f"{item['length_s']:.6g} s at {item['rate_Hz']:.6g} Hz, replayed up to "
            f"{item['band_edge_Hz']:.6g} Hz ({item['repeat']})."
        )
        notes += item["warnings"]
    return notes


def _check_length(time: np.ndarray, settle: float, samples: int, damaged: bool) -> None:
    """Refuse an evaluation of next to nothing, with a plain reason."""
    if samples >= MINIMUM_SAMPLES:
        return
    end = float(time[-1]) if len(time) else 0.0
    if damaged:
        raise RollsimError(
            f"Only {samples} usable samples lie between the settling time ({settle:g} s) and the"
            " first value that is not a number. The run failed; there is nothing to evaluate."
        )
    raise RollsimError(
        f"The history ends at {end:g} s and statistics begin after the settling time of"
        f" {settle:g} s: {samples} samples are left and at least {MINIMUM_SAMPLES} are needed."
        " Run longer, or set a shorter duty.settle_s in the case."
    )


def attribute(history, name: str) -> float:
    """Return a number from the root attributes.

    Parameters
    ----------
    history : History
        Opened history file.
    name : str
        Attribute.

    Returns
    -------
    float
        NaN where the attribute is missing or is no number.
    """
    try:
        return float(history.attributes.get(name, np.nan))
    except (TypeError, ValueError):
        return float("nan")


def contact_threshold(history) -> float:
    """Return the force from which a contact is counted.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    float, N
    """
    try:
        return float(history.case.output.episode_threshold_N)
    except RollsimError:
        return FALLBACK_THRESHOLD


def case_name(history) -> str:
    """Return the name of the case that made a history.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    str
    """
    return str(history.attributes.get("case_name", "unnamed case"))


@dataclass(frozen=True)
class AssumedValue:
    """A value that the user did not give.

    Attributes
    ----------
    key : str
        Key of the case file.
    value : str
        The value with its unit, in words where it is no number.
    effect : str
        What it does to the results; empty where that is not known.
    """

    key: str
    value: str
    effect: str

    @property
    def line(self) -> str:
        """Key and value."""
        return f"{self.key} = {self.value}"


def assumed_values(history) -> tuple[AssumedValue, ...]:
    """Return the values that the user did not give.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    tuple of AssumedValue
    """
    raw = history.attributes.get("assumptions", "[]")
    try:
        items = json.loads(raw) if isinstance(raw, str | bytes) else list(raw)
        return tuple(
            AssumedValue(str(item["key"]), _value_words(item), item.get("effect") or "")
            for item in items
        )
    except (TypeError, ValueError, KeyError, AttributeError):
        return ()


def assumption_lines(history) -> tuple[str, ...]:
    """Return the values that the user did not give, one plain line each, with their effect.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    tuple of str
    """
    return tuple(
        f"{item.line} ({item.effect})" if item.effect else item.line
        for item in assumed_values(history)
    )


def _value_words(item: dict) -> str:
    """Write a value with its unit; what has no value yet is told in words."""
    value, unit = item["value"], item.get("unit") or ""
    if value is None:
        why = str(item.get("why") or "")
        how = why.removeprefix("computed:").strip()
        return f"computed: {how}" if how else "computed"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        words = ", ".join(_plain_word(part) for part in value) or "none"
    else:
        words = _plain_word(value) or "none"
    return f"{words} {unit}".rstrip()


def _plain_word(value) -> str:
    """Write a number without needless digits, anything else as it is."""
    return f"{value:g}" if isinstance(value, float) else str(value)
