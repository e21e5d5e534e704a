"""Slip of cage and rollers against pure rolling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.reduction import thinned
from rollsim.analysis.rolling import INNER, loaded_rollers, rolling_speeds, turn_edges
from rollsim.analysis.settled import (
    Window,
    assumption_lines,
    case_name,
    settled_window,
)
from rollsim.analysis.slip_bands import SlipBands, slip_bands
from rollsim.analysis.slip_windows import SlipTrend, SlipWindows, slip_trends, slip_windows
from rollsim.analysis.smearing import Smearing, smearing_of
from rollsim.errors import RollsimError
from rollsim.history.worked_out import once_a_history

__all__ = [
    "Slip",
    "SlipResult",
    "cage_slip",
    "roller_orbit_slip",
    "roller_spin_slip",
    "slip",
    "slip_series",
]

WINDOWS = 20
LEAST_WINDOWS = 4


@dataclass(frozen=True)
class Slip:
    """Slip of one speed against its pure-rolling value.

    Slip is 1 - speed/(pure rolling speed of the moment): 0 rolls, 1 stands still, below 0 runs
    ahead.

    Attributes
    ----------
    rolling_speed : float, rad/s
        Mean speed without slip.
    mean_speed : float, rad/s
        Mean over time (and rollers).
    mean : float
        Mean slip.
    low, high : float
        5th and 95th percentile over time (and rollers); of a long run, of every n-th sample.
    by_roller : ndarray (roller,)
        Mean slip of each roller; empty for the cage.
    """

    rolling_speed: float
    mean_speed: float
    mean: float
    low: float
    high: float
    by_roller: np.ndarray


@dataclass(frozen=True)
class SlipResult:
    """Slip and smearing of a run after its settling time.

    Attributes
    ----------
    case_name : str
    start, end : float, s
        Evaluated time.
    cage, orbit, spin : Slip
        Slip of the cage, of the orbit speed and of the spin of the rollers.
    orbit_loaded, spin_loaded : Slip
        The same while a roller is in the load zone; NaN where none ever was.
    orbit_unloaded, spin_unloaded : Slip
        The same outside the load zone.
    loaded_share : float
        Share of time that a roller spends in the load zone, mean of the rollers.
    windows : SlipWindows
        Parts of the evaluated time.
    trends : tuple of SlipTrend
        How slip goes with what varied between the windows; empty where nothing varied.
    smearing : Smearing or None
        None where the history was written without it.
    bands : SlipBands
        Extremes of the slip in short blocks, for pictures.
    assumptions : tuple of str
        Inputs that the user did not give.
    notes : tuple of str
        What was left out or is weak, in plain words.
    """

    case_name: str
    start: float
    end: float
    cage: Slip
    orbit: Slip
    spin: Slip
    orbit_loaded: Slip
    spin_loaded: Slip
    orbit_unloaded: Slip
    spin_unloaded: Slip
    loaded_share: float
    windows: SlipWindows
    trends: tuple[SlipTrend, ...]
    smearing: Smearing | None
    bands: SlipBands
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Evaluated time in s."""
        return self.end - self.start


