"""Access to the rows of a history, whether they lie in one finished file or in segments."""

from contextlib import contextmanager
from itertools import accumulate

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.attributes import read_attributes
from rollsim.history.black_box import BLACK_BOX_FORMAT
from rollsim.history.layout import FORMAT, FORMAT_VERSION, REQUIRED_ATTRIBUTES, TABLE_GROUPS
from rollsim.history.safe import check_attributes, check_contents, plain_errors
from rollsim.history.segments import (
    opened_segment,
    parts_folder,
    read_checkpoint,
    read_modes,
    whole_segments,
)
from rollsim.history.unpacking import unpacked_rows


class FileStore:
    """Rows of one finished file, which stays open.

    Parameters
    ----------
    path : Path
        Existing file.

    Raises
    ------
    HistoryError
        When it is not a whole history file of this format.
    """

    finished = True

    def __init__(self, path):
        self.path = path
        self._file = _open_file(path)
        try:
            with plain_errors(path):
                self.attributes = _checked_attributes(self._file, path)
                check_contents(self._file, path)
        except BaseException:
            self._file.close()
            raise

    def names(self, group):
        """Names of the datasets of a group.

        Parameters
        ----------
        group : str
            Group of the layout.

        Returns
        -------
        tuple of str
            In no special order.
        """
        with plain_errors(self.path):
            return tuple(self._opened()[group])

    def read(self, group, name, start=0, stop=None):
        """Rows of a dataset.

        Parameters
        ----------
        group : str
            Group of the layout.
        name : str
            Dataset in it.
        start : int
            First row.
        stop : int or None
            Row after the last; None for all.

        Returns
        -------
        ndarray
            In the number type of the file.
        """
        with plain_errors(self.path):
            data = self._opened()[group][name]
            first, last, _ = slice(start, stop).indices(len(data))
            rows = unpacked_rows(data, first, last)
            return data[start:stop] if rows is None else rows

    def checkpoint(self):
        """State arrays at the end of the run.

        Returns
        -------
        dict of ndarray
            Name to array.
        """
        with plain_errors(self.path):
            return read_checkpoint(self._opened())

    def modes(self):
        """What the modes of the cage are.

        Returns
        -------
        dict of ndarray
            Empty where the run has none.
        """
        with plain_errors(self.path):
            return read_modes(self._opened())

    def close(self):
        """Close the file."""
        self._file.close()

    def _opened(self):
        """Return the open file, or say that it is closed."""
        if not self._file:
            raise HistoryError(f"{self.path} was closed already.")
        return self._file


