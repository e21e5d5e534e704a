"""Frames as compact text: whole numbers of two bytes, compressed, in base64."""

from __future__ import annotations

import base64
import gzip
from collections.abc import Mapping
from typing import Any

import numpy as np

_LARGEST = 32767


def packed(arrays: Mapping[str, np.ndarray]) -> dict[str, Any]:
    """Pack arrays of one row a frame.

    Every array becomes signed whole numbers of two bytes (little end first) times one scale, so
    that its largest value keeps four and a half digits; all of them follow each other.

    Parameters
    ----------
    arrays : mapping of str to ndarray
        Finite numbers or NaN, which becomes 0.

    Returns
    -------
    dict
        parts: list of [name, numbers a frame, scale]; data: gzip, base64.
    """
    parts, pieces = [], []
    for name, values in arrays.items():
        rows = np.nan_to_num(np.asarray(values, dtype=float)).reshape(len(values), -1)
        scale = float(np.abs(rows).max(initial=0.0)) / _LARGEST or 1.0
        parts.append([name, rows.shape[1], scale])
        pieces.append(np.rint(rows / scale).astype("<i2").tobytes())
    data = gzip.compress(b"".join(pieces), 9, mtime=0)
    return {"parts": parts, "data": base64.b64encode(data).decode()}


def unpacked(found: Mapping[str, Any]) -> dict[str, np.ndarray]:
    """Undo `packed`, as the player does.

    Parameters
    ----------
    found : mapping
        From `packed`.

    Returns
    -------
    dict of ndarray
        (frames, numbers a frame).
    """
    whole = np.frombuffer(gzip.decompress(base64.b64decode(found["data"])), "<i2")
    frames = len(whole) // max(1, sum(width for _, width, _ in found["parts"]))
    arrays, first = {}, 0
    for name, width, scale in found["parts"]:
        own = whole[first : first + frames * width]
        arrays[name] = own.reshape(frames, width) * scale
        first += frames * width
    return arrays
