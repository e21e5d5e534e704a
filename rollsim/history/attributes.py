"""Root attributes of a history file: what goes in as plain values, and what comes back."""

import json

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
        if value is not None:
            file.attrs[name] = attribute_value(value)


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
