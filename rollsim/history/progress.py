"""How far a run is, read from outside without disturbing it."""

import json
import os
from datetime import UTC, datetime
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.attributes import read_attributes
from rollsim.history.black_box import black_box_path
from rollsim.history.files import read_whole
from rollsim.history.locks import is_held, read_note
from rollsim.history.reader import open_history
from rollsim.history.segments import numbered_segments, opened_segment, parts_folder

_ENERGY = ("heat", "energy_residual")
_INTERRUPTED = "interrupted: the process that computed it has ended"


def status_summary(path):
    """Progress of a run, from its finished file or from its last whole block alone.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    dict
        status (text), simulated_s, duration_s, share_done (0 to 1), wall_time_s (computing time so
        far), time_left_s (at the speed so far; None when unknown, 0 when nothing is left),
        peak_pocket_force_N (largest so far after settling), energy_unexplained_share (what the
        energy balance leaves over, over the heat; None without heat), blocks, last_write (ISO
        time, UTC), process (dict with pid, host, started of a run that goes on or was killed, or
        with left and ended of one that was stopped; empty when none), black_box (path of the black
        box of a failed run, or None), machine_changes (list of dicts: from_s, differing).

    Raises
    ------
    HistoryError
        When there is no run, or it cannot be read.
    """
    path = Path(path)
    folder = parts_folder(path)
    if path.exists() or not folder.is_dir():
        return _finished(path)
    note = read_note(folder)
    held = is_held(folder)
    segment = _last_whole(folder)
    if segment is None:
        return _not_begun(path, folder, note, held)
    try:
        with opened_segment(segment) as file:
            attributes = read_attributes(file)
            reached = float(file["quality/end_time"][-1])
            left_over = _left_over({name: file[f"quality/{name}"] for name in _ENERGY})
        written = os.stat(segment).st_mtime
    except OSError:
        return _finished(path)  # merged and removed since the look above
    summary = _summary(attributes, reached, written, left_over)
    blocks = int(segment.stem.split("_")[1]) + 1
    return {**summary, "status": _running(held, note), "blocks": blocks, "process": note}


def _running(held, note):
    """Status of a run that has no finished file yet."""
    if held:
        return "running"
    return f"interrupted: stopped {note['left']}" if note.get("left") else _INTERRUPTED


def _last_whole(folder):
    """Last segment that is whole, or None."""
    segments = reversed(numbered_segments(folder).values())
    return next((path for path in segments if read_whole(path) is not None), None)


def _finished(path):
    """Progress of a run with a finished file."""
    with open_history(path) as history:
        quality = history.quality()
        reached = float(quality["end_time"][-1])
        written = os.stat(path).st_mtime
        summary = _summary(history.attributes, reached, written, _left_over(quality))
        blocks = len(quality["end_time"])
    own = {"status": history.status, "time_left_s": 0.0, "blocks": blocks, "process": {}}
    return {**summary, **own, "black_box": _black_box(path, history.status)}


def _black_box(path, status):
    """Black box of a failed run, where it has one."""
    box = black_box_path(path)
    return str(box) if status.startswith("stopped") and box.exists() else None


def _not_begun(path, folder, note, held):
    """Progress of a run that has no whole block yet."""
    if not note and not held:
        raise HistoryError(f"{path} has not been written yet: no block of it is finished.")
    summary = _summary({}, 0.0, os.stat(folder).st_mtime, None)
    return {**summary, "status": _running(held, note), "blocks": 0, "process": note}


def _left_over(quality):
    """Share of the heat that the energy balance leaves unexplained; None without heat."""
    heat, residual = (float(quality[name][-1]) for name in _ENERGY)
    return abs(residual) / heat if heat > 0.0 else None


def _summary(attributes, reached, written, left_over):
    """Numbers that a finished and an unfinished run have in common."""
    duration = attributes.get("duration_s")
    wall_time = float(attributes.get("wall_time_s", 0.0))
    share = min(reached / duration, 1.0) if duration else None
    left = None
    if duration and reached > 0.0 and wall_time > 0.0:
        left = max(duration - reached, 0.0) / reached * wall_time
    return {
        "status": "",
        "simulated_s": reached,
        "duration_s": duration,
        "share_done": share,
        "wall_time_s": wall_time,
        "time_left_s": left,
        "peak_pocket_force_N": float(attributes.get("largest_pocket_force_N", 0.0)),
        "energy_unexplained_share": left_over,
        "black_box": None,
        "machine_changes": json.loads(attributes.get("machine_changes", "[]")),
        "last_write": datetime.fromtimestamp(written, UTC).isoformat(timespec="seconds"),
    }
