"""Line contact: ninth root, power law, series with a linear spring, energies."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from rollsim.kernels.line_contact import (
    line_energy,
    line_force,
    ninth_root,
    series_line_energy,
    series_line_force,
)

LINE = 2.0e9
BACKINGS = (1e6, 1e8, 1e10, 1e13)


def test_ninth_root_over_all_magnitudes():
    """Relative error below 1e-12 over three exponent periods and over 520 decades."""
    # Compiled only: the shifts of its bit pattern rely on 64-bit integers that overflow.
    root = ninth_root
    dense = np.exp(np.linspace(0.0, 27.0 * np.log(2.0), 2000))
    wide = 10.0 ** np.linspace(-260.0, 260.0, 521)
    worst = max(abs(root(x) / x ** (1.0 / 9.0) - 1.0) for x in np.concatenate([dense, wide]))
    assert worst < 1e-12


def test_line_force_is_the_power_law(way):
    force = way(line_force)
    for depth in (1e-12, 3e-7, 2e-5, 1e-3):
        assert force(depth, LINE) == pytest.approx(LINE * depth ** (10.0 / 9.0), rel=1e-10)
    assert force(0.0, LINE) == 0.0
    assert force(-1e-6, LINE) == 0.0


def test_line_energy_is_the_integral_of_the_force(way):
    for depth in (3e-7, 2e-5):
        area = quad(way(line_force), 0.0, depth, args=(LINE,), epsrel=1e-11)[0]
        assert way(line_energy)(depth, LINE) == pytest.approx(area, rel=1e-9)
    assert way(line_energy)(-1e-6, LINE) == 0.0


@pytest.mark.parametrize("backing", BACKINGS)
@pytest.mark.parametrize("depth", [1e-10, 1e-7, 2e-5, 1e-3])
def test_series_force_solves_its_equation(way, depth, backing):
    """Residual of (Q/K)^(9/10) + Q/k = delta, and the force against a bracketing root."""
    force, share = way(series_line_force)(depth, LINE, backing)
    residual = (force / LINE) ** 0.9 + force / backing - depth
    assert abs(residual) < 1e-9 * depth
    exact = brentq(
        lambda q: (q / LINE) ** 0.9 + q / backing - depth, 0.0, depth * backing, rtol=1e-14
    )
    assert force == pytest.approx(exact, rel=2e-8)
    assert share == pytest.approx((force / LINE) ** 0.9, rel=2e-8)


def test_series_force_without_contact(way):
    assert way(series_line_force)(0.0, LINE, 1e8) == (0.0, 0.0)
    assert way(series_line_force)(-1e-6, LINE, 1e8) == (0.0, 0.0)


def test_stiff_backing_leaves_the_line_contact(way):
    force, _ = way(series_line_force)(5e-6, LINE, 1e15)
    assert force == pytest.approx(LINE * 5e-6 ** (10.0 / 9.0), rel=1e-4)


def test_soft_backing_leaves_the_linear_spring(way):
    force, _ = way(series_line_force)(5e-6, 1e13, 1e6)
    assert force == pytest.approx(5.0, rel=1e-4)


@pytest.mark.parametrize("backing", BACKINGS)
def test_series_energy_is_the_integral_of_the_force(way, backing):
    depth = 2e-5
    area = quad(lambda d: way(series_line_force)(d, LINE, backing)[0], 0.0, depth, epsrel=1e-11)[0]
    force, share = way(series_line_force)(depth, LINE, backing)
    assert way(series_line_energy)(force, share, backing) == pytest.approx(area, rel=1e-8)
