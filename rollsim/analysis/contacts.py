"""Statistics of contact episodes, one set for each contact."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.settled import FACES, LAND_FACES, LANDS


@dataclass(frozen=True)
class Episodes:
    """Contact episodes, ascending in time.

    Attributes
    ----------
    contact : ndarray of int (n,)
        Number of the contact: 4 roller + face for pockets, 0 and 1 for lands.
    start, duration : ndarray (n,), s
    peak : ndarray (n,), N
    impulse : ndarray (n,), N s
    approach_speed : ndarray (n,), m/s
    """

    contact: np.ndarray
    start: np.ndarray
    duration: np.ndarray
    peak: np.ndarray
    impulse: np.ndarray
    approach_speed: np.ndarray


@dataclass(frozen=True)
class ContactStatistics:
    """Statistics of many contacts; every array has the shape (roller, face) or (land,).

    Where a contact had no episode, percentiles and approach speed are NaN and the rest is 0.

    Attributes
    ----------
    episodes : ndarray of int
        Number of contact episodes.
    rate : ndarray, 1/s
        Episodes per second.
    maximum : ndarray, N
        Greatest force, caught at every internal step.
    percentile_50, percentile_90, percentile_99 : ndarray, N
        Percentiles of the peaks of the episodes.
    rms : ndarray, N
        Root mean square of the force over time.
    impulse_rate : ndarray, N
        Sum of impulses per second (N s/s): the mean force of the episodes.
    approach_speed : ndarray, m/s
        Mean speed at which contact begins.
    longest_duration : ndarray, s
        Longest episode.
    """

    episodes: np.ndarray
    rate: np.ndarray
    maximum: np.ndarray
    percentile_50: np.ndarray
    percentile_90: np.ndarray
    percentile_99: np.ndarray
    rms: np.ndarray
    impulse_rate: np.ndarray
    approach_speed: np.ndarray
    longest_duration: np.ndarray


def select_episodes(
    table: dict[str, np.ndarray], start: float, end: float, rollers: int
) -> tuple[Episodes, Episodes, int]:
    """Split the impact table into pockets and lands, within a time window.

    Parameters
    ----------
    table : dict of ndarray
        Impact table of a history.
    start, end : float, s
        Episodes that begin within these times are taken.
    rollers : int
        Number of rollers.

    Returns
    -------
    pockets, lands : Episodes
    dropped : int
        Rows left out because they hold values that are not numbers.
    """
    face = np.asarray(table["face"], dtype=np.int64)
    roller = np.asarray(table["roller"], dtype=np.int64)
    names = ("start", "duration", "peak", "impulse", "approach_speed")
    values = np.array([np.asarray(table[name], dtype=float) for name in names]).reshape(5, -1)
    finite = np.isfinite(values).all(axis=0)
    inside = finite & (values[0] >= start) & (values[0] <= end)
    of_pocket = inside & (roller >= 0) & (roller < rollers) & (face >= 0) & (face < len(FACES))
    of_land = inside & np.isin(face, LAND_FACES)
    pockets = _episodes(len(FACES) * roller + face, values, of_pocket)
    lands = _episodes(face - LAND_FACES[0], values, of_land)
    return pockets, lands, int(len(finite) - finite.sum())


def _episodes(contact: np.ndarray, values: np.ndarray, chosen: np.ndarray) -> Episodes:
    """Take the chosen rows in order of time."""
    rows = np.flatnonzero(chosen)
    rows = rows[np.argsort(values[0, rows], kind="stable")]
    return Episodes(contact[rows], *(column[rows] for column in values))


def contact_statistics(
    episodes: Episodes, maximum: np.ndarray, rms: np.ndarray, duration: float
) -> ContactStatistics:
    """Return the statistics of every contact.

    Parameters
    ----------
    episodes : Episodes
        Episodes of these contacts.
    maximum, rms : ndarray, N
        Greatest force and root mean square force of each contact; they set the shape.
    duration : float, s
        Time in which the episodes were seen.

    Returns
    -------
    ContactStatistics
    """
    shape, size = maximum.shape, maximum.size
    count = np.bincount(episodes.contact, minlength=size)
    p50, p90, p99 = grouped_percentiles(episodes.contact, episodes.peak, size, (50, 90, 99))
    longest = np.zeros(size)
    np.maximum.at(longest, episodes.contact, episodes.duration)
    speed = np.bincount(episodes.contact, episodes.approach_speed, minlength=size)
    with np.errstate(invalid="ignore"):
        speed = np.where(count > 0, speed / count, np.nan)
    impulse = np.bincount(episodes.contact, episodes.impulse, minlength=size)
    columns = (p50, p90, p99, rms, impulse / duration, speed, longest)
    return ContactStatistics(
        count.reshape(shape),
        (count / duration).reshape(shape),
        maximum,
        *(column.reshape(shape) for column in columns),
    )


def grouped_percentiles(
    group: np.ndarray, values: np.ndarray, groups: int, percents: tuple[float, ...]
) -> np.ndarray:
    """Return percentiles of the values of each group, linear between the sorted values.

    Parameters
    ----------
    group : ndarray of int (n,)
        Group of each value.
    values : ndarray (n,)
        Values.
    groups : int
        Number of groups.
    percents : tuple of float
        Wanted percentiles, 0..100.

    Returns
    -------
    ndarray (percents, groups)
        NaN for a group without values.

    Examples
    --------
    >>> grouped_percentiles(np.array([0, 0, 2]), np.array([1.0, 3.0, 7.0]), 3, (50.0,)).tolist()
    [[2.0, nan, 7.0]]
    """
    result = np.full((len(percents), groups), np.nan)
    count = np.bincount(group, minlength=groups)
    present = count > 0
    if not present.any():
        return result
    ordered = values[np.lexsort((values, group))]
    first = np.cumsum(count) - count
    for row, percent in enumerate(percents):
        place = first[present] + percent / 100.0 * (count[present] - 1)
        below = np.floor(place).astype(np.int64)
        above = np.minimum(below + 1, (first + count - 1)[present])
        part = place - below
        result[row, present] = ordered[below] + part * (ordered[above] - ordered[below])
    return result


def contact_name(number: int) -> str:
    """Return the words for a value of the `face` column of the impact table.

    Parameters
    ----------
    number : int
        0..3 pocket faces, 4 and 5 lands.

    Returns
    -------
    str

    Examples
    --------
    >>> contact_name(1), contact_name(5)
    ('trailing', 'land cover')
    """
    if number in LAND_FACES:
        return f"land {LANDS[number - LAND_FACES[0]]}"
    return FACES[number]
