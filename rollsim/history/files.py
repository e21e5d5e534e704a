"""Files that are either there whole or not at all, and plain words for what may go wrong."""

import errno
import hashlib
import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

# A whole file ends with this mark and the sha256 of everything before it. HDF5 ignores what
# follows its own data. A damaged HDF5 file can hang or crash its reader, so the sum is checked
# on the plain bytes, before HDF5 sees them.
_MARK = b"\nrollsim sha256 "
_TAIL = len(_MARK) + 64

_PLAIN_WORDS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "writing is not allowed there",
    errno.EPERM: "writing is not allowed there",
    errno.ENOENT: "the folder does not exist",
    errno.ENOTDIR: "a part of the path is a file, not a folder",
    errno.EFBIG: "the file became larger than this system allows",
    errno.EIO: "the disk reports an input/output error",
}


def plain_reason(problem):
    """What went wrong with a file, in plain words.

    Parameters
    ----------
    problem : Exception
        As raised by the operating system or by h5py.

    Returns
    -------
    str
        For example "the disk is full".

    >>> plain_reason(OSError(errno.ENOSPC, "No space left on device"))
    'the disk is full'
    """
    number = getattr(problem, "errno", None)
    text = str(problem)
    if number is None:
        # HDF5 names the system error inside its own text.
        number = next((key for key in _PLAIN_WORDS if f"errno = {key}," in text), None)
    return _PLAIN_WORDS.get(number, getattr(problem, "strerror", None) or text)


def sync_folder(folder):
    """Make a folder's list of names permanent, where the system allows it.

    Parameters
    ----------
    folder : Path
        Existing folder.
    """
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as problem:
        # Some network and user-space file systems cannot do this; a full disk must be heard of.
        if problem.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):
            raise
    finally:
        os.close(handle)


def write_whole(path, content, lasting=True):
    """Write bytes with their checksum so that the file appears whole or not at all.

    Parameters
    ----------
    path : Path
        Final name; an existing file is replaced.
    content : bytes
        What to write.
    lasting : bool
        Wait until the disk has it; without, a power failure may leave a torn file, which its
        checksum tells.

    Returns
    -------
    str
        The checksum.

    Raises
    ------
    OSError
        When the disk is full and the like; nothing is left under either name then.
    """
    temporary = Path(f"{path}.tmp")
    digest = hashlib.sha256(content).hexdigest().encode("ascii")
    try:
        with open(temporary, "wb") as file:
            file.write(content)
            file.write(_MARK + digest)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError:
        remove_quietly(temporary)
        raise
    if lasting:
        sync_folder(path.parent)
    return digest.decode("ascii")


def require_room(folder, size):
    """Make sure that a disk takes some more bytes, before HDF5 gets to know that it does not.

    HDF5 can crash the process some time after a write has failed for want of room.

    Parameters
    ----------
    folder : Path
        Folder on the disk.
    size : int
        Bytes.

    Raises
    ------
    OSError
        When there is no room, by disk or by quota.
    """
    if shutil.disk_usage(folder).free < size:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    if hasattr(os, "posix_fallocate"):
        with tempfile.TemporaryFile(dir=folder) as file:
            try:
                os.posix_fallocate(file.fileno(), 0, size)
            except OSError as problem:
                # Some file systems cannot set room aside.
                if problem.errno not in (errno.EINVAL, errno.ENOTSUP, errno.ENOSYS):
                    raise


def read_whole(path):
    """Bytes of a file written by write_whole, or None when it is not whole.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    bytes or None
        The content without the checksum; None for a file that is torn, damaged or missing.
    """
    try:
        raw = Path(path).read_bytes()
    except OSError:
        return None
    content, tail = raw[:-_TAIL], raw[-_TAIL:]
    if tail[: len(_MARK)] != _MARK:
        return None
    digest = hashlib.sha256(content).hexdigest().encode("ascii")
    return content if digest == tail[len(_MARK) :] else None


def checksum_of(path):
    """Checksum that a file written by write_whole carries; its content is not read.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    str
        Empty for a file that carries none or cannot be read.
    """
    try:
        with open(path, "rb") as file:
            file.seek(-_TAIL, os.SEEK_END)
            tail = file.read()
    except OSError:
        return ""
    return tail[len(_MARK) :].decode("ascii", "replace") if tail.startswith(_MARK) else ""


def remove_quietly(path):
    """Remove a file if it is there and may be removed.

    Parameters
    ----------
    path : Path
        File to remove.
    """
    with suppress(OSError):
        os.remove(path)
