"""Section forces of a cage with the vibrations that a run drove at every internal step.

    forces(t) = answer at rest to loads(t) + sum over the modes of
                (modal coordinate(t) - static share of the loads(t)) * forces of the mode

Modes left out answer at rest, so that few are enough. The vibrations are linear ones of the
tightened state with its interface bonded; what they open at the interface adds to what the loads
open, and the interface carries pressure only (`StaticRecovery`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_solution import SectionForcesOfCage, section_forces
from rollsim.structure.interface import ContactLog
from rollsim.structure.recovery import PLACES, StaticRecovery

#: Name of the method, for results.
MODAL = "modal"


@dataclass(frozen=True, eq=False)
class ModalRecovery:
    """A recovery at rest with the modes of a run on top.

    Fields: static; share (loads, modes) m sqrt(kg)/N, static coordinate of every mode for one unit
    of every load; forces (modes, places, 6), section forces in N and N m for one unit of every
    coordinate; opening (modes, 3 pairs), what it opens at the interface, m.
    """

    static: StaticRecovery
    share: np.ndarray
    forces: SectionForcesOfCage
    opening: np.ndarray

    def vibration(self, loads: np.ndarray, coordinates: np.ndarray) -> np.ndarray:
        """Modal coordinates less their static share.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            The loads by which the run drove the modes (`rollsim.kernels.cage_loads`).
        coordinates : ndarray, (instants, modes), m sqrt(kg)
            Modal coordinates at the same instants.

        Returns
        -------
        ndarray, (instants, modes)
            m sqrt(kg).

        Raises
        ------
        RollsimError
            Loads or coordinates of another number.
        """
        wanted = (len(loads), self.share.shape[1])
        if np.shape(loads)[1:] != self.share.shape[:1] or np.shape(coordinates) != wanted:
            raise RollsimError(
                f"Loads and modal coordinates of the shapes {np.shape(loads)} and "
                f"{np.shape(coordinates)} do not fit {self.share.shape[0]} loads and "
                f"{self.share.shape[1]} modes."
            )
        return coordinates - loads @ self.share

    def section_forces(
        self,
        loads: np.ndarray,
        vibration: np.ndarray,
        log: ContactLog | None = None,
        places: tuple[str, ...] = PLACES,
    ) -> SectionForcesOfCage:
        """Section forces at every instant, without preload.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            N of every load; the last is the speed squared, (rad/s)^2.
        vibration : ndarray, (instants, modes), m sqrt(kg)
            From `vibration`.
        log : ContactLog or None
            Carried through the pieces of a history; changed.
        places : tuple of str
            Fields of the answer that are wanted; the others have no places.

        Returns
        -------
        SectionForcesOfCage
            (instants, places, 6).

        Raises
        ------
        RollsimError
            An instant at which the interface does not settle.
        """
        static = self.static
        linear = static.tightened_opening + loads @ static.opening + vibration @ self.opening
        contact = static.interface.settle(linear, log) - static.tightened_release
        found = {place: np.zeros((len(loads), 0, 6)) for place in PLACES}
        for place in places:
            found[place] = (
                static.linear_part(place, loads)
                + static.contact_part(place, contact)
                + np.tensordot(vibration, getattr(self.forces, place), axes=1)
            )
        return SectionForcesOfCage(**found)


def modal_recovery(static: StaticRecovery, modes: dict[str, Any]) -> ModalRecovery:
    """Recovery with the modes of a run.

    Parameters
    ----------
    static : StaticRecovery
        Of the same cage.
    modes : dict
        What the modes are, as `History.modes` gives it or `CageModesData._asdict()`.

    Returns
    -------
    ModalRecovery

    Raises
    ------
    RollsimError
        There are no modes, or they belong to another frame.
    """
    frame = static.frame
    if not modes:
        raise RollsimError(
            "The history has no modal coordinates of the cage: set cage.elastic_modes (80, say) "
            "in the case and run it again by rollsim run or rollsim.run, or use the method "
            "quasi_static."
        )
    shapes = np.asarray(modes["shapes"], dtype=float)
    if shapes.shape[1:] != (len(frame.nodes), 6):
        raise RollsimError(
            f"The modes of the history have {shapes.shape[1]} nodes, the frame of the cage "
            f"{len(frame.nodes)}: they were made by another version. Run the case again."
        )
    speed = 2.0 * math.pi * np.asarray(modes["frequencies"], dtype=float)
    return ModalRecovery(
        static,
        np.asarray(modes["participation"], dtype=float) / speed**2,
        section_forces(frame, frame.beams.end_forces(shapes)),
        (static.interface.rows @ shapes.reshape(len(shapes), -1).T).T,
    )
