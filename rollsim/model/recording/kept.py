"""Samples that a case asks for, kept beside the table that a run makes of them."""

import math
from dataclasses import dataclass

import numpy as np

MOST_ROWS = 1_000_000
"""Samples of one recording that are kept: 24 MB, 50 s at 20 kHz."""

_ROUNDING = 1e-6


@dataclass(frozen=True)
class Kept:
    """A recording on the axes of the bearing before it is resampled.

    Sign, mounting angle, gain, mean, high-pass, cross-fade and fade-out are those of the case.
    samples: array (n, 3), m/s^2, the first ones; rate: Hz; rows: samples of the recording or of
    its loop; loop.
    """

    samples: np.ndarray
    rate: float
    rows: int
    loop: bool

    def part(self, start, end):
        """Samples of a stretch of simulated time.

        Parameters
        ----------
        start, end : float, s
            The stretch.

        Returns
        -------
        tuple of array (m,), s, and array (m, 3), m/s^2
            Times and samples, zero behind the end of what is played once; None where the stretch
            needs samples that were not kept.
        """
        first = math.ceil(start * self.rate - _ROUNDING)
        last = math.floor(end * self.rate + _ROUNDING)
        numbers = np.arange(first, last + 1)
        places = numbers % self.rows if self.loop else numbers
        inside = places < self.rows
        if not len(numbers) or places[inside].max(initial=0) >= len(self.samples):
            return None
        values = np.zeros((len(numbers), self.samples.shape[1]))
        values[inside] = self.samples[places[inside]]
        return numbers / self.rate, values

    @property
    def longest(self):
        """Time from the start up to which samples are kept, s."""
        whole = len(self.samples) >= self.rows
        return math.inf if whole else (len(self.samples) - 1) / self.rate
