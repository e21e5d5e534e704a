"""Segment files: one whole HDF5 file for every block, kept in the folder beside the output."""

import io
import re
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path

import numpy as np

from rollsim.history.attributes import write_attributes
from rollsim.history.files import read_whole
from rollsim.history.layout import CHANNELS, MODES
from rollsim.history.packing import LEVEL

_NAME = re.compile(r"segment_(\d{6,})\.h5")
# A file in memory grows by so many bytes; by HDF5's own 64 kB it would be copied over and over.
_MEMORY_STEP = 4 * 2**20


def parts_folder(path):
    """Folder that holds the segments of an unfinished run.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    Path
        The output path with ".parts" added.

    >>> parts_folder("runs/a.h5").as_posix()
    'runs/a.h5.parts'
    """
    return Path(f"{path}.parts")


def segment_path(folder, index):
    """Name of a segment file.

    Parameters
    ----------
    folder : Path
        Folder of the segments.
    index : int
        Number of the block, from 0.

    Returns
    -------
    Path
        Path of the file.
    """
    return Path(folder) / f"segment_{index:06d}.h5"


def numbered_segments(folder):
    """Segment files in a folder, by number, whole or not.

    Parameters
    ----------
    folder : Path
        Folder of the segments; need not exist.

    Returns
    -------
    dict of int to Path
        Number of the block to file, in rising order.
    """
    found = {}
    if Path(folder).is_dir():
        for entry in Path(folder).iterdir():
            match = _NAME.fullmatch(entry.name)
            if match:
                found[int(match.group(1))] = entry
    return dict(sorted(found.items()))


def whole_segments(folder):
    """Leading segments that are whole: the first gap or damaged file ends the list.

    Parameters
    ----------
    folder : Path
        Folder of the segments; need not exist.

    Returns
    -------
    list of Path
        In order of time; empty when there is none.
    """
    whole = []
    for index, path in numbered_segments(folder).items():
        if index != len(whole) or read_whole(path) is None:
            break
        whole.append(path)
    return whole


def last_whole_segment(folder):
    """Last segment that is whole; those before it are not looked at.

    Parameters
    ----------
    folder : Path
        Folder of the segments; need not exist.

    Returns
    -------
    Path or None
    """
    segments = reversed(numbered_segments(folder).values())
    return next((path for path in segments if read_whole(path) is not None), None)


@contextmanager
def opened_segment(path):
    """Open a segment for reading, from memory and only when its checksum is right.

    Parameters
    ----------
    path : Path
        Segment file.

    Yields
    ------
    h5py.File
        Open for reading.

    Raises
    ------
    OSError
        When the file is missing or damaged.
    """
    import h5py

    content = read_whole(path)
    if content is None:
        raise OSError(f"{path} is missing or damaged")
    with h5py.File(io.BytesIO(content), "r") as file:
        yield file


def create_table(group, channel, shape, rows_in_chunk):
    """Create the growing, packed dataset of a channel.

    By the calls below h5py's own, which take several times as long: a block has 56 datasets.

    Parameters
    ----------
    group : h5py.Group
        Where it goes.
    channel : Channel
        Entry of the layout.
    shape : tuple of int
        Present shape, rows first.
    rows_in_chunk : int
        Rows of a storage chunk.

    Returns
    -------
    h5py.h5d.DatasetID
        Checked by HDF5 itself, chunk by chunk, whenever it is read.
    """
    from h5py import h5d

    plan = _storage_plan((rows_in_chunk, *shape[1:]))
    kind, space = _number_type(channel.dtype), _growing_space(shape)
    return h5d.create(group.id, channel.name.encode(), kind, space, plan)


@lru_cache
def _storage_plan(chunk):
    """How a dataset is stored: chunks and the filters of `packing`, in their order."""
    from h5py import h5p

    plan = h5p.create(h5p.DATASET_CREATE)
    plan.set_obj_track_times(False)
    plan.set_chunk(chunk)
    plan.set_shuffle()
    plan.set_deflate(LEVEL)
    plan.set_fletcher32()
    return plan


@lru_cache
def _growing_space(shape):
    """Shape of a dataset that may grow along its rows."""
    from h5py import h5s

    return h5s.create_simple(shape, (h5s.UNLIMITED, *shape[1:]))


