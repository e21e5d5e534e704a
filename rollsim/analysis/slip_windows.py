"""Slip in parts of a run, beside load, speed and acceleration there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.rolling import INNER, has_channel, inner_ring_speed
from rollsim.analysis.settled import Window, attribute

# Our own choice: less variation than this between windows is no variation to compare slip with.
LEAST_VARIATION = 0.1
FEWEST_WINDOWS = 5


@dataclass(frozen=True)
class SlipWindows:
    """Slip and what drives it, in equal parts of the evaluated time; arrays (window,).

    Attributes
    ----------
    start, end : ndarray, s
    cage, orbit_loaded, spin_loaded, spin_unloaded : ndarray
        Mean slip; NaN where it is not known.
    load : ndarray, N
        Mean size of the sum of the forces on the inner raceway.
    speed : ndarray, rad/s
        Mean speed of the inner ring against the outer.
    speed_rate : ndarray, rad/s^2
        Change of that speed over the window, per second.
    vibration : ndarray, m/s^2
        Root mean square of the acceleration of the housing.
    """

    start: np.ndarray
    end: np.ndarray
    cage: np.ndarray
    orbit_loaded: np.ndarray
    spin_loaded: np.ndarray
    spin_unloaded: np.ndarray
    load: np.ndarray
    speed: np.ndarray
    speed_rate: np.ndarray
    vibration: np.ndarray


@dataclass(frozen=True)
class SlipTrend:
    """How the mean slip of the windows goes with another quantity.

    Attributes
    ----------
    slip : str
        Which slip: cage or roller spin.
    quantity : str
        With what.
    correlation : float
        Rank correlation (Spearman): +1 rises together, -1 one falls as the other rises.
    low, high : float
        Mean slip in the third of the windows with the lowest and with the highest values.
    windows : int
        Number of windows.
    """

    slip: str
    quantity: str
    correlation: float
    low: float
    high: float
    windows: int


def slip_windows(history, window: Window, edges, speeds, rolling, loaded) -> SlipWindows:
    """Return slip, load, speed and vibration of parts of a run.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.
    edges : ndarray of int (parts + 1,)
        First samples of the parts within the window, and the end.
    speeds : tuple of ndarray, rad/s
        Cage speed (time,), orbit speed and spin (time, roller).
    rolling : tuple of 2 ndarray (time,), rad/s
        Cage speed and spin in pure rolling.
    loaded : ndarray of bool (time, roller)
        Rollers in the load zone.

    Returns
    -------
    SlipWindows
    """
    cage, orbit, spin = speeds
    time = np.asarray(history.time)[window.slice]
    ends = np.minimum(edges[1:], len(time) - 1)
    turning = _speed_between_rings(history, window)
    shaking = np.asarray(history.channel("base_acceleration"))[window.slice]
    orbit_slip = 1.0 - orbit / rolling[0][:, None]
    spin_slip = 1.0 - spin / rolling[1][:, None]
    everywhere = np.ones(len(time), dtype=bool)
    return SlipWindows(
        start=time[edges[:-1]],
        end=time[ends],
        cage=_means(1.0 - cage / rolling[0], everywhere, edges),
        orbit_loaded=_means(orbit_slip, loaded, edges),
        spin_loaded=_means(spin_slip, loaded, edges),
        spin_unloaded=_means(spin_slip, ~loaded, edges),
        load=_means(_bearing_load(history, window), everywhere, edges),
        speed=_means(turning, everywhere, edges),
        speed_rate=(turning[ends] - turning[edges[:-1]]) / (time[ends] - time[edges[:-1]]),
        vibration=np.sqrt(_means((shaking**2).sum(axis=1), everywhere, edges)),
    )


def _speed_between_rings(history, window: Window) -> np.ndarray:
    """Speed of the inner ring less that of the outer, rad/s."""
    inner = inner_ring_speed(history, window)
    if has_channel(history, "outer_speed"):
        return inner - np.asarray(history.channel("outer_speed"), dtype=float)[window.slice]
    outer = attribute(history, "outer_speed_rad_per_s")
    return inner - (outer if np.isfinite(outer) else 0.0)


def _bearing_load(history, window: Window) -> np.ndarray:
    """Size of the sum of the normal forces on the inner raceway, N."""
    force = history.stored("raceway_force")[window.slice, :, INNER]
    azimuth = np.asarray(history.channel("roller_azimuth"))[window.slice]
    return np.hypot((force * np.cos(azimuth)).sum(axis=1), (force * np.sin(azimuth)).sum(axis=1))


def _means(values: np.ndarray, chosen: np.ndarray, edges: np.ndarray) -> np.ndarray:
    """Mean of the chosen known values of each part."""
    counted = chosen & np.isfinite(values)
    number, total = counted, np.where(counted, values, 0.0)
    if values.ndim == 2:
        number, total = number.sum(axis=1), total.sum(axis=1)
    number = np.add.reduceat(number.astype(np.int64), edges[:-1])
    total = np.add.reduceat(total, edges[:-1])
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def slip_trends(windows: SlipWindows) -> tuple[SlipTrend, ...]:
    """Return how slip goes with load, acceleration and vibration where these vary.

    Parameters
    ----------
    windows : SlipWindows
        Parts of a run.

    Returns
    -------
    tuple of SlipTrend
        Empty where there are too few windows, or nothing varies by a tenth or more between them.
    """
    slips = (("cage", windows.cage), ("roller spin in the load zone", windows.spin_loaded))
    # A change of speed is compared with the change that would double the speed in a window.
    span = np.abs(windows.speed).max() / np.maximum(windows.end - windows.start, 1e-12).min()
    quantities = (
        ("load", windows.load, windows.load.max()),
        ("speed of the rings", windows.speed, np.abs(windows.speed).max()),
        ("acceleration of the rings", windows.speed_rate, span),
        ("vibration", windows.vibration, windows.vibration.max()),
    )
    found = (
        _trend((name, slip), (quantity, values))
        for quantity, values, scale in quantities
        if scale > 0.0 and np.ptp(values) >= LEAST_VARIATION * scale
        for name, slip in slips
        if np.isfinite(slip).sum() >= FEWEST_WINDOWS
    )
    # A slip that is the same everywhere goes with nothing.
    return tuple(trend for trend in found if np.isfinite(trend.correlation))


def _trend(slip: tuple[str, np.ndarray], quantity: tuple[str, np.ndarray]) -> SlipTrend:
    """Rank correlation, and slip at low and high values of a quantity."""
    known = np.isfinite(slip[1])
    values, others = slip[1][known], quantity[1][known]
    order = np.argsort(others, kind="stable")
    third = max(1, len(order) // 3)
    return SlipTrend(
        slip=slip[0],
        quantity=quantity[0],
        correlation=_rank_correlation(values, others),
        low=float(values[order[:third]].mean()),
        high=float(values[order[-third:]].mean()),
        windows=len(values),
    )


def _rank_correlation(first: np.ndarray, second: np.ndarray) -> float:
    """Spearman's rank correlation; NaN where one of the two is constant."""
    from scipy.stats import rankdata

    ranks = np.array([rankdata(first), rankdata(second)])
    spread = ranks.std(axis=1)
    if not np.all(spread > 0.0):
        return float("nan")
    return float(
        np.mean((ranks[0] - ranks[0].mean()) * (ranks[1] - ranks[1].mean())) / spread.prod()
    )
