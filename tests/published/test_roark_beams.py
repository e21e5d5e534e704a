"""Beams, rings and fastener groups: closed solutions of textbooks."""

import numpy as np
import pytest

from rollsim.structure.closed_forms import (
    built_in_deflection,
    built_in_moment,
    fastener_shear,
    ring_moments,
)


def test_built_in_beam():
    # Roark's Formulas for Stress and Strain, table 8.1 (value from memory).
    assert built_in_deflection(1.0, 1.0, 1.0) == pytest.approx(0.00520833, rel=1e-6)
    assert built_in_moment(1.0, 1.0) == pytest.approx(0.125, rel=1e-12)


@pytest.mark.parametrize(
    ("count", "under", "midway"),
    [
        (2, 0.31831, 0.18169),
        (3, 0.18879, 0.0998854),
        (4, 0.13662, 0.070487),
        (8, 0.0661328, 0.0333234),
    ],
)
def test_ring_under_radial_forces_table(count, under, midway):
    # Timoshenko, Strength of Materials II; Roark table 9.2 case 7: n = 2 read, others from memory.
    assert ring_moments(1.0, 1.0, count) == pytest.approx((under, midway), rel=1e-3)


def test_eccentric_bolt_group():
    # Shigley, Mechanical Engineering Design, example 8-7 (value from memory): 16 kN at 425 mm, four
    # fasteners at (+-75, +-60) mm: secondary 17.7 kN, largest 21.0 kN, least 14.8 kN.
    places = np.array([[75, 60], [-75, 60], [-75, -60], [75, -60]]) * 1e-3
    force = np.array([0.0, -16e3])
    both = fastener_shear(places, force, np.array([0.425, 0.0]))
    size = np.hypot(*both.T) / 1e3
    secondary = np.hypot(*(both - force / 4).T) / 1e3
    assert secondary == pytest.approx(np.full(4, 17.7), abs=0.05)
    assert size.max() == pytest.approx(21.0, abs=0.05)
    assert size.min() == pytest.approx(14.8, abs=0.05)
