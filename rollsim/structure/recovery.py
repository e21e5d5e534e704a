"""Section forces of a cage from histories of its loads: linear part and contact of the interface.

The full frame is used: base ring, bars, cover and closures float freely, weak or missing closures
included, and the inertia of the rigid motion balances the loads at every instant.

    forces(t) = linear answers * loads(t) + answers to what the open springs leave out(t)

The first part is that of the tightened state with its interface bonded, as the modes of the cage
are; the second one makes the interface carry pressure only, at every instant anew. Both together
are the answer of `solve_cage` to the loads of that instant, less the preload. Vibrations belong
into the first part; nothing here knows them (method `QUASI_STATIC`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_frame import CageFrame, build_cage_frame
from rollsim.structure.cage_influence import unit_loads
from rollsim.structure.cage_solution import (
    SectionForcesOfCage,
    preload_forces,
    tightened,
    unit_responses,
)
from rollsim.structure.interface import ContactLog, Interface, face_rows, make_faces

#: Name of the method, for results.
QUASI_STATIC = "quasi_static"
PLACES = tuple(each.name for each in fields(SectionForcesOfCage))


@dataclass(frozen=True, eq=False)
class StaticRecovery:
    """What turns loads into section forces, one instant at a time.

    Fields: frame; linear (loads, places, 6) for one unit of every load (order of `unit_loads`),
    interface bonded; released (3 pairs, places, 6) for one newton put back in the sense of every
    number of a pair of faces; preload (places, 6), section forces of the tightened state;
    interface; opening (loads, 3 pairs) m, opening of the pairs for one unit of every load;
    tightened_opening (3 pairs,) m, the same by the preload; tightened_release (3 pairs,) N, what
    the preload itself leaves open.
    """

    frame: CageFrame
    linear: SectionForcesOfCage
    released: SectionForcesOfCage
    preload: SectionForcesOfCage
    interface: Interface
    opening: np.ndarray
    tightened_opening: np.ndarray
    tightened_release: np.ndarray

    @property
    def load_count(self) -> int:
        """Number of loads."""
        return len(self.opening)

    def contact(self, loads: np.ndarray, log: ContactLog | None = None) -> np.ndarray:
        """What the open springs leave out at every instant, beyond the tightened state.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            N of every load; the last is the speed squared, (rad/s)^2.
        log : ContactLog or None
            Carried through the pieces of a history; changed.

        Returns
        -------
        ndarray, (instants, 3 pairs)
            N.

        Raises
        ------
        RollsimError
            Loads of another number, or an instant that does not settle.
        """
        self._check(loads)
        linear = self.tightened_opening + loads @ self.opening
        return self.interface.settle(linear, log) - self.tightened_release

    def section_forces(
        self,
        loads: np.ndarray,
        log: ContactLog | None = None,
        places: tuple[str, ...] = PLACES,
    ) -> SectionForcesOfCage:
        """Section forces at every instant, without preload.

        Parameters
        ----------
        loads : ndarray, (instants, loads)
            As for `contact`.
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
            As for `contact`.
        """
        contact = self.contact(loads, log)
        found = {place: np.zeros((len(loads), 0, 6)) for place in PLACES}
        for place in places:
            found[place] = self.linear_part(place, loads) + self.contact_part(place, contact)
        return SectionForcesOfCage(**found)

    def linear_part(self, place: str, loads: np.ndarray) -> np.ndarray:
        """Section forces with the interface bonded, without preload.

        Parameters
        ----------
        place : str
            Field of the section forces.
        loads : ndarray, (instants, loads)
            As for `contact`.

        Returns
        -------
        ndarray, (instants, places, 6)
            N and N m.
        """
        return mixed(loads, getattr(self.linear, place))

    def contact_part(self, place: str, contact: np.ndarray) -> np.ndarray:
        """Section forces by what the open springs leave out.

        Parameters
        ----------
        place : str
            Field of the section forces.
        contact : ndarray, (instants, 3 pairs), N
            From `contact`.

        Returns
        -------
        ndarray, (instants, places, 6)
            N and N m.
        """
        return mixed(contact, getattr(self.released, place))

    def _check(self, loads: np.ndarray) -> None:
        """Refuse loads that do not fit."""
        if np.ndim(loads) != 2 or np.shape(loads)[1] != self.load_count:
            raise RollsimError(
                f"Histories of {self.load_count} loads are needed, one a column, not an array of"
                f" shape {np.shape(loads)}."
            )


def mixed(amounts: np.ndarray, answers: np.ndarray) -> np.ndarray:
    """Answers times amounts; columns that are zero throughout cost nothing.

    Parameters
    ----------
    amounts : ndarray, (instants, units)
        How much of every unit.
    answers : ndarray, (units, ...)
        Answers to one of each.

    Returns
    -------
    ndarray, (instants, ...)
    """
    used = np.flatnonzero(np.any(amounts != 0.0, axis=0))
    flat = answers.reshape(len(answers), math.prod(answers.shape[1:]))
    if len(used) == len(flat):
        product = amounts @ flat
    else:
        product = np.ascontiguousarray(amounts[:, used]) @ flat[used]
    return product.reshape(len(amounts), *answers.shape[1:])


def cage_recovery(case: Any) -> StaticRecovery:
    """Recovery for the cage of a case.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    StaticRecovery

    Raises
    ------
    RollsimError
        The parts cannot be made (see `cage_numbers`).
    """
    return frame_recovery(build_cage_frame(case))


def frame_recovery(frame: CageFrame) -> StaticRecovery:
    """Recovery for a frame: one factorisation for all loads and all pairs of faces.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    StaticRecovery
    """
    rows, shapes, products = face_rows(frame)
    loads, size = unit_loads(frame), frame.nodes.size * 2
    together = np.concatenate([loads.reshape(-1, size), rows.toarray(), [frame.prestress]])
    motion, forces = unit_responses(frame, together.reshape(len(together), -1, 6))
    opening = (rows @ motion.reshape(len(motion), -1).T).T
    count = len(loads)
    interface = Interface(make_faces(shapes, products, opening[count:-1]), rows)
    tight = tightened(frame).pull * opening[-1]
    return StaticRecovery(
        frame,
        _part(forces, slice(None, count)),
        _part(forces, slice(count, -1)),
        preload_forces(frame),
        interface,
        np.ascontiguousarray(opening[:count]),
        tight,
        interface.settle(tight[None, :])[0],
    )


def _part(forces: SectionForcesOfCage, which: slice) -> SectionForcesOfCage:
    """Section forces of some load cases."""
    return SectionForcesOfCage(*(np.ascontiguousarray(getattr(forces, p)[which]) for p in PLACES))
