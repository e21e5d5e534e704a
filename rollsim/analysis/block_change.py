"""Change of statistics between two runs, held against their scatter from block to block.

Two runs that differ in anything part after the first impacts, so trajectories cannot be compared.
A statistic x is taken block by block over the same times, under the same vibration; with
d_i = ln(second_i/first_i) of n blocks, Student's interval of the mean logarithm of the ratio is

    mean(d) +- t(0.95, n - 1) s(d)/sqrt(n).

Blocks count as independent of each other. Source: textbook paired comparison.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

#: Blocks into which the evaluated time is cut.
BLOCKS = 10
_LEVEL = 0.95


@dataclass(frozen=True)
class BlockChange:
    """Change of one statistic.

    name; unit; first, second: mean over the blocks of both runs; ratio: second over first
    (geometric); low, high: 90 % interval of the ratio.
    """

    name: str
    unit: str
    first: float
    second: float
    ratio: float
    low: float
    high: float

    @property
    def seen(self):
        """The interval leaves out no change at all."""
        return not self.low <= 1.0 <= self.high

    def within(self, bound):
        """Tell whether the whole interval is within a share of change.

        Parameters
        ----------
        bound : float
            Largest change, as 0.05 for 5 % up or down (by the ratio 1 + bound).

        Returns
        -------
        bool
        """
        return (
            math.isfinite(self.ratio)
            and 1.0 / (1.0 + bound) <= self.low <= self.high <= 1.0 + bound
        )


def block_statistics(times, channels, start, end):
    """Statistics of every block.

    Parameters
    ----------
    times : ndarray (n,), s
        Of the samples.
    channels : dict of ndarray
        `pocket_peak` (n, rollers, faces) N, largest in each sampling interval; `raceway_force`
        (n, rollers, rings) N; `cage_position` (n, 3) m.
    start : float, s
        Start of the first block.
    end : float, s
        End of the last one.

    Returns
    -------
    dict
        Name with unit -> ndarray (BLOCKS,).
    """
    edges = np.searchsorted(times, np.linspace(start, end, BLOCKS + 1))
    parts = [slice(*pair) for pair in itertools.pairwise(edges)]
    return {
        ("rms of the pocket forces", "N"): _each(parts, channels["pocket_peak"], _rms),
        ("95 % of the pocket force peaks", "N"): _each(parts, channels["pocket_peak"], _high),
        ("rms of the raceway forces", "N"): _each(parts, channels["raceway_force"], _rms),
        ("rms distance of the cage from its middle", "m"): _each(
            parts, channels["cage_position"][:, :2], _spread
        ),
    }


def _each(parts, values, statistic):
    """A statistic of every block."""
    return np.array([statistic(values[part]) if part.stop > part.start else np.nan
                     for part in parts])  # fmt: skip


def _rms(values):
    """Root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values, dtype=float))))


def _high(values):
    """95th percentile of the largest force on the cage in each sampling interval."""
    return float(np.percentile(values.reshape(len(values), -1).max(axis=1), 95.0))


def _spread(values):
    """Root mean square distance from the mean position."""
    return float(np.sqrt(np.mean(np.sum((values - values.mean(axis=0)) ** 2, axis=1))))


def changes(first, second):
    """Changes of all statistics.

    Parameters
    ----------
    first : dict
        Result of `block_statistics` for one run.
    second : dict
        For the other one.

    Returns
    -------
    tuple of BlockChange
    """
    return tuple(_change(key, first[key], second[key]) for key in first)


def _change(key, first, second):
    """Change of one statistic; NaN where a block has no positive value."""
    pair = [np.asarray(values, dtype=float) for values in (first, second)]
    means = [float(np.mean(values)) for values in pair]
    if not all(np.all(np.isfinite(values)) and np.all(values > 0.0) for values in pair):
        return BlockChange(*key, *means, math.nan, math.nan, math.nan)
    logs = np.log(pair[1] / pair[0])
    shift, reach = float(logs.mean()), mean_reach(logs)
    return BlockChange(
        *key, *means, math.exp(shift), math.exp(shift - reach), math.exp(shift + reach)
    )


def mean_reach(values):
    """Half width of the 90 % interval of a mean (Student).

    Parameters
    ----------
    values : ndarray
        Two at least.

    Returns
    -------
    float
    """
    from scipy import stats

    error = float(np.std(values, ddof=1)) / math.sqrt(len(values))
    return float(stats.t.ppf(_LEVEL, len(values) - 1)) * error
