"""What recordings ask for: their own samples over the stretch that is looked at."""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError
from rollsim.model.recording.replay import build_replays
from rollsim.signals.measure import measure_beside

#: Largest recordings of a history that are read again to be compared with its channel, bytes.
LARGEST_READ_AGAIN = 100e6


@dataclass(frozen=True)
class Recorded:
    """Recordings of a case, measured like what is applied, before they are resampled.

    wave: array (lines, 3), complex, m/s2, cosine and i times sine of every line; band_power: array
    (3, bands), power: array (3,), (m/s2)2, of the rest; kurtosis: array (3,) of the rest, NaN
    where several recordings act together; frequency, density: arrays, Hz, and (3, m),
    (m/s2)2/Hz, of the rest.
    """

    wave: np.ndarray
    band_power: np.ndarray
    power: np.ndarray
    kurtosis: np.ndarray
    frequency: np.ndarray
    density: np.ndarray


def recorded_bands(case, measures, kept) -> tuple[Recorded | None, list[str]]:
    """What the recordings of a case hold over the stretch of a look.

    Parameters
    ----------
    case : Case
        The case.
    measures : Measures
        Of what is applied.
    kept : sequence of Kept
        Samples of its recordings.

    Returns
    -------
    tuple of Recorded or None, and list of str
        None, and why, where they cannot be compared.
    """
    if not kept:
        return None, []
    if measures.start < case.duty.ramp_s * (1.0 - 1e-9):
        return None, ["The look begins within the fade-in: recordings are not compared."]
    parts = [item.part(measures.start, measures.end) for item in kept]
    if any(part is None for part in parts):
        longest = min(item.longest for item in kept) - measures.start
        return None, [
            "Only the start of the recording is kept to be compared with what is applied: look at"
            f" {max(longest, 0.0):.4g} s or less."
        ]
    found = [measure_beside(*part, measures) for part in parts]
    # Recordings together are taken as independent; the first one's frequencies serve for all.
    density = sum(
        np.array([np.interp(found[0].frequency, own.frequency, axis) for axis in own.density])
        for own in found
    )
    alone = len(found) == 1
    return (
        Recorded(
            sum(own.cosine + 1j * own.sine for own in found),
            sum(own.band_rms**2 for own in found),
            sum(own.rest_rms**2 for own in found),
            found[0].rest_kurtosis if alone else np.full(3, np.nan),
            found[0].frequency,
            density,
        ),
        [],
    )


def rests_on_recordings(history):
    """Tell whether a look compares with recordings, which may come and go beside a history.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    bool
    """
    return bool(json.loads(history.attributes.get("recordings", "[]")))


def recordings_of(history) -> tuple[list, list[str]]:
    """Samples of the recordings that a run replayed, read again.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    tuple of list of Kept, and list of str
        Nothing, and why, where they are not there as they were, or too large.
    """
    records = json.loads(history.attributes.get("recordings", "[]"))
    size = sum(item["size_bytes"] for item in records)
    if not records:
        return [], []
    if size > LARGEST_READ_AGAIN:
        return [], [
            f"The recording has {1e-6 * size:.0f} MB and is not read again: `rollsim vibration` of"
            " the case compares it with what is applied."
        ]
    # Loads the equations of motion, which no other look at a history needs.
    from rollsim.sweep.reproduce import ReproduceOptions, stored_case

    try:
        case = stored_case(history, ReproduceOptions())
        replays = build_replays(case, 0.0)
    except RollsimError:
        names = ", ".join(item["file"] for item in records)
        return [], [
            f"The recording is not there as it was ({names}), so that it is not compared with what"
            " was applied."
        ]
    return [replay.summary.kept for replay in replays], []
