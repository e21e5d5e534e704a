"""What a history file may hold: plain numbers of the file itself, in a size that fits the file.

HDF5 files can name other files (external links, external storage, virtual datasets), hold objects
and references, and declare far more rows than they store. None of that is in a history, so none of
it is read.
"""

import json
import math
from contextlib import contextmanager

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.layout import CHANNELS, COUNTED, LABELS, ROW_DIMENSION, TABLE_GROUPS

#: Zip packs at most 1032 to 1; what claims more has rows that were never written.
_MOST_PACKED = 1100
#: Bytes that are read without asking how they are stored.
_SMALL = 1 << 20
#: What HDF5 and its reader raise over damaged files, besides OSError.
_LIBRARY = (OSError, KeyError, RuntimeError, ValueError, TypeError, AttributeError, MemoryError,
            OverflowError, IndexError, NotImplementedError, SystemError)  # fmt: skip
_TEXTS = ("format", "status", "case_text", "case_name", "solver", "created", "rollsim_version",
          "motion", "guidance", "case_folder", "recordings_sha256")  # fmt: skip
#: Attributes in JSON: what each must be, and keys that its entries must have.
_JSON = {
    "assumptions": (list, ("key",)),
    "environments": (list, ("name", "source", "basis", "note", "points")),
    "recordings": (list, ()),
    "provenance": (dict, ()),
    "cage_backing_N_per_m": (dict, ()),
}
_NUMBERS = ("seed", "roller_count", "mode_count", "duration_s", "settle_s", "sample_rate_Hz",
            "wall_time_s", "largest_pocket_force_N", "last_sample_s", "steps_taken",
            "steps_refused")  # fmt: skip
_UNITS = ("_m", "_kg", "_rad_per_s")


@contextmanager
def plain_errors(path):
    """Turn whatever the library raises over a damaged file into words.

    Parameters
    ----------
    path : Path
        For messages.

    Yields
    ------
    None

    Raises
    ------
    HistoryError
        In place of every error of the library.
    """
    try:
        yield
    except _LIBRARY as problem:
        what = str(problem).splitlines() or [""]
        text = f"{type(problem).__name__}: {what[0][:200]}"
        raise HistoryError(f"{path} is damaged and cannot be read ({text}).") from problem


def check_attributes(attributes, path):
    """Refuse root attributes of the wrong sort.

    Parameters
    ----------
    attributes : dict
        As read.
    path : Path
        For messages.

    Raises
    ------
    HistoryError
        Naming the attribute.
    """
    for name, value in attributes.items():
        if name in _TEXTS and not isinstance(value, str):
            raise _foreign(path, name, "is no text")
        if name in _JSON:
            _check_json(name, value, path)
        if name in _NUMBERS or (name.endswith(_UNITS) and name not in _JSON):
            _check_number(name, value, path)
    count = attributes.get("roller_count", 0)
    if not 0 <= count <= 10_000 or count != int(count):
        raise _foreign(path, "roller_count", f"is {count}")


def _check_number(name, value, path):
    """A finite number, or an array of them."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if isinstance(value, np.ndarray) and value.dtype.kind in "iuf":
        plain = bool(np.all(np.isfinite(value)))
    elif plain:
        plain = math.isfinite(value)
    if not plain:
        raise _foreign(path, name, "is no finite number")


def _check_json(name, value, path):
    """JSON of the right form."""
    form, keys = _JSON[name]
    try:
        found = json.loads(value)
        sound = isinstance(found, form)
        if sound and form is list:
            sound = all(isinstance(row, dict) and not set(keys) - set(row) for row in found)
    except (TypeError, ValueError, RecursionError):
        sound = False
    if not sound:
        raise _foreign(path, name, "is not readable")


def check_contents(file, path):
    """Refuse a file that holds what no history holds.

    Parameters
    ----------
    file : h5py.File
        Open for reading.
    path : Path
        For messages.

    Raises
    ------
    HistoryError
        Naming the dataset and what is wrong with it.
    """
    counts = _counts(file.attrs, path)
    for group in TABLE_GROUPS:
        _check_table(_own(file, group, path), group, counts, path)
    for group in ("checkpoint", "modes"):
        if group in file:
            for name, data in _members(_own(file, group, path), path):
                _check_plain(data, f"{group}/{name}", path)


def _counts(attributes, path):
    """Lengths of the dimensions that depend on the case, by name; None where not told."""
    found = {}
    for dimension in COUNTED:
        value = attributes.get(f"{dimension}_count")
        if value is not None and not isinstance(value, int | float | np.number):
            raise _foreign(path, f"{dimension}_count", "is no number")
        found[dimension] = None if value is None else int(value)
    return found


def _own(file, name, path):
    """A group of the file itself."""
    import h5py

    if not isinstance(file.get(name, getlink=True), h5py.HardLink):
        raise _foreign(path, name, "leads to another file or place")
    found = file[name]
    if not isinstance(found, h5py.Group):
        raise _foreign(path, name, "is no group")
    return found


def _members(group, path):
    """Names and datasets of a group; links and groups are refused."""
    import h5py

    for name in group:
        where = f"{group.name.strip('/')}/{name}"
        if not isinstance(group.get(name, getlink=True), h5py.HardLink):
            raise _foreign(path, where, "leads to another file or place")
        data = group[name]
        if not isinstance(data, h5py.Dataset):
            raise _foreign(path, where, "is no dataset")
        yield name, data


def _check_table(group, kind, counts, path):
    """Datasets of a group with rows: known types and shapes, equally many rows."""
    rows = {}
    for name, data in _members(group, path):
        where = f"{kind}/{name}"
        channel = CHANNELS[kind].get(name)
        if channel is None:
            if name in (*LABELS, *COUNTED, ROW_DIMENSION[kind]):
                continue  # labels of a dimension: for other readers, never read here
            _check_plain(data, where, path)
            continue
        _check_plain(data, where, path)
        wanted = tuple(_length(dimension, counts) for dimension in channel.dims[1:])
        shape = data.shape[1:]
        fits = len(shape) == len(wanted) and all(
            ours in (None, theirs) for ours, theirs in zip(wanted, shape, strict=True)
        )
        if data.ndim < 1 or not fits or data.dtype.kind != np.dtype(channel.dtype).kind:
            raise _foreign(path, where, f"holds {data.dtype} of the shape {data.shape}")
        rows[name] = data.shape[0]
    if len(set(rows.values())) > 1:
        odd = min(rows, key=lambda name: list(rows.values()).count(rows[name]))
        raise _foreign(path, f"{kind}/{odd}", f"has {rows[odd]} rows, others have another number")


def _length(dimension, counts):
    """Length of a dimension, None for any."""
    return counts[dimension] if dimension in counts else len(LABELS[dimension])


def _check_plain(data, where, path):
    """Numbers, stored in the file itself, not much larger than they are stored."""
    if data.dtype.kind not in "biufcV" or data.dtype.hasobject:
        raise _foreign(path, where, f"holds {data.dtype}, no plain numbers")
    if data.shape is None:
        raise _foreign(path, where, "is empty")
    if data.external or data.is_virtual:
        raise _foreign(path, where, "takes its numbers from another file")
    size = data.size * data.dtype.itemsize
    if size > _SMALL and size > _MOST_PACKED * data.id.get_storage_size():
        raise _foreign(path, where, f"claims {size / 1e6:.0f} MB that the file does not store")


def _foreign(path, where, what):
    """Error for a file that is no history of rollsim whatever it says."""
    return HistoryError(f"{path} is damaged or was not written by rollsim: {where} {what}.")
