"""Path of the cage centre relative to the ring that guides it, as a complex number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.rolling import has_channel
from rollsim.analysis.settled import Window, attribute, settled_window
from rollsim.errors import RollsimError

GUIDES = {
    "outer_ring": "outer ring",
    "inner_ring": "inner ring",
    "roller": "rollers",
}


@dataclass(frozen=True)
class Orbit:
    """Cage centre in the plane of rotation, divided by the radial guidance clearance.

    Attributes
    ----------
    time : ndarray (n,), s
    position : ndarray of complex (n,)
        x + i y in clearances, so that |position| is the eccentricity; 1 touches the land.
    velocity : ndarray of complex (n,), 1/s
        Its rate from the velocity channels, in clearances per second.
    clearance : float, m
        The radial clearance.
    guide : str
        outer ring, inner ring or rollers.
    window : Window
        Samples of the history that were used.
    notes : tuple of str
    """

    time: np.ndarray
    position: np.ndarray
    velocity: np.ndarray
    clearance: float
    guide: str
    window: Window
    notes: tuple[str, ...]


_ROLLER_NOTE = "The cage is guided by the rollers: lengths are in units of the {}."


def cage_orbit(history) -> Orbit:
    """Return the orbit of the cage centre after the settling time.

    The origin is the centre of the guiding ring: fixed for the outer ring, moving for the inner
    ring. Guided by rollers the cage has no land: the origin is the bearing axis, and the clearance
    is the radial play of the cage in its rollers, or one half of the pocket clearance where the
    file states none.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    Orbit

    Raises
    ------
    RollsimError
        The history is too short, or holds no usable clearance.
    """
    guidance, notes = _guidance(history)
    position = _plane(history.channel("cage_position"))
    velocity = _plane(history.channel("cage_velocity"))
    if guidance == "inner_ring":
        position = position - _plane(history.channel("inner_position"))
        velocity = velocity - _plane(history.channel("inner_velocity"))
    elif guidance == "outer_ring" and has_channel(history, "outer_velocity"):
        position = position - _plane(history.channel("outer_position"))
        velocity = velocity - _plane(history.channel("outer_velocity"))
    speed = np.asarray(history.channel("cage_speed"))
    window = settled_window(history, position, velocity, speed)
    clearance, play = _clearance(history, guidance)
    if guidance == "roller":
        notes.append(_ROLLER_NOTE.format("play of the cage" if play else "half pocket clearance"))
    inside = window.slice
    return Orbit(
        time=np.asarray(history.time)[inside],
        position=position[inside] / clearance,
        velocity=velocity[inside] / clearance,
        clearance=clearance,
        guide=GUIDES[guidance],
        window=window,
        notes=(*window.notes, *notes),
    )


def _plane(vector) -> np.ndarray:
    """Complex x + i y of a channel (time, axis)."""
    vector = np.asarray(vector, dtype=float)
    return vector[:, 0] + 1j * vector[:, 1]


def _guidance(history) -> tuple[str, list[str]]:
    """Return what guides the cage and a note where it had to be assumed."""
    try:
        return str(history.case.cage.guidance), []
    except RollsimError:
        return "outer_ring", ["The case cannot be read: guidance by the outer ring was assumed."]


def _clearance(history, guidance: str) -> tuple[float, bool]:
    """Return the radial clearance in m that scales the orbit, and whether the file states it."""
    clearance = attribute(history, "guidance_clearance_m")
    stated = clearance > 0.0
    if guidance == "roller" and not stated:
        clearance = 0.5 * attribute(history, "pocket_clearance_m")
    if not clearance > 0.0:
        raise RollsimError(
            "The history states no guidance clearance above 0, so the orbit has no scale."
        )
    return clearance, stated
