"""Smearing measure of the raceway contacts: pressure times sliding speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.reduction import thinned
from rollsim.analysis.rolling import has_channel
from rollsim.analysis.settled import Window

RINGS = ("outer", "inner")
SECTORS = 36
CHANNEL = "raceway_smearing"


@dataclass(frozen=True)
class Smearing:
    """Product of Hertzian pressure and sliding speed on the raceways.

    A power per area, but no temperature and no limit: how much a contact bears depends on oil,
    film, roughness and coating.

    Attributes
    ----------
    maximum : ndarray (roller, ring), W/m^2
        Greatest value, caught at every internal step.
    percentile_99 : ndarray (roller, ring), W/m^2
        99th percentile of the maxima of the output intervals; of a long run, of every n-th one.
    sector_maximum : ndarray (sector, ring), W/m^2
        Greatest value of any roller while its orbit angle is in the sector.
    sector_mean : ndarray (sector, ring), W/m^2
        Mean of the maxima of the output intervals in the sector; NaN where no roller came.
    sector_edges : ndarray (sector + 1,), rad
        Limits of the sectors of the orbit, counter-clockwise from the x axis, 0..2 pi.
    largest : tuple of 2 float, W/m^2
        Greatest value on the outer and the inner raceway.
    largest_time : tuple of 2 float, s
        End of the output interval in which it occurred.
    largest_roller : tuple of 2 int
        Roller, the first is 0.
    largest_azimuth : tuple of 2 float, rad
        Orbit angle of the roller, 0..2 pi.
    """

    maximum: np.ndarray
    percentile_99: np.ndarray
    sector_maximum: np.ndarray
    sector_mean: np.ndarray
    sector_edges: np.ndarray
    largest: tuple[float, float]
    largest_time: tuple[float, float]
    largest_roller: tuple[int, int]
    largest_azimuth: tuple[float, float]


def smearing_of(history, window: Window) -> Smearing | None:
    """Evaluate the smearing measure of a history.

    Parameters
    ----------
    history : History
        Opened history file.
    window : Window
        Samples to use.

    Returns
    -------
    Smearing or None
        None where the file was written without it.
    """
    if not has_channel(history, CHANNEL, "peak"):
        return None
    # A maximum belongs to the interval that ends at its sample: the first lies before the window.
    inside = slice(window.first + 1, window.last)
    values = history.stored(CHANNEL, "peak")[inside]
    azimuth = np.mod(np.asarray(history.channel("roller_azimuth"))[inside], 2.0 * np.pi)
    time = np.asarray(history.time)[inside]
    edges = np.linspace(0.0, 2.0 * np.pi, SECTORS + 1)
    # A value a rounding error below 2 pi belongs to the last sector.
    sector = np.minimum((azimuth * (SECTORS / (2.0 * np.pi))).astype(np.int64), SECTORS - 1)
    greatest, mean = np.zeros((2, SECTORS, len(RINGS)))
    places = []
    for ring in range(len(RINGS)):
        of_ring = values[:, :, ring].astype(float)
        greatest[:, ring], mean[:, ring] = _by_sector(of_ring, sector)
        places.append(np.unravel_index(np.argmax(of_ring), of_ring.shape))
    return Smearing(
        maximum=values.max(axis=0),
        percentile_99=np.quantile(thinned(values), 0.99, axis=0),
        sector_maximum=greatest,
        sector_mean=mean,
        sector_edges=edges,
        largest=tuple(float(values[row, roller, i]) for i, (row, roller) in enumerate(places)),
        largest_time=tuple(float(time[row]) for row, _ in places),
        largest_roller=tuple(int(roller) for _, roller in places),
        largest_azimuth=tuple(float(azimuth[place]) for place in places),
    )


def _by_sector(values: np.ndarray, sector: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Greatest and mean of the values in each sector."""
    flat, where = values.ravel(), sector.ravel()
    greatest = np.zeros(SECTORS)
    np.maximum.at(greatest, where, flat)
    count = np.bincount(where, minlength=SECTORS)
    total = np.bincount(where, weights=flat, minlength=SECTORS)
    return greatest, np.where(count > 0, total / np.maximum(count, 1), np.nan)
