"""Forces of the guiding lands on the cage, turned into its own axes and shared by its pockets.

A land only presses: its force acts where it points away from the land, through the axis of the
cage, as in the loads by which a run drives the modes (`rollsim.kernels.cage_loads`). Pressure of an
oil film stands beside the closest place, where this is right and the closest place is not; friction
of a dry land moves the true place by the angle of friction at most. The force is shared by the two
pockets beside that place so that the resultant stays; each share counts outward and in the sense of
rotation at its pocket.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class LandMotion(NamedTuple):
    """Lands of a few hundred samples, in the housing frame.

    Fields: force (n, 2 lands, 2) N, on the cage at the samples; peak (n, 2) N, largest normal force
    within the intervals; lean (n, 2, 2) m, of the middle of the cage in the plane of each land
    against the guiding ring; angle (n,) rad and speed (n,) rad/s of the cage.
    """

    force: np.ndarray
    peak: np.ndarray
    lean: np.ndarray
    angle: np.ndarray
    speed: np.ndarray


def land_states(motion: LandMotion) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Forces of the lands in the three states of each interval: twice the largest, then sampled.

    The file has the size of the largest force, not its direction: that of the sample is taken, or,
    where the land does not push at the sample, the one that moves the cage back to the middle.

    Parameters
    ----------
    motion : LandMotion
        Lands.

    Returns
    -------
    tuple of ndarray, (n, 2, 2)
        N.
    """
    size = np.linalg.norm(motion.force, axis=-1)
    pushing = size > 0.0
    way = np.where(pushing[..., None], motion.force, -motion.lean)
    length = np.linalg.norm(way, axis=-1, keepdims=True)
    way = np.divide(way, length, out=np.zeros_like(way), where=length > 0.0)
    largest = np.maximum(motion.peak, size)[..., None] * way
    return largest, largest, motion.force


def land_columns(motion: LandMotion, force: np.ndarray, count: int, inside: bool) -> np.ndarray:
    """Loads of both lands at every pocket.

    Parameters
    ----------
    motion : LandMotion
        Lands.
    force : ndarray, (n, 2 lands, 2), N
        One of `land_states`.
    count : int
        Pockets.
    inside : bool
        Whether the guide is inside the cage (inner ring).

    Returns
    -------
    ndarray, (n, 4 count)
        N: base radial, base tangential, cover radial, cover tangential, as in `KINDS`.
    """
    rows, lands = len(force), force.shape[1]
    pitch = 2.0 * np.pi / count
    way = np.arctan2(force[..., 1], force[..., 0])
    place = way + (0.0 if inside else np.pi) - motion.angle[:, None]
    place = np.mod(place / pitch, count)
    first = np.floor(place).astype(int)
    beyond = place - first
    loads = np.zeros((rows, lands, 2, count))
    where = np.arange(rows)[:, None], np.arange(lands)
    for step, share in ((0, 1.0 - beyond), (1, beyond)):
        pocket = (first + step) % count
        angle = motion.angle[:, None] + pitch * pocket
        radial = force[..., 0] * np.cos(angle) + force[..., 1] * np.sin(angle)
        tangential = force[..., 1] * np.cos(angle) - force[..., 0] * np.sin(angle)
        loads[(*where, 0, pocket)] += share * radial
        loads[(*where, 1, pocket)] += share * tangential
    return loads.reshape(rows, -1)
