"""Sweeps, shocks, tracks and locked exciters at an instant; corners at which steps end."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.signal import chirp

from rollsim.kernels.course import corner_margin, first_behind
from rollsim.kernels.driving import driving_at
from rollsim.kernels.shaking_types import PulseShape, SweepLaw
from rollsim.kernels.vibration import (
    base_acceleration,
    last_start,
    locked_acceleration,
    pulse_shape,
)
from rollsim.model.shaking import imposed_acceleration, make_shaking
from rollsim.model.tracks import Track

INF = math.inf
UP = [1.0, 3.0, 5.0, 80.0, SweepLaw.LINEAR, 7.0, INF, 0.6, 0.8, 0.0, 0.4]
PULSES = [
    [0.50, 0.20, PulseShape.HALF_SINE, 0.1, 0.1, 3.0, 0.0, -1.0],
    [0.10, 0.05, PulseShape.TRAPEZOID, 0.2, 0.4, 0.0, 10.0, 0.0],
    [0.55, 0.01, PulseShape.SAW_TOOTH, 0.1, 0.1, 0.0, -5.0, 2.0],
    [0.56, 0.30, PulseShape.HALF_SINE, 0.1, 0.1, 1.0, 1.0, 1.0],
]


def _random_track(loop, start=0.0, rows=16):
    """Track of independent normal numbers."""
    values = np.random.default_rng(5).normal(size=(rows, 3))
    return Track(values, 1e-2, start, loop)


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        (PulseShape.HALF_SINE, 2.0 / math.pi),
        (PulseShape.TRAPEZOID, 0.7),
        (PulseShape.SAW_TOOTH, 0.5),
    ],
)
def test_area_peak_and_outside_of_a_pulse(way, shape, area):
    """Areas of the ideal shapes; the trapezoid rises over 0.2 and falls over 0.4."""
    f = way(pulse_shape)
    rise, fall = 0.2, 0.4
    found, _ = quad(lambda x: f(x, int(shape), rise, fall), 0.0, 1.0, points=[rise, 1.0 - fall])
    assert found == pytest.approx(area, rel=1e-9)
    at = 0.5 if shape != PulseShape.SAW_TOOTH else 1.0 - 1e-15
    assert f(at, int(shape), rise, fall) == pytest.approx(1.0)
    assert f(-1e-9, int(shape), rise, fall) == f(1.0, int(shape), rise, fall) == 0.0


def test_overlapping_pulses_add(way):
    """Binary search and look back find the sum over all shocks."""
    shaking = make_shaking(pulse=PULSES)
    assert list(shaking.pulse[:, 0]) == [0.1, 0.5, 0.55, 0.56] and shaking.longest_pulse == 0.3
    assert [way(last_start)(shaking.pulse, t) for t in (0.0, 0.1, 0.555, 9.0)] == [0, 1, 3, 4]
    times = np.linspace(0.0, 1.0, 501)
    expected = np.zeros((len(times), 3))
    for start, duration, shape, rise, fall, *peak in PULSES:
        size = [pulse_shape.py_func((t - start) / duration, shape, rise, fall) for t in times]
        expected += np.outer(size, peak)
    found = np.array([way(base_acceleration)(t, shaking) for t in times])
    np.testing.assert_allclose(found, expected, atol=1e-12)
    np.testing.assert_allclose(imposed_acceleration(shaking, times), expected, atol=1e-9)


@pytest.mark.parametrize(("law", "method"), [("LINEAR", "linear"), ("LOG", "logarithmic")])
@pytest.mark.parametrize(("first", "last"), [(5.0, 80.0), (80.0, 5.0), (20.0, 20.0)])
def test_sweep_against_scipy(way, law, method, first, last):
    """scipy.signal.chirp makes cosines: the phase is 90 degrees back."""
    row = [1.0, 3.0, first, last, SweepLaw[law], 7.0, INF, 0.6, 0.8, 0.0, 0.4]
    shaking = make_shaking(sweep=[row])
    times = np.linspace(1.0, 3.0, 301)[:-1]
    expected = 7.0 * chirp(times - 1.0, first, 2.0, last, method, phi=math.degrees(0.4) - 90.0)
    found = np.array([way(base_acceleration)(t, shaking) for t in times])
    np.testing.assert_allclose(found, np.outer(expected, [0.6, 0.8, 0.0]), atol=1e-9)
    np.testing.assert_allclose(imposed_acceleration(shaking, times), found, atol=1e-9)
    assert way(base_acceleration)(0.999, shaking) == (0.0, 0.0, 0.0)
    assert way(base_acceleration)(3.0, shaking) == (0.0, 0.0, 0.0)


def test_sweep_of_constant_displacement_up_to_a_constant_acceleration(way):
    """Steady frequency: D omega^2 below the crossover, A above it; the crossover is a corner."""
    large, throw = 100.0, 1e-3
    crossing = math.sqrt(large / throw) / (2.0 * math.pi)
    for frequency, size in ((20.0, throw * (40.0 * math.pi) ** 2), (80.0, large)):
        row = [0.0, 1.0, frequency, frequency, 0, large, throw, 1.0, 0.0, 0.0, math.pi / 2]
        assert way(base_acceleration)(0.0, make_shaking(sweep=[row]))[0] == pytest.approx(size)
    for law, share in (
        (SweepLaw.LINEAR, (crossing - 20.0) / 60.0),
        (SweepLaw.LOG, math.log2(crossing / 20.0) / 2.0),
    ):
        row = [1.0, 3.0, 20.0, 80.0, law, large, throw, 1.0, 0.0, 0.0, 0.0]
        shaking = make_shaking(sweep=[row])
        assert shaking.corners == pytest.approx([1.0, 1.0 + 2.0 * share, 3.0])
        times = np.linspace(1.0, 2.99, 101)
        np.testing.assert_allclose(
            [way(base_acceleration)(t, shaking) for t in times],
            imposed_acceleration(shaking, times), atol=1e-9,
        )  # fmt: skip


def test_tracks_add_and_a_track_that_runs_once_ends(way):
    """A loop over all times and one that starts at 0.05 s; the reference agrees."""
    loop, once = _random_track(True), _random_track(False, 0.05, 9)
    shaking = make_shaking([loop, once])
    times = np.linspace(0.0, 0.5, 331)
    found = np.array([way(base_acceleration)(t, shaking) for t in times])
    np.testing.assert_allclose(found, imposed_acceleration(shaking, times), atol=1e-11)
    alone = imposed_acceleration(make_shaking([loop]), times)
    outside = (times < 0.05) | (times > 0.05 + 0.08)
    np.testing.assert_allclose(found[outside], alone[outside], atol=1e-11)
    assert np.abs(found - alone)[~outside].max() > 0.5
    knots = 0.05 + 0.01 * np.arange(8)
    part = imposed_acceleration(shaking, knots) - imposed_acceleration(make_shaking([loop]), knots)
    np.testing.assert_allclose(part, once.values[:-1], atol=1e-9)
    assert shaking.corners == pytest.approx([0.05, 0.13])


def test_locked_exciter_is_the_second_derivative_along_the_angle(way):
    """Displacement C cos(k theta) + S sin(k theta) with theta = t^2 + 3t: second differences."""
    row = [1.5, 1e-3, 2e-3, 0.0, -1e-3, 5e-4, 3e-4]
    shaking = make_shaking(locked=[row])

    def place(t):
        """Displacement."""
        angle = 1.5 * (t * t + 3.0 * t)
        return np.array(row[1:4]) * math.cos(angle) + np.array(row[4:7]) * math.sin(angle)

    h = 1e-4
    for t in (0.0, 0.7, 2.0):
        found = way(locked_acceleration)(t, t * t + 3.0 * t, 2.0 * t + 3.0, 2.0, shaking)
        second = (place(t + h) - 2.0 * place(t) + place(t - h)) / h**2
        assert found == pytest.approx(tuple(second), abs=1e-6)


def test_bodies_feel_the_locked_exciter_of_a_speed_table(way, bench):
    """Speeds up, then steady: the reference evaluation along the same table."""
    model = bench.make_built(duty__speed_table=[[0, 0], [0.3, 1200]]).model
    locked = [[1.0, 0.0, 1e-3, 0.0, 1e-3, 0.0, 0.0]]
    shaken = model._replace(shaking=make_shaking(locked=locked, ramp=0.1))
    top = 1200 * math.pi / 30
    turning = np.array([[0.0, 0.0, 0.0], [0.3, top, 0.15 * top]])
    for time in (0.05, 0.2, 0.35):
        felt = way(driving_at)(time, np.zeros(200), shaken)
        still = way(driving_at)(time, np.zeros(200), model)
        expected = imposed_acceleration(shaken.shaking, np.array([time]), turning)[0]
        assert np.abs(expected).max() > 0.1
        assert [a - b for a, b in zip(still[:3], felt[:3], strict=True)] == pytest.approx(
            list(expected), abs=1e-9
        )


def test_first_corner_behind_a_time(way):
    corners = np.array([0.1, 0.2, 0.5])
    for time, found in ((0.0, 0.1), (0.1, 0.2), (0.2 - 1e-12, 0.5), (0.3, 0.5), (0.5, INF)):
        assert way(first_behind)(corners, time) == found
    assert way(first_behind)(corners[:0], 0.0) == INF
    assert way(corner_margin)(0.0) == 1e-12


def test_corners_of_pulses():
    """Starts, ends, and the edges of the flat part of a trapezoid; those at time zero are none."""
    assert make_shaking(pulse=PULSES).corners == pytest.approx(
        [0.1, 0.11, 0.13, 0.15, 0.5, 0.55, 0.56, 0.7, 0.86]
    )
    assert make_shaking(pulse=[[0.0, 0.2, 0, 0.1, 0.1, 1.0, 0.0, 0.0]]).corners == [0.2]
