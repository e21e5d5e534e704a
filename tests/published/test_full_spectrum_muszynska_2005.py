"""Forward and backward parts of an elliptic orbit.

Muszynska, Rotordynamics, CRC Press 2005 (full spectrum plots); relation from memory: an ellipse
with semi-axes a and b is the sum of a forward circle of radius (a + b)/2 and a backward circle of
radius (a - b)/2 of the same speed. The values below are that closed form.
"""

import numpy as np
import pytest

from rollsim.analysis.spectra import full_spectrum

RATE = 1000.0
FREQUENCY = 25.0


@pytest.mark.parametrize(("long", "short"), [(0.9, 0.3), (0.5, 0.5), (0.7, 0.0), (0.6, -0.2)])
@pytest.mark.parametrize("inclination", [0.0, 0.7])
def test_circles_that_make_an_ellipse(long, short, inclination):
    angle = 2.0 * np.pi * FREQUENCY * np.arange(2000) / RATE
    orbit = (long * np.cos(angle) + 1j * short * np.sin(angle)) * np.exp(1j * inclination)
    spectrum = full_spectrum(orbit, RATE, window="boxcar")
    power = spectrum.density * spectrum.step
    forward = power[np.argmin(np.abs(spectrum.frequency - FREQUENCY))]
    backward = power[np.argmin(np.abs(spectrum.frequency + FREQUENCY))]
    assert np.sqrt(forward) == pytest.approx(abs(long + short) / 2.0, abs=1e-9)
    assert np.sqrt(backward) == pytest.approx(abs(long - short) / 2.0, abs=1e-9)
