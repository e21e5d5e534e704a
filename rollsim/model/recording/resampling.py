"""Samples of a recording on the finer grid that the cubic between table rows needs."""

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from rollsim.model.recording.store import BLOCK, Store, require_room
from rollsim.model.spectrum import SAMPLES_PER_PERIOD

EDGE_SHARE = 0.4
"""Band edge over the rate unless asked otherwise, and the largest: recorders filter above it."""

_STOP = 1.25
_ATTENUATION = 80.0
_LARGEST_FACTOR = 400
_COLUMNS = 6

#: Central difference of eighth order; at ten samples a period its error is 4e-5.
_DIFFERENCE = np.array([1 / 280, -4 / 105, 1 / 5, -4 / 5, 0.0, 4 / 5, -1 / 5, 4 / 105, -1 / 280])
_REACH = len(_DIFFERENCE) // 2


@dataclass(frozen=True)
class Grid:
    """New samples for old ones: up new ones for down old ones; interval: s between new ones."""

    up: int
    down: int
    interval: float


def table_grid(rate, edge):
    """Grid with ten samples, or a few more, in a period of the band edge.

    Parameters
    ----------
    rate : float
        Rate of the recording, Hz.
    edge : float
        Band edge, Hz.

    Returns
    -------
    Grid
        The coarsest one of small whole numbers that is fine enough.

    >>> table_grid(2000.0, 800.0)
    Grid(up=4, down=1, interval=0.000125)
    >>> table_grid(20000.0, 300.0)
    Grid(up=3, down=20, interval=0.0003333333333333333)
    """
    wanted = SAMPLES_PER_PERIOD * edge / rate
    best = Fraction(math.ceil(wanted - 1e-12)) if wanted > 1.0 else Fraction(1)
    for down in range(1, _LARGEST_FACTOR + 1):
        share = Fraction(max(math.ceil(wanted * down - 1e-9), 1), down)
        if share < best and share.numerator <= _LARGEST_FACTOR:
            best = share
        if best <= 1.005 * wanted:
            break
    return Grid(best.numerator, best.denominator, best.denominator / (best.numerator * rate))


def low_pass_taps(rate, edge, up):
    """Filter of the resampling: flat to the band edge, 80 dB down from 1.25 times it.

    Kaiser's window (J. F. Kaiser, 1974: length from attenuation and width of the transition).

    Parameters
    ----------
    rate : float
        Rate of the recording, Hz.
    edge : float
        Band edge, Hz.
    up : int
        Factor of the rate at which the filter works.

    Returns
    -------
    array
        Odd number of taps, symmetrical, sum 1.
    """
    from scipy.signal import firwin, kaiserord

    fine = rate * up
    count, beta = kaiserord(_ATTENUATION, (_STOP - 1.0) * edge / (0.5 * fine))
    middle = 0.5 * (1.0 + _STOP) * edge
    return firwin(count | 1, middle, window=("kaiser", beta), fs=fine)


def resampled(store, rows, grid, filtering, loop, findings):
    """Table of values and derivatives in time from the samples of a recording.

    Parameters
    ----------
    store : Store
        Samples, m/s^2, three columns.
    rows : int
        Samples from the start that are used.
    grid : Grid
        Rows of the table; a loop has a whole number of them.
    filtering : array
        Taps of the low-pass filter, as `low_pass_taps` gives them.
    loop : bool
        The samples repeat; else the last one is held up to the time of a sample behind it.
    findings : Findings
        Takes the problem of a disk that is too small.

    Returns
    -------
    Store
        Rows [ax ay az dax day daz], m/s^2 and m/s^3.
    """
    count = -(-rows * grid.up // grid.down) + (0 if loop else 1)
    require_room(8.0 * _COLUMNS * count, findings)
    values = _Values(store, rows, grid, filtering, loop)
    table = Store(_COLUMNS)
    step = grid.down * max(BLOCK // grid.down, 1)
    for first in range(0, rows, step):
        last = min(first + step, rows)
        start, end = first * grid.up // grid.down, last * grid.up // grid.down
        end = count if last == rows else end
        part = values.between(start - _REACH, end + _REACH)
        rates = np.zeros((end - start, 3))
        for place, weight in enumerate(_DIFFERENCE):
            rates += weight * part[place : place + end - start]
        inner = part[_REACH : _REACH + end - start]
        table.append(np.hstack([inner, rates / grid.interval]))
    return table


class _Values:
    """Values of the table between any two of its rows; beyond the ends wrapped or held."""

    def __init__(self, store, rows, grid, taps, loop):
        """Take over samples and filter."""
        self.store = store
        self.rows = rows
        self.grid = grid
        self.taps = taps
        self.loop = loop
        # Samples on either side that the filter reaches for.
        reach = len(taps) // (2 * grid.up) + 2
        self.margin = grid.down * math.ceil(reach / grid.down)

    def between(self, start, end):
        """Rows start to, without, end of the table, three columns."""
        from scipy.signal import oaconvolve, resample_poly

        up, down = self.grid.up, self.grid.down
        first = down * (start // up) - self.margin
        last = down * (-(-end // up)) + self.margin
        samples = self._samples(first, last)
        if up == down:  # scipy would leave the filter out
            fine = oaconvolve(samples, self.taps[:, None], mode="same", axes=0)
        else:
            fine = resample_poly(samples, up, down, axis=0, window=self.taps)
        skip = start - first // down * up
        return fine[skip : skip + end - start]

    def _samples(self, first, last):
        """Samples of the recording, also from beyond its ends."""
        if first >= 0 and last <= self.rows:
            return self.store.read(first, last)
        if self.loop:
            return self._wrapped(first, last)
        part = self.store.read(first, min(last, self.rows))
        before = np.repeat(part[:1], max(-first, 0), axis=0)
        after = np.repeat(part[-1:], max(last - self.rows, 0), axis=0)
        return np.vstack([before, part, after])

    def _wrapped(self, first, last):
        """Samples of a loop from first to last, past its seam."""
        parts, place = [], first
        while place < last:
            here = place % self.rows
            count = min(self.rows - here, last - place)
            parts.append(self.store.read(here, here + count))
            place += count
        return np.vstack(parts)
