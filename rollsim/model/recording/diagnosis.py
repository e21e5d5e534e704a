"""Measures of a recording, channel by channel: level, shape, clipping, bandwidth."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.model.recording.store import BLOCK

POWER_SHARE = 0.99
"""Share of the power below the frequency that is reported as bandwidth."""

_FLAT = 3
_QUIET_STEPS = 4.0
_CONSTANT = 1e-9
_LONGEST_SEGMENT = 1 << 15


@dataclass(frozen=True)
class ChannelFacts:
    """What one channel is like, mean included in the extremes only.

    name; mean, rms (about the mean), lowest, highest, peak (largest distance from the mean):
    m/s^2; crest: peak over rms; kurtosis: fourth moment over the square of the second (3 for
    random noise); bandwidth: Hz, below it lies 99 % of the power; clipped: flat tops of three and
    more samples at an extreme value.
    """

    name: str
    mean: float
    rms: float
    lowest: float
    highest: float
    peak: float
    crest: float
    kurtosis: float
    bandwidth: float
    clipped: int


def diagnose(samples, channels, findings):
    """Measure every channel; note the constant ones and the clipped ones.

    Parameters
    ----------
    samples : Samples
        The part to replay.
    channels : sequence of str
        Names.
    findings : Findings
        Takes problems and warnings.

    Returns
    -------
    list of ChannelFacts
        One for each channel.
    """
    store = samples.store
    mean, low, high, grain = _first_pass(store)
    second, fourth = _moments(store, mean)
    frequency, density = _spectrum(store, samples.rate, mean)
    tops = _flat_tops(store, low, high, grain)
    facts = []
    for place, name in enumerate(channels):
        rms = math.sqrt(second[place])
        peak = max(high[place] - mean[place], mean[place] - low[place])
        if rms <= _CONSTANT * max(abs(mean[place]), 1.0):
            findings.problem(
                f"is constant ({mean[place]:.6g} m/s2 in all {store.rows} samples): sensor dead or "
                "wrong channel",
                name,
            )
            continue
        count, first = tops[place]
        if count:
            findings.warn(
                f"looks clipped: {count} flat tops at {low[place]:.6g} or {high[place]:.6g} m/s2; "
                "the true peaks were higher and are lost",
                name,
                samples.place_of(first),
            )
        facts.append(
            ChannelFacts(
                name, mean[place], rms, low[place], high[place], peak, peak / rms,
                fourth[place] / second[place] ** 2,
                _bandwidth(frequency, density[:, place]), count,
            )
        )  # fmt: skip
    return facts


def _first_pass(store):
    """Mean, lowest, highest and smallest change of every channel."""
    total = np.zeros(store.columns)
    low, high = np.full(store.columns, np.inf), np.full(store.columns, -np.inf)
    grain = np.full(store.columns, np.inf)
    for _, block in store.blocks():
        total += block.sum(axis=0)
        low, high = np.minimum(low, block.min(axis=0)), np.maximum(high, block.max(axis=0))
        change = np.abs(np.diff(block, axis=0))
        change[change == 0.0] = np.inf
        grain = np.minimum(grain, change.min(axis=0, initial=np.inf))
    return total / store.rows, low, high, grain


def _moments(store, mean):
    """Second and fourth central moment of every channel."""
    second, fourth = np.zeros(store.columns), np.zeros(store.columns)
    for _, block in store.blocks():
        square = (block - mean) ** 2
        second += square.sum(axis=0)
        fourth += (square**2).sum(axis=0)
    return second / store.rows, fourth / store.rows


def _spectrum(store, rate, mean):
    """Power spectral density of every channel, mean taken away, averaged over all blocks."""
    from scipy.signal import welch

    segment = int(min(_LONGEST_SEGMENT, 2 ** int(math.log2(store.rows))))
    total, weight = 0.0, 0
    for _, block in store.blocks(BLOCK):
        if len(block) < segment:
            continue
        frequency, density = welch(block - mean, rate, nperseg=segment, detrend=False, axis=0)
        parts = len(block) // segment
        total, weight = total + parts * density, weight + parts
    return frequency, total / weight


def _bandwidth(frequency, density):
    """Frequency below which 99 % of the power lies, Hz."""
    power = np.cumsum(density)
    return float(frequency[np.searchsorted(power, POWER_SHARE * power[-1])])


def _flat_tops(store, low, high, grain):
    """Number of flat tops and row of the first one, for every channel.

    Three equal samples in a row at an extreme value, entered by a step well above the smallest
    change of the channel: the top of a slow wave in coarse digits is entered by single steps.
    """
    found = [(0, 0)] * store.columns
    for first in range(0, store.rows, BLOCK):
        before = 1 if first else 0
        block = store.read(first - before, first + BLOCK + _FLAT - 1)
        for column in range(store.columns):
            values = block[:, column]
            starts = _tops_in(values, (low[column], high[column]), grain[column])
            starts = starts[(starts >= before) & (starts < before + BLOCK)]
            count, place = found[column]
            if len(starts):
                place = place if count else first - before + int(starts[0])
                found[column] = (count + len(starts), place)
    return found


def _tops_in(values, extremes, grain):
    """Places in a block where a flat top begins."""
    if len(values) < _FLAT + 1:
        return np.zeros(0, dtype=int)
    places = []
    for extreme in extremes:
        at = values == extreme
        run = at[1:-2] & at[2:-1] & at[3:] & ~at[:-3]
        entered = np.abs(values[1:-2] - values[:-3]) > _QUIET_STEPS * grain
        places.append(np.flatnonzero(run & entered) + 1)
    return np.sort(np.concatenate(places))
