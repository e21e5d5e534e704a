"""Section forces of every closure from the forces of the rollers on the cage.

The responses to unit forces are computed once for a cage and then added up:

- cover forces: with the state of the interface (what touches, what is open) that an equal push on
  the cover at every roller gives;
- bar forces: one bar at a time, each sense with the state of the interface that it gives itself.

Adding them up is exact for an equal push on the cover or a force on one bar, and an approximation
for any mixture, since the interface opens and closes with the mixture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cover_frame import PLACES, CoverFrame, build_cover_frame
from rollsim.structure.design import CageDesign

#: Components of a section force, in order, with units.
COMPONENTS = ("axial N", "shear_r N", "shear_t N", "torsion N m", "moment_r N m", "moment_t N m")


@dataclass(frozen=True)
class SectionForces:
    """Section forces of closures and bar roots, without preload.

    Fields: interface (closure in the plane between cover and bar), head (closure at half the
    cover's thickness), bar_root (bar at the base ring), each (..., bars, 6) with components as in
    `COMPONENTS`: axial and the shears in N, torsion and the moments in N m, put by the cover's
    side on the base's side; r outward, t in the sense of positive rotation. Zero at the interface
    and the head of bars without a closure.
    """

    interface: np.ndarray
    head: np.ndarray
    bar_root: np.ndarray

    def at(self, place: str) -> np.ndarray:
        """Section forces at a place.

        Parameters
        ----------
        place : str
            interface, head or bar_root.

        Returns
        -------
        ndarray, (..., bars, 6)
        """
        return {"interface": self.interface, "head": self.head, "bar_root": self.bar_root}[place]


@dataclass(frozen=True)
class ClosureModel:
    """Responses of a cage to unit forces.

    Fields: design; cover, bar_forward, bar_backward: (loads, 3 places, bars, 6), section forces a
    newton of cover force on roller j, of force on bar j in the sense of positive rotation, and
    against it; cover_lift (bars,) m/N: axial motion of the cover where the rollers push, for one
    newton from every roller.
    """

    design: CageDesign
    cover: np.ndarray
    bar_forward: np.ndarray
    bar_backward: np.ndarray
    cover_lift: np.ndarray

    def section_forces(self, cover_force: np.ndarray, bar_force: np.ndarray) -> SectionForces:
        """Section forces for given forces of the rollers.

        Parameters
        ----------
        cover_force : ndarray, (..., rollers), N
            Axial force of every roller on the cover, away from the base; not negative.
        bar_force : ndarray, (..., rollers), N
            Tangential force on every bar, positive in the sense of positive rotation.

        Returns
        -------
        SectionForces

        Raises
        ------
        RollsimError
            A shape does not fit the number of rollers, or a cover force is negative.
        """
        cover_force, bar_force = np.broadcast_arrays(
            np.asarray(cover_force, dtype=float), np.asarray(bar_force, dtype=float)
        )
        if cover_force.shape[-1:] != (self.design.count,):
            raise RollsimError(f"Forces of {self.design.count} rollers are needed.")
        if np.any(cover_force < 0.0):
            raise RollsimError("A roller cannot pull the cover: a cover force is negative.")
        total = _sum(self.cover, cover_force)
        total += _sum(self.bar_forward, np.maximum(bar_force, 0.0))
        total += _sum(self.bar_backward, np.maximum(-bar_force, 0.0))
        return SectionForces(*(total[..., k, :, :] for k in range(len(PLACES))))


def closure_model(design: CageDesign) -> ClosureModel:
    """Solve for the unit forces of one period of the cage and turn them round the rest.

    Parameters
    ----------
    design : CageDesign
        Numbers of the cage.

    Returns
    -------
    ClosureModel

    Raises
    ------
    RollsimError
        The contact of cover and bar ends does not settle.
    """
    frame = build_cover_frame(design)
    even, touching = frame.solve(frame.cover_load(np.ones(design.count)))
    unit = np.eye(design.count)
    period = range(design.closure_every)
    cover = [_response(frame, frame.cover_load(unit[j]), touching) for j in period]
    forward = [_bar_response(frame, unit[j]) for j in period]
    backward = [_bar_response(frame, -unit[j]) for j in period]
    return ClosureModel(
        design,
        _turned(cover, design),
        _turned(forward, design),
        _turned(backward, design),
        frame.cover_lift(even),
    )


def _response(frame: CoverFrame, load: np.ndarray, touching: np.ndarray):
    """Section forces under one load on the cover."""
    return frame.section_forces(frame.solve(load, touching)[0])


def _bar_response(frame: CoverFrame, forces: np.ndarray):
    """Section forces under forces on the bars, with the state of the interface they give."""
    return frame.section_forces(frame.solve(frame.bar_load(forces))[0], forces)


def _turned(first: list[np.ndarray], design: CageDesign) -> np.ndarray:
    """Responses to the forces of one period, turned by whole periods."""
    every = design.closure_every
    return np.array(
        [np.roll(first[j % every], (j // every) * every, axis=1) for j in range(design.count)]
    )


def _sum(response: np.ndarray, force: np.ndarray) -> np.ndarray:
    """Responses times forces, summed over the loads."""
    return np.tensordot(force, response, axes=1)
