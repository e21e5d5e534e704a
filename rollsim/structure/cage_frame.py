"""Frame of the whole cage, free-floating: base ring, bars, cover ring, closures.

- Rings: straight Timoshenko beams on the middle of the ring, `SEGMENTS` to a pocket pitch. Bars:
  beams on the centroid of their own section, from ring face to ring face, held eccentrically.
- Closures: short beams with flexible ends, eccentric too. A free shank spans from the outside of
  the base ring to the cover and leans on its bar at the mouth of the hole; a tight one and a tenon
  start at the interface. A one-piece cage runs on with the section of its bars.
- Rivets beside the bars stand in bosses, beams in place of bars: of one piece with the base ring,
  or distance pieces with an interface at both ends, held sideways by the shank.
- Interface of cover and bar end: pressure only, no friction (`cage_contact`); tension, shear and
  bending pass through the closure. `tightened` is the state of the preload alone.
- Nothing holds the cage: loads are balanced by the inertia of its rigid motion.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from rollsim.model.inertia import cage_inertia
from rollsim.structure.beams import Beams, stack
from rollsim.structure.cage_contact import (
    foot_springs,
    mouth_springs,
    opening_rows,
    spring_matrix,
)
from rollsim.structure.cage_mesh import (
    CageMesh,
    cage_beams,
    cage_mesh,
    closure_masses,
    frame_design,
)
from rollsim.structure.design import CageDesign
from rollsim.structure.inertia_relief import rigid_motions


@dataclass(frozen=True, eq=False)
class CageFrame:
    """Assembled frame of a cage.

    Fields: nodes (n, 3) m; elements (m, 2) node pairs; labels of the elements ("base", "bar j",
    "cover", "closure j"; "shank mass j", which carries force in bosses only); stiffness, sparse
    (6n, 6n), of the tightened state (interface bonded); mass, sparse (6n, 6n); total_mass kg;
    centre (3,) m; inertia (3, 3) kg m2 about the centre; design; mesh; beams (all elements,
    stacked); loose, stiffness without the interface; opening (springs, 6n), opening in m of each
    interface spring over all motions; spring_stiffness N/m; rigid (6n, 6), rigid motions about the
    origin; prestress (6n,), loads by which closures that each pull by one newton act on their
    nodes.
    """

    nodes: np.ndarray
    elements: np.ndarray
    labels: tuple[str, ...]
    stiffness: sparse.csc_matrix
    mass: sparse.csc_matrix
    total_mass: float
    centre: np.ndarray
    inertia: np.ndarray
    design: CageDesign
    mesh: CageMesh
    beams: Beams
    loose: sparse.csc_matrix
    opening: sparse.csr_matrix
    spring_stiffness: np.ndarray
    rigid: np.ndarray
    prestress: np.ndarray

    def with_closed(self, closed: np.ndarray) -> sparse.csc_matrix:
        """Stiffness with a given state of the interface.

        Parameters
        ----------
        closed : ndarray of bool
            Springs that carry.

        Returns
        -------
        sparse matrix
        """
        return self.loose + spring_matrix(self.opening[closed], self.spring_stiffness[closed])


def build_cage_frame(case: Any) -> CageFrame:
    """Assemble the frame of the cage of a case.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    CageFrame

    Raises
    ------
    RollsimError
        The parts cannot be made (see `cage_numbers`).
    """
    given = case.cage.mass_kg is not None
    return assemble_frame(frame_design(case), cage_inertia(case).mass if given else None)


def assemble_frame(design: CageDesign, total_mass: float | None = None) -> CageFrame:
    """Assemble the frame of a cage.

    Parameters
    ----------
    design : CageDesign
        From `frame_design`.
    total_mass : float or None, kg
        To which all masses are scaled; None for the mass of the metal.

    Returns
    -------
    CageFrame
    """
    mesh = cage_mesh(design)
    beams = stack(cage_beams(mesh))
    count = len(mesh.nodes)
    loose = beams.assemble("stiffness", count)
    for springs_of in (mouth_springs, foot_springs):
        loose = loose + spring_matrix(*springs_of(mesh))
    mass = beams.assemble("mass", count) + _lumps(closure_masses(mesh), count)
    rigid = rigid_motions(mesh.nodes)
    if total_mass is not None:
        mass = mass * (total_mass / (rigid.T @ (mass @ rigid))[0, 0])
    opening, springs = opening_rows(mesh)
    return CageFrame(
        mesh.nodes,
        beams.nodes,
        beams.labels,
        (loose + spring_matrix(opening, springs)).tocsc(),
        mass.tocsc(),
        *mass_properties(mass, rigid),
        design,
        mesh,
        beams,
        loose.tocsc(),
        opening,
        springs,
        rigid,
        _prestress(design, beams, count),
    )


def mass_properties(
    mass: sparse.spmatrix, rigid: np.ndarray
) -> tuple[float, np.ndarray, np.ndarray]:
    """Mass, centre and inertia about the centre from the six rigid motions.

    Parameters
    ----------
    mass : sparse matrix
        Mass matrix.
    rigid : ndarray, (6 n, 6)
        From `rigid_motions`.

    Returns
    -------
    total : float
        kg.
    centre : ndarray, (3,)
        m.
    inertia : ndarray, (3, 3)
        kg m2.
    """
    body = rigid.T @ (mass @ rigid)
    total = float(np.trace(body[:3, :3])) / 3.0
    # Upper right block: -m [c]x, displacement times rotation.
    skew = -body[:3, 3:] / total
    centre = np.array([skew[2, 1], skew[0, 2], skew[1, 0]])
    steiner = total * (centre @ centre * np.eye(3) - np.outer(centre, centre))
    return total, centre, body[3:, 3:] - steiner


def _lumps(parts: list, count: int) -> sparse.csc_matrix:
    """Masses on single nodes over all motions."""
    total = sparse.lil_matrix((6 * count, 6 * count))
    for node, block in parts:
        own = slice(6 * node, 6 * node + 6)
        total[own, own] = total[own, own].toarray() + block
    return total.tocsc()


def _prestress(design: CageDesign, beams: Beams, count: int) -> np.ndarray:
    """Loads on the nodes by one newton of pull in the beam of each closure."""
    load = np.zeros(6 * count)
    if design.one_piece:
        return load
    pull = np.zeros(12)
    pull[0], pull[6] = 1.0, -1.0
    for j in design.closure_bars:
        # The same misfit of length pulls less in a weak closure.
        for k in beams.where(f"closure {j}"):
            wrench = design.closure_factor(j) * beams.transfer[k].T @ pull
            for end, node in enumerate(beams.nodes[k]):
                load[6 * node : 6 * node + 6] += wrench[6 * end : 6 * end + 6]
    return load
