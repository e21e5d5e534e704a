"""How far a run is, read from outside without disturbing it."""

import json
import os
from datetime import UTC, datetime
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.attributes import read_attributes
from rollsim.history.black_box import black_box_path
from rollsim.history.files import checksum_of
from rollsim.history.locks import is_held, read_note
from rollsim.history.reader import open_history
from rollsim.history.segments import last_whole_segment, opened_segment, parts_folder
from rollsim.history.sidecar import FAILED, FINISHED, RUNNING, STOPPED, is_of, read_sidecar
from rollsim.history.totals import time_left

_ENERGY = ("heat", "energy_residual")
INTERRUPTED = "interrupted"
_INTERRUPTED = "interrupted: the process that computed it has ended"


def status_summary(path):
    """Progress of a run, from its finished file or from its last whole block alone.

    What the file beside the blocks (`rollsim.history.sidecar`) adds is taken where it fits them.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    dict
        state ("running", "stopped", "failed", "finished", or "interrupted" where the process was
        killed), status (the same in words), simulated_s, duration_s, share_done (0 to 1),
        wall_time_s (computing time so far), time_left_s (at the speed so far; None when unknown, 0
        when nothing is left), peak_pocket_force_N (largest so far after settling),
        energy_unexplained_share (what the energy balance leaves over, over the heat; None without
        heat), blocks, last_write (ISO time, UTC), process (dict with pid, host, started of a run
        that goes on or was killed, or with left and ended of one that was stopped; empty when
        none), black_box (path of the black box of a failed run, or None), machine_changes (list of
        dicts: from_s, differing), steps, rejected (taken and refused so far; None when not
        counted), speed (simulated s per s of computing in the last block; None when unknown),
        message (the last thing that the run said; empty when unknown).

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
    segment = last_whole_segment(folder)
    if segment is None:
        return _not_begun(path, folder, note, held)
    try:
        with opened_segment(segment) as file:
            attributes = read_attributes(file)
            reached = float(file["quality/end_time"][-1])
            left_over = _left_over(file["quality"])
        written = os.stat(segment).st_mtime
    except OSError:
        return _finished(path)  # merged and removed since the look above
    summary = _summary(attributes, reached, written, left_over)
    blocks = int(segment.stem.split("_")[1]) + 1
    own = {"blocks": blocks, **_beside(folder, checksum_of(segment), note, held)}
    return {**summary, **own, "process": note}


def _beside(folder, last_block, note, held):
    """State of a run without a finished file, and what the file beside the blocks adds."""
    found = read_sidecar(folder, last_block)
    if found and held and not is_of(found, note):
        found = None  # left by an earlier process; the one at work has not written yet
    state, words = _running(held, note, found)
    more = {} if found is None else {"speed": found["speed"], "message": found["message"]}
    return {"state": state, "status": words, **more}


def _running(held, note, beside):
    """State of a run that has no finished file yet, in one word and in words."""
    state, why = (beside["state"], beside["why"]) if beside else (None, "")
    if held:
        merging = ": all blocks are computed and being merged" if state == FINISHED else ""
        return RUNNING, RUNNING + merging
    if note.get("left"):
        return STOPPED, f"interrupted: stopped {note['left']}"
    if note and beside and not is_of(beside, note):
        return INTERRUPTED, _INTERRUPTED  # another process took over and was killed
    told = {
        STOPPED: (STOPPED, f"interrupted: stopped {why}"),
        FAILED: (FAILED, f"interrupted: failed: {why}"),
        FINISHED: (INTERRUPTED, "interrupted: all blocks are computed, merging was cut short"),
    }
    return told.get(state, (INTERRUPTED, _INTERRUPTED))


def _finished(path):
    """Progress of a run with a finished file."""
    with open_history(path) as history:
        quality = history.quality()
        reached = float(quality["end_time"][-1])
        written = os.stat(path).st_mtime
        summary = _summary(history.attributes, reached, written, _left_over(quality))
        blocks = len(quality["end_time"])
        state = FINISHED if history.status == FINISHED else FAILED
    own = {
        "state": state,
        "status": history.status,
        "time_left_s": 0.0,
        "blocks": blocks,
        "process": {},
    }
    for name in ("steps", "rejected"):
        own[name] = int(quality[name].sum()) if name in quality else None
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
    return {**summary, "blocks": 0, **_beside(folder, "", note, held), "process": note}


def _left_over(quality):
    """Share of the heat that the energy balance leaves unexplained; None without heat."""
    if any(name not in quality for name in _ENERGY):
        return None
    heat, residual = (float(quality[name][-1]) for name in _ENERGY)
    return abs(residual) / heat if heat > 0.0 else None


def _summary(attributes, reached, written, left_over):
    """Numbers that a finished and an unfinished run have in common."""
    duration = attributes.get("duration_s")
    wall_time = float(attributes.get("wall_time_s", 0.0))
    share = min(reached / duration, 1.0) if duration else None
    return {
        "state": "",
        "status": "",
        "simulated_s": reached,
        "duration_s": duration,
        "share_done": share,
        "wall_time_s": wall_time,
        "time_left_s": time_left(reached, duration, wall_time),
        "peak_pocket_force_N": float(attributes.get("largest_pocket_force_N", 0.0)),
        "energy_unexplained_share": left_over,
        "black_box": None,
        "steps": attributes.get("steps_taken"),
        "rejected": attributes.get("steps_refused"),
        "speed": None,
        "message": "",
        "machine_changes": json.loads(attributes.get("machine_changes", "[]")),
        "last_write": datetime.fromtimestamp(written, UTC).isoformat(timespec="seconds"),
    }
