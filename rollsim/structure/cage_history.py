"""Section forces of a cage from histories of its loads: as if at rest, or with its vibrations.

- quasi_static: at every instant the answer to the loads of that instant (inertia relief).
- modal: the same plus, for each of the lowest modes, by how much its vibration differs from its
  static share. The modes left out answer statically, so few modes are enough; modes alone would
  converge badly.

Both are linear: one state of the interface, that of the influence. A pulse shorter than about three
periods of the lowest modes is not quasi-static; `difference` says by how much on a given history.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import expm
from scipy.signal import lfilter

from rollsim.errors import RollsimError
from rollsim.structure.cage_frame import CageFrame
from rollsim.structure.cage_influence import CageInfluence, unit_loads
from rollsim.structure.cage_modes import CageModes, free_modes
from rollsim.structure.cage_solution import SectionForcesOfCage, section_forces

METHODS = ("quasi_static", "modal")
#: With it the moment of a bar root under a pulse on the bar of 0.3 to 3 ms came out within 1 to 5 %
#: of a direct march, for a cage of 18 pockets; 40 modes left 20 to 30 % at 0.3 ms, because the
#: vibrations of the bars themselves come only after some fifty modes of the rings.
USUAL_MODES = 80


@dataclass(frozen=True)
class CageRecovery:
    """What turns histories of loads into histories of section forces.

    Fields: influence; modes, at the same state of the interface; participation (loads, modes),
    modal force of every unit load; mode_forces (modes, ...), section forces in N and N m for one
    unit of every modal coordinate.
    """

    influence: CageInfluence
    modes: CageModes
    participation: np.ndarray
    mode_forces: SectionForcesOfCage

    def history(
        self,
        place: str,
        amounts: np.ndarray,
        step: float,
        damping: float,
        method: str = "modal",
    ) -> np.ndarray:
        """Section forces at all instants, without preload.

        Parameters
        ----------
        place : str
            interface, head, bar_base, bar_cover, ring_base or ring_cover.
        amounts : ndarray, (instants, loads)
            Loads as in `CageInfluence.section_forces`, linear between the instants; before the
            first one they have stood for ever.
        step : float, s
            Time between instants.
        damping : float
            Share of critical damping of every mode.
        method : str
            quasi_static or modal.

        Returns
        -------
        ndarray, (instants, places, 6)
            N and N m.

        Raises
        ------
        RollsimError
            Unknown place or method, or amounts of another number of loads.
        """
        self._check(place, amounts, method)
        forces = np.tensordot(amounts, getattr(self.influence.forces, place), axes=1)
        if method == "modal":
            extra = self.vibration(amounts, step, damping)
            forces += np.tensordot(extra, getattr(self.mode_forces, place), axes=1)
        return forces

    def vibration(self, amounts: np.ndarray, step: float, damping: float) -> np.ndarray:
        """Modal coordinates less their static share.

        Parameters
        ----------
        amounts : ndarray, (instants, loads)
            As in `history`.
        step : float, s
            Time between instants.
        damping : float
            Share of critical damping.

        Returns
        -------
        ndarray, (instants, modes)
            m sqrt(kg).
        """
        pushed = amounts @ self.participation
        result = np.empty_like(pushed)
        for k, hertz in enumerate(self.modes.frequencies):
            speed = 2.0 * math.pi * hertz
            change = pushed[:, k] - pushed[0, k]
            own = lfilter(*oscillator_filter(speed, damping, step), change)
            result[:, k] = own - change / speed**2
        return result

    def difference(self, place: str, amounts: np.ndarray, step: float, damping: float) -> float:
        """How wrong the quasi-static history is, over its own size.

        Parameters
        ----------
        place : str
            As in `history`.
        amounts : ndarray, (instants, loads)
            As in `history`.
        step : float, s
            Time between instants.
        damping : float
            Share of critical damping.

        Returns
        -------
        float
            Root mean square of the difference over that of the modal history, for the component
            and place with the largest modal root mean square among bending moments.
        """
        fast = self.history(place, amounts, step, damping)[..., 4:]
        slow = self.history(place, amounts, step, damping, "quasi_static")[..., 4:]
        size = np.sqrt(np.mean(fast**2, axis=0))
        wrong = np.sqrt(np.mean((fast - slow) ** 2, axis=0))
        worst = np.unravel_index(np.argmax(size), size.shape)
        return float(wrong[worst] / size[worst]) if size[worst] > 0.0 else 0.0

    def _check(self, place: str, amounts: np.ndarray, method: str) -> None:
        """Refuse what does not fit."""
        places = tuple(SectionForcesOfCage.__dataclass_fields__)
        if place not in places:
            raise RollsimError(f'No place "{place}"; there are {", ".join(places)}.')
        if method not in METHODS:
            raise RollsimError(f'No method "{method}"; there are {", ".join(METHODS)}.')
        if np.ndim(amounts) != 2 or np.shape(amounts)[1] != len(self.participation):
            raise RollsimError(
                f"Histories of {len(self.participation)} loads are needed, one a column, not an"
                f" array of shape {np.shape(amounts)}."
            )


def cage_recovery(
    frame: CageFrame, influence: CageInfluence, count: int = USUAL_MODES
) -> CageRecovery:
    """Modes at the state of an influence, and what they do to the section forces.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    influence : CageInfluence
        Of the same cage.
    count : int
        Number of modes.

    Returns
    -------
    CageRecovery
    """
    stiffness = frame.with_closed(influence.closed.ravel())
    modes = free_modes(stiffness, frame.mass, count)
    loads = unit_loads(frame)
    shapes = modes.shapes.reshape(count, -1)
    return CageRecovery(
        influence,
        modes,
        loads.reshape(len(loads), -1) @ shapes.T,
        section_forces(frame, frame.beams.end_forces(modes.shapes)),
    )


def oscillator_filter(speed: float, damping: float, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Digital filter from force to displacement of q'' + 2 z w q' + w^2 q = f, f linear by steps.

    Exact at the instants for a force that is linear between them: with the exponential of the
    equations of q, q' and the force over one step.

    Parameters
    ----------
    speed : float, rad/s
        w.
    damping : float
        z.
    step : float, s
        Time between instants.

    Returns
    -------
    numerator, denominator : ndarray, (3,)
        As `scipy.signal.lfilter` takes them.
    """
    # Times are counted in 1/w so that the matrix is of order one; states: q w^2, q' w, f, slope.
    matrix = np.zeros((4, 4))
    matrix[0, 1], matrix[2, 3] = 1.0, 1.0
    matrix[1] = -1.0, -2.0 * damping, 1.0, 0.0
    pace = speed * step
    over = expm(matrix * pace)
    turn, ends = over[:2, :2], over[:2, 3] / pace
    starts = over[:2, 2] - ends
    first = turn @ ends + starts
    trace, product = np.trace(turn), np.linalg.det(turn)
    answer = ends[0], first[0], (turn @ first)[0]
    numerator = np.array(
        [
            answer[0],
            answer[1] - trace * answer[0],
            answer[2] - trace * answer[1] + product * answer[0],
        ]
    )
    return numerator / speed**2, np.array([1.0, -trace, product])