@lru_cache
def _number_type(name):
    """HDF5's name of a number type."""
    from h5py import h5t

    return h5t.py_create(np.dtype(name), logical=True)


def write_rows(dataset, start, rows, count=None):
    """Put packed chunks into a dataset as they are.

    Parameters
    ----------
    dataset : h5py.h5d.DatasetID
        Long enough already, with the same chunks.
    start : int
        Row at which the first chunk goes; a multiple of the rows of a chunk.
    rows : PackedRows or StoredRows
        The chunks.
    count : int or None
        How many of the chunks, from the first; None for all.
    """
    rest = (0,) * (len(rows.shape) - 1)
    if count is None:
        count = -(-rows.shape[0] // rows.rows_in_chunk)
    for number in range(count):
        mask, content = rows.chunk(number)
        dataset.write_direct_chunk((start + number * rows.rows_in_chunk, *rest), content, mask)


def segment_image(tables, checkpoint, attributes, modes=None):
    """Complete HDF5 file of one block, built in memory.

    The disk is then touched by plain writes only, whose failures are certain and clearly named.

    Parameters
    ----------
    tables : dict of dict of PackedRows
        Group to channel to its rows, as packed_tables gives them.
    checkpoint : dict of ndarray
        State from which the run goes on after this block.
    attributes : dict
        Root attributes.
    modes : dict of ndarray or None
        What the modes of the cage are, names as in MODES; in the first segment of a run.

    Returns
    -------
    bytes
        The file.
    """
    import h5py

    memory = {"driver": "core", "backing_store": False, "block_size": _MEMORY_STEP}
    with h5py.File("segment", "w", **memory) as file:
        write_attributes(file, attributes)
        for name, table in tables.items():
            group = file.create_group(name)
            for key, rows in table.items():
                made = create_table(group, CHANNELS[name][key], rows.shape, rows.rows_in_chunk)
                write_rows(made, 0, rows)
        write_checkpoint(file, checkpoint)
        write_modes(file, modes)
        file.flush()
        return file.id.get_file_image()


def write_checkpoint(file, checkpoint):
    """Write the state arrays, each exactly as it is.

    Parameters
    ----------
    file : h5py.File
        Open for writing.
    checkpoint : dict
        Name to array.

    Raises
    ------
    ValueError
        For a name with "/" or an array that HDF5 cannot hold exactly.
    """
    group = file.create_group("checkpoint")
    for name, value in checkpoint.items():
        values = np.asarray(value)
        if "/" in name or values.dtype.kind not in "biufcV":
            raise ValueError(f"checkpoint entry {name!r} ({values.dtype}) cannot be stored")
        _write_array(group, name, values)


def _write_array(group, name, values):
    """Write an array in one piece, by the calls below h5py's own: there are many in a segment."""
    from h5py import h5d, h5s

    made = h5d.create(
        group.id, name.encode(), _number_type(values.dtype), h5s.create_simple(values.shape)
    )
    made.write(h5s.ALL, h5s.ALL, np.ascontiguousarray(values).reshape(values.shape))


def write_modes(file, modes):
    """Write what the modes of the cage are; nothing where there are none.

    Parameters
    ----------
    file : h5py.File
        Open for writing.
    modes : dict of ndarray or None
        Names as in MODES.
    """
    if not modes:
        return
    group = file.create_group("modes")
    for name, unit in MODES.items():
        group.create_dataset(name, data=np.asarray(modes[name], dtype=float))
        group[name].attrs["units"] = unit


def read_modes(file):
    """Read what the modes of the cage are.

    Parameters
    ----------
    file : h5py.File
        Open for reading.

    Returns
    -------
    dict of ndarray
        Names as in MODES; empty where there are none.
    """
    return {name: np.asarray(own[()]) for name, own in file.get("modes", {}).items()}


def read_checkpoint(file):
    """Read the state arrays.

    Parameters
    ----------
    file : h5py.File
        Open for reading.

    Returns
    -------
    dict of ndarray
        Name to array with the very type and shape that was written.
    """
    return {name: np.asarray(dataset[()]) for name, dataset in file["checkpoint"].items()}
