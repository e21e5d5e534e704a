"""Section forces of the cage of a history, piece by piece, by the method that is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from rollsim.errors import RollsimError
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.loads import STATES, force_pieces
from rollsim.fatigue.vibrations import vibration_pieces
from rollsim.kernels.face_settling import SEARCHED, WITH_OPEN
from rollsim.structure.cage_solution import SectionForcesOfCage
from rollsim.structure.interface import ContactLog
from rollsim.structure.modal_recovery import MODAL, ModalRecovery
from rollsim.structure.recovery import QUASI_STATIC, StaticRecovery

#: How loads become section forces.
METHODS = (QUASI_STATIC, MODAL)


@dataclass
class ForceSource:
    """Gives the section forces of a block of the history, three states a sample (`loads`).

    Fields: history; parts (sample times of every block, s); recovery; places (fields of the section
    forces that are wanted); method; modal (recovery with vibrations, None as at rest); log (contact
    of the interface); states (solved so far); kept (loads and vibrations that were read).
    """

    history: object
    parts: list[np.ndarray]
    recovery: StaticRecovery
    places: tuple[str, ...]
    method: str = QUASI_STATIC
    modal: ModalRecovery | None = None
    log: ContactLog = field(default_factory=ContactLog)
    states: int = 0
    kept: KeptPieces = field(default_factory=KeptPieces)

    def __post_init__(self):
        """Refuse an unknown method."""
        if self.method not in METHODS:
            raise RollsimError(f'No method "{self.method}"; there are {", ".join(METHODS)}.')

    def pieces(self, block: int) -> Iterator[SectionForcesOfCage]:
        """Section forces of a block, without preload.

        Parameters
        ----------
        block : int
            Number of the block.

        Yields
        ------
        SectionForcesOfCage
            (3 samples, places, 6).
        """
        # Asked for twice only, and large.
        make = partial(self._solved, block)
        yield from self.kept.through(self._name(block), make, often=False)

    def _solved(self, block: int) -> Iterator[SectionForcesOfCage]:
        """Section forces of a block, the interface solved anew."""
        for loads, vibration in self.load_pieces(block):
            self.states += len(loads)
            yield self.forces(loads, vibration)

    def _name(self, block: int) -> tuple:
        """Under which the forces of a block are kept; those of more places serve as well."""
        own = ("forces", self.modal is not None, *self.span(block))
        for name in self.kept.held:
            if name[: len(own)] == own and set(self.places) <= set(name[-1]):
                return name
        return (*own, self.places)

    def span(self, block: int) -> tuple[float, int]:
        """First time of a block, s, and its number of samples: its name among what is kept.

        Parameters
        ----------
        block : int
            Number of the block.

        Returns
        -------
        tuple of float and int
        """
        time = self.parts[block]
        return float(time[0]), len(time)

    def load_pieces(self, block: int) -> Iterator[tuple[np.ndarray, np.ndarray | None]]:
        """Loads and vibrations of a block.

        Parameters
        ----------
        block : int
            Number of the block.

        Yields
        ------
        loads : ndarray, (3 samples, loads)
            N, the last column (rad/s)^2.
        vibration : ndarray, (3 samples, modes), or None
            m sqrt(kg); None as at rest.
        """
        time = self.parts[block]
        span = self.span(block)
        pieces = self.kept.through(
            ("loads", *span), lambda: force_pieces(self.history, time, self.kept)
        )
        if self.modal is None:
            for loads in pieces:
                yield loads, None
            return
        vibrations = self.kept.through(
            ("vibration", *span), lambda: vibration_pieces(self.history, time, self.modal)
        )
        for loads, vibration in zip(pieces, vibrations, strict=True):
            yield loads, np.repeat(vibration, STATES, axis=0)

    def forces(self, loads: np.ndarray, vibration: np.ndarray | None) -> SectionForcesOfCage:
        """Section forces for loads and vibrations, the interface solved; without preload.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            As from `load_pieces`, scaled or not.
        vibration : ndarray, (instants, modes), or None
            Likewise.

        Returns
        -------
        SectionForcesOfCage
            (instants, places, 6).
        """
        if vibration is None:
            return self.recovery.section_forces(loads, self.log, self.places)
        return self.modal.section_forces(loads, vibration, self.log, self.places)

    def opening(self, loads: np.ndarray, vibration: np.ndarray | None) -> np.ndarray:
        """Opening of the bonded interface by loads and vibrations, without preload.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            As from `load_pieces`.
        vibration : ndarray, (instants, modes), or None
            Likewise.

        Returns
        -------
        ndarray, (instants, 3 pairs)
            m.
        """
        opening = loads @ self.recovery.opening
        return opening if vibration is None else opening + vibration @ self.modal.opening

    def openings(self, block: int) -> Iterator[np.ndarray]:
        """Openings of the bonded interface in a block, without preload.

        Parameters
        ----------
        block : int
            Number of the block.

        Yields
        ------
        ndarray, (3 samples, 3 pairs)
            m.
        """
        yield from self.kept.through(
            ("opening", self.modal is not None, *self.span(block)),
            lambda: (self.opening(*both) for both in self.load_pieces(block)),
        )

    @property
    def open_share(self) -> float:
        """Share of the states in which a part of the interface is open."""
        return float(self.log.counts[WITH_OPEN]) / max(self.states, 1)

    @property
    def searched_share(self) -> float:
        """Share of the states that needed the exact search."""
        return float(self.log.counts[SEARCHED]) / max(self.states, 1)