class SegmentStore:
    """Rows of the whole segments of an unfinished run; each file is opened while it is read.

    Parameters
    ----------
    path : Path
        Output file of the run, which does not exist yet.

    Raises
    ------
    HistoryError
        When no block was finished, or the segments are of another format.
    """

    finished = False

    def __init__(self, path):
        self.path = path
        self._segments = whole_segments(parts_folder(path))
        if not self._segments:
            raise HistoryError(f"{path} has not been written yet: no block of it is finished.")
        rows = [self._sizes(segment) for segment in self._segments]
        self._ends = {
            group: np.array(list(accumulate(row[group] for row in rows))) for group in TABLE_GROUPS
        }
        with self._opened(self._segments[-1]) as file:
            self.attributes = _checked_attributes(file, path)
            self._names = {group: tuple(file[group]) for group in TABLE_GROUPS}

    def _sizes(self, segment):
        """Rows of every group of a segment."""
        with self._opened(segment) as file:
            groups = {group: tuple(file[group].values()) for group in TABLE_GROUPS}
            return {name: len(data[0]) if data else 0 for name, data in groups.items()}

    @contextmanager
    def _opened(self, segment):
        """Open a segment; one that went away belongs to a run that was finished meanwhile."""
        try:
            with opened_segment(segment) as file:
                yield file
        except OSError as problem:
            if self.path.exists():
                raise HistoryError(f"{self.path} was finished meanwhile: open it again.") from None
            raise _damaged(segment, problem) from problem

    def names(self, group):
        """Names of the datasets of a group.

        Parameters
        ----------
        group : str
            Group of the layout.

        Returns
        -------
        tuple of str
            In no special order.
        """
        return self._names[group]

    def read(self, group, name, start=0, stop=None):
        """Rows of a dataset, taken from the segments that hold them.

        Parameters
        ----------
        group : str
            Group of the layout.
        name : str
            Dataset in it.
        start : int
            First row.
        stop : int or None
            Row after the last; None for all.

        Returns
        -------
        ndarray
            In the number type of the file.
        """
        ends = self._ends[group]
        start, stop, _ = slice(start, stop).indices(int(ends[-1]))
        pieces = []
        first = 0
        for segment, end in zip(self._segments, ends, strict=True):
            # The first segment is read at least for its shape, so that no rows stay an array.
            if (first < stop and end > start) or not pieces:
                rows = slice(max(start - first, 0), max(min(stop, end) - first, 0))
                with self._opened(segment) as file:
                    pieces.append(file[group][name][rows])
            first = int(end)
        return np.concatenate(pieces)

    def checkpoint(self):
        """State arrays at the end of the last whole block.

        Returns
        -------
        dict of ndarray
            Name to array.
        """
        with self._opened(self._segments[-1]) as file:
            return read_checkpoint(file)

    def modes(self):
        """What the modes of the cage are.

        Returns
        -------
        dict of ndarray
            Empty where the run has none.
        """
        with self._opened(self._segments[0]) as file:
            return read_modes(file)

    def close(self):
        """Nothing stays open."""


def _open_file(path):
    """Open an HDF5 file for reading, or say in plain words why not."""
    import h5py

    try:
        with open(path, "rb") as file:
            size = len(file.read(1))
        if not size:
            raise HistoryError(f"{path} is empty: it is not a history file.")
        return h5py.File(path, "r")
    except OSError as problem:
        if isinstance(problem, PermissionError):
            raise HistoryError(f"{path} may not be read by this user.") from problem
        text = str(problem)
        if "file signature not found" in text:
            raise HistoryError(f"{path} is not an HDF5 file, so not a history file.") from problem
        if "truncated" in text:
            raise HistoryError(
                f"{path} is cut short: its end is missing, perhaps from a broken copy. "
                "Copy it again or run the case again."
            ) from problem
        raise _damaged(path, problem) from problem


def _checked_attributes(file, path):
    """Root attributes of a file that is a history of the right version."""
    attributes = read_attributes(file)
    if attributes.get("format") == BLACK_BOX_FORMAT:
        raise HistoryError(
            f"{path} is the black box of a failed run, not a history: rollsim blackbox shows it."
        )
    if attributes.get("format") == "rollsim live view":
        raise HistoryError(
            f"{path} is the live view of a run, not a history: name the output of the run itself."
        )
    if attributes.get("format") != FORMAT:
        raise HistoryError(f"{path} is an HDF5 file, but not a history written by rollsim.")
    version = attributes.get("format_version")
    if version != FORMAT_VERSION:
        raise HistoryError(
            f"{path} has format version {version}; this rollsim reads version {FORMAT_VERSION}. "
            f"It was written by rollsim {attributes.get('rollsim_version', 'unknown')}."
        )
    missing = [name for name in REQUIRED_ATTRIBUTES if name not in attributes]
    missing += [name for name in (*TABLE_GROUPS, "checkpoint") if name not in file]
    if missing:
        raise HistoryError(f"{path} is incomplete: {', '.join(missing)} missing.")
    check_attributes(attributes, path)
    return attributes


def _damaged(path, problem):
    """Error for a file that is a history but cannot be read."""
    return HistoryError(f"{path} is damaged and cannot be read ({problem}).")
