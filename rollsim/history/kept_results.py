"""Results of a history on disk, beside the compiled kernels: the next report starts from them.

A file of results belongs to one history (size, time of writing, both ends of it), to the very
sources of rollsim and to the versions of the libraries that it calculates with: whatever of these
changes, everything is worked out again.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import os
import pickle
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from platformdirs import user_cache_dir

from rollsim.history.provenance import software
from rollsim.history.reader import open_history

#: Room for the results of all histories, bytes; those used longest ago go first.
ROOM_BYTES = 500_000_000
_END_BYTES = 1 << 16
#: What results are made of, besides classes of rollsim.
_HARMLESS = {
    "builtins": {"set", "frozenset", "slice", "complex", "range", "bytearray"},
    "collections": {"OrderedDict"},
    "copyreg": {"_reconstructor", "__newobj__"},
    "pathlib": {"Path", "PosixPath", "WindowsPath", "PurePosixPath", "PureWindowsPath"},
    "types": {"SimpleNamespace"},
    "numpy": {"ndarray", "dtype"},
    "numpy._core.multiarray": {"_reconstruct", "scalar"},
    "numpy.core.multiarray": {"_reconstruct", "scalar"},
    "numpy._core.numeric": {"_frombuffer"},
    "numpy.core.numeric": {"_frombuffer"},
}


@contextlib.contextmanager
def opened_with_results(path: str | Path, afresh: bool = False) -> Iterator[Any]:
    """Open a history with what is kept of it, and keep what is worked out while it is open.

    Parameters
    ----------
    path : str or Path
        History file. Of an unfinished run nothing is kept beyond this one use.
    afresh : bool
        Work everything out again.

    Yields
    ------
    History

    Raises
    ------
    HistoryError
        As `open_history`.
    """
    with open_history(path) as history:
        finished = history.path.is_file()
        history.keep_results(read_results(path) if finished and not afresh else None)
        yield history
        if finished and history.results.grew:
            keep_results(path, history.results.plain())


def read_results(path: str | Path) -> dict[Any, Any]:
    """Read what is kept of a finished history.

    Parameters
    ----------
    path : str or Path
        History file.

    Returns
    -------
    dict
        Name of a result -> result; empty where nothing is kept, or what is kept cannot be read.
    """
    # Whatever is wrong with a kept file, the history itself is still there.
    with contextlib.suppress(Exception):
        file = results_file(path)
        with open(file, "rb") as stream:
            found = _Reader(stream).load()
        os.utime(file)
        return found if isinstance(found, dict) else {}
    return {}


def keep_results(path: str | Path, results: dict[Any, Any]) -> Path | None:
    """Keep results of a finished history.

    Parameters
    ----------
    path : str or Path
        History file.
    results : dict
        As from `WorkedOut.plain`.

    Returns
    -------
    Path or None
        File that holds them; None where there is no room or no right to write, which is no error.
    """
    try:
        content = pickle.dumps(results, protocol=5)
        if len(content) > ROOM_BYTES:
            return None
        file = results_file(path)
        file.parent.mkdir(parents=True, exist_ok=True)
        _make_room(file.parent, len(content))
        beside = file.with_suffix(f".{os.getpid()}.tmp")
        try:
            beside.write_bytes(content)
            os.replace(beside, file)
        finally:
            beside.unlink(missing_ok=True)
    except (OSError, pickle.PicklingError, AttributeError, TypeError):
        return None
    return file


def results_file(path: str | Path) -> Path:
    """File for the results of a history as it is now; ROLLSIM_CACHE moves it.

    Parameters
    ----------
    path : str or Path
        History file.

    Returns
    -------
    Path
        It need not exist.

    Raises
    ------
    OSError
        The history cannot be read.
    """
    root = os.environ.get("ROLLSIM_CACHE") or user_cache_dir("rollsim", appauthor=False)
    made = {name: value for name, value in software().items() if name not in ("commit", "modified")}
    digest = hashlib.sha256(repr((sorted(made.items()), *_identity(Path(path)))).encode())
    return Path(root) / "results" / f"{digest.hexdigest()[:32]}.results"


def _identity(path: Path) -> tuple[int, int, int, int]:
    """What changes when a file is written again: size, time of writing, sums of both ends."""
    with open(path, "rb") as stream:
        state = os.fstat(stream.fileno())
        head = zlib.crc32(stream.read(_END_BYTES))
        stream.seek(max(0, state.st_size - _END_BYTES))
        return state.st_size, state.st_mtime_ns, head, zlib.crc32(stream.read(_END_BYTES))


def _make_room(folder: Path, wanted: int) -> None:
    """Remove the results used longest ago until there is room for more."""
    files = sorted(folder.glob("*.results"), key=lambda file: file.stat().st_mtime)
    used = wanted + sum(file.stat().st_size for file in files)
    for file in files:
        if used <= ROOM_BYTES:
            return
        used -= file.stat().st_size
        file.unlink(missing_ok=True)


class _Reader(pickle.Unpickler):
    """Takes numbers, arrays and classes of rollsim, and nothing that could do anything else."""

    def find_class(self, module: str, name: str) -> Any:
        """Class or function of a kept file.

        Parameters
        ----------
        module : str
            Where it is defined.
        name : str
            Its name there.

        Returns
        -------
        object

        Raises
        ------
        pickle.UnpicklingError
            It is none of those that results are made of.
        """
        if module.startswith("rollsim."):
            found = getattr(importlib.import_module(module), name, None)
            # What a module imported from elsewhere is none of ours.
            if isinstance(found, type) and found.__module__.startswith("rollsim."):
                return found
        elif name in _HARMLESS.get(module, ()):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} does not belong into results.")
