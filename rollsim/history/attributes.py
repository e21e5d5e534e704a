"""Root attributes of a history file: what goes in as plain values, and what comes back."""

import json
from functools import cache

import numpy as np


def attribute_value(value):
    """Form in which a value is kept as an attribute of the file.

    Parameters
    ----------
    value : object
        Text, number, truth value, array, or anything that JSON can hold.

    Returns
    -------
    object
        Truth values as 0 or 1, dictionaries and lists as JSON text, the rest unchanged.

    >>> attribute_value([{"key": "roller.slices", "value": 1}])
    '[{"key": "roller.slices", "value": 1}]'
    """
    if isinstance(value, bool | np.bool_):
        return int(value)
    if isinstance(value, dict | list | tuple):
        return json.dumps(value)
    return value


def write_attributes(file, attributes):
    """Set the root attributes of an open file; None values are left out.

    Parameters
    ----------
    file : h5py.File
        Open for writing.
    attributes : dict
        Name to value.
    """
    for name, value in attributes.items():
        plain = attribute_value(value)
        if isinstance(plain, str):
            _write_text(file, name, plain)
        elif plain is not None:
            file.attrs[name] = plain


def _write_text(file, name, text):
    """Set a text by the calls below h5py's own, which take three times as long.

    Every segment of a run holds all of them, and a fast run makes many segments a second.
    """
    from h5py import h5a

    own, name = file.id, name.encode()
    if h5a.exists(own, name):
        h5a.delete(own, name)
    kind, memory, space = _kinds_of_text()
    made = h5a.create(own, name, kind, space)
    made.write(np.array(text, dtype=object), mtype=memory)


@cache
def _kinds_of_text():
    """HDF5's type of a text in a file and in memory, and the space of a single one."""
    import h5py
    from h5py import h5s, h5t

    text = h5py.string_dtype()
    return h5t.py_create(text, logical=True), h5t.py_create(text), h5s.create_simple(())


def read_attributes(file):
    """Root attributes of an open file as plain Python values.

    Parameters
    ----------
    file : h5py.File
        Open for reading.

    Returns
    -------
    dict
        Text as str, numbers as int or float, arrays as they are.
    """
    return {name: _plain(value) for name, value in file.attrs.items() if not name.startswith("_")}


def _plain(value):
    """Plain Python value of an attribute as h5py returns it."""
    if isinstance(value, bytes):
        return value.decode("utf-8", errors="replace")
    return value.item() if isinstance(value, np.generic) else value
