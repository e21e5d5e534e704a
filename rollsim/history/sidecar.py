"""A small file beside the blocks of a run that says how it goes: JSON, replaced at every block.

It is a hint and no record: it is believed where it fits the last whole block, which it names by its
checksum, and whether its process lives is told by the lock alone.
"""

import hashlib
import json
import math
import os
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from rollsim.history.files import remove_quietly

FORMAT = "rollsim status"
FORMAT_VERSION = 1
RUNNING, STOPPED, FAILED, FINISHED = STATES = ("running", "stopped", "failed", "finished")
_NAME = "status.json"
_LARGEST = 1 << 16
_NUMBERS = ("blocks", "simulated_s", "wall_time_s", "peak_pocket_force_N")
_MAYBE = ("duration_s", "speed", "time_left_s", "steps", "rejected")


def sidecar_path(folder):
    """Name of the file.

    Parameters
    ----------
    folder : str or Path
        Folder of the segments.

    Returns
    -------
    Path
    """
    return Path(folder) / _NAME


def write_sidecar(folder, content):
    """Replace the file, whole or not at all; a disk that refuses does not disturb the run.

    Parameters
    ----------
    folder : Path
        Folder of the segments.
    content : dict
        state (one of STATES), why, message, process (dict with pid, host, started), last_block
        (checksum of the last block, empty before the first), and the numbers blocks, simulated_s,
        duration_s, wall_time_s, speed (simulated s per s of computing in the last block),
        time_left_s, peak_pocket_force_N, steps, rejected (since the start of the run).
    """
    written = datetime.now(UTC).isoformat(timespec="seconds")
    own = {"format": FORMAT, "format_version": FORMAT_VERSION, **content, "written": written}
    own = {name: _plain(value) for name, value in own.items()}
    target = sidecar_path(folder)
    temporary = Path(f"{target}.tmp")
    try:
        text = json.dumps({**own, "sha256": _sum(own)}, indent=1)
        temporary.write_text(text + "\n", encoding="utf-8")
        os.replace(temporary, target)
    except OSError:
        remove_quietly(temporary)


def _plain(value):
    """A number that strict JSON takes: None where it is not finite."""
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _sum(content):
    """Checksum of everything else in the file."""
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def read_sidecar(folder, last_block):
    """What the file says, where it is whole and says it of these very blocks.

    Parameters
    ----------
    folder : Path
        Folder of the segments.
    last_block : str
        Checksum of the last whole block there; empty where there is none.

    Returns
    -------
    dict or None
        As handed to `write_sidecar`, with written (ISO time, UTC); None for a file that is missing,
        torn, changed by hand, of another format, or of other blocks.
    """
    with suppress(OSError, ValueError, RecursionError):
        with open(sidecar_path(folder), "rb") as file:
            found = json.loads(file.read(_LARGEST))
        if isinstance(found, dict) and _is_sound(found) and found["last_block"] == last_block:
            return found
    return None


def _is_sound(found):
    """Whole, of this format, and of the right sort."""
    total = found.pop("sha256", None)
    told = (found.get("format"), found.get("format_version"))
    if total != _sum(found) or told != (FORMAT, FORMAT_VERSION) or found.get("state") not in STATES:
        return False
    texts = all(isinstance(found.get(name), str) for name in ("why", "message", "last_block"))
    numbers = all(_is_number(found.get(name)) for name in _NUMBERS)
    maybe = all(found.get(name) is None or _is_number(found[name]) for name in _MAYBE)
    return texts and numbers and maybe and isinstance(found.get("process"), dict)


def _is_number(value):
    """A plain number."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def is_of(found, note):
    """Whether the file was written by the process that holds, or last held, the lock.

    Parameters
    ----------
    found : dict
        From `read_sidecar`.
    note : dict
        Note of the lock.

    Returns
    -------
    bool
    """
    names = ("pid", "host", "started")
    return all(found["process"].get(name) == note.get(name) for name in names)
