"""Many beams between numbered nodes: their sum, and the forces at their ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from rollsim.structure.beam import (
    BeamProperties,
    beam_stiffness,
    element_map,
    rotation_to_local,
)
from rollsim.structure.beam_mass import LineMass, beam_mass


@dataclass(frozen=True)
class Beam:
    """One beam: label, two nodes, stiffness and mass in its own axes, map from node motions."""

    label: str
    nodes: tuple[int, int]
    stiffness: np.ndarray
    mass: np.ndarray
    transfer: np.ndarray


@dataclass(frozen=True)
class Beams:
    """Beams, stacked.

    Fields: labels; nodes (m, 2); stiffness, mass, transfer (m, 12, 12) as in `Beam`.
    """

    labels: tuple[str, ...]
    nodes: np.ndarray
    stiffness: np.ndarray
    mass: np.ndarray
    transfer: np.ndarray

    def end_forces(
        self, displacement: np.ndarray, acceleration: np.ndarray | None = None
    ) -> np.ndarray:
        """Forces that the rest puts on both ends of every beam, in its own axes: K u + M a.

        Parameters
        ----------
        displacement : ndarray, (..., n, 6)
            Motions of the nodes in m and rad.
        acceleration : ndarray, (..., n, 6), or None
            Accelerations of the nodes, m/s2 and rad/s2: the ends then carry the inertia of the
            beam itself.

        Returns
        -------
        ndarray, (..., m, 12)
            N and N m.
        """
        forces = self._local(self.stiffness, displacement)
        return forces if acceleration is None else forces + self._local(self.mass, acceleration)

    def _local(self, matrix: np.ndarray, motion: np.ndarray) -> np.ndarray:
        """Matrix of every beam times the motion of its ends in its own axes."""
        ends = motion[..., self.nodes, :]
        ends = ends.reshape(*ends.shape[:-2], 12)
        return np.einsum("mij,...mj->...mi", matrix @ self.transfer, ends, optimize=True)

    def where(self, label: str) -> np.ndarray:
        """Numbers of the beams with a label, in the order in which they were made.

        Parameters
        ----------
        label : str
            Such as "base", "bar 3", "cover", "closure 3".

        Returns
        -------
        ndarray of int
        """
        return np.array([k for k, own in enumerate(self.labels) if own == label], dtype=int)

    def assemble(self, kind: str, count: int) -> sparse.csc_matrix:
        """Sum of all beams over the motions of all nodes.

        Parameters
        ----------
        kind : str
            stiffness or mass.
        count : int
            Number of nodes.

        Returns
        -------
        sparse matrix, (6 count, 6 count)
        """
        local = self.stiffness if kind == "stiffness" else self.mass
        blocks = self.transfer.transpose(0, 2, 1) @ local @ self.transfer
        dofs = (6 * self.nodes[:, :, None] + np.arange(6)).reshape(-1, 12)
        rows, columns = np.repeat(dofs, 12, axis=1), np.tile(dofs, (1, 12))
        size = 6 * count
        places = (rows.ravel(), columns.ravel())
        return sparse.coo_matrix((blocks.ravel(), places), (size, size)).tocsc()


def stack(beams: list[Beam]) -> Beams:
    """Stack single beams.

    Parameters
    ----------
    beams : list of Beam
        The beams.

    Returns
    -------
    Beams
    """
    return Beams(
        tuple(beam.label for beam in beams),
        np.array([beam.nodes for beam in beams], dtype=int),
        np.array([beam.stiffness for beam in beams]),
        np.array([beam.mass for beam in beams]),
        np.array([beam.transfer for beam in beams]),
    )


@dataclass(frozen=True)
class BeamKind:
    """What the beams of one part share: rigidities and mass for each metre (None: weightless)."""

    rigidity: BeamProperties
    line: LineMass | None


@dataclass(frozen=True)
class BeamPlace:
    """Where a beam runs.

    Fields: label; nodes; ends (2, 3) m, its two ends; local_y (3,), direction of local y; arms
    (2, 3) m, from the nodes to the ends.
    """

    label: str
    nodes: tuple[int, int]
    ends: np.ndarray
    local_y: np.ndarray
    arms: np.ndarray


def make_beam(place: BeamPlace, kind: BeamKind) -> Beam:
    """One beam from its place and its kind.

    Parameters
    ----------
    place : BeamPlace
        Nodes, ends, directions.
    kind : BeamKind
        Rigidities and mass.

    Returns
    -------
    Beam
    """
    along = place.ends[1] - place.ends[0]
    length = float(np.linalg.norm(along))
    mass = np.zeros((12, 12))
    if kind.line is not None:
        mass = beam_mass(kind.line, kind.rigidity, length)
    transfer = element_map(rotation_to_local(along, place.local_y), *place.arms)
    stiffness = beam_stiffness(kind.rigidity, length)
    return Beam(place.label, place.nodes, stiffness, mass, transfer)


def ring_beams(label: str, nodes: np.ndarray, first: int, kind: BeamKind) -> list[Beam]:
    """Closed ring of straight beams; local x along the ring, local y outward, z against the axis.

    Parameters
    ----------
    label : str
        Name of the part.
    nodes : ndarray, (n, 3), m
        Nodes of the ring in the sense of positive rotation about z.
    first : int
        Number of the first of them.
    kind : BeamKind
        Rigidities and mass.

    Returns
    -------
    list of Beam
    """
    beams, count = [], len(nodes)
    for k in range(count):
        ends = nodes[[k, (k + 1) % count]]
        outward = np.array([*ends.mean(axis=0)[:2], 0.0])
        pair = (first + k, first + (k + 1) % count)
        beams.append(make_beam(BeamPlace(label, pair, ends, outward, np.zeros((2, 3))), kind))
    return beams


def circle(radius: float, height: float, count: int) -> np.ndarray:
    """Evenly spaced points on a circle about the z axis, the first on x.

    Parameters
    ----------
    radius : float, m
        Radius.
    height : float, m
        z.
    count : int
        Number of points.

    Returns
    -------
    ndarray, (count, 3), m
    """
    angle = 2.0 * np.pi * np.arange(count) / count
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.full(count, height)])
