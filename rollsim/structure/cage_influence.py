"""Influence of unit forces on a floating cage: section forces and compliances, one factorisation.

The loads, in the order of `KINDS`, each for every pocket or bar j:

- cover, base: axial force of roller j on the cover or the base ring, away from the pocket;
- bar: tangential force on bar j in the sense of positive rotation, spread evenly along it (the
  roller behind it pushes with its leading face, the one ahead with its trailing face: minus);
- land base radial, land base tangential, land cover radial, land cover tangential: force of the
  guiding land on the outside of a ring at pocket j, outward and in the sense of positive rotation;

and last one load "spin": centrifugal field of one (rad/s)^2. The even acceleration of all metal by
its own loads is in every answer (inertia relief); a rigid acceleration or gravity on its own
therefore bends nothing and has no column.

One state of the interface is kept for all loads. That is exact for the load case it comes from and
rough for others: for rollers that push the cover unevenly (both dewatering screens, 500 N of
preload, 20 mixtures a kind) the largest bending moment in a closure was 1.2 to 4 times the true
one with the state of an even push, and 0.3 to 1.0 times with the tightened state. `solve_cage`
finds the state of its own load case.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_axes import AXIAL, directions
from rollsim.structure.cage_frame import CageFrame
from rollsim.structure.cage_mesh import held_point
from rollsim.structure.cage_solution import (
    FrameSolution,
    SectionForcesOfCage,
    pocket_loads,
    tightened,
    unit_responses,
)

KINDS = (
    "cover",
    "base",
    "bar",
    "land base radial",
    "land base tangential",
    "land cover radial",
    "land cover tangential",
)
#: Faces of a pocket that a roller pushes.
FACES = ("cover", "base", "bar")


@dataclass(frozen=True)
class CageInfluence:
    """Answers to unit loads at one state of the interface.

    Fields: count of pockets; kinds of the loads, each `count` long, before the last load "spin";
    closed (bars, points), interface points taken as carrying; forces (loads, ...), section forces
    in N and N m for one newton (for the last: one (rad/s)^2), without preload; compliance (loads,
    loads) m/N, motion of the place of one load in its direction for one unit of another, without
    rigid motion; local, each of `FACES` -> (count,) m/N, see `local_compliances`.
    """

    count: int
    kinds: tuple[str, ...]
    closed: np.ndarray
    forces: SectionForcesOfCage
    compliance: np.ndarray
    local: dict[str, np.ndarray]

    def columns(self, kind: str) -> np.ndarray:
        """Numbers of the loads of a kind.

        Parameters
        ----------
        kind : str
            One of `KINDS`, or spin.

        Returns
        -------
        ndarray of int

        Raises
        ------
        RollsimError
            There is no such kind.
        """
        if kind == "spin":
            return np.array([len(self.kinds) * self.count])
        if kind not in self.kinds:
            raise RollsimError(f'No load "{kind}" here; there are {", ".join(self.kinds)}, spin.')
        return self.kinds.index(kind) * self.count + np.arange(self.count)

    def local_compliance(self, kind: str) -> float:
        """How far a face of the first pocket yields, see `local_compliances`.

        Parameters
        ----------
        kind : str
            cover, base or bar.

        Returns
        -------
        float
            m/N.

        Raises
        ------
        RollsimError
            There is no such face.
        """
        if kind not in FACES:
            raise RollsimError(f'No pocket face "{kind}"; there are {", ".join(FACES)}.')
        return float(self.local[kind][0])

    def pocket_compliance(self, kind: str) -> float:
        """Motion of a pocket face under its own unit force, the same in every pocket.

        Parameters
        ----------
        kind : str
            cover, base or bar.

        Returns
        -------
        float
            m/N.
        """
        own = self.columns(kind)
        return float(np.mean(self.compliance[own, own]))

    def section_forces(self, amounts: np.ndarray) -> SectionForcesOfCage:
        """Section forces of any mixture of loads, for example of a history.

        Parameters
        ----------
        amounts : ndarray, (..., loads)
            N of every load; the last is the speed squared, (rad/s)^2.

        Returns
        -------
        SectionForcesOfCage
            (..., places, 6), without preload.
        """
        return SectionForcesOfCage(
            *(
                np.tensordot(amounts, getattr(self.forces, own.name), axes=1)
                for own in fields(SectionForcesOfCage)
            )
        )


def unit_loads(frame: CageFrame) -> np.ndarray:
    """Unit loads on the nodes, in the order of `KINDS`, "spin" last.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    ndarray, (loads, n, 6)
        N and N m.
    """
    count, design = frame.design.count, frame.design
    one = np.eye(count)
    loads = [pocket_loads(frame, **{kind: row}) for kind in ("cover", "base") for row in one]
    loads += [pocket_loads(frame, bars=row) for row in one]
    for part in ("base", "cover"):
        for way in (0, 1):
            loads += [_land_load(frame, part, j, way) for j in range(count)]
    loads.append(pocket_loads(frame, radial_acceleration=design.cover_radius))
    return np.array(loads)


def _land_load(frame: CageFrame, part: str, j: int, way: int) -> np.ndarray:
    """Unit force on the outside of a ring at pocket j: outward (way 0) or tangential (way 1)."""
    design = frame.design
    radial, tangential = directions(design, j)
    arm = (design.shape.outer_radius - design.cover_radius) * radial
    load = np.zeros((len(frame.nodes), 6))
    load[frame.mesh.ring_node(part, j)] = held_point(arm).T @ (radial, tangential)[way]
    return load


def held_loads(frame: CageFrame, pocket: int = 0) -> np.ndarray:
    """Unit forces on the faces of one pocket and on the bar ahead of it, held close by.

    Cover and base: half of the force at each of the two bars beside the pocket, on the other ring,
    with the load point on the line between the two. Bar: at the nodes of both rings, shared so that
    no moment is left.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    pocket : int
        Number of the pocket and of the bar ahead of it (count from 0).

    Returns
    -------
    ndarray, (3, n, 6)
        N and N m, in the order of `FACES`.
    """
    design, mesh = frame.design, frame.mesh
    one = np.eye(design.count)[pocket]
    loads = np.array(
        [
            pocket_loads(frame, cover=one),
            pocket_loads(frame, base=one),
            pocket_loads(frame, bars=one),
        ]
    )
    beside = design.load_radius / np.cos(np.pi / design.count) - design.cover_radius
    for load, far, sense in zip(loads, ("base", "cover"), (-1.0, 1.0), strict=False):
        for position in (pocket - 0.5, pocket + 0.5):
            way = held_point(beside * directions(design, position)[0])
            load[mesh.ring_node(far, position)] += way.T @ (0.5 * sense * AXIAL)
    ahead = pocket + 0.5
    radial, tangential = directions(design, ahead)
    way = held_point((design.shape.pitch_radius - design.cover_radius) * radial)
    heights = [frame.nodes[mesh.ring_node(part, ahead), 2] for part in ("base", "cover")]
    for k, part in enumerate(("base", "cover")):
        share = abs(heights[1 - k]) / (heights[1] - heights[0])
        loads[2, mesh.ring_node(part, ahead)] -= share * (way.T @ tangential)
    return loads


def local_compliances(frame: CageFrame) -> dict[str, np.ndarray]:
    """How far the faces of every pocket yield against their own surroundings.

    Cover and base are held where their bars meet the far ring, a bar by both rings at its ends
    (`held_loads`), so that the cage as a whole is not bent: what a contact law may add to the
    compliance of the contact itself. `CageInfluence.pocket_compliance` has the bending of the rings
    on top, which takes as long as the lowest vibrations of the cage. Validity: pushes longer than a
    vibration of the bar and much shorter than the lowest ones of the cage. Free frames of the
    dewatering screens (4.8 kHz and 343 Hz), half-sine push, all modes, motion of the face without
    its rigid part when the force is largest, over the local one: at a bar 1.5 for 0.3 ms and 1.6
    for 1 ms (rivets), 1.6 and 2.4 (tenons); at the cover 1.6 and 3.7; below 0.15 ms less than 1.1
    at the bars, whose inertia then holds them back.

    The interface is held together where the preload presses it and open everywhere without preload
    (`pressed_interface`). Against the same loads with the interface solved for (200 N): equal for
    the screens with 500 N of preload; without preload 2 to 10 % too soft at cover and base (bonded
    it would be 1.07 to 2 times too stiff), 2 to 6 % at the bars.

    Where all closures are alike one pocket stands for all.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    dict
        Each of `FACES` -> (count,) m/N; the bar of a pocket is the one ahead of it.
    """
    design = frame.design
    one = range(1 if design.pockets_alike else design.count)
    near = np.concatenate([held_loads(frame, j) for j in one])
    motion, _ = unit_responses(frame, near, pressed_interface(frame))
    found = np.sum(near * motion, axis=(1, 2)).reshape(-1, len(FACES))
    found = np.broadcast_to(found, (design.count, len(FACES)))
    return dict(zip(FACES, found.T, strict=True))


def pressed_interface(frame: CageFrame) -> np.ndarray:
    """Interface points that carry before any load comes: those that the preload presses together.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    ndarray of bool
        One a spring; none without preload.
    """
    if frame.design.preload == 0.0:
        return np.zeros(len(frame.spring_stiffness), dtype=bool)
    return tightened(frame).closed


def cage_influence(frame: CageFrame, state: FrameSolution | None = None) -> CageInfluence:
    """Influence of all unit loads.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    state : FrameSolution or None
        Solution whose state of the interface is kept for all loads, such as an even push of all
        rollers on the cover (then the answers are exact for it); None for the tightened state.

    Returns
    -------
    CageInfluence
    """
    loads = unit_loads(frame)
    springs = len(frame.spring_stiffness)
    closed = np.ones(springs, dtype=bool) if state is None else np.ravel(state.closed)
    count = len(loads)
    motion, forces = unit_responses(frame, loads, closed)
    return CageInfluence(
        frame.design.count,
        KINDS,
        closed.reshape(frame.design.count, -1),
        forces,
        loads.reshape(count, -1) @ motion.reshape(count, -1).T,
        local_compliances(frame),
    )
