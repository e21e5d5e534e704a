"""Contact constants of other materials and cage bars."""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from rollsim.model.stiffness import (
    bar_bending_stiffness,
    bar_width,
    iso_line_constant,
    line_contact_constant,
    reduced_modulus,
    scaled_constant,
    single_contact_constant,
    steel_reduced_modulus,
)


def test_reduced_modulus_of_a_rigid_partner():
    """Against a rigid body only the other one counts, E/(1 - nu^2)."""
    assert reduced_modulus(97e9, 0.35, 1e30, 0.3) == pytest.approx(97e9 / (1 - 0.35**2), rel=1e-9)


def test_reduced_modulus_is_symmetric():
    """Exchanging the bodies changes nothing."""
    one = reduced_modulus(206e9, 0.3, 97e9, 0.35)
    assert one == pytest.approx(reduced_modulus(97e9, 0.35, 206e9, 0.3), rel=1e-14)
    assert one < steel_reduced_modulus()


def test_constant_is_proportional_to_the_modulus():
    """A constant of steel stays as it is and follows E' for others."""
    assert scaled_constant(5.0, steel_reduced_modulus()) == pytest.approx(5.0)
    half = line_contact_constant(0.03, 0.5 * steel_reduced_modulus())
    assert 2.0 * half == pytest.approx(single_contact_constant(iso_line_constant(0.03)))


def test_constant_of_a_known_roller():
    """44 mm: 35 948 * 44^(8/9) N/mm^(10/9) carries 5 kN at 9.3 um between both raceways."""
    approach = (5000.0 / (35948.0 * 44.0 ** (8.0 / 9.0))) ** 0.9  # mm
    force = iso_line_constant(0.044) * (1e-3 * approach) ** (10.0 / 9.0)
    assert force == pytest.approx(5000.0, rel=1e-12)
    assert approach == pytest.approx(0.0082, abs=0.0005)


def test_built_in_bar_against_the_beam_equation():
    """Timoshenko beam under uniform load, solved numerically: mean deflection times stiffness."""
    modulus, poisson, width, height, length = 97e9, 0.35, 5.4e-3, 10e-3, 44e-3
    bending = modulus * height * width**3 / 12.0
    shear = 5.0 / 6.0 * width * height * modulus / (2.0 * (1.0 + poisson))
    force = 1000.0

    def beam(x, y):
        """y = deflection, rotation, moment, shear force, all but x scaled to order one."""
        return np.vstack(
            [
                length * (y[1] * 1e-3 + y[3] * 1e3 / shear) / 1e-6,
                -length * y[2] / bending / 1e-3,
                length * y[3] * 1e3,
                np.full_like(x, -force / 1e3),
            ]
        )

    def ends(left, right):
        """Built in at both ends."""
        return np.array([left[0], left[1], right[0], right[1]])

    grid = np.linspace(0.0, 1.0, 101)
    result = solve_bvp(beam, ends, grid, np.zeros((4, grid.size)), tol=1e-8)
    assert result.success
    fine = np.linspace(0.0, 1.0, 2001)
    mean = 1e-6 * np.trapezoid(result.sol(fine)[0], fine)
    stiffness = bar_bending_stiffness(modulus, poisson, width, height, length)
    assert stiffness * mean == pytest.approx(force, rel=1e-5)


def test_long_bar_bends_as_a_built_in_beam():
    """Without the share of shear the mean deflection is F L^3/(720 E I)."""
    inertia = 0.01 * 0.004**3 / 12.0
    expected = 720.0 * 100e9 * inertia / 2.0**3
    assert bar_bending_stiffness(100e9, 0.3, 0.004, 0.01, 2.0) == pytest.approx(expected, rel=1e-3)


def test_pockets_that_meet_leave_no_bar():
    """Rollers that touch each other are refused in plain words."""
    with pytest.raises(ValueError, match="no cage bar"):
        bar_width(0.091, 22, 0.026)
