"""Spectral fatigue methods: narrow band, Wirsching and Light, Tovo and Benasciutti, Dirlik."""

import math

import FLife
import numpy as np
import pytest

from rollsim.fatigue.spectral import (
    METHODS,
    Moments,
    moments_of,
    narrow_band,
)

#: Density of the worked row: (MPa2/Hz, from Hz, to Hz).
BLOCKS = ((4.0, 20.0, 40.0), (1.0, 150.0, 200.0))


def block_moments():
    """Moments of the two blocks in closed form."""
    return Moments(
        *(
            sum(g * (b ** (j + 1) - a ** (j + 1)) / (j + 1) for g, a, b in BLOCKS)
            for j in (0, 1, 2, 4)
        )
    )


def test_narrow_band():
    # Worked from the formula (Miles 1954, Bendat 1964): rms 20 MPa, k = 5, C = 1e15, 100 Hz.
    worked = 100.0 / 1e15 * (math.sqrt(2.0) * 20.0) ** 5 * math.gamma(3.5)
    assert worked == pytest.approx(6.01591e-06, rel=1e-6)
    moments = Moments(400.0, 400.0 * 100.0, 400.0 * 100.0**2, 400.0 * 100.0**4)
    assert narrow_band(moments, 5.0, 1e15) == pytest.approx(worked, rel=1e-12)
    # A narrow band is the common limit of all methods.
    for name, method in METHODS.items():
        assert method(moments, 5.0, 1e15) == pytest.approx(worked, rel=1e-9), name


def test_the_same_density_on_a_grid():
    frequency = np.arange(0.0, 400.0, 0.01)
    density = sum(g * ((frequency >= a) & (frequency < b)) for g, a, b in BLOCKS)
    assert moments_of(frequency, density) == pytest.approx(block_moments(), rel=1e-3)


@pytest.mark.parametrize("slope", [3.0, 5.0, 8.98])
def test_damage_against_an_independent_library(slope):
    frequency = np.arange(0.0, 400.0, 0.25)
    density = sum(g * ((frequency >= a) & (frequency < b)) for g, a, b in BLOCKS)
    data = FLife.SpectralData(input={"PSD": density, "f": frequency}, T=1, fs=4000)
    theirs = [
        FLife.Narrowband(data).get_life(1e12, slope),
        FLife.WirschingLight(data).get_life(1e12, slope),
        FLife.TovoBenasciutti(data).get_life(1e12, slope, method="method 2"),
        FLife.Dirlik(data).get_life(1e12, slope),
    ]
    moments = moments_of(frequency, density)
    ours = [1.0 / method(moments, slope, 1e12) for method in METHODS.values()]
    assert ours == pytest.approx(theirs, rel=1e-9)
