"""Pieces of a history that are gone through again and again, kept in memory while there is room.

A verdict goes twenty to forty times through the same loads: two passes as at rest, two with
vibrations, and those in search of the reserve. Short histories are read once; those that find no
room are read anew in every pass, so that memory stays bounded.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

import numpy as np

#: Memory for the loads of a history, bytes: 20 to 30 s of 18 rollers at 5 kHz.
ROOM_BYTES = 400_000_000


@dataclass
class KeptPieces:
    """What was gone through once.

    Fields: room, bytes that are left; held, name of a stretch -> its pieces; made, name -> what was
    made once and takes little room.
    """

    room: int = ROOM_BYTES
    held: dict[Hashable, tuple] = field(default_factory=dict)
    made: dict[Hashable, Any] = field(default_factory=dict)

    def once(self, name: Hashable, make: Callable[[], Any]) -> Any:
        """What several evaluations of one history need, made by the first of them.

        Parameters
        ----------
        name : hashable
            Its name; equal names stand for equal things.
        make : callable
            Makes it. Nobody may change it.

        Returns
        -------
        object
        """
        if name not in self.made:
            self.made[name] = make()
        return self.made[name]

    def through(self, name: Hashable, make: Callable[[], Iterator[Any]]) -> Iterator[Any]:
        """Pieces of a stretch: from memory where they are kept, else made, and kept if they fit.

        Parameters
        ----------
        name : hashable
            Name of the stretch; equal names have equal pieces.
        make : callable
            Makes the pieces: arrays, tuples or dataclasses of them. Nobody may change them.

        Yields
        ------
        object
            Piece after piece.
        """
        if name in self.held:
            yield from self.held[name]
            return
        pieces, size = [], 0
        for piece in make():
            size += _bytes(piece)
            if size <= self.room:
                pieces.append(piece)
            else:
                pieces.clear()
            yield piece
        if size <= self.room:
            self.held[name] = tuple(pieces)
            self.room -= size


def _bytes(piece: Any) -> int:
    """Memory of a piece."""
    if isinstance(piece, np.ndarray):
        return piece.nbytes
    if is_dataclass(piece):
        return sum(_bytes(getattr(piece, own.name)) for own in fields(piece))
    return sum(map(_bytes, piece)) if isinstance(piece, tuple) else 0
