"""Response to and peaks of random vibration.

Sources: J. W. Miles 1954 (formula as on NASA's FEMCI page, Simmons 2001); Crandall and Mark 1963
(exact white noise response); A. G. Davenport 1964 (peak factor); S. O. Rice 1945 (peaks);
NASA GSFC-STD-7000A table 2.4-3 and a board level test guide for overall levels (texts read).
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rollsim.model.random_response import (
    gaussian_share_within,
    miles_response,
    peak_exceedance,
    peak_factor,
    white_noise_response,
)
from rollsim.model.spectrum import overall_level

QUALIFICATION = [[20, 0.026], [50, 0.16], [800, 0.16], [2000, 0.026]]


@pytest.mark.parametrize(
    ("table", "level", "tolerance"),
    [
        (QUALIFICATION, 14.1, 0.004),
        ([[f, g / 2] for f, g in QUALIFICATION], 10.0, 0.002),
        ([[5, 0.001], [20, 0.01], [500, 0.01]], 2.2, 0.01),
    ],
)
def test_overall_level_of_printed_spectra(table, level, tolerance):
    """Printed overall g rms of printed breakpoints."""
    assert overall_level(table) == pytest.approx(level, rel=tolerance)


def test_miles_equation():
    """7.93 g rms and 23.8 g at three sigma: 100 Hz, Q = 10, 0.04 g2/Hz."""
    assert miles_response(100.0, 10.0, 0.04) == pytest.approx(7.93, abs=0.005)
    assert 3.0 * miles_response(100.0, 10.0, 0.04) == pytest.approx(23.8, abs=0.05)


def test_exact_response_by_quadrature():
    """7.96619 g rms: Miles is 0.5 % low at Q = 10."""

    def squared(r):
        """Squared transmissibility at r times the natural frequency, Q = 10."""
        return (1.0 + (r / 10.0) ** 2) / ((1.0 - r**2) ** 2 + (r / 10.0) ** 2)

    area = quad(squared, 0.0, 2.0, points=[1.0], limit=200)[0] + quad(squared, 2.0, np.inf)[0]
    exact = white_noise_response(100.0, 10.0, 0.04)
    assert exact == pytest.approx(math.sqrt(0.04 * 100.0 * area), rel=1e-6)
    assert exact == pytest.approx(7.96619, abs=1e-5)


@pytest.mark.parametrize(("crossings", "expected"), [(1e3, 3.85576), (1e5, 4.91074)])
def test_davenport_peak_factor_against_poisson_crossings(crossings, expected):
    """The mean largest value of Poisson crossings, exp(-N exp(-x^2/2)), lies within 0.6 %."""
    mean = quad(lambda x: 1.0 - math.exp(-crossings * math.exp(-0.5 * x * x)), 0.0, 12.0)[0]
    assert mean == pytest.approx(expected, abs=1e-3)
    assert peak_factor(crossings) == pytest.approx(mean, rel=0.006)


def test_three_sigma_shares():
    """99.73 % of the time within three sigma; 1.11 % of Rayleigh peaks above (text read)."""
    assert gaussian_share_within(3.0) == pytest.approx(0.9973, abs=5e-5)
    assert peak_exceedance(3.0, 1.0) == pytest.approx(0.0111, abs=5e-5)


def test_rice_peaks_of_a_wide_band_are_gaussian():
    """With irregularity zero the maxima are normally distributed (Rice 1945)."""
    tail = 0.5 * (1.0 - gaussian_share_within(3.0))
    assert peak_exceedance(3.0, 0.0) == pytest.approx(tail, rel=1e-9)
