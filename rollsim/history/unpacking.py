"""Rows of packed chunks, unpacked without HDF5, which takes 1.6 times as long for forces.

What stands in the file is checked by the sum that every deflate stream carries; wherever anything
is not as `rollsim.history.packing` writes it, HDF5 itself has to read, and to say what is wrong.
"""

from __future__ import annotations

import zlib
from typing import Any

import numpy as np

#: Fewer rows than this in a chunk or asked for are not worth the way round HDF5.
_FEWEST_ROWS = 256
_CHECK_SUM_BYTES = 4


def unpacked_rows(data: Any, start: int, stop: int) -> np.ndarray | None:
    """Rows of a dataset that was written as packed chunks.

    Parameters
    ----------
    data : h5py.Dataset
        Open dataset.
    start, stop : int
        First row, and the row after the last, within the dataset.

    Returns
    -------
    ndarray or None
        In the number type of the file; None where HDF5 has to read.
    """
    if stop - start < _FEWEST_ROWS or not _written_by_us(data):
        return None
    size = data.chunks[0]
    found = np.empty((stop - start, *data.shape[1:]), dtype=data.dtype)
    row_bytes = found.itemsize * int(np.prod(data.shape[1:]))
    into = found.reshape(-1).view(np.uint8).reshape(stop - start, row_bytes)
    for first in range(start - start % size, stop, size):
        piece = _chunk(data, first, size * row_bytes)
        if piece is None:
            return None
        low, high = max(start, first), min(stop, first + size)
        # Bytes of all numbers by their place in the number: a row is a stretch of every place.
        places = piece.reshape(found.itemsize, size, -1)[:, low - first : high - first]
        target = into[low - start : high - start].reshape(high - low, -1, found.itemsize)
        target[...] = places.transpose(1, 2, 0)
    return found


def _written_by_us(data: Any) -> bool:
    """Whether the chunks are whole rows that passed our three filters in their order."""
    chunks = data.chunks
    return bool(
        chunks
        and chunks[0] >= _FEWEST_ROWS
        and chunks[1:] == data.shape[1:]
        and data.dtype.isnative
        and data.dtype.kind in "fiu"
        and data.size
        and _filters(data) == _OURS
    )


def _filters(data: Any) -> tuple[int, ...]:
    """Numbers of the filters of a dataset."""
    made = data.id.get_create_plist()
    return tuple(made.get_filter(k)[0] for k in range(made.get_nfilters()))


#: Shuffle, deflate, fletcher32, by their numbers in HDF5.
_OURS = (2, 1, 3)


def _chunk(data: Any, first: int, size: int) -> np.ndarray | None:
    """Bytes of the chunk that begins at a row, still turned; None where anything is odd."""
    try:
        mask, content = data.id.read_direct_chunk((first, *(0 for _ in data.shape[1:])))
    except (OSError, ValueError, RuntimeError):
        return None
    if mask or len(content) <= _CHECK_SUM_BYTES:
        return None
    inflate, wrong = _inflate()
    try:
        # One byte more than there may be: a stream that holds too much is told apart.
        plain = inflate.decompress(content[:-_CHECK_SUM_BYTES], size + 1)
    except wrong:
        return None
    if len(plain) != size or not inflate.eof:
        return None
    return np.frombuffer(plain, np.uint8)


def _inflate() -> tuple[Any, tuple[type[Exception], ...]]:
    """The fastest inflate there is, and the error of a stream that is none."""
    try:
        from isal import isal_zlib
    except ImportError:
        return zlib.decompressobj(), (zlib.error,)
    return isal_zlib.decompressobj(), (isal_zlib.IsalError, zlib.error)
