"""Merging the segments of a run into one HDF5 file that xarray reads with named dimensions."""

import os
from contextlib import suppress

import numpy as np

from rollsim.history.attributes import write_attributes
from rollsim.history.files import remove_quietly
from rollsim.history.layout import CHANNELS, COUNTED, LABELS, ROW_DIMENSION, TABLE_GROUPS
from rollsim.history.packing import packed_rows
from rollsim.history.segments import (
    create_table,
    opened_segment,
    read_checkpoint,
    read_modes,
    write_checkpoint,
    write_modes,
    write_rows,
)

# By this text in its attribute NAME a dataset is known as a dimension without values of its own.
_BARE_DIMENSION = "This is a netCDF dimension but not a netCDF variable."
_FAILURES = (OSError, RuntimeError, ValueError)
# Their tables are written in whole chunks: their lengths are known at the end.
_LATE = ("impacts", "quality")


class StoredRows:
    """Rows of one channel in an open segment, as `PackedRows` but read when they are asked for.

    Parameters
    ----------
    dataset : h5py.Dataset
        In the segment.
    """

    def __init__(self, dataset):
        self._dataset = dataset
        self.shape = dataset.shape
        self.rows_in_chunk = dataset.chunks[0]

    @property
    def values(self):
        """The values, unpacked."""
        return self._dataset[...]

    def chunk(self, number):
        """A chunk as it stands in the file.

        Parameters
        ----------
        number : int
            Counted from 0.

        Returns
        -------
        mask : int
            Filters that were left out, as bits.
        content : bytes
            The packed chunk.
        """
        rest = (0,) * (len(self.shape) - 1)
        return self._dataset.id.read_direct_chunk((number * self.rows_in_chunk, *rest))


class _Column:
    """The growing dataset of one channel; what does not fill a chunk waits for more."""

    def __init__(self, group, channel, rows):
        self._size = rows.rows_in_chunk
        self._dataset = create_table(group, channel, (0, *rows.shape[1:]), self._size)
        self._shape = rows.shape[1:]
        self._written = 0
        self._waiting = []

    def append(self, rows):
        """Take rows: whole chunks in packed form where they fit, the rest when it fills chunks."""
        whole = 0
        if not self._waiting and rows.rows_in_chunk == self._size:
            whole = rows.shape[0] // self._size
            self._write(rows, whole, whole * self._size)
        if rows.shape[0] > whole * self._size:
            # A copy: the caller may use the arrays of the block again.
            self._waiting.append(np.array(rows.values[whole * self._size :]))
        if sum(map(len, self._waiting)) >= self._size:
            values = np.concatenate(self._waiting)
            fit = len(values) // self._size * self._size
            self._write(packed_rows(values[:fit], self._size), fit // self._size, fit)
            self._waiting = [values[fit:]] if fit < len(values) else []

    def finish(self):
        """Write what still waits, in a chunk that it does not fill."""
        if self._waiting:
            values = np.concatenate(self._waiting)
            self._write(packed_rows(values, self._size), 1, len(values))

    def _write(self, rows, chunks, length):
        """Make room for rows and write the chunks that hold them."""
        if length:
            self._dataset.set_extent((self._written + length, *self._shape))
            write_rows(self._dataset, self._written, rows, chunks)
            self._written += length


class Merger:
    """The one file of a run, which grows block by block and appears whole or not at all.

    Parameters
    ----------
    target : Path
        File to write; it is not a history before `finish`.

    Raises
    ------
    OSError
        When it cannot be written, like the other methods; RuntimeError in some of the cases where
        the disk fills up while HDF5 closes the file.
    """

    def __init__(self, target):
        import h5py

        self.blocks = 0
        self._target = target
        self._columns = {name: {} for name in TABLE_GROUPS}
        self._checkpoint = {}
        self._file = h5py.File(target, "w")

    def add(self, tables, checkpoint, modes=None):
        """Append a block.

        Parameters
        ----------
        tables : dict of dict of PackedRows or StoredRows
            Group to channel to its rows.
        checkpoint : dict of ndarray
            State at the end of the block.
        modes : dict of ndarray or None
            What the modes of the cage are, with the first block.
        """
        if modes and "modes" not in self._file:
            write_modes(self._file, modes)
        for name, table in tables.items():
            group, columns = self._file.require_group(name), self._columns[name]
            for key, rows in table.items():
                if key not in columns:
                    columns[key] = _Column(group, CHANNELS[name][key], rows)
                columns[key].append(rows)
            if not self.blocks and name not in _LATE:
                _name_dimensions(group)
        self._checkpoint = checkpoint
        self.blocks += 1

    def add_segment(self, path):
        """Append the block of a segment file, whose checksum is looked at first.

        Parameters
        ----------
        path : Path
            The segment.
        """
        with opened_segment(path) as segment:
            tables = {
                name: {key: StoredRows(own) for key, own in segment[name].items()}
                for name in TABLE_GROUPS
            }
            self.add(tables, read_checkpoint(segment), read_modes(segment))

    def finish(self, attributes):
        """Complete the file, close it and make it permanent under its present name.

        Parameters
        ----------
        attributes : dict
            Root attributes.
        """
        for columns in self._columns.values():
            for column in columns.values():
                column.finish()
        self._columns = {}
        write_attributes(self._file, attributes)
        write_checkpoint(self._file, self._checkpoint)
        for group in _LATE:
            _name_dimensions(self._file[group])
        self._file.close()
        _sync_file(self._target)

    def drop(self):
        """Give up: close and remove the file."""
        self._columns = {}
        with suppress(*_FAILURES):
            self._file.close()
        remove_quietly(self._target)


def _name_dimensions(group):
    """Give datasets their units and every axis its name and labels, the netCDF-4 way."""
    kind = group.name.strip("/")
    channels = [CHANNELS[kind][name] for name in group]
    scales = {}
    for name in dict.fromkeys(name for channel in channels for name in channel.dims):
        scales[name] = _scale(group, name, channels)
    for channel in channels:
        group[channel.name].attrs["units"] = channel.unit
        group[channel.name].attrs["long_name"] = channel.meaning
        if channel.name not in scales:
            for axis, name in enumerate(channel.dims):
                group[channel.name].dims[axis].attach_scale(scales[name])


def _scale(group, name, channels):
    """Dataset that stands for a dimension; made unless it is there."""
    if name not in group:
        _create_scale(group, name, channels)
    scale = group[name]
    if name in (ROW_DIMENSION["impacts"], ROW_DIMENSION["quality"]):
        scale.make_scale(f"{_BARE_DIMENSION}{scale.shape[0]:10d}")
    else:
        scale.make_scale(name)
    return scale


def _create_scale(group, name, channels):
    """Create the labels of a dimension, or an empty dataset of its length."""
    import h5py

    user = next(channel for channel in channels if name in channel.dims)
    length = group[user.name].shape[user.dims.index(name)]
    if name in LABELS:
        group.create_dataset(name, data=list(LABELS[name]), dtype=h5py.string_dtype())
    elif name in COUNTED:
        group.create_dataset(name, data=range(length), dtype="int32")
    else:
        group.create_dataset(name, shape=(length,), dtype=">f4", maxshape=(None,), chunks=(1024,))


def _sync_file(path):
    """Make a closed file permanent on the disk."""
    with open(path, "r+b") as file:
        os.fsync(file.fileno())