def slip_of(
    speed: np.ndarray, rolling_speed: float | np.ndarray, chosen: np.ndarray | None = None
) -> Slip:
    """Return the slip of a speed history.

    Parameters
    ----------
    speed : ndarray (time,) or (time, roller), rad/s
        Speed.
    rolling_speed : float or ndarray (time,), rad/s
        Speed without slip; instants where it is 0 or unknown are left out.
    chosen : ndarray of bool or None
        Values that count, shape of speed; all of them when None.

    Returns
    -------
    Slip

    Examples
    --------
    >>> round(slip_of(np.array([9.0, 9.0]), 10.0).mean, 6)
    0.1
    """
    rolling = np.broadcast_to(np.asarray(rolling_speed, dtype=float), speed.shape[:1])
    known = np.isfinite(rolling) & (rolling != 0.0)
    divisor = np.where(known, rolling, np.nan)
    values = 1.0 - speed / (divisor[:, None] if speed.ndim == 2 else divisor)
    if chosen is None:
        chosen = np.ones(speed.shape, dtype=bool)
    counted = chosen & (known[:, None] if speed.ndim == 2 else known)
    taken = values[counted]
    some = thinned(values)[thinned(counted)]
    low, high = np.quantile(some, [0.05, 0.95]).tolist() if some.size else (np.nan, np.nan)
    by_roller = np.zeros(0)
    if speed.ndim == 2:
        number = counted.sum(axis=0)
        total = np.where(counted, values, 0.0).sum(axis=0)
        by_roller = np.where(number > 0, total / np.maximum(number, 1), np.nan)
    return Slip(
        rolling_speed=float(rolling[known].mean()) if known.any() else np.nan,
        mean_speed=float(speed[chosen].mean(dtype=float)) if chosen.any() else np.nan,
        mean=float(taken.mean()) if taken.size else np.nan,
        low=low,
        high=high,
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
    return slip_of(speed, rolling_speeds(history, window)[0])


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
    speed = _of_rollers(history, window, "roller_spin_speed")
    return slip_of(speed, rolling_speeds(history, window)[1])


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
    speed = _of_rollers(history, window, "roller_orbit_speed")
    return slip_of(speed, rolling_speeds(history, window)[0])


def _of_rollers(history, window: Window, channel: str) -> np.ndarray:
    """Speeds (time, roller) within the window."""
    speed = history.stored(channel)[window.slice]
    if not np.isfinite(speed.sum()):
        raise RollsimError(f"The channel {channel} holds values that are not numbers.")
    return speed


@dataclass(frozen=True)
class SlipSeries:
    """Speeds of a run, those of pure rolling, and which rollers carry load.

    Attributes
    ----------
    window : Window
        Samples used.
    time : ndarray (time,), s
    cage : ndarray (time,), rad/s
    orbit, spin : ndarray (time, roller), rad/s
        Orbit speed and spin of the rollers.
    cage_rolling, spin_rolling : ndarray (time,), rad/s
        Speeds of pure rolling, NaN near standstill; the first is that of the orbit too.
    edges : ndarray of int (part + 1,)
        First samples, counted within the window, of the parts to compare, and the end.
    loaded : ndarray of bool (time, roller)
        Rollers in the load zone.
    turns : float
        Turns of the cage.
    """

    window: Window
    time: np.ndarray
    cage: np.ndarray
    orbit: np.ndarray
    spin: np.ndarray
    cage_rolling: np.ndarray
    spin_rolling: np.ndarray
    edges: np.ndarray
    loaded: np.ndarray
    turns: float


def slip_series(history, windows: int = WINDOWS) -> SlipSeries:
    """Return the speeds of a run after the settling time beside those of pure rolling.

    Parameters
    ----------
    history : History
        Opened history file.
    windows : int
        Parts of the time to compare, made fewer where one would be shorter than a turn of the cage.

    Returns
    -------
    SlipSeries

    Raises
    ------
    RollsimError
        The history is too short, or the number of windows is impossible.
    """
    if windows < 1:
        raise RollsimError(f"The number of windows must be at least 1; {windows} was given.")
    turning = np.asarray(history.channel("cage_speed"))
    force = history.stored("raceway_force")[:, :, INNER]
    window = settled_window(history, turning, force)
    cage = turning[window.slice]
    cage_rolling, spin_rolling = rolling_speeds(history, window)
    turns = abs(float(cage.mean())) * window.duration / (2.0 * np.pi)
    edges = turn_edges(len(cage), turns, windows, LEAST_WINDOWS)
    return SlipSeries(
        window=window,
        time=np.asarray(history.time)[window.slice],
        cage=cage,
        orbit=_of_rollers(history, window, "roller_orbit_speed"),
        spin=_of_rollers(history, window, "roller_spin_speed"),
        cage_rolling=cage_rolling,
        spin_rolling=spin_rolling,
        edges=edges,
        loaded=loaded_rollers(force[window.slice], edges),
        turns=turns,
    )


@once_a_history
def slip(history, windows: int = WINDOWS) -> SlipResult:
    """Evaluate slip and smearing after the settling time.

    Parameters
    ----------
    history : History
        Opened history file.
    windows : int
        Parts of the time to compare, made fewer where one would be shorter than a turn of the cage.

    Returns
    -------
    SlipResult

    Raises
    ------
    RollsimError
        The history is too short, or the number of windows is impossible.
    """
    found = slip_series(history, windows)
    window, loaded = found.window, found.loaded
    smearing = smearing_of(history, window)
    table = slip_windows(
        history,
        window,
        found.edges,
        (found.cage, found.orbit, found.spin),
        (found.cage_rolling, found.spin_rolling),
        loaded,
    )
    return SlipResult(
        case_name=case_name(history),
        start=window.start,
        end=window.end,
        cage=slip_of(found.cage, found.cage_rolling),
        orbit=slip_of(found.orbit, found.cage_rolling),
        spin=slip_of(found.spin, found.spin_rolling),
        orbit_loaded=slip_of(found.orbit, found.cage_rolling, loaded),
        spin_loaded=slip_of(found.spin, found.spin_rolling, loaded),
        orbit_unloaded=slip_of(found.orbit, found.cage_rolling, ~loaded),
        spin_unloaded=slip_of(found.spin, found.spin_rolling, ~loaded),
        loaded_share=float(loaded.mean()),
        windows=table,
        trends=slip_trends(table),
        smearing=smearing,
        bands=slip_bands(
            found.time,
            1.0 - found.cage / found.cage_rolling,
            1.0 - found.spin / found.spin_rolling[:, None],
            loaded,
        ),
        assumptions=assumption_lines(history),
        notes=(*window.notes, *_notes(found, smearing)),
    )


def _notes(found: SlipSeries, smearing: Smearing | None) -> list[str]:
    """What was left out or is weak."""
    notes = []
    if smearing is None:
        notes.append("The history holds no smearing measure: it was written by an earlier rollsim.")
    unknown = float(np.isnan(found.cage_rolling).mean())
    if unknown > 0.0:
        notes.append(
            f"The rings (nearly) stand still {100.0 * unknown:.0f} % of the time: no slip there."
        )
    windows = len(found.edges) - 1
    if windows > 1 and found.turns < windows:
        notes.append(
            f"The cage turned {found.turns:.1f} times: windows shorter than a turn scatter by where"
            " the rollers stood."
        )
    return notes
