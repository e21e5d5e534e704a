"""What wear goes with: impulse and friction work of pocket faces, lands, raceways and flanges.

No wear depth is computed: that needs a wear coefficient of the materials and the oil, from a test.
The rates rank faces and pockets and compare designs. Published finding (from memory): the
wear of cages in traction motor bearings was found proportional to the impulse between rollers and
cage.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.chunks import rows_at
from rollsim.analysis.rolling import has_channel, turn_edges
from rollsim.analysis.settled import (
    Window,
    assumption_lines,
    case_name,
    settled_window,
)
from rollsim.errors import RollsimError
from rollsim.history.worked_out import once_a_history

__all__ = ["PocketRank", "Rate", "WearResult", "has_sums", "total", "wear"]

WINDOWS = 20
LEAST_WINDOWS = 4
SECONDS_PER_HOUR = 3600.0
CHANNELS = (
    "pocket_impulse",
    "land_impulse",
    "pocket_friction_work",
    "land_friction_work",
    "raceway_friction_work",
    "flange_friction_work",
)


@dataclass(frozen=True)
class Rate:
    """A sum per time, from equal windows of the evaluated time.

    Attributes
    ----------
    mean : ndarray
        Mean rate, unit as said where it is used.
    error : ndarray
        Standard error of the mean: scatter of the windows over the root of their number; NaN with
        one window.
    windows : ndarray (window, ...)
        Rate of each window.
    """

    mean: np.ndarray
    error: np.ndarray
    windows: np.ndarray


@dataclass(frozen=True)
class PocketRank:
    """A pocket in the order of what it bears.

    Attributes
    ----------
    roller : int
        Roller of the pocket, the first is 0.
    impulse, impulse_error : float, N s/s
        Impulse per second of all faces and its standard error.
    work, work_error : float, J/h
        Friction work per hour of all faces and its standard error.
    """

    roller: int
    impulse: float
    impulse_error: float
    work: float
    work_error: float


@dataclass(frozen=True)
class WearResult:
    """Impulse and friction work per time after the settling time.

    Attributes
    ----------
    case_name : str
    start, end : float, s
        Evaluated time.
    pocket_impulse : Rate, N s/s
        Arrays (roller, face): the mean force of the face over time.
    land_impulse : Rate, N s/s
        Arrays (land,).
    pocket_work, land_work, raceway_work, flange_work : Rate, J/h
        Friction work per hour: (roller, face), (land,), (roller, ring), (roller, side).
    ranking : tuple of PocketRank
        Pockets by impulse, the greatest first.
    distinct : bool
        The greatest stands out from the mean of the others beyond the scatter of the windows
        (t test, 5 %, for the greatest of all pockets).
    window_edges : ndarray (window + 1,), s
        Limits of the windows.
    planar : bool
        The run had no axial motion, so base and cover faces carry nothing by definition.
    assumptions : tuple of str
        Inputs that the user did not give.
    notes : tuple of str
        What was left out or is weak, in plain words.
    """

    case_name: str
    start: float
    end: float
    pocket_impulse: Rate
    land_impulse: Rate
    pocket_work: Rate
    land_work: Rate
    raceway_work: Rate
    flange_work: Rate
    ranking: tuple[PocketRank, ...]
    distinct: bool
    window_edges: np.ndarray
    planar: bool
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Evaluated time in s."""
        return self.end - self.start


@once_a_history
def wear(history, windows: int = WINDOWS) -> WearResult:
    """Evaluate what wear goes with after the settling time.

    Parameters
    ----------
    history : History
        Opened history file.
    windows : int
        Parts of the time for the scatter, made fewer where one would be shorter than a turn of the
        cage.

    Returns
    -------
    WearResult

    Raises
    ------
    RollsimError
        The history is too short, was written without the sums, or the number of windows is
        impossible.
    """
    if windows < 1:
        raise RollsimError(f"The number of windows must be at least 1; {windows} was given.")
    if not has_sums(history):
        raise RollsimError(
            "The history holds no sums of impulse and friction work: it was written by an earlier"
            " rollsim. Run the case again."
        )
    turning = np.asarray(history.channel("cage_speed"))
    window = settled_window(history, turning)
    turns = abs(float(turning[window.slice].mean())) * window.duration / (2.0 * np.pi)
    edges, times = _edges(history, window, turns, windows)
    rates = {name: _rate(history, name, edges, times) for name in CHANNELS}
    work = {
        name: _scaled(rates[f"{name}_friction_work"], SECONDS_PER_HOUR)
        for name in ("pocket", "land", "raceway", "flange")
    }
    impulse = rates["pocket_impulse"]
    ranking = _ranking(impulse, work["pocket"])
    return WearResult(
        case_name=case_name(history),
        start=window.start,
        end=window.end,
        pocket_impulse=impulse,
        land_impulse=rates["land_impulse"],
        pocket_work=work["pocket"],
        land_work=work["land"],
        raceway_work=work["raceway"],
        flange_work=work["flange"],
        ranking=ranking,
        distinct=_is_distinct(impulse.windows.sum(axis=2), ranking[0].roller),
        window_edges=times,
        planar=str(history.attributes.get("motion", "")) == "planar",
        assumptions=assumption_lines(history),
        notes=(*window.notes, *_notes(turns, len(times) - 1)),
    )


