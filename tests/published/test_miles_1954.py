"""Response to and peaks of random vibration.

Sources: Crandall and Mark 1963 (exact white noise response); A. G. Davenport 1964 (peak factor);
NASA GSFC-STD-7000A table 2.4-3 and a board level test guide for overall levels (texts read).
Printed values of single formulas, also of J. W. Miles 1954 and S. O. Rice 1945, stand in
`rollsim/verification/vibration.py`.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rollsim.model.random_response import (
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
