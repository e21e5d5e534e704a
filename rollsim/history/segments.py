"""Segment files: one whole HDF5 file for every block, kept in the folder beside the output."""

import io
import re
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from rollsim.history.attributes import write_attributes
from rollsim.history.files import read_whole
from rollsim.history.layout import CHANNELS, MODES

_NAME = re.compile(r"segment_(\d{6,})\.h5")

_LEAST_CHUNK_ROWS = 1000
_MOST_CHUNK_ROWS = 5000


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


def chunk_rows(rows):
    """Rows of a storage chunk: a whole share of a block where that is possible.

    Chunks that fill a block exactly are moved into the merged file without unpacking them.

    Parameters
    ----------
    rows : int
        Rows of the first block.

    Returns
    -------
    int
        Between 1000 and 5000.

    >>> chunk_rows(1000), chunk_rows(4000), chunk_rows(37)
    (1000, 1000, 1000)
    """
    shares = range(_LEAST_CHUNK_ROWS, _MOST_CHUNK_ROWS + 1)
    return next((size for size in shares if rows and rows % size == 0), _LEAST_CHUNK_ROWS)


def create_table(group, channel, shape, rows_in_chunk):
    """Create the growing, packed dataset of a channel.

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
    h5py.Dataset
        Checked by HDF5 itself, chunk by chunk, whenever it is read.
    """
    return group.create_dataset(
        channel.name,
        shape=shape,
        dtype=channel.dtype,
        maxshape=(None, *shape[1:]),
        chunks=(rows_in_chunk, *shape[1:]),
        compression="gzip",
        compression_opts=1,
        shuffle=True,
        fletcher32=True,
    )


def segment_image(tables, checkpoint, attributes, modes=None):
    """Complete HDF5 file of one block, built in memory.

    The disk is then touched by plain writes only, whose failures are certain and clearly named.

    Parameters
    ----------
    tables : dict of dict of ndarray
        Group to channel to array, as checked by block_tables.
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

    with h5py.File("segment", "w", driver="core", backing_store=False) as file:
        write_attributes(file, attributes)
        for name, arrays in tables.items():
            group = file.create_group(name)
            for key, values in arrays.items():
                size = chunk_rows(len(values))
                create_table(group, CHANNELS[name][key], values.shape, size)[...] = values
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
        group.create_dataset(name, data=values)


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
