"""Rows of a channel as packed chunks of HDF5, made without HDF5.

Every table of a history is stored in chunks that pass through three filters of HDF5: shuffle,
gzip and fletcher32. HDF5 packs in one thread, under one lock and with a slow deflate; here the
very same bytes are made with a fast one, which lets other threads run meanwhile. Any HDF5 tool
reads them.
"""

import threading
import zlib
from dataclasses import dataclass

import numpy as np

_LEAST_CHUNK_ROWS = 1000
_MOST_CHUNK_ROWS = 5000
_KEPT = threading.local()
#: Effort of deflate: more of it gains 2 % of the size.
LEVEL = 1


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

    >>> chunk_rows(1000), chunk_rows(4000), chunk_rows(1234), chunk_rows(5003), chunk_rows(37)
    (1000, 1000, 1234, 1000, 1000)
    """
    for count in range(rows // _LEAST_CHUNK_ROWS, 0, -1):
        if rows % count == 0 and rows // count <= _MOST_CHUNK_ROWS:
            return rows // count
    return _LEAST_CHUNK_ROWS


@dataclass(frozen=True)
class PackedRows:
    """Rows of one channel, packed: values as they are, rows of a chunk, the chunks as bytes."""

    values: np.ndarray
    rows_in_chunk: int
    chunks: tuple

    @property
    def shape(self):
        """Shape of the values."""
        return self.values.shape

    def chunk(self, number):
        """A chunk as HDF5 hands it over.

        Parameters
        ----------
        number : int
            Counted from 0.

        Returns
        -------
        mask : int
            0: every filter was used.
        content : bytes
            The packed chunk.
        """
        return 0, self.chunks[number]


def packed_rows(values, rows_in_chunk=None):
    """Pack the rows of a channel.

    Parameters
    ----------
    values : ndarray
        Contiguous, in the number type of the file, rows first.
    rows_in_chunk : int or None
        Rows of a chunk; None for `chunk_rows`.

    Returns
    -------
    PackedRows
        The last chunk is filled up with zeros.
    """
    size = rows_in_chunk or chunk_rows(len(values))
    begins = range(0, len(values), size)
    return PackedRows(
        values, size, tuple(_packed(values[row : row + size], size) for row in begins)
    )


def packed_tables(tables):
    """Pack all channels of a block.

    Parameters
    ----------
    tables : dict of dict of ndarray
        Group to channel to array, as checked by block_tables.

    Returns
    -------
    dict of dict of PackedRows
        Group to channel to packed rows.
    """
    return {
        group: {name: packed_rows(values) for name, values in table.items()}
        for group, table in tables.items()
    }


def _packed(piece, rows):
    """One chunk through the three filters."""
    from rollsim.kernels.packing import fletcher32, shuffle_bytes

    if len(piece) < rows:
        whole = np.zeros((rows, *piece.shape[1:]), dtype=piece.dtype)
        whole[: len(piece)] = piece
        piece = whole
    width = piece.dtype.itemsize
    plain = np.ascontiguousarray(piece).reshape(-1).view(np.uint8).reshape(-1, width)
    turned = _scratch(width * len(plain)).reshape(width, -1)
    shuffle_bytes(plain, turned)
    content = _deflate()(turned, LEVEL)
    return content + int(fletcher32(np.frombuffer(content, np.uint8))).to_bytes(4, "little")


def _scratch(size):
    """Bytes to work in, kept by every thread: new memory costs as much as turning the bytes."""
    kept = getattr(_KEPT, "bytes", None)
    if kept is None or len(kept) < size:
        kept = _KEPT.bytes = np.empty(size, dtype=np.uint8)
    return kept[:size]


def _deflate():
    """The fastest deflate there is; all write what every HDF5 tool reads."""
    try:
        from isal import isal_zlib
    except ImportError:
        return zlib.compress
    return isal_zlib.compress
