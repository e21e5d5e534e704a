"""Line contact constant and roller profile of ISO/TS 16281:2008 (DIN 26281)."""

import numpy as np
import pytest

from rollsim.model.profile import logarithmic_drop
from rollsim.model.stiffness import (
    iso_line_constant,
    line_contact_constant,
    series_constant,
    steel_reduced_modulus,
)

TO_NEWTON_MM = 1e3 ** (-10.0 / 9.0)


def test_constant_is_the_printed_one():
    """c_L = 35 948 L^(8/9) N/mm^(10/9), L in mm, both contacts together (text read)."""
    assert iso_line_constant(1e-3) * TO_NEWTON_MM == pytest.approx(35948.0, rel=1e-12)
    at_16_mm = 35948.0 * 16.0 ** (8.0 / 9.0)
    assert iso_line_constant(16e-3) * TO_NEWTON_MM == pytest.approx(at_16_mm, rel=1e-12)


def test_two_single_contacts_in_series_give_the_pair():
    """Half of the approach in each contact leads back to the printed constant."""
    single = line_contact_constant(0.02, steel_reduced_modulus())
    assert series_constant(single, single) == pytest.approx(iso_line_constant(0.02), rel=1e-12)
    force = iso_line_constant(0.02) * 10e-6 ** (10.0 / 9.0)
    assert single * 5e-6 ** (10.0 / 9.0) == pytest.approx(force, rel=1e-12)


def test_logarithmic_profile():
    """P(x) = 0.00035 D ln(1/(1 - (2 x/L)^2)) with D = 10 mm, L = 20 mm, x in mm."""
    x = np.array([-9.0, 0.0, 5.0])
    expected = 0.00035 * 10.0 * np.log(1.0 / (1.0 - (2.0 * x / 20.0) ** 2))
    np.testing.assert_allclose(1e3 * logarithmic_drop(1e-3 * x, 0.02, 0.01), expected, rtol=1e-12)
