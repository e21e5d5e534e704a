"""The impact table as a text file for spreadsheets."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np

from rollsim.analysis.contacts import contact_name
from rollsim.errors import RollsimError

_COLUMNS = (
    "face", "roller", "start", "duration", "peak", "impulse", "approach_speed", "azimuth",
)  # fmt: skip
HEADER = (
    "contact,roller_from_1,start_s,duration_s,peak_N,impulse_N_s,"
    "approach_speed_m_per_s,azimuth_deg,settled"
)
_ROWS_AT_ONCE = 50000


def write_impacts_csv(history, path: str | Path) -> Path:
    """Write every contact episode as one line of a CSV file.

    Columns: contact (face of the pocket, or land), roller (counted from 1 as its column says, while
    the history file counts from 0; empty for a land), start (s), duration (s), peak (N), impulse
    (N s), approach speed (m/s), azimuth (degrees, 0..360), settled (yes when the episode begins
    after the settling time). The file appears whole or not at all.

    Parameters
    ----------
    history : History
        Opened history file.
    path : str or Path
        File to write.

    Returns
    -------
    Path

    Raises
    ------
    RollsimError
        The file cannot be written.
    """
    path = Path(path)
    beside = path.with_name(path.name + ".tmp")
    columns = history.impacts()
    table = {name: np.asarray(columns[name]) for name in _COLUMNS}
    settle = float(history.attributes.get("settle_s", 0.0))
    try:
        with open(beside, "w", encoding="ascii", newline="\n") as stream:
            stream.write(HEADER + "\n")
            for first in range(0, len(table["start"]), _ROWS_AT_ONCE):
                part = {name: c[first : first + _ROWS_AT_ONCE] for name, c in table.items()}
                stream.write(_lines(part, settle))
        os.replace(beside, path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise RollsimError(f"'{path}' cannot be written: {error.strerror}.") from error
    return path


def _lines(table: dict[str, np.ndarray], settle: float) -> str:
    """Format a part of the table."""
    azimuth = np.degrees(np.mod(np.asarray(table["azimuth"], dtype=float), 2.0 * np.pi))
    columns = (
        [contact_name(int(face)) for face in table["face"]],
        ["" if roller < 0 else str(roller + 1) for roller in table["roller"].tolist()],
        [f"{value:.9g}" for value in table["start"].tolist()],
        [f"{value:.6g}" for value in table["duration"].tolist()],
        [f"{value:.6g}" for value in table["peak"].tolist()],
        [f"{value:.6g}" for value in table["impulse"].tolist()],
        [f"{value:.6g}" for value in table["approach_speed"].tolist()],
        [f"{value:.3f}" for value in azimuth.tolist()],
        ["yes" if start >= settle else "no" for start in table["start"].tolist()],
    )
    return "".join(",".join(row) + "\n" for row in zip(*columns, strict=True))
