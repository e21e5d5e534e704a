"""Slip of cage and rollers against pure rolling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.settled import Window, attribute
from rollsim.errors import RollsimError


@dataclass(frozen=True)
class Slip:
    """Slip of one speed against its pure-rolling value.

    Slip is 1 - speed/(pure rolling speed): 0 rolls, 1 stands still, below 0 runs ahead.

    Attributes
    ----------
    rolling_speed : float, rad/s
        Speed without slip.
    mean_speed : float, rad/s
        Mean over time (and rollers).
    mean : float
        Mean slip.
    low, high : float
        5th and 95th percentile over time (and rollers).
    by_roller : ndarray (roller,)
        Mean slip of each roller; empty for the cage.
    """

    rolling_speed: float
    mean_speed: float
    mean: float
    low: float
    high: float
    by_roller: np.ndarray


def slip_of(speed: np.ndarray, rolling_speed: float) -> Slip:
    """Return the slip of a speed history.

    Parameters
    ----------
    speed : ndarray (time,) or (time, roller), rad/s
        Speed.
    rolling_speed : float, rad/s
        Speed without slip; where it is 0 or unknown all slips are NaN.

    Returns
    -------
    Slip

    Examples
    --------
    >>> round(slip_of(np.array([9.0, 9.0]), 10.0).mean, 6)
    0.1
    """
    mean_speed = float(speed.mean())
    known = np.isfinite(rolling_speed) and rolling_speed != 0.0
    divisor = rolling_speed if known else np.nan
    slow, fast = (1.0 - np.quantile(speed, [0.05, 0.95]) / divisor).tolist()
    by_roller = 1.0 - speed.mean(axis=0) / divisor if speed.ndim == 2 else np.zeros(0)
    return Slip(
        rolling_speed=float(rolling_speed),
        mean_speed=mean_speed,
        mean=1.0 - mean_speed / divisor,
        low=min(slow, fast),
        high=max(slow, fast),
        by_roller=by_roller,
    )


def cage_slip(history, window: Window) -> Slip:
    """Return the slip of the cage against the epicyclic speed.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    Slip
    """
    speed = np.asarray(history.channel("cage_speed"))[window.slice]
    return slip_of(speed, attribute(history, "epicyclic_cage_speed_rad_per_s"))


def roller_spin_slip(history, window: Window) -> Slip:
    """Return the slip of the roller spin against pure rolling.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    Slip

    Raises
    ------
    RollsimError
        The channel holds values that are not numbers.
    """
    return _of_rollers(history, window, "roller_spin_speed", "epicyclic_roller_spin_rad_per_s")


def roller_orbit_slip(history, window: Window) -> Slip:
    """Return the slip of the roller orbit speed against the epicyclic cage speed.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    Slip

    Raises
    ------
    RollsimError
        The channel holds values that are not numbers.
    """
    return _of_rollers(history, window, "roller_orbit_speed", "epicyclic_cage_speed_rad_per_s")


def _of_rollers(history, window: Window, channel: str, rolling: str) -> Slip:
    """Slip of a channel (time, roller)."""
    speed = np.asarray(history.channel(channel))[window.slice]
    if not np.isfinite(speed.sum()):
        raise RollsimError(f"The channel {channel} holds values that are not numbers.")
    return slip_of(speed, attribute(history, rolling))
