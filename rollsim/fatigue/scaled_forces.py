"""Normal section forces at scaled loads: what search for a reserve factor goes through many times.

Axial force and both moments are all that rainflow counting asks for, of the bars that are looked at
alone. With the interface bonded they are linear in the loads, so that this part, and the opening of
the interface, are worked out once; what open springs leave out is solved at every factor, for the
states that open any.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from rollsim.fatigue.evaluate import NORMAL, SpotStreams
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.opening import opening_pieces
from rollsim.fatigue.recovered import ForceSource
from rollsim.structure.interface import ContactLog
from rollsim.structure.recovery import mixed

#: Memory for the linear parts, bytes.
ROOM_BYTES = 200_000_000


@dataclass(frozen=True, eq=False)
class ScaledForces:
    """Normal section forces of the bars of a place in a history, at any factor on its loads.

    Fields: source; stream, the place; kept, linear parts that were worked out.
    """

    source: ForceSource
    stream: SpotStreams
    kept: KeptPieces = field(default_factory=lambda: KeptPieces(ROOM_BYTES))

    def pieces(self, factor: float, blocks: Sequence[int]) -> Iterator[np.ndarray]:
        """Forces at scaled loads; states that repeat the one before are left out.

        Parameters
        ----------
        factor : float
            On all loads and vibrations.
        blocks : sequence of int
            Blocks of the history, taken as one.

        Yields
        ------
        ndarray, (instants, bars, 3)
            Without preload: N, N m, N m.
        """
        static, log = self.source.recovery, ContactLog()
        released = self._answers(static.released)
        for block in blocks:
            linear = self.kept.through(block, lambda block=block: self._linear(block))
            for forces, opening, opens_at in linear:
                whole = factor * forces
                # Rounding of the factor must not leave out a state that just opens.
                open_ones = np.flatnonzero(opens_at <= (1.0 + 1e-9) * factor)
                if len(open_ones):
                    own = static.tightened_opening + factor * opening[open_ones]
                    contact = static.interface.settle(own, log) - static.tightened_release
                    whole[open_ones] += mixed(contact, released)
                yield whole.reshape(len(whole), -1, len(NORMAL))

    def _linear(self, block: int) -> Iterator[tuple[np.ndarray, np.ndarray, np.ndarray]]:
        """Forces and openings of the bonded cage by the loads as they are, and what opens it."""
        answers = self._answers(self.source.recovery.linear)
        modal = self.source.modal
        shapes = None if modal is None else self._answers(modal.forces)
        pieces = zip(
            self.source.load_pieces(block),
            self.source.openings(block),
            opening_pieces(self.source, block),
            strict=True,
        )
        for (loads, vibration), opening, opens_at in pieces:
            # A state that repeats the one before it closes no cycle.
            own = changing(loads, vibration)
            loads, vibration = loads[own], None if vibration is None else vibration[own]
            forces = mixed(loads, answers)
            if vibration is not None:
                forces += vibration @ shapes
            yield forces, opening[own], opens_at[own]

    def _answers(self, forces) -> np.ndarray:
        """Normal forces of the bars for one unit of everything: (units, columns)."""
        spot = self.stream.spot
        own = getattr(forces, spot.field)[:, spot.bars][..., NORMAL]
        return own.reshape(len(own), -1)


def changing(loads: np.ndarray, vibration: np.ndarray | None) -> np.ndarray:
    """States that differ from the one before them; the first always counts.

    Parameters
    ----------
    loads : ndarray, (instants, loads)
        N.
    vibration : ndarray, (instants, modes), or None
        m sqrt(kg).

    Returns
    -------
    ndarray of bool, (instants,)
    """
    kept = np.ones(len(loads), dtype=bool)
    kept[1:] = np.any(loads[1:] != loads[:-1], axis=1)
    if vibration is not None:
        kept[1:] |= np.any(vibration[1:] != vibration[:-1], axis=1)
    return kept


def damage_at(scaled: ScaledForces, factor: float, blocks: Sequence[int]) -> np.ndarray:
    """Damage of the most damaged point of every bar at scaled loads.

    Parameters
    ----------
    scaled : ScaledForces
        Place to look at; its stream is not changed.
    factor : float
        Factor on the loads.
    blocks : sequence of int
        Blocks of the history, taken as one.

    Returns
    -------
    ndarray, (bars,)
    """
    fresh = scaled.stream.emptied()
    for forces in scaled.pieces(factor, blocks):
        fresh.count(forces)
    fresh.close()
    return fresh.totals[..., 0].max(axis=1)
