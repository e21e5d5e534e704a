"""Static load cases of the floating cage: loads of rollers, solution, section forces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_axes import AXIAL, directions
from rollsim.structure.cage_contact import Pull, settle_contact
from rollsim.structure.cage_frame import CageFrame
from rollsim.structure.cage_mesh import held_point
from rollsim.structure.inertia_relief import FloatingSolver, balanced, imbalance

#: Components of a section force, in order, with units.
COMPONENTS = ("axial N", "shear_r N", "shear_t N", "torsion N m", "moment_r N m", "moment_t N m")
#: Gauss points of a bar: half of its load at each.
_LOADED = (0, 2)


@dataclass(frozen=True)
class SectionForcesOfCage:
    """Section forces, total: preload included. Components as in `COMPONENTS`.

    Fields: interface, head (..., bars, 6), closure in the plane between cover and bar and at half
    the cover's thickness, zero at bars without one; bar_base, bar_cover (..., bars, 6), both bar
    roots; axial, shear r, shear t in N, torsion, moment r, moment t in N m, as the cover's side
    puts them on the base's side. ring_base, ring_cover (..., ring nodes, 6) behind every ring
    node: axial, shear outward, shear against z in N, torsion, moments about these two directions
    in N m, as what lies ahead (positive rotation) puts them on what lies behind.
    """

    interface: np.ndarray
    head: np.ndarray
    bar_base: np.ndarray
    bar_cover: np.ndarray
    ring_base: np.ndarray
    ring_cover: np.ndarray


@dataclass(frozen=True)
class FrameSolution:
    """Answer to one load case.

    Fields: displacement (n, 6) m and rad, from the tightened state, without rigid motion;
    end_forces (m, 12), what the rest puts on both ends of every element, in its own axes (x along,
    y outward), its own inertia in the rigid acceleration included, N and N m; forces, section
    forces; preload, section forces of the tightened state (they are part of `forces`); closed
    (bars, points), interface points that carry; acceleration (6,), rigid acceleration about the
    origin that balances the loads, m/s2 and rad/s2; residual, `imbalance` of the solution;
    iterations, solutions until the interface settled.
    """

    displacement: np.ndarray
    end_forces: np.ndarray
    forces: SectionForcesOfCage
    preload: SectionForcesOfCage
    closed: np.ndarray
    acceleration: np.ndarray
    residual: float
    iterations: int

    @property
    def open_bars(self) -> np.ndarray:
        """Numbers of the bars whose interface carries nowhere."""
        return np.flatnonzero(~self.closed.any(axis=1)) if self.closed.size else np.array([], int)


@dataclass(frozen=True)
class Tightened:
    """State of the preload alone: pull N that the closures were given before the parts yielded,
    displacement (6n,) m and rad, closed (springs,)."""

    pull: float
    displacement: np.ndarray
    closed: np.ndarray


@lru_cache(maxsize=4)
def tightened(frame: CageFrame) -> Tightened:
    """Solve for the preload: the mean tension left in the closures is the one of the case.

    Of closures of different stiffness, the stiffest ones have it; all got the same misfit of
    length when they were closed.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    Tightened
    """
    size, springs = len(frame.rigid), len(frame.spring_stiffness)
    if frame.design.preload == 0.0 or frame.design.one_piece:
        return Tightened(0.0, np.zeros(size), np.ones(springs, dtype=bool))
    motion, closed, _ = _settled(frame, frame.prestress)
    ends = frame.beams.end_forces(motion.reshape(-1, 6))
    factors = [frame.design.closure_factor(j) for j in frame.design.closure_bars]
    stiffest = frame.design.closure_bars[np.array(factors) == max(factors)]
    last = [frame.beams.where(f"closure {j}")[-1] for j in stiffest]
    # One newton of pull, less what is lost as cover and bar end yield.
    pull = frame.design.preload / float(max(factors) - np.mean(ends[last, 0]))
    return Tightened(pull, pull * motion, closed)


def solve_cage(frame: CageFrame, loads: np.ndarray, interface: str = "contact") -> FrameSolution:
    """Solve one load case of the floating cage.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    loads : ndarray, (n, 6)
        Forces in N and couples in N m on the nodes.
    interface : str
        contact: cover and bar ends carry pressure only; bonded: they are joined.

    Returns
    -------
    FrameSolution

    Raises
    ------
    RollsimError
        The shape of the loads does not fit, or the interface does not settle.
    """
    if np.shape(loads) != (len(frame.nodes), 6):
        raise RollsimError(f"Loads on the cage need the shape ({len(frame.nodes)}, 6).")
    if interface not in ("contact", "bonded"):
        raise RollsimError(f'The interface is "contact" or "bonded", not "{interface}".')
    force = np.asarray(loads, dtype=float).ravel()
    start = tightened(frame)
    moved = frame.mass @ frame.rigid
    acceleration = np.linalg.solve(frame.rigid.T @ moved, frame.rigid.T @ force)
    total = balanced(force, frame.mass, frame.rigid) + start.pull * frame.prestress
    if interface == "contact":
        motion, closed, steps = _settled(frame, total)
        own = frame.with_closed(closed)
    else:
        own, closed, steps = frame.stiffness, np.ones(len(frame.spring_stiffness), bool), 1
        motion = FloatingSolver(own, frame.mass, frame.rigid).solve(total)
    ends = _end_forces(frame, motion, start.pull, frame.rigid @ acceleration)
    return FrameSolution(
        (motion - start.displacement).reshape(-1, 6),
        ends,
        section_forces(frame, ends),
        preload_forces(frame),
        closed.reshape(frame.design.count, -1),
        acceleration,
        imbalance(own, motion, total, frame.rigid),
        steps,
    )


def preload_forces(frame: CageFrame) -> SectionForcesOfCage:
    """Section forces of the preload alone.

    Parameters
    ----------
    frame : CageFrame
        The cage.

    Returns
    -------
    SectionForcesOfCage
        (places, 6).
    """
    start = tightened(frame)
    return section_forces(frame, _end_forces(frame, start.displacement, start.pull))


def _settled(frame: CageFrame, total: np.ndarray) -> tuple[np.ndarray, np.ndarray, int]:
    """Solution with the state of the interface that it gives itself."""

    def solve(closed):
        return FloatingSolver(frame.with_closed(closed), frame.mass, frame.rigid).solve(total)

    pull = Pull(frame.loose, total, frame.spring_stiffness)
    return settle_contact(solve, frame.opening, pull)


def _end_forces(
    frame: CageFrame, motion: np.ndarray, pull: float, acceleration: np.ndarray | None = None
) -> np.ndarray:
    """End forces of all elements with the pull in the closures."""
    moving = None if acceleration is None else acceleration.reshape(-1, 6)
    ends = frame.beams.end_forces(motion.reshape(-1, 6), moving)
    if pull:
        for j in frame.design.closure_bars:
            own = frame.beams.where(f"closure {j}")
            ends[own, 0] -= frame.design.closure_factor(j) * pull
            ends[own, 6] += frame.design.closure_factor(j) * pull
    return ends


def section_forces(frame: CageFrame, ends: np.ndarray) -> SectionForcesOfCage:
    """Section forces from the end forces of all elements.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    ends : ndarray, (..., m, 12)
        As in `FrameSolution`.

    Returns
    -------
    SectionForcesOfCage
    """
    bars = np.array([frame.beams.where(f"bar {j}")[[0, -1]] for j in range(frame.design.count)])
    shape = (*ends.shape[:-2], frame.design.count, 6)
    interface, head = np.zeros(shape), np.zeros(shape)
    last = [frame.beams.where(f"closure {j}")[-1] for j in frame.design.closure_bars]
    interface[..., frame.design.closure_bars, :] = -ends[..., last, :6]
    head[..., frame.design.closure_bars, :] = ends[..., last, 6:]
    rings = [-ends[..., frame.beams.where(part), :6] for part in ("base", "cover")]
    return SectionForcesOfCage(
        interface, head, -ends[..., bars[:, 0], :6], ends[..., bars[:, 1], 6:], *rings
    )


def pocket_loads(
    frame: CageFrame,
    cover: np.ndarray | None = None,
    bars: np.ndarray | None = None,
    base: np.ndarray | None = None,
    radial_acceleration: float = 0.0,
) -> np.ndarray:
    """Loads of the rollers on the cage, and of its own turning.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    cover : ndarray, (count,), N, or None
        Axial force of every roller on the cover, away from the base, at the load radius.
    bars : ndarray, (count,), N, or None
        Tangential force on every bar, spread evenly along it at the pitch radius, positive in the
        sense of positive rotation.
    base : ndarray, (count,), N, or None
        Axial force of every roller on the base ring, away from the cover, at the load radius.
    radial_acceleration : float, m/s2
        Centrifugal field, speed squared times radius, at the middle radius of the rings.

    Returns
    -------
    ndarray, (n, 6)
        N and N m.
    """
    design, mesh = frame.design, frame.mesh
    loads = np.zeros((len(frame.nodes), 6))
    for part, forces, sense in (("cover", cover, 1.0), ("base", base, -1.0)):
        lever = design.load_radius - design.cover_radius
        for j, force in enumerate(_each(forces, design.count)):
            way = held_point(lever * directions(design, j)[0])
            loads[mesh.ring_node(part, j)] += way.T @ (sense * force * AXIAL)
    lever = design.shape.pitch_radius - design.bar.centroid
    for j, force in enumerate(_each(bars, design.count)):
        radial, tangential = directions(design, j + 0.5)
        wrench = held_point(lever * radial).T @ (force * tangential)
        for k in _LOADED:
            loads[mesh.bar_node(j, k)] += wrench / len(_LOADED)
    if radial_acceleration:
        field = np.zeros_like(loads)
        field[:, :2] = radial_acceleration / design.cover_radius * frame.nodes[:, :2]
        loads += (frame.mass @ field.ravel()).reshape(-1, 6)
    return loads


def _each(forces: np.ndarray | None, count: int) -> np.ndarray:
    """One force a pocket; nothing where none are given."""
    return np.zeros(0) if forces is None else np.broadcast_to(np.asarray(forces, float), (count,))


def cover_lift(frame: CageFrame, displacement: np.ndarray) -> np.ndarray:
    """How far the cover moves from the base ring where each roller pushes.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    displacement : ndarray, (..., n, 6)
        As in `FrameSolution`.

    Returns
    -------
    ndarray, (..., count)
        m.
    """
    design, lift = frame.design, []
    for j in range(design.count):
        row = held_point((design.load_radius - design.cover_radius) * directions(design, j)[0])[2]
        high, low = (frame.mesh.ring_node(part, j) for part in ("cover", "base"))
        lift.append((displacement[..., high, :] - displacement[..., low, :]) @ row)
    return np.stack(lift, axis=-1)


def unit_responses(
    frame: CageFrame, loads: np.ndarray, closed: np.ndarray | None = None
) -> tuple[np.ndarray, SectionForcesOfCage]:
    """Answers to many load cases at one state of the interface, with one factorisation.

    Parameters
    ----------
    frame : CageFrame
        The cage.
    loads : ndarray, (k, n, 6)
        Load cases in N and N m.
    closed : ndarray of bool, (bars, points), or None
        Interface points that carry, from a `FrameSolution`; None for the tightened state, bonded.

    Returns
    -------
    displacement : ndarray, (k, n, 6)
        m and rad, without rigid motion.
    forces : SectionForcesOfCage
        Without preload.
    """
    stiffness = frame.stiffness if closed is None else frame.with_closed(np.ravel(closed))
    columns = np.reshape(loads, (len(loads), -1)).T
    moved = frame.mass @ frame.rigid
    acceleration = frame.rigid @ np.linalg.solve(frame.rigid.T @ moved, frame.rigid.T @ columns)
    motion = FloatingSolver(stiffness, frame.mass, frame.rigid).solve(
        balanced(columns, frame.mass, frame.rigid)
    )
    displacement, moving = (
        np.ascontiguousarray(each.T).reshape(np.shape(loads)) for each in (motion, acceleration)
    )
    return displacement, section_forces(frame, frame.beams.end_forces(displacement, moving))
