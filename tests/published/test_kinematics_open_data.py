"""Characteristic frequencies of bearings of open vibration data sets, and textbook kinematics.

Sources: open motor-bearing data set (9 balls; multiples of the shaft speed from a public
repository and its data page, the latter from memory); open run-to-failure data set (double row,
16 rollers a row; frequencies from repository notes, text read); Harris, Rolling Bearing Analysis
(from memory); Hamrock and Dowson 1981 (from memory).
"""

import math

import pytest

from rollsim.model.kinematics import (
    centrifugal_force,
    characteristic_frequencies,
    diameter_ratio,
    entrainment_speed,
    epicyclic_cage_speed,
    epicyclic_roller_spin,
    relative_roller_spin,
)

TURN = 2.0 * math.pi
BALLS = characteristic_frequencies((TURN, 0.0), 9, 7.94e-3, 39.04e-3)
ROLLERS = characteristic_frequencies((TURN * 2000 / 60, 0.0), 16, 0.331, 2.815, math.radians(15.17))


def test_outer_ring_multiple_of_the_motor_bearing():
    """3.5848 passes of the outer ring a turn (text read)."""
    assert BALLS.outer_pass == pytest.approx(3.5848, abs=2e-4)


def test_other_multiples_of_the_motor_bearing():
    """Inner ring 5.4152, cage 0.39828, twice the ball spin 4.7135 (data page, from memory)."""
    assert BALLS.inner_pass == pytest.approx(5.4152, abs=3e-4)
    assert BALLS.cage == pytest.approx(0.39828, abs=3e-4)
    assert 2.0 * BALLS.roller == pytest.approx(4.7135, abs=3e-4)


def test_run_to_failure_bearing():
    """236.4, 296.9 and 139.9 Hz at 2000 rpm (text read)."""
    assert ROLLERS.outer_pass == pytest.approx(236.4, abs=0.05)
    assert ROLLERS.inner_pass == pytest.approx(296.9, abs=0.05)
    assert ROLLERS.roller == pytest.approx(139.9, abs=0.05)


def test_cage_frequency_is_the_outer_pass_over_the_count():
    """14.775 Hz; a text with 15.9 Hz is wrong, it is not the outer frequency over 16."""
    assert ROLLERS.cage == pytest.approx(14.775, rel=3e-4)
    assert ROLLERS.cage == pytest.approx(ROLLERS.outer_pass / 16, rel=1e-12)


def test_centrifugal_force_constant_of_a_steel_roller():
    """F = 3.39e-11 d^2 l d_m n_m^2 N (mm, rpm) for steel (Harris, from memory)."""
    mass = 7860.0 * math.pi / 4.0 * 1e-9  # 1 mm x 1 mm
    assert centrifugal_force(mass, 0.5e-3, TURN / 60) == pytest.approx(3.39e-11, rel=0.003)


def test_entrainment_speed_of_a_roller_bearing():
    """10.061 m/s: raceways 64 and 96 mm, rollers 16 mm, 524 rad/s (Hamrock and Dowson)."""
    assert entrainment_speed(524.0, 0.0, 0.016, 0.080) == pytest.approx(10.061, abs=0.001)


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
