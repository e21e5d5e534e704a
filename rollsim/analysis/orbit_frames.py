"""The orbit of the cage centre as a picture sees it, in frames that stand and frames that turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.orbit import Orbit
from rollsim.analysis.reduction import block_min_max
from rollsim.analysis.rolling import has_channel
from rollsim.analysis.settled import attribute

CELLS = 120
LAST_POINTS = 4000
TIME_BLOCKS = 600
#: Samples in which a turning ring advances less than this stay in its frame as they are, rad.
_STILL = 1e-6


@dataclass(frozen=True)
class OrbitFrame:
    """Where the cage centre was, seen in one frame.

    Attributes
    ----------
    name : str
        What the frame is fixed to, in plain words.
    turns_with : str
        "" for a frame that does not turn, else "cage" or "ring".
    reach : float
        Half width of the square of cells, in clearances.
    share : ndarray (cells, cells)
        Share of time in every cell, %; rows along y.
    path : ndarray of complex
        Last turn of the cage centre, in clearances.
    path_name : str
        last turn, or what else it is.
    every : int
        Samples to a point of the path.
    mean : complex
        Mean position, in clearances.
    """

    name: str
    turns_with: str
    reach: float
    share: np.ndarray
    path: np.ndarray
    path_name: str
    every: int
    mean: complex


@dataclass(frozen=True)
class EccentricityBand:
    """Extremes of the eccentricity in equal blocks of the time.

    Attributes
    ----------
    time : ndarray (blocks,), s
        Middle of every block.
    low, high : ndarray (blocks,)
        In clearances.
    span : float, s
        Length of a block.
    """

    time: np.ndarray
    low: np.ndarray
    high: np.ndarray
    span: float


def orbit_frames(history, orbit: Orbit, speeds: tuple[float, float]) -> tuple[OrbitFrame, ...]:
    """Return the orbit in the frame at rest, in that of a turning guide, and in that of the cage.

    In the frame of the cage its first pocket lies at 0 degrees, and a cage that rubs the land with
    one spot of its own stays in place.

    Parameters
    ----------
    history : History
        Opened history file.
    orbit : Orbit
        Orbit of the cage centre of that history.
    speeds : tuple of two floats, rad/s
        Mean whirl speed and mean cage speed: the quicker one makes the last turn.

    Returns
    -------
    tuple of OrbitFrame
        Two, or three where the ring that guides the cage turns.
    """
    ring = orbit.guide.removesuffix(" ring") if orbit.guide.endswith("ring") else ""
    turned = _angle(history, orbit, ring) if ring else np.zeros(len(orbit.time))
    moves = float(np.abs(turned - turned[0]).max()) > _STILL
    at_rest = f"fixed to the {orbit.guide}" if ring and not moves else "fixed to the housing"
    frames = [(at_rest, "", None)]
    if moves:
        frames.append((f"turning with the {orbit.guide}", "ring", turned))
    frames.append(("turning with the cage", "cage", _angle(history, orbit, "cage")))
    return tuple(_frame(orbit, speeds, frame) for frame in frames)


def _angle(history, orbit: Orbit, body: str) -> np.ndarray:
    """Turning angle of a body in rad, from its channel or else from its speed."""
    inside = orbit.window.slice
    if has_channel(history, f"{body}_angle"):
        return np.asarray(history.channel(f"{body}_angle"), dtype=float)[inside]
    if has_channel(history, f"{body}_speed"):
        speed = np.asarray(history.channel(f"{body}_speed"), dtype=float)
        step = np.diff(np.asarray(history.time), prepend=history.time[0])
        return np.cumsum(speed * step)[inside]
    return np.nan_to_num(attribute(history, f"{body}_speed_rad_per_s")) * orbit.time


def _frame(orbit: Orbit, speeds: tuple[float, float], frame: tuple) -> OrbitFrame:
    """Density of all samples and the last turn in one frame."""
    name, turns_with, angle = frame
    seen = orbit.position if angle is None else orbit.position * np.exp(-1j * angle)
    reach = max(1.0, float(np.abs(seen).max())) * 1.2
    edges = np.linspace(-reach, reach, CELLS + 1)
    counts = np.histogram2d(seen.real, seen.imag, bins=(edges, edges))[0].T
    path, path_name, every = last_turn(orbit.time, seen, speeds)
    mean = complex(seen.mean())
    share = 100.0 * counts / len(seen)
    return OrbitFrame(name, turns_with, reach, share, path, path_name, every, mean)


def last_turn(
    time: np.ndarray, position: np.ndarray, speeds: tuple[float, float]
) -> tuple[np.ndarray, str, int]:
    """Return the path of the last turn of cage or orbit, whichever is quicker.

    Parameters
    ----------
    time : ndarray (n,), s
    position : ndarray of complex (n,)
        Cage centre.
    speeds : tuple of two floats, rad/s
        Whirl speed and cage speed; one that is not a number does not count.

    Returns
    -------
    tuple
        Path of at most 4000 points that ends in the last sample; what it is; samples to a point.
    """
    quickest = max([abs(speed) for speed in speeds if np.isfinite(speed)], default=0.0)
    begin = time[-1] - 2.0 * np.pi / max(quickest, 1e-9)
    path = position[np.searchsorted(time, begin) :]
    every = -(-len(path) // LAST_POINTS)
    # Counted from the end: the last sample is always there.
    thinned = path[::-1][::every][::-1]
    return thinned, "last turn" if begin > time[0] else "all, less than a turn", every


def eccentricity_band(orbit: Orbit) -> EccentricityBand:
    """Return block extremes of the eccentricity, so that peaks survive.

    Parameters
    ----------
    orbit : Orbit
        Orbit of the cage centre.

    Returns
    -------
    EccentricityBand
    """
    blocks = block_min_max(np.abs(orbit.position), TIME_BLOCKS)
    middle = 0.5 * (blocks.edges[:-1] + blocks.edges[1:] - 1)
    time = np.interp(middle, np.arange(len(orbit.time)), orbit.time)
    span = float((orbit.time[-1] - orbit.time[0]) / len(blocks.low))
    return EccentricityBand(time, blocks.low, blocks.high, span)
