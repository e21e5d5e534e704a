"""Hertz line contact and the stresses under it.

Sources: K. L. Johnson, Contact Mechanics, 1985, eq. 4.43-4.49; Mechanical Engineer's Data
Handbook, p. 52 (contact width in handbook form).
"""

import math

import numpy as np
import pytest

from rollsim.model.hertz import (
    hertz_half_width,
    hertz_line_pressure,
    hertz_line_stress,
)
from rollsim.model.stiffness import (
    lundberg_line_approach,
    palmgren_line_constant,
    reduced_modulus,
)

STEEL = reduced_modulus(206e9, 0.3, 206e9, 0.3)
LOAD = 100e3  # N/m, 100 N/mm on a roller of 10 mm radius against a flat


def test_pressure_agrees_with_load_over_width():
    """p0 = 600.24 MPa by the formula and by p0 = 2 w/(pi b) (Johnson 1985; handbook p. 52)."""
    pressure = hertz_line_pressure(LOAD, 0.010, STEEL)
    width = hertz_half_width(LOAD, 0.010, STEEL)
    assert pressure == pytest.approx(600.237e6, rel=1e-6)
    assert 2.0 * LOAD / (math.pi * width) == pytest.approx(pressure, rel=1e-9)


def test_full_width_in_handbook_form():
    """w = sqrt(16 F (sum (1-nu^2)/E)/(pi L (1/r1 + 1/r2))) = 0.212123 mm (handbook p. 52)."""
    handbook = math.sqrt(16.0 * LOAD * 2.0 * (1.0 - 0.3**2) / 206e9 / (math.pi / 0.010))
    assert 2.0 * hertz_half_width(LOAD, 0.010, STEEL) == pytest.approx(handbook, rel=1e-9)
    assert 1e3 * handbook == pytest.approx(0.212123, abs=1e-6)


def test_stress_field_meets_the_surface_pressure():
    """s_z on the surface is the elliptic pressure sqrt(1 - x^2) p0, s_x the same (Johnson)."""
    across = np.array([0.0, 0.3, 0.8])
    x, z, shear = hertz_line_stress(across, np.full(3, 1e-9))
    np.testing.assert_allclose(z, -np.sqrt(1.0 - across**2), atol=1e-6)
    np.testing.assert_allclose(x, z, atol=1e-6)
    np.testing.assert_allclose(shear, 0.0, atol=1e-6)


def test_shear_is_in_equilibrium_with_the_normal_stress():
    """d s_z/dz + d t_xz/dx = 0 inside the body: the signs of the stresses belong together."""
    x, z, step = 0.4, 0.6, 1e-5
    normal = (hertz_line_stress(x, z + step)[1] - hertz_line_stress(x, z - step)[1]) / (2 * step)
    shear = (hertz_line_stress(x + step, z)[2] - hertz_line_stress(x - step, z)[2]) / (2 * step)
    assert normal + shear == pytest.approx(0.0, abs=1e-6)


def test_logarithmic_approach_against_palmgren():
    """Lundberg 6.284 um, Palmgren 6.100 um at 4000 N on 20 mm (Harris; from memory)."""
    logarithmic = lundberg_line_approach(4000.0, 0.020, STEEL)
    power = (4000.0 / palmgren_line_constant(0.020)) ** 0.9
    assert 1e6 * logarithmic == pytest.approx(6.28375, abs=1e-5)
    assert 1e6 * power == pytest.approx(6.10044, abs=1e-5)
    assert power == pytest.approx(logarithmic, rel=0.05)
