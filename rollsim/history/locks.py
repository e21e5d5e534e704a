"""A note of who is writing a run, so that two runs cannot write to one output.

The lock belongs to the open file and ends with its process, however that dies; the note in the
file only says who it is.
"""

import json
import os
import socket
import tempfile
import time
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from rollsim.errors import RunError
from rollsim.history.segments import numbered_segments

_NAME = "run.lock"
_TRIES, _PAUSE_S = 5, 0.02

# A shared disk need not pass locks on between computers: there the time of the last write counts.
_OTHER_HOST_QUIET_S = 120.0
_CLOCK_SLACK_S = 5.0

# Windows refuses to read a locked byte, so the lock lies far behind the note.
_LOCKED_BYTE = 1 << 20


class RunLock:
    """The right to write into a folder of segments, from construction until release.

    Parameters
    ----------
    folder : Path
        Existing folder.

    Attributes
    ----------
    note : dict
        pid, host, started of this process.

    Raises
    ------
    RunError
        When another running process holds it.
    OSError
        When the folder cannot be written.
    """

    def __init__(self, folder):
        self.path = Path(folder) / _NAME
        self.note = {}
        self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            self._take()
        except BaseException:
            self.release()
            raise

    def _take(self):
        """Lock the open file and leave the note, or say who holds it."""
        note = read_note(self.path.parent)
        if not _locked(self._handle, _TRIES) or not self.path.exists():
            raise RunError(_refusal(self.path.parent, note))
        if _alive_elsewhere(self.path.parent, note):
            raise RunError(
                f"{_refusal(self.path.parent, note)} If that computer no longer runs it, "
                f"try again {_OTHER_HOST_QUIET_S:.0f} s after its last write."
            )
        self._write_note()

    def _write_note(self):
        """Replace the note by this process."""
        started = datetime.now(UTC).isoformat(timespec="seconds")
        self.note = {"pid": os.getpid(), "host": socket.gethostname(), "started": started}
        _replace_text(self._handle, json.dumps(self.note))

    def release(self, clear_note=False, why=None):
        """Give the right back; may be called twice.

        Parameters
        ----------
        clear_note : bool
            Empty the note, for a run that ends in good order.
        why : str or None
            What the note is to say of a run that is left unfinished.
        """
        if self._handle is None:
            return
        handle, self._handle = self._handle, None
        if clear_note:
            ended = datetime.now(UTC).isoformat(timespec="seconds")
            with suppress(OSError):
                _replace_text(handle, json.dumps({"left": why, "ended": ended}) if why else "")
        os.close(handle)


def _replace_text(handle, text):
    """Make a text the whole content of an open file."""
    os.ftruncate(handle, 0)
    os.lseek(handle, 0, os.SEEK_SET)
    os.write(handle, text.encode("ascii", errors="replace"))


def _alive_elsewhere(folder, note):
    """True when another computer wrote there a short while ago.

    The age of the last write is told by the clock that stamps the files, which need not agree with
    ours. A stamp from the future was set before that clock was put back and proves nothing.
    """
    if not note.get("host") or note["host"] == socket.gethostname():
        return False
    quiet = _clock_of(folder) - last_write(folder)
    return -_CLOCK_SLACK_S < quiet < _OTHER_HOST_QUIET_S


def _clock_of(folder):
    """Time by the clock that stamps the files of a folder, s since 1970."""
    try:
        with tempfile.TemporaryFile(dir=folder) as file:
            file.write(b"now")
            file.flush()
            return os.fstat(file.fileno()).st_mtime
    except OSError:
        return time.time()


def _locked(handle, tries):
    """True when the file could be locked; a passing look by another process is waited out."""
    for attempt in range(tries):
        if attempt:
            time.sleep(_PAUSE_S)
        try:
            _lock(handle)
            return True
        except OSError:
            continue
    return False


def _lock(handle):
    """Lock an open file without waiting; OSError when another holds it."""
    if os.name == "nt":
        import msvcrt

        os.lseek(handle, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def read_note(folder):
    """Who writes, or last wrote, into a folder.

    Parameters
    ----------
    folder : Path
        Folder of segments.

    Returns
    -------
    dict
        Keys pid, host, started of a run that goes on or was killed; left (why) and ended of one
        that was stopped; empty when there is no note.
    """
    try:
        return dict(json.loads((Path(folder) / _NAME).read_text(encoding="ascii")))
    except (OSError, ValueError):
        return {}


def last_write(folder):
    """Time of the last write to the blocks in a folder, or to its lock where there is no block.

    Parameters
    ----------
    folder : Path
        Folder of segments.

    Returns
    -------
    float
        Seconds since 1970; 0 for an empty folder.
    """
    # By number: a clock that was put back gives later blocks earlier times.
    for path in [*reversed(numbered_segments(folder).values()), Path(folder) / _NAME]:
        with suppress(OSError):  # removed meanwhile
            return os.stat(path).st_mtime
    return 0.0


def is_held(folder):
    """True while a running process writes into a folder.

    Parameters
    ----------
    folder : Path
        Folder of segments.

    Returns
    -------
    bool
        False too when there is no lock file.
    """
    handle = _handle_for_look(Path(folder) / _NAME)
    if handle is None:
        return False
    try:
        if not _locked(handle, 1):
            return True
    finally:
        os.close(handle)
    return _alive_elsewhere(folder, read_note(folder))


def _handle_for_look(path):
    """Open file, for reading alone where writing is not allowed; None when there is none."""
    for flags in (os.O_RDWR, os.O_RDONLY):
        with suppress(OSError):
            return os.open(path, flags)
    return None


def _refusal(folder, note):
    """Message for a folder that another process writes into."""
    who = "another process"
    if note:
        who = f"process {note.get('pid')} on {note.get('host')} (since {note.get('started')})"
    return (
        f"{who} is writing to {folder}. Two runs cannot write to one output: wait for it, "
        "end it, or choose another output file."
    )
