"""Straight Timoshenko beam element with 12 degrees of freedom, turned and offset rigidly.

Order of the degrees of freedom of an end: three displacements (m), three rotations (rad).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class BeamProperties:
    """Rigidities of a beam in its own axes (x along the beam).

    Fields: axial EA N; bend_y, bend_z = EI about local y and z in N m2; torsion GJ N m2;
    shear = k G A in N (both directions).
    """

    axial: float
    bend_y: float
    bend_z: float
    torsion: float
    shear: float

    def scaled(self, factor: float) -> BeamProperties:
        """Return all rigidities times a factor.

        Parameters
        ----------
        factor : float
            Multiplier.

        Returns
        -------
        BeamProperties
        """
        return BeamProperties(
            self.axial * factor,
            self.bend_y * factor,
            self.bend_z * factor,
            self.torsion * factor,
            self.shear * factor,
        )


def beam_stiffness(beam: BeamProperties, length: float) -> np.ndarray:
    """Stiffness in local axes: the exact solution of a uniform Timoshenko beam.

    With phi = 12 EI / (k G A L^2): 12 EI/((1+phi) L^3), 6 EI/((1+phi) L^2),
    (4+phi) EI/((1+phi) L), (2-phi) EI/((1+phi) L).
    Source: Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 5 (from memory).

    Parameters
    ----------
    beam : BeamProperties
        Rigidities.
    length : float, m
        Length L.

    Returns
    -------
    ndarray, (12, 12)
        Forces over displacements of the two ends.
    """
    stiffness = np.zeros((12, 12))
    _add_bar(stiffness, (0, 6), beam.axial / length)
    _add_bar(stiffness, (3, 9), beam.torsion / length)
    # Deflection along z turns about -y, deflection along y about +z.
    _add_bending(stiffness, (1, 5, 7, 11), beam.bend_z, beam.shear, length, 1.0)
    _add_bending(stiffness, (2, 4, 8, 10), beam.bend_y, beam.shear, length, -1.0)
    return stiffness


def _add_bar(stiffness: np.ndarray, pair: tuple[int, int], value: float) -> None:
    """Add a spring between two degrees of freedom."""
    stiffness[np.ix_(pair, pair)] += value * np.array([[1.0, -1.0], [-1.0, 1.0]])


def _add_bending(stiffness, places, rigidity, shear, length, sign) -> None:
    """Add bending in one plane; places = deflection and slope of both ends."""
    phi = 12.0 * rigidity / (shear * length**2)
    factor = rigidity / ((1.0 + phi) * length**3)
    s = sign * 6.0 * length
    near, far = (4.0 + phi) * length**2, (2.0 - phi) * length**2
    stiffness[np.ix_(places, places)] += factor * np.array(
        [[12.0, s, -12.0, s], [s, near, -s, far], [-12.0, -s, 12.0, -s], [s, far, -s, near]]
    )


def rotation_to_local(along: np.ndarray, local_y: np.ndarray) -> np.ndarray:
    """Turn global into local components: rows are the local x, y, z directions.

    Parameters
    ----------
    along : ndarray, (3,)
        Direction of the beam.
    local_y : ndarray, (3,)
        Direction of local y, at right angles to it.

    Returns
    -------
    ndarray, (3, 3)
    """
    x = along / np.linalg.norm(along)
    y = local_y - (local_y @ x) * x
    y = y / np.linalg.norm(y)
    return np.array([x, y, np.cross(x, y)])


def rigid_link(arm: np.ndarray) -> np.ndarray:
    """Motion of a point fixed to a node: u_point = u + theta x arm, same rotation.

    Parameters
    ----------
    arm : ndarray, (3,), m
        From the node to the point.

    Returns
    -------
    ndarray, (6, 6)
        Motion of the point over motion of the node; its transpose carries forces back.
    """
    link = np.eye(6)
    x, y, z = arm
    link[:3, 3:] = np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])
    return link


def element_map(rotation: np.ndarray, arm_a: np.ndarray, arm_b: np.ndarray) -> np.ndarray:
    """Local end motions of a beam over the motions of its two nodes.

    Parameters
    ----------
    rotation : ndarray, (3, 3)
        From `rotation_to_local`.
    arm_a : ndarray, (3,), m
        From the first node to the first end.
    arm_b : ndarray, (3,), m
        From the second node to the second end.

    Returns
    -------
    ndarray, (12, 12)
    """
    turn = np.zeros((12, 12))
    for k in range(4):
        turn[3 * k : 3 * k + 3, 3 * k : 3 * k + 3] = rotation
    link = np.zeros((12, 12))
    link[:6, :6], link[6:, 6:] = rigid_link(arm_a), rigid_link(arm_b)
    return turn @ link
