"""The beam model of cover, bars and closures: what it assumes, its solution.

- The base ring is rigid and held; every bar is a Timoshenko beam built into it.
- The cover is a ring of straight Timoshenko beams. Rollers push on it midway between the bars at
  the load radius, which need not be the closure circle: then the cover rolls about its own ring
  line and bends the closures.
- A roller presses along its whole bar, at the pitch radius: an even line load, and the torque that
  its lever from the middle of the bar's section gives.
- A closure is a short beam from bar end to cover, with the flexibility of its ends added.
- The interface of cover and bar end carries pressure only, on springs over the end face (bedding),
  without friction: it may open. Which springs carry is found by an active set. Tension, shear and
  bending pass through the closure. Around a tenon that face is the shoulder.
- A tight rivet starts at the interface. A free one spans from the far face of the base ring to the
  cover; the bar supports it sideways at the mouth of its hole and nowhere else.
- Shear of a closure is handed to the cover at half the cover's thickness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from rollsim.errors import RollsimError
from rollsim.structure.beam import rigid_link
from rollsim.structure.cover_parts import (
    AXIAL,
    Element,
    assemble,
    bar_elements,
    bar_node,
    closure_elements,
    cover_elements,
    directions,
    interface_springs,
    mouth_springs,
    node_count,
    node_dofs,
    pocket_node,
)
from rollsim.structure.design import CageDesign

#: Places of section forces, in order.
PLACES = ("interface", "head", "bar_root")
_MAX_CONTACT_STEPS = 100


@dataclass(frozen=True)
class CoverFrame:
    """Assembled model.

    Fields: design; stiffness sparse N/m and N m (interface left out); opening_rows sparse, one row
    a spring: opening in m over all motions; spring_stiffness N/m; closures, bars: the beams whose
    end forces are read.
    """

    design: CageDesign
    stiffness: sparse.csc_matrix
    opening_rows: sparse.csr_matrix
    spring_stiffness: np.ndarray
    closures: tuple[Element, ...]
    bars: tuple[Element, ...]

    def cover_load(self, forces: np.ndarray) -> np.ndarray:
        """Load vector of axial forces of the rollers on the cover.

        Parameters
        ----------
        forces : ndarray, (count,), N
            One a roller, positive away from the base.

        Returns
        -------
        ndarray
        """
        load = np.zeros(self.stiffness.shape[0])
        lever = self.design.load_radius - self.design.cover_radius
        for j, force in enumerate(forces):
            radial, _ = directions(self.design, j)
            wrench = rigid_link(lever * radial)[:3].T @ (force * AXIAL)
            load[node_dofs(pocket_node(self.design, j))] += wrench
        return load

    def bar_load(self, forces: np.ndarray) -> np.ndarray:
        """Load vector of tangential forces, each spread evenly along its bar.

        Of the force one half goes to the middle of the bar and one quarter to each end; the couple
        P L/48 at the ends makes the answer at the nodes that of the spread load (L: length of the
        bar). The share of the base ring is left out: `section_forces` adds it.

        Parameters
        ----------
        forces : ndarray, (count,), N
            One a bar, positive in the sense of positive rotation.

        Returns
        -------
        ndarray
        """
        load = np.zeros(self.stiffness.shape[0])
        for j, force in enumerate(forces):
            lever = self.design.shape.pitch_radius - self.design.bar_at(j).centroid
            radial, tangential = directions(self.design, j + 0.5)
            wrench = np.concatenate([force * tangential, force * lever * AXIAL])
            couple = force * self.design.bar_length / 48.0 * radial
            load[node_dofs(bar_node(self.design, j, "middle"))] += 0.5 * wrench
            end = node_dofs(bar_node(self.design, j, "end"))
            load[end] += 0.25 * wrench
            load[end[3:]] += couple
        return load

    def solve(
        self, load: np.ndarray, active: np.ndarray | None = None
    ) -> tuple[np.ndarray, np.ndarray]:
        """Motions under a load; the springs of the interface that carry are found or given.

        Parameters
        ----------
        load : ndarray
            From `cover_load` or `bar_load`.
        active : ndarray of bool or None
            Springs that carry; None to find them.

        Returns
        -------
        motion : ndarray
            m and rad.
        active : ndarray of bool
            Springs that carry.

        Raises
        ------
        RollsimError
            No state of the interface is consistent with the load.
        """
        if active is not None:
            return self._linear(load, active), active
        active = np.ones(len(self.spring_stiffness), dtype=bool)
        for _ in range(_MAX_CONTACT_STEPS):
            motion = self._linear(load, active)
            opening = self.opening_rows @ motion
            # A spring that only just touches must not flip for ever through rounding.
            slack = 1e-7 * np.max(np.abs(opening), initial=0.0)
            closed = np.where(active, opening < slack, opening < -slack)
            if np.array_equal(closed, active):
                return motion, active
            active = closed
        raise RollsimError(
            "The contact of cover and bar ends did not settle: no consistent set of touching"
            f" points was found in {_MAX_CONTACT_STEPS} steps."
        )

    def _linear(self, load: np.ndarray, active: np.ndarray) -> np.ndarray:
        """Solve with a fixed state of the interface."""
        rows = self.opening_rows[active]
        springs = sparse.diags(self.spring_stiffness[active])
        return splu((self.stiffness + rows.T @ springs @ rows).tocsc()).solve(load)

    def section_forces(
        self, motion: np.ndarray, bar_forces: np.ndarray | None = None
    ) -> np.ndarray:
        """Section forces at the three places of every bar; zero where it has no closure.

        Parameters
        ----------
        motion : ndarray
            From `solve`.
        bar_forces : ndarray, (count,), N, or None
            The forces that `bar_load` was made from; None where no force acts on the bars.

        Returns
        -------
        ndarray, (3, count, 6)
            Places as in `PLACES`; axial, shear r, shear t in N, torsion, moment r, moment t in
            N m, as the cover's side puts them on the base's side.
        """
        out = np.zeros((len(PLACES), self.design.count, 6))
        for j, closure in zip(self.design.closure_bars, self.closures, strict=True):
            ends = closure.end_forces(motion)
            out[0, j], out[1, j] = -ends[:6], ends[6:]
        for j, bar in enumerate(self.bars):
            out[2, j] = -bar.end_forces(motion)[:6]
        if bar_forces is not None:
            # Share of the spread load that goes straight into the base ring.
            out[2, :, 2] += 0.25 * bar_forces
            centroids = [self.design.bar_at(j).centroid for j in range(self.design.count)]
            lever = self.design.shape.pitch_radius - np.array(centroids)
            out[2, :, 3] += 0.25 * lever * bar_forces
            out[2, :, 4] -= self.design.bar_length / 48.0 * bar_forces
        return out

    def cover_lift(self, motion: np.ndarray) -> np.ndarray:
        """Axial motion of the cover where each roller pushes.

        Parameters
        ----------
        motion : ndarray
            From `solve`.

        Returns
        -------
        ndarray, (count,)
            m.
        """
        lever = self.design.load_radius - self.design.cover_radius
        lift = np.empty(self.design.count)
        for j in range(self.design.count):
            radial, _ = directions(self.design, j)
            own = motion[node_dofs(pocket_node(self.design, j))]
            lift[j] = rigid_link(lever * radial)[2] @ own
        return lift


def build_cover_frame(design: CageDesign) -> CoverFrame:
    """Assemble the model of a cage.

    Parameters
    ----------
    design : CageDesign
        Numbers of the cage.

    Returns
    -------
    CoverFrame
    """
    elements, springs = cover_elements(design), []
    bars, closures = [], []
    for j in range(design.count):
        bar = bar_elements(design, j)
        bars.append(bar[0])
        elements += bar
    for j in design.closure_bars:
        shank = closure_elements(design, int(j))
        closures.append(shank[-1])
        elements += shank
        springs += mouth_springs(design, int(j)) if design.shank_free else []
    size = 6 * node_count(design)
    rows, stiffness = interface_springs(design, size)
    total = assemble(elements, springs, size)
    return CoverFrame(design, total, rows, stiffness, tuple(closures), tuple(bars))