def has_sums(history) -> bool:
    """Tell whether a history holds what `wear` needs; files of an earlier rollsim do not.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    bool
    """
    return all(has_channel(history, name) for name in CHANNELS)


def total(rate: Rate, axis: int) -> Rate:
    """Return the sum of rates along an axis, with the scatter of the sum.

    Parameters
    ----------
    rate : Rate
        Rates of rollers and faces.
    axis : int
        0 sums over the rollers, 1 over the faces.

    Returns
    -------
    Rate
    """
    windows = rate.windows.sum(axis=axis + 1)
    return Rate(rate.mean.sum(axis=axis), _error(windows), windows)


def _edges(history, window: Window, turns: float, wanted: int) -> tuple[np.ndarray, np.ndarray]:
    """Samples at the limits of the windows, and their times."""
    parts = turn_edges(window.last - window.first - 1, turns, wanted, LEAST_WINDOWS)
    samples = window.first + parts
    return samples, np.asarray(history.time)[samples]


def _rate(history, name: str, samples: np.ndarray, times: np.ndarray) -> Rate:
    """Growth of a sum per second in each window."""
    sums = rows_at(history, name, samples)
    if not np.isfinite(sums.sum()):
        raise RollsimError(f"The channel {name} holds values that are not numbers.")
    spans = np.diff(times).reshape(-1, *(1,) * (sums.ndim - 1))
    windows = np.diff(sums, axis=0) / spans
    # The mean weighs the windows by their length, which may differ by a sample.
    mean = (sums[-1] - sums[0]) / (times[-1] - times[0])
    return Rate(mean, _error(windows), windows)


def _error(windows: np.ndarray) -> np.ndarray:
    """Standard error of the mean of windows along the first axis."""
    count = len(windows)
    if count < 2:
        return np.full(windows.shape[1:], np.nan)
    return windows.std(axis=0, ddof=1) / np.sqrt(count)


def _scaled(rate: Rate, factor: float) -> Rate:
    """The rate in another unit."""
    return Rate(rate.mean * factor, rate.error * factor, rate.windows * factor)


def _ranking(impulse: Rate, work: Rate) -> tuple[PocketRank, ...]:
    """Pockets by impulse of all faces, the greatest first."""
    impulses, works = total(impulse, 1), total(work, 1)
    return tuple(
        PocketRank(
            int(roller),
            float(impulses.mean[roller]),
            float(impulses.error[roller]),
            float(works.mean[roller]),
            float(works.error[roller]),
        )
        for roller in np.argsort(-impulses.mean, kind="stable")
    )


def _is_distinct(windows: np.ndarray, first: int) -> bool:
    """Tell whether a pocket bears more than the others by more than the windows scatter.

    One-sided t test at 5 %, shared out among the pockets (Bonferroni), because the greatest of many
    is looked at.
    """
    from scipy.stats import t

    count, pockets = windows.shape
    if count < 2 or pockets < 2:
        return False
    others = np.delete(windows, first, axis=1).mean(axis=1)
    ahead = windows[:, first] - others
    limit = float(t.ppf(1.0 - 0.05 / pockets, count - 1))
    return bool(float(ahead.mean()) > limit * float(_error(ahead[:, None])[0]))


def _notes(turns: float, windows: int) -> list[str]:
    """What is weak."""
    if windows < 2:
        return ["One window only: the scatter is not known."]
    if turns >= windows:
        return []
    return [
        f"The cage turned {turns:.1f} times: windows shorter than a turn scatter by where the"
        " rollers stood."
    ]
