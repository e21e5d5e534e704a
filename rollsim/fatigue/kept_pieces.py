"""Pieces of a history that are gone through again and again, kept while there is room.

A verdict goes twenty to forty times through the same loads: two passes as at rest, two with
vibrations, and those in search of the reserve. Short histories stay in memory; of long ones the
rest goes into files without a name in the folder for temporary ones, which are gone with the
process however it ends. What finds no room there either is made anew in every pass, so that
memory and disk stay bounded.
"""

from __future__ import annotations

import contextlib
import pickle
import shutil
import tempfile
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

import numpy as np

#: Memory for the loads of a history, bytes: 20 to 30 s of 18 rollers at 5 kHz.
ROOM_BYTES = 400_000_000
#: Disk for what finds no room in memory, bytes: three minutes of the same.
SCRATCH_BYTES = 6_000_000_000
#: Share of the free disk that may be used.
_OF_FREE = 0.25


@dataclass
class KeptPieces:
    """What was gone through once.

    Fields: room, bytes of memory that are left; scratch, bytes of disk that are left; held, name of
    a stretch -> its pieces; made, name -> what was made once and takes little room.
    """

    room: int = ROOM_BYTES
    scratch: int = SCRATCH_BYTES
    held: dict[Hashable, Any] = field(default_factory=dict)
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

    def through(
        self, name: Hashable, make: Callable[[], Iterator[Any]], often: bool = True
    ) -> Iterator[Any]:
        """Pieces of a stretch: kept ones, else made, and kept if they fit.

        Parameters
        ----------
        name : hashable
            Name of the stretch; equal names have equal pieces.
        make : callable
            Makes the pieces: arrays, tuples or dataclasses of them. Nobody may change them.
        often : bool
            False: asked for so rarely that the disk is not worth it.

        Yields
        ------
        object
            Piece after piece.
        """
        if name in self.held:
            yield from self.held[name]
            return
        pieces, size, file = [], 0, None
        for piece in make():
            size += _bytes(piece)
            pieces.append(piece)
            if size > self.room:
                if file is None and often:
                    file = self._file(size)
                if file is not None and not file.take(pieces):
                    file, often = None, False
                pieces.clear()
            yield piece
        if size <= self.room:
            self.held[name] = tuple(pieces)
            self.room -= size
        elif file is not None:
            self.held[name] = file
            self.scratch -= file.size

    def _file(self, size: int) -> _Scratch | None:
        """A file for a stretch, where the disk has room; `size`, what is known of it so far."""
        free = shutil.disk_usage(tempfile.gettempdir()).free
        room = min(self.scratch, int(_OF_FREE * free))
        return _Scratch(room) if size <= room else None


class _Scratch:
    """Pieces of one stretch in a file without a name; several may go through it at once."""

    def __init__(self, room: int):
        self._room = room
        self._file = tempfile.TemporaryFile()  # noqa: SIM115
        self._ends = [0]

    @property
    def size(self) -> int:
        """Bytes of the file."""
        return self._ends[-1]

    def take(self, pieces: list[Any]) -> bool:
        """Add pieces; False where they find no room."""
        with contextlib.suppress(OSError):
            for piece in pieces:
                pickle.dump(piece, self._file, protocol=5)
                self._ends.append(self._file.tell())
            if self.size <= self._room:
                return True
        with contextlib.suppress(OSError):
            self._file.close()
        return False

    def __iter__(self) -> Iterator[Any]:
        """All pieces in their order."""
        for place in self._ends[:-1]:
            self._file.seek(place)
            # Our own file, without a name: nobody else can have written into it.
            yield pickle.load(self._file)


def _bytes(piece: Any) -> int:
    """Memory of a piece."""
    if isinstance(piece, np.ndarray):
        return piece.nbytes
    if is_dataclass(piece):
        return sum(_bytes(getattr(piece, own.name)) for own in fields(piece))
    return sum(map(_bytes, piece)) if isinstance(piece, tuple) else 0
