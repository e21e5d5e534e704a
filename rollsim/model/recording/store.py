"""Samples in rows: small ones in memory, large ones in a temporary file that vanishes by itself."""

import os
import shutil
import tempfile

import numpy as np

from rollsim.model.recording.findings import RecordingError

IN_MEMORY = 32e6
"""Bytes of one store that are kept in memory."""

LARGEST_ARRAY = 256e6
"""Bytes of an array that `roomy_array` makes in memory."""

BLOCK = 1 << 17
"""Rows that are worked on at a time."""

_KEPT_FREE = 0.05


class Store:
    """Rows of numbers that are written and read in blocks.

    The file has no name (or is deleted by the system when closed), so nothing is left behind,
    even by a killed run. It is read and written as a file: mapped pages would count as memory.

    Parameters
    ----------
    columns : int
        Numbers in a row.
    """

    def __init__(self, columns):
        self.columns = columns
        self.rows = 0
        self._file = tempfile.SpooledTemporaryFile(max_size=int(IN_MEMORY))  # noqa: SIM115

    def append(self, block):
        """Add rows at the end.

        Parameters
        ----------
        block : array (n, columns)
            The rows.
        """
        self.write(self.rows, block)

    def write(self, first, block):
        """Write rows, over what stands there.

        Parameters
        ----------
        first : int
            Number of the first row.
        block : array (n, columns)
            The rows.
        """
        data = np.ascontiguousarray(block, dtype=float)
        try:
            self._file.seek(8 * self.columns * first)
            self._file.write(data.tobytes())
        except OSError as problem:
            raise RecordingError([no_room(problem)]) from problem
        self.rows = max(self.rows, first + len(data))

    def read(self, first, end):
        """Rows from first up to, without, end; rows outside do not exist.

        Parameters
        ----------
        first : int
            Number of the first row.
        end : int
            Number behind the last row.

        Returns
        -------
        array (n, columns)
            A new array.
        """
        first, end = max(first, 0), min(end, self.rows)
        self._file.seek(8 * self.columns * first)
        raw = self._file.read(8 * self.columns * max(end - first, 0))
        return np.frombuffer(raw, dtype=float).reshape(-1, self.columns).copy()

    def blocks(self, rows=BLOCK):
        """All rows, block by block.

        Parameters
        ----------
        rows : int
            Rows of a block.

        Yields
        ------
        tuple
            Number of the first row, and the rows.
        """
        for first in range(0, self.rows, rows):
            yield first, self.read(first, first + rows)

    def array(self):
        """All rows as one array; a large one is mapped from its file, which is closed.

        Returns
        -------
        array (rows, columns)
            Writable, C order. The file is gone when the array is.
        """
        if 8 * self.rows * self.columns <= IN_MEMORY:
            return self.read(0, self.rows)
        self._file.flush()
        shape = (self.rows, self.columns)
        mapped = np.memmap(self._file, dtype=float, mode="r+", shape=shape)
        self._file.close()
        return mapped.view(np.ndarray)

    def close(self):
        """Give the room back."""
        self._file.close()

    def __del__(self):
        """A store of a recording that was refused gives its room back too."""
        self._file.close()


def roomy_array(rows, columns):
    """Array to be filled; a large one is mapped from a temporary file that vanishes with it.

    Parameters
    ----------
    rows : int
        Rows.
    columns : int
        Columns.

    Returns
    -------
    array (rows, columns)
        Writable, C order, not filled.
    """
    if 8.0 * rows * columns <= LARGEST_ARRAY:
        return np.empty((rows, columns))
    try:
        with tempfile.TemporaryFile() as file:
            mapped = np.memmap(file, dtype=float, mode="w+", shape=(rows, columns))
    except OSError as problem:
        raise RecordingError([no_room(problem)]) from problem
    return mapped.view(np.ndarray)


def no_room(problem):
    """A disk that does not take the samples, in plain words.

    Parameters
    ----------
    problem : OSError
        As raised.

    Returns
    -------
    str
        One sentence.
    """
    return (
        f"cannot keep the samples in the temporary folder {tempfile.gettempdir()}: "
        f"{problem.strerror or problem}. Set TMPDIR to a folder with more room, replay a shorter "
        "part (start_s, end_s), or give a lower band_edge_Hz"
    )


def require_room(size, findings):
    """Stop before a temporary file that the disk cannot hold is begun.

    Parameters
    ----------
    size : float
        Bytes wanted.
    findings : Findings
        Takes the problem.
    """
    folder = tempfile.gettempdir()
    if not os.path.isdir(folder) or size <= IN_MEMORY:
        return
    free = shutil.disk_usage(folder).free
    if size > (1.0 - _KEPT_FREE) * free:
        findings.stop(
            f"its samples take {size / 1e6:.0f} MB, {folder} has {free / 1e6:.0f} MB: set TMPDIR "
            "to a folder with more room, replay a shorter part (start_s, end_s), or give a lower "
            "band_edge_Hz"
        )
