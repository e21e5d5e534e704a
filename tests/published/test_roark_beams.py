"""Curved beams and fastener groups of textbooks.

More printed values of them, of beams and of rings stand in `rollsim/verification/structure.py`.
"""

import numpy as np
import pytest

from rollsim.structure.closed_forms import (
    curved_beam_stress,
    fastener_shear,
)


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


def test_straight_beam_for_the_ring_of_a_cage():
    # Ring of radii 89 to 99 mm, the section of the screens: what the straight beams of the frame
    # leave out of the bending stress at the inner edge.
    force, inner, outer, width = 1.0, 89e-3, 99e-3, 5e-3
    height, area = outer - inner, (outer - inner) * width
    inside = curved_beam_stress(force, inner, outer, width)[1] - force / area
    straight = force * 0.5 * (inner + outer) * 6.0 / (width * height**2)
    assert inside / straight == pytest.approx(1.036, abs=0.002)
