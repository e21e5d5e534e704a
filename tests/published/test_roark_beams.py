"""Beams, rings and fastener groups: closed solutions of textbooks."""

import numpy as np
import pytest

from rollsim.structure.closed_forms import (
    built_in_deflection,
    built_in_moment,
    curved_beam_stress,
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


def test_crane_hook():
    # Shigley, Mechanical Engineering Design, curved beams, example of the crane hook (value from
    # memory): radii 2 and 6 in, 0.75 in thick, 5000 lbf: 3.641 in, 16.9 and -5.63 kpsi.
    inch, pound = 0.0254, 4.4482216
    psi = pound / inch**2
    neutral, inside, outside = curved_beam_stress(5000 * pound, 2 * inch, 6 * inch, 0.75 * inch)
    assert neutral / inch == pytest.approx(3.641, abs=5e-4)
    assert inside / psi == pytest.approx(16.9e3, rel=0.003)
    assert outside / psi == pytest.approx(-5.63e3, rel=0.003)


def test_straight_beam_for_the_ring_of_a_cage():
    # Ring of radii 89 to 99 mm, the section of the screens: what the straight beams of the frame
    # leave out of the bending stress at the inner edge.
    force, inner, outer, width = 1.0, 89e-3, 99e-3, 5e-3
    height, area = outer - inner, (outer - inner) * width
    inside = curved_beam_stress(force, inner, outer, width)[1] - force / area
    straight = force * 0.5 * (inner + outer) * 6.0 / (width * height**2)
    assert inside / straight == pytest.approx(1.036, abs=0.002)
