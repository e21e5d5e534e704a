"""Breakpoint tables, their exact integrals, and periodic random signals."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rollsim.model.random_response import irregularity, upcrossing_rate
from rollsim.model.spectrum import (
    cumulative_mean_square,
    density_at,
    hermite_error,
    line_amplitudes,
    lines_to_signal,
    overall_level,
    random_lines,
    spectral_moment,
)

TABLE = np.array([[20.0, 0.01], [80.0, 0.04], [350.0, 0.04], [2000.0, 0.007]])
FALLING = np.array([[10.0, 0.1], [100.0, 0.01], [400.0, 0.0025]])  # 1/f throughout
STEP = np.array([[10.0, 1.0], [50.0, 1.0], [50.0, 0.2], [90.0, 0.2]])


@pytest.mark.parametrize("order", [0, 1, 2, 4])
@pytest.mark.parametrize("table", [TABLE, FALLING])
def test_moments_by_quadrature(table, order):
    """Exact integrals against adaptive quadrature of the interpolated density."""
    expected = sum(
        quad(lambda f: f**order * float(density_at(table, f)), a, b, epsrel=1e-11)[0]
        for a, b in zip(table[:-1, 0], table[1:, 0], strict=True)
    )
    assert spectral_moment(table, order) == pytest.approx(expected, rel=1e-9)


def test_slope_close_to_minus_one_is_smooth():
    """The integral does not jump where the power law turns into a logarithm."""
    levels = []
    for bend in (-1e-6, -1e-9, -1e-11, 0.0, 1e-11, 1e-9, 1e-6):
        table = np.array([[10.0, 1.0], [1000.0, 10.0 ** (-2.0 + bend)]])
        levels.append(spectral_moment(table))
    np.testing.assert_allclose(levels, 10.0 * math.log(100.0), rtol=1e-5)
    assert np.all(np.diff(levels) >= -1e-12)


def test_step_in_the_table():
    """Two rows of one frequency: 40 Hz at 1 and 40 Hz at 0.2."""
    assert overall_level(STEP) == pytest.approx(math.sqrt(48.0))
    np.testing.assert_allclose(cumulative_mean_square(STEP, [30.0, 50.0, 60.0]), [20.0, 40.0, 42.0])


def test_cumulative_mean_square_ends():
    """Zero below the table, the whole above it, half way as the moment of the first part."""
    below = cumulative_mean_square(TABLE, np.array([0.0, 20.0, 80.0, 2000.0, 1e5]))
    first = spectral_moment(TABLE[:2])
    whole = spectral_moment(TABLE)
    np.testing.assert_allclose(below, [0.0, 0.0, first, whole, whole], rtol=1e-12)


def test_density_outside_is_zero():
    """Nothing below the first and above the last breakpoint."""
    np.testing.assert_array_equal(density_at(TABLE, [19.9, 2000.1]), [0.0, 0.0])
    np.testing.assert_allclose(density_at(TABLE, [20.0, 200.0, 2000.0]), [0.01, 0.04, 0.007])


def _signal(seed=3, count=200_000, interval=5e-5):
    """Ten seconds of the test spectrum."""
    amplitudes = line_amplitudes(TABLE, count, interval)
    lines = random_lines(amplitudes, np.random.default_rng(seed))
    return lines_to_signal(lines, count, interval)


def test_rms_of_the_signal_is_exact():
    """Rms over a period equals the exact integral for every seed; the mean is zero."""
    for seed in (1, 2):
        value, _ = _signal(seed)
        assert np.sqrt(np.mean(value**2)) == pytest.approx(overall_level(TABLE), rel=1e-9)
        assert np.mean(value) == pytest.approx(0.0, abs=1e-12)


def test_signal_is_gaussian():
    """Kurtosis 3 and three sigma shares of a normal signal."""
    value, _ = _signal(5)
    level = value / value.std()
    assert np.mean(level**4) == pytest.approx(3.0, abs=0.1)
    assert np.mean(np.abs(level) < 3.0) == pytest.approx(0.9973, abs=0.0008)


def test_zero_crossings_and_peaks_follow_rice():
    """Upcrossings sqrt(m2/m0) and maxima sqrt(m4/m2) a second, within 2 %."""
    value, rate = _signal(7)
    crossings = np.sum((value[:-1] < 0.0) & (value[1:] >= 0.0)) / 10.0
    maxima = np.sum((rate[:-1] > 0.0) & (rate[1:] <= 0.0)) / 10.0
    assert crossings == pytest.approx(upcrossing_rate(TABLE), rel=0.02)
    assert crossings / maxima == pytest.approx(irregularity(TABLE), rel=0.02)


def test_derivative_is_that_of_the_signal():
    """Summed lines, differentiated by hand, at a few samples."""
    count, interval = 64, 0.01
    amplitudes = np.zeros(33)
    amplitudes[[3, 5]] = [2.0, 0.5]
    phases = np.random.default_rng(1).uniform(0.0, 2.0 * np.pi, 33)
    lines = random_lines(amplitudes, np.random.default_rng(1))
    value, rate = lines_to_signal(lines, count, interval)
    t = np.arange(count) * interval
    expected, slope = np.zeros(count), np.zeros(count)
    for k in (3, 5):
        omega = 2.0 * np.pi * k / (count * interval)
        expected += amplitudes[k] * np.cos(omega * t + phases[k])
        slope -= amplitudes[k] * omega * np.sin(omega * t + phases[k])
    np.testing.assert_allclose(value, expected, atol=1e-12)
    np.testing.assert_allclose(rate, slope, atol=1e-10)


def test_hermite_error_formula():
    """Largest error of one interpolated sine, ten samples a period."""
    h = 2.0 * np.pi / 10.0
    s = np.linspace(0.0, 1.0, 201)
    worst = 0.0
    for start in np.linspace(0.0, 2.0 * np.pi, 361):
        a, b = np.sin(start), np.sin(start + h)
        da, db = np.cos(start), np.cos(start + h)
        value = (1 + 2 * s) * (1 - s) ** 2 * a + s**2 * (3 - 2 * s) * b
        value += h * (s * (1 - s) ** 2 * da - s**2 * (1 - s) * db)
        worst = max(worst, np.abs(value - np.sin(start + h * s)).max())
    # The remainder uses the largest fourth derivative, reached only in the middle of a cell.
    assert worst <= hermite_error(10) * 1.0001
    assert worst == pytest.approx(hermite_error(10), rel=0.06)
