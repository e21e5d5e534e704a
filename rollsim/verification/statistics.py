"""Tails of force peaks, and circles that make an elliptic orbit."""

from functools import cache, partial

import numpy as np

from rollsim.analysis.pareto import pareto_level, table_odds
from rollsim.analysis.spectra import full_spectrum
from rollsim.verification.check import Basis, Check, Source, Topic

RATE, FREQUENCY = 1000.0, 25.0  # Hz

COLES = Source(
    "Coles 2001, section 4.4.1: rain of 17531 days, 152 above 30 mm, shape 0.184, scale 7.44 mm",
    Basis.MEMORY,
)
CHOULAKIAN = Source("Choulakian and Stephens 2001, table 2, shape 0 (simulated)", Basis.MEMORY)
MUSZYNSKA = Source(
    "Muszynska 2005: circles of (a + b)/2 and (a - b)/2 make an ellipse", Basis.CLOSED
)


@cache
def _circles(long, short):
    """Radii of the forward and backward circle of an inclined ellipse, from its full spectrum."""
    angle = 2.0 * np.pi * FREQUENCY * np.arange(2000) / RATE
    orbit = (long * np.cos(angle) + 1j * short * np.sin(angle)) * np.exp(0.7j)
    spectrum = full_spectrum(orbit, RATE, window="boxcar")
    power = spectrum.density * spectrum.step
    return [
        np.sqrt(power[np.argmin(np.abs(spectrum.frequency - sign * FREQUENCY))])
        for sign in (1.0, -1.0)
    ]


def _checks():
    """The rows of this topic."""
    odds = 1.0 / (152 / 17531.0 * 36500.0)
    yield Check("P01", "100-year return level of daily rain", COLES, 106.3, 0.3,
                partial(pareto_level, odds, 30.0, 0.184, 7.44), "mm", absolute=True)  # fmt: skip
    for part, point, value in (("a", 0.796, 0.10), ("b", 0.974, 0.05)):
        yield Check(f"P02{part}", f"probability of a statistic of {point:g}", CHOULAKIAN, value,
                    0.1, partial(table_odds, point, 0.0))  # fmt: skip
    for part, name, place in (("a", "forward", 0), ("b", "backward", 1)):
        value = (0.6, 0.3)[place]
        yield Check(f"W01{part}", f"{name} circle, semi-axes 0.9 and 0.3 mm", MUSZYNSKA, value,
                    1e-9, partial(lambda k: _circles(0.9, 0.3)[k], place), "mm",
                    absolute=True)  # fmt: skip


TOPIC = Topic("Tails of peaks, orbits", tuple(_checks()))
