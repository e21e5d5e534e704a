"""Identities of bearing kinematics, and the cage of an open run-to-failure data set.

The data set: double row, 16 rollers a row; frequencies from repository notes (text read). Printed
frequencies, also of other bearings, stand in `rollsim/verification/motion.py`.
"""

import math

import pytest

from rollsim.model.kinematics import (
    characteristic_frequencies,
    diameter_ratio,
    entrainment_speed,
    epicyclic_cage_speed,
    epicyclic_roller_spin,
    relative_roller_spin,
)

TURN = 2.0 * math.pi
ROLLERS = characteristic_frequencies((TURN * 2000 / 60, 0.0), 16, 0.331, 2.815, math.radians(15.17))


def test_cage_frequency_is_the_outer_pass_over_the_count():
    """14.775 Hz; a text with 15.9 Hz is wrong, it is not the outer frequency over 16."""
    assert ROLLERS.cage == pytest.approx(14.775, rel=3e-4)
    assert ROLLERS.cage == pytest.approx(ROLLERS.outer_pass / 16, rel=1e-12)


def test_rollers_passing_both_rings_add_up():
    """BPFI + BPFO = Z times the relative ring speed, whatever the outer ring does."""
    for outer in (0.0, 12.0, -40.0):
        found = characteristic_frequencies((300.0, outer), 15, 0.016, 0.080)
        total = 15 * abs(300.0 - outer) / TURN
        assert found.inner_pass + found.outer_pass == pytest.approx(total, rel=1e-12)


def test_surface_speeds_are_equal_at_both_raceways():
    """Rolling: the spin and cage speed give the surface speed of each raceway at its contact."""
    inner, outer, radius, pitch = 120.0, -35.0, 0.013, 0.091
    cage = epicyclic_cage_speed(inner, outer, diameter_ratio(2 * radius, 2 * pitch))
    spin = epicyclic_roller_spin(inner, outer, 2 * radius, 2 * pitch)
    assert cage * pitch + spin * radius == pytest.approx(outer * (pitch + radius), rel=1e-12)
    assert cage * pitch - spin * radius == pytest.approx(inner * (pitch - radius), rel=1e-12)
    relative = relative_roller_spin(inner, outer, 2 * radius, 2 * pitch, 0.0)
    assert spin - cage == pytest.approx(relative, rel=1e-12)


def test_entrainment_is_the_surface_speed_seen_from_the_contact():
    """(omega_i - omega_c) R_i = (omega_c - omega_o) R_o = u (definition)."""
    inner, outer, d, pitch = 120.0, -35.0, 0.026, 0.182
    cage = epicyclic_cage_speed(inner, outer, diameter_ratio(d, pitch))
    speed = entrainment_speed(inner, outer, d, pitch)
    assert (inner - cage) * (pitch - d) / 2 == pytest.approx(speed, rel=1e-12)
    assert (cage - outer) * (pitch + d) / 2 == pytest.approx(speed, rel=1e-12)
