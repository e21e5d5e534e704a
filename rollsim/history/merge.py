"""Merging the segments of a run into one HDF5 file that xarray reads with named dimensions."""

import os

from rollsim.history.attributes import write_attributes
from rollsim.history.layout import CHANNELS, COUNTED, LABELS, ROW_DIMENSION, TABLE_GROUPS
from rollsim.history.segments import (
    create_table,
    opened_segment,
    read_checkpoint,
    read_modes,
    write_checkpoint,
    write_modes,
)

_CACHE_BYTES = 8 * 2**20

# By this text in its attribute NAME a dataset is known as a dimension without values of its own.
_BARE_DIMENSION = "This is a netCDF dimension but not a netCDF variable."


def merge_segments(segments, target, attributes):
    """Write one file from segments, holding one segment at a time in memory.

    Parameters
    ----------
    segments : list of Path
        In order of time, at least one.
    target : Path
        File to write.
    attributes : dict
        Root attributes of the file.

    Raises
    ------
    OSError
        When a segment is damaged or the target cannot be written; RuntimeError in some of the
        cases where the disk fills up while HDF5 closes the file.
    """
    import h5py

    with h5py.File(target, "w", rdcc_nbytes=_CACHE_BYTES) as file:
        write_attributes(file, attributes)
        targets = {name: {} for name in TABLE_GROUPS}
        for path in segments:
            with opened_segment(path) as segment:
                if "modes" in segment and "modes" not in file:
                    write_modes(file, read_modes(segment))
                for group in TABLE_GROUPS:
                    _append_group(file.require_group(group), segment[group], targets[group])
                checkpoint = read_checkpoint(segment)
        write_checkpoint(file, checkpoint)
        for group in TABLE_GROUPS:
            _name_dimensions(file[group])
    _sync_file(target)


def _append_group(group, source, targets):
    """Append all datasets of a segment's group; targets keeps the open datasets and their rows."""
    for name, dataset in source.items():
        if name not in targets:
            channel = CHANNELS[source.name.strip("/")][name]
            made = create_table(group, channel, (0, *dataset.shape[1:]), dataset.chunks[0])
            targets[name] = made, made.chunks, 0
        target, chunks, start = targets[name]
        _append_rows(target, chunks, start, dataset)
        targets[name] = target, chunks, start + dataset.shape[0]


def _append_rows(target, chunks, start, source):
    """Append the rows of a dataset, in packed form where the chunks fit."""
    shape = source.shape
    if not shape[0]:
        return
    # The calls below HDF5's own names: there are thousands of them, and h5py's cost more.
    target.id.set_extent((start + shape[0], *shape[1:]))
    if start % chunks[0] or chunks != source.chunks:
        target[start:] = source[...]
        return
    rest = (0,) * (len(shape) - 1)
    for row in range(0, shape[0], chunks[0]):
        mask, packed = source.id.read_direct_chunk((row, *rest))
        target.id.write_direct_chunk((start + row, *rest), packed, mask)


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
