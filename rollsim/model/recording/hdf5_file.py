"""HDF5 files: every channel a dataset, or a column of one."""

import re

import numpy as np

from rollsim.model.recording.contents import Contents
from rollsim.model.recording.findings import Unusable
from rollsim.model.recording.store import BLOCK
from rollsim.model.recording.units import TIME_IN_SI, plain_unit

_COLUMN = re.compile(r"^(.*)\[(\d+)\]$")
#: What the library raises over a damaged file, besides OSError.
_LIBRARY = (OSError, KeyError, RuntimeError, ValueError, TypeError, MemoryError)
#: Zip packs at most 1032 to 1; what claims more has samples that were never written.
_MOST_PACKED = 1100
_SMALL = 1 << 20
_DAMAGED = "cannot be read as HDF5 ({}): it is damaged, cut off or of another format"


def open_hdf5(path, source, findings):
    """Open an HDF5 file.

    Parameters
    ----------
    path : Path
        The file.
    source : RecordingSource
        Keys of the case.
    findings : Findings
        Takes the problems.

    Returns
    -------
    Contents
        Channels in the order of the case.
    """
    import h5py

    try:
        file = h5py.File(path, "r")
    except OSError as problem:
        findings.stop(_DAMAGED.format(_short(problem)))
    try:
        columns = _columns(file, source, findings)
        units = {name: _unit(data) for name, data, _ in columns[: len(source.channels)]}
    except _LIBRARY as problem:
        file.close()
        findings.stop(_DAMAGED.format(_short(problem)))
    except Unusable:
        file.close()
        raise
    return Contents(blocks=_blocks(file, columns, source, findings), units=units)


def _columns(file, source, findings):
    """Name, dataset and column of every channel, the times last."""
    times = [] if source.time_channel is None else [source.time_channel]
    columns = [_column(file, name, findings) for name in (*source.channels, *times)]
    findings.go_on_only_if_sound()
    lengths = {name: len(data) for name, data, _ in columns}
    if len(set(lengths.values())) > 1:
        parts = ", ".join(f"'{name}' {length}" for name, length in lengths.items())
        findings.stop(f"datasets of different length: {parts}. Name those that belong together")
    return columns


def _short(problem):
    """First words of a system message."""
    return str(problem).split("(", 1)[-1].rstrip(")")[:80]


def _column(file, name, findings):
    """Dataset and column (None for a plain one) of a channel; None with a problem."""
    import h5py

    found = _COLUMN.match(name)
    path, number = (found[1], int(found[2])) if found and name not in file else (name, None)
    data = None if _leads_away(file, path) else file.get(path)
    if _leads_away(file, path):
        findings.problem("takes its numbers from another file: copy them into this one", name)
    elif not isinstance(data, h5py.Dataset):
        known = _datasets(file)
        shown = ", ".join(f"'{item}'" for item in known[:20]) or "none"
        findings.problem(f"no such dataset; datasets of the file: {shown}", name)
    elif not np.issubdtype(data.dtype, np.number) or np.issubdtype(data.dtype, np.complexfloating):
        findings.problem(f"holds {data.dtype}, not real numbers", name)
    elif data.external or data.is_virtual:
        findings.problem("takes its numbers from another file: copy them into this one", name)
    elif _claims_too_much(data):
        size = data.size * data.dtype.itemsize
        findings.problem(f"claims {size / 1e6:.0f} MB that the file does not store", name)
    elif data.ndim == 2 and number is None and data.shape[1] == 1:
        return name, data, 0
    elif data.ndim == 2 and number is not None and 1 <= number <= data.shape[1]:
        return name, data, number - 1
    elif data.ndim == 1 and number is None:
        return name, data, None
    else:
        shape = " x ".join(map(str, data.shape)) or "one number"
        findings.problem(
            f"has the shape {shape}: name a list of samples, or one column of a table with a row "
            f"a sample, as '{path}[1]'",
            name,
        )
    return name, (), None


def _leads_away(file, path):
    """Whether any step of a path is a link into another file."""
    import h5py

    steps = [step for step in path.split("/") if step]
    heads = ["/".join(steps[:count]) for count in range(1, len(steps) + 1)]
    return any(isinstance(file.get(head, getlink=True), h5py.ExternalLink) for head in heads)


def _claims_too_much(data):
    """Whether a dataset is larger than any packing of what the file stores of it."""
    size = data.size * data.dtype.itemsize
    return size > _SMALL and size > _MOST_PACKED * data.id.get_storage_size()


def _datasets(file):
    """Paths of all datasets."""
    import h5py

    found = []
    file.visititems(
        lambda name, item: found.append(f"/{name}") if isinstance(item, h5py.Dataset) else None
    )
    return found


def _unit(data):
    """Unit that a dataset declares, None where it is silent."""
    for key in ("unit", "units"):
        value = data.attrs.get(key)
        if isinstance(value, bytes):
            value = value.decode("utf-8", errors="replace")
        if isinstance(value, str) and plain_unit(value):
            return plain_unit(value)
    return None


def _blocks(file, columns, source, findings):
    """Times and values, block by block; the file is closed at the end."""
    timed = source.time_channel is not None
    with file:
        for first in range(0, len(columns[0][1]), BLOCK):
            try:
                rows = np.column_stack([_part(*column[1:], first) for column in columns])
            except _LIBRARY as problem:
                findings.stop(_DAMAGED.format(_short(problem)), place=f"sample {first + 1}")
            if timed:
                yield TIME_IN_SI[source.time_unit] * rows[:, -1], rows[:, :-1]
            else:
                yield None, rows


def _part(data, column, first):
    """Some samples of one channel."""
    part = data[first : first + BLOCK] if column is None else data[first : first + BLOCK, column]
    return np.asarray(part, dtype=float)
