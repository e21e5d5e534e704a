"""Speeds of pure rolling at every instant, and which rollers carry load."""

from __future__ import annotations

import numpy as np

from rollsim.analysis.settled import Window, attribute

# Our own choice: near standstill a slip in shares of the speed says nothing.
LEAST_SPEED_SHARE = 0.05
# Our own choice: a roller counts as in the load zone above this share of the greatest force.
LOADED_SHARE = 0.1
INNER = 1


def has_channel(history, name: str, group: str = "history") -> bool:
    """Tell whether a history holds a channel; files of an earlier rollsim lack the newer ones.

    Parameters
    ----------
    history : History
        Opened history file.
    name : str
        Channel.
    group : str
        "history" or "peak".

    Returns
    -------
    bool
    """
    return name in history.names(group)


def inner_ring_speed(history, window: Window) -> np.ndarray:
    """Return the speed of the inner ring at the samples.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    ndarray (time,), rad/s
        The constant speed of the case where the file has no channel of it.
    """
    return _ring_speed(history, window, "inner_speed")


def _ring_speed(history, window: Window, name: str) -> np.ndarray:
    """Speed of a ring at the samples, rad/s."""
    if has_channel(history, name):
        return np.asarray(history.channel(name), dtype=float)[window.slice]
    return np.full(window.last - window.first, attribute(history, f"{name}_rad_per_s"))


def rolling_speeds(history, window: Window) -> tuple[np.ndarray, np.ndarray]:
    """Return the speeds of cage and roller spin in pure rolling, with the present ring speeds.

    Both are linear in the ring speeds: they differ from the stated values by (1 - g)/2 and
    -(1 - g)/(2 g) times the deviation of the inner ring's speed from the one stated, and by
    (1 + g)/2 and (1 + g)/(2 g) times that of the outer ring's, with g = roller diameter over pitch
    diameter.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    cage : ndarray (time,), rad/s
        Epicyclic speed of the cage; NaN where it is less than a twentieth of its greatest size.
    spin : ndarray (time,), rad/s
        Spin of the rollers, NaN likewise.
    """
    ahead = [
        _ring_speed(history, window, name) - attribute(history, f"{name}_rad_per_s")
        for name in ("inner_speed", "outer_speed")
    ]
    # A speed that is constant needs no geometry, which some histories do not state.
    ratio = attribute(history, "roller_radius_m") / attribute(history, "pitch_radius_m")
    factors = ((0.5 * (1.0 - ratio), -0.5 * (1.0 - ratio) / ratio),
               (0.5 * (1.0 + ratio), 0.5 * (1.0 + ratio) / ratio))  # fmt: skip
    names = ("epicyclic_cage_speed_rad_per_s", "epicyclic_roller_spin_rad_per_s")
    found = []
    for kind, name in enumerate(names):
        speed = np.full(window.last - window.first, float(attribute(history, name)))
        for change, factor in zip(ahead, factors, strict=True):
            if np.any(change != 0.0):
                speed = speed + factor[kind] * change
        found.append(_known(speed))
    return found[0], found[1]


def _known(speed: np.ndarray) -> np.ndarray:
    """Replace speeds near standstill by NaN."""
    size = np.abs(speed)
    # The largest is NaN where the attribute is missing: then nothing is known.
    limit = LEAST_SPEED_SHARE * (size.max() if size.size else 0.0)
    return np.where((size >= limit) & (size > 0.0), speed, np.nan)


def loaded_rollers(force: np.ndarray, edges: np.ndarray) -> np.ndarray:
    """Tell which rollers are in the load zone at each instant.

    A roller is in it while its force on the inner raceway passes a tenth of the greatest force of
    the instant, averaged over the part of the run; rollers are pressed on the outer raceway by
    their own centrifugal force too.

    Parameters
    ----------
    force : ndarray (time, roller), N
        Forces on the inner raceway.
    edges : ndarray of int (parts + 1,)
        First samples of the parts, and the end.

    Returns
    -------
    ndarray of bool (time, roller)
    """
    greatest = force.max(axis=1)
    lengths = np.diff(edges)
    means = np.add.reduceat(greatest, edges[:-1]) / lengths
    limit = LOADED_SHARE * np.repeat(means, lengths)
    return force > limit[:, None]


def turn_edges(samples: int, turns: float, wanted: int, least: int) -> np.ndarray:
    """First samples of equal parts of a run, each at least a turn of the cage long if that works.

    Parameters
    ----------
    samples : int
        Samples of the whole.
    turns : float
        Turns of the cage in it.
    wanted : int
        Parts wanted.
    least : int
        Parts made even where they become shorter than a turn.

    Returns
    -------
    ndarray of int
        First samples, and the end.

    Examples
    --------
    >>> len(turn_edges(1000, 12.3, 20, 4)) - 1, len(turn_edges(1000, 0.5, 20, 4)) - 1
    (12, 4)
    """
    whole = int(turns) if np.isfinite(turns) else wanted
    parts = max(1, min(wanted, max(least, whole), samples // 2))
    return np.rint(np.linspace(0, samples, parts + 1)).astype(np.int64)
