"""Whether the orbit stays what it is over the record: without that, one class cannot name it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.orbit_measures import whirl_blocks
from rollsim.analysis.reduction import block_edges

PARTS = 5
BLOCKS_IN_PART = 4
# Our own choices, calibrated on synthetic orbits: probability of a false alarm of the whole gate,
# least changes that count, and turns of cage or whirl below which nothing can be tested.
FALSE_ALARM = 0.01
ECCENTRICITY_CHANGE = 0.15
POSITION_CHANGE = 0.2
WHIRL_CHANGE = 0.15
SPEED_CHANGE = 0.1
FEWEST_TURNS = 10.0

RULE = (
    f"the record is cut into {PARTS} parts of {BLOCKS_IN_PART} blocks; it changes where the means"
    f" of the parts differ more than the blocks inside them scatter (F test of Fisher, together"
    f" {100.0 * FALSE_ALARM:g} % false alarms) and by more than {ECCENTRICITY_CHANGE:g} clearances"
    f" of eccentricity, {POSITION_CHANGE:g} clearances of mean position,"
    f" {100.0 * WHIRL_CHANGE:g} % of whirl or cage speed in the whirl speed, or"
    f" {100.0 * SPEED_CHANGE:g} % of the cage speed; not tested below {FEWEST_TURNS:g} turns"
)


@dataclass(frozen=True)
class Change:
    """A quantity that does not stay.

    Attributes
    ----------
    name : str
    unit : str
    values : ndarray (parts,)
        Mean in every part.
    """

    name: str
    unit: str
    values: np.ndarray

    @property
    def words(self) -> str:
        """What changes, from where to where."""
        values = ", ".join(f"{value:.3g}" for value in self.values)
        return f"{self.name} by parts {values} {self.unit}".rstrip()


@dataclass(frozen=True)
class Stationarity:
    """Result of the gate.

    Attributes
    ----------
    tested : bool
        False where the record is too short to tell.
    changes : tuple of Change
        Empty where the orbit stays what it is.
    edges : ndarray (parts + 1,)
        Samples at the limits of the parts.
    rule : str
    """

    tested: bool
    changes: tuple[Change, ...]
    edges: np.ndarray
    rule: str = RULE

    @property
    def steady(self) -> bool:
        """Tested, and nothing changes."""
        return self.tested and not self.changes


def stationarity(
    time: np.ndarray, position: np.ndarray, velocity: np.ndarray, cage_speed: np.ndarray
) -> Stationarity:
    """Tell whether eccentricity, mean position, whirl speed and cage speed stay what they are.

    Parameters
    ----------
    time : ndarray (n,), s
    position : ndarray of complex (n,)
        Cage centre in clearances.
    velocity : ndarray of complex (n,)
        Its rate.
    cage_speed : ndarray (n,), rad/s

    Returns
    -------
    Stationarity
    """
    blocks = whirl_blocks(time, position, velocity, cage_speed, PARTS * BLOCKS_IN_PART)
    edges = block_edges(len(time), PARTS)
    means = np.array([z.mean() for z in np.split(position, _inner(len(position)))])
    turning = np.array([v.mean() for v in np.split(cage_speed, _inner(len(position)))])
    whirl, speed = np.nan_to_num(blocks.speed), abs(float(turning.mean()))
    quickest = max(abs(float(whirl.mean())), speed)
    span = float(time[-1] - time[0])
    if quickest * span / (2.0 * np.pi) < FEWEST_TURNS:
        return Stationarity(False, (), edges)
    asked = (
        ("eccentricity", "clearances", blocks.eccentricity, ECCENTRICITY_CHANGE),
        ("mean x", "clearances", means.real, POSITION_CHANGE),
        ("mean y", "clearances", means.imag, POSITION_CHANGE),
        ("whirl speed", "rad/s", whirl, WHIRL_CHANGE * quickest),
        ("cage speed", "rad/s", turning, SPEED_CHANGE * speed),
    )
    found = [
        Change(name, unit, values.reshape(PARTS, -1).mean(axis=1))
        for name, unit, values, least in asked
        if changes(values.reshape(PARTS, -1), least, FALSE_ALARM / len(asked))
    ]
    return Stationarity(True, tuple(found), edges)


def _inner(samples: int) -> np.ndarray:
    """Inner limits of all blocks."""
    return block_edges(samples, PARTS * BLOCKS_IN_PART)[1:-1]


def changes(values: np.ndarray, least: float, alarm: float) -> bool:
    """Tell whether parts differ by more than a least amount and than their blocks scatter.

    F = (scatter of the means of the parts)/(scatter inside the parts) with parts - 1 and
    parts (blocks - 1) degrees of freedom (one-way analysis of variance, Fisher; from memory).

    Parameters
    ----------
    values : ndarray (parts, blocks)
    least : float
        Difference of the means of two parts that counts, in the unit of the values.
    alarm : float
        Probability of a false alarm.

    Returns
    -------
    bool

    Examples
    --------
    >>> rows = np.array([[1.0, 1.1], [1.1, 1.0], [3.0, 3.1]])
    >>> changes(rows, 0.5, 0.01), changes(rows, 5.0, 0.01)
    (True, False)
    """
    from scipy.stats import f

    parts, blocks = values.shape
    means = values.mean(axis=1)
    if not np.ptp(means) > least:
        return False
    between = blocks * means.var(ddof=1)
    within = float(np.mean(values.var(axis=1, ddof=1)))
    limit = float(f.ppf(1.0 - alarm, parts - 1, parts * (blocks - 1)))
    return bool(between > limit * within)
