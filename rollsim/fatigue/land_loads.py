"""Forces of the guiding lands on the cage, turned into its own axes and shared by its pockets.

A land pushes where it is closest: on the side to which the cage leans, or, guided by the inner
ring, on the side away from it. The force is shared by the two pockets beside that place so that
the resultant stays; each share counts outward and in the sense of rotation at its pocket.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class LandMotion(NamedTuple):
    """Lands of a few hundred samples, in the housing frame.

    Fields: force (n, 2 lands, 2) N, on the cage at the samples; peak (n, 2) N, largest normal force
    within the intervals; side (n, 2, 2) m, points from the middle of the cage to where the land is
    closest; angle (n,) rad and speed (n,) rad/s of the cage.
    """

    force: np.ndarray
    peak: np.ndarray
    side: np.ndarray
    angle: np.ndarray
    speed: np.ndarray


def land_states(motion: LandMotion) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Forces of the lands in the three states of each interval: twice the largest, then sampled.

    The file has the size of the largest force, not its direction: that of the sample is taken, or,
    where the land does not push at the sample, straight away from the side where it is closest.

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
    way = np.where(pushing[..., None], motion.force, -motion.side)
    length = np.linalg.norm(way, axis=-1, keepdims=True)
    way = np.divide(way, length, out=np.zeros_like(way), where=length > 0.0)
    largest = np.maximum(motion.peak, size)[..., None] * way
    return largest, largest, motion.force


def land_columns(motion: LandMotion, force: np.ndarray, count: int) -> np.ndarray:
    """Loads of both lands at every pocket.

    Parameters
    ----------
    motion : LandMotion
        Lands.
    force : ndarray, (n, 2 lands, 2), N
        One of `land_states`.
    count : int
        Pockets.

    Returns
    -------
    ndarray, (n, 4 count)
        N: base radial, base tangential, cover radial, cover tangential, as in `KINDS`.
    """
    rows, lands = len(force), force.shape[1]
    pitch = 2.0 * np.pi / count
    place = np.arctan2(motion.side[..., 1], motion.side[..., 0]) - motion.angle[:, None]
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
