"""Tables in time: values, slopes, integrals, corners; what the kernels make of them."""

import math

import numpy as np
import pytest

from rollsim.kernels.course import integral_at, next_corner, slope_at, value_at
from rollsim.kernels.driving import driving_at
from rollsim.model.duty import course_table, duty_course, start_speeds

WAYS = {"compiled": lambda f: f, "plain": lambda f: f.py_func}
TIMES = np.array([0.0, 0.1, 0.25, 0.3, 0.5, 2.0])


@pytest.fixture(params=WAYS)
def way(request):
    """A kernel as it is, or as plain Python."""
    return WAYS[request.param]


@pytest.fixture(scope="module")
def model(bench):
    """A start, a stop, a load that turns and grows."""
    return bench.make_built(
        duty__speed_table=[[0, 0], [0.3, 1200], [0.4, 1200], [0.45, 0]],
        duty__outer_speed_table=[[0, 100], [1.0, 200]],
        duty__load_table=[[0, 10, -90, 0], [0.2, 20, 0, 0]],
        duty__rotating_load_kN=2.0, duty__rotating_load_phase_deg=30.0,
    ).model  # fmt: skip


def _angle(time, table):
    """Trapezoidal sum over a fine grid that holds the rows."""
    grid = np.unique(np.append(np.linspace(0.0, time, 20001), table[table[:, 0] < time, 0]))
    speed = np.interp(grid, table[:, 0], table[:, 1])
    return np.trapezoid(speed, grid)


@pytest.mark.parametrize("time", TIMES)
def test_values_and_integrals_are_those_of_numpy(way, model, time):
    table = course_table(model.course, "inner")
    assert way(value_at)(table, time, 1) == pytest.approx(
        np.interp(time, table[:, 0], table[:, 1]), abs=1e-12
    )
    assert way(integral_at)(table, time) == pytest.approx(_angle(time, table), rel=1e-9)


def test_slope_is_that_of_the_piece_that_begins(way, model):
    table = course_table(model.course, "inner")
    top = 1200 * math.pi / 30
    for time, slope in ((0.0, top / 0.3), (0.3, 0.0), (0.42, -top / 0.05), (0.45, 0.0), (9.0, 0.0)):
        assert way(slope_at)(table, time, 1) == pytest.approx(slope, abs=1e-9)


def test_next_corner_is_the_first_behind_a_time(way, model):
    corners = course_table(model.course, "corners")[:, 0]
    assert corners == pytest.approx([0.0, 0.2, 0.3, 0.4, 0.45, 1.0])
    for time, corner in ((0.0, 0.2), (0.2, 0.3), (0.2 - 1e-15, 0.3), (0.41, 0.45), (1.0, math.inf)):
        assert way(next_corner)(model.course, time) == corner


def test_a_single_row_holds(way):
    table = np.array([[0.0, 5.0, 0.0]])
    assert way(value_at)(table, 3.0, 1) == 5.0
    assert way(integral_at)(table, 3.0) == 15.0


@pytest.mark.parametrize("time", TIMES)
def test_loads_and_speeds_follow_their_tables(way, model, time):
    """The steady part turns evenly from down to the right; the turning part has the angle."""
    state = np.zeros(200)
    got = way(driving_at)(time, state, model)
    assert got.inner_angle == pytest.approx(
        _angle(time, course_table(model.course, "inner")), rel=1e-9
    )
    assert got.inner_speed == pytest.approx(
        np.interp(time, *course_table(model.course, "inner")[:, :2].T), abs=1e-9
    )
    assert got.outer_speed == pytest.approx(np.interp(time, [0, 1], [100, 200]) * math.pi / 30)
    share = min(time / 0.2, 1.0)
    force, direction = 10e3 * (1.0 + share), math.radians(-90.0 + 90.0 * share)
    phase = _angle(time, course_table(model.course, "inner")) + math.radians(30.0)
    fx, fy, fz = got.fx, got.fy, got.fz
    assert fx == pytest.approx(force * math.cos(direction) + 2e3 * math.cos(phase), abs=1e-3)
    assert fy == pytest.approx(force * math.sin(direction) + 2e3 * math.sin(phase), abs=1e-3)
    assert fz == 0.0
    assert got.inner_rate == pytest.approx(slope_at(course_table(model.course, "inner"), time, 1))


def test_constants_hold_without_tables(way, bench):
    model = bench.make_built().model
    assert model.course.varies == 0 and model.course.table.shape == (0, 4)
    assert way(next_corner)(model.course, 0.3) == math.inf
    got = way(driving_at)(2.0, np.zeros(200), model)
    speed = 1200 * math.pi / 30
    assert (got.inner_angle, got.inner_speed) == pytest.approx((2.0 * speed, speed))
    assert (got.fx, got.fy) == pytest.approx((0.0, -20e3), abs=1e-9)
    assert got.inner_rate == got.outer_speed == 0.0


def test_start_speeds_are_those_of_the_first_rows(bench):
    turn = math.pi / 30
    case = bench.make_case(duty__speed_table=[[0, 30], [1, 40]], duty__outer_speed_rpm=-5)
    assert start_speeds(case) == pytest.approx((30 * turn, -5 * turn))
    torque = {"duty__drive": "torque", "duty__drive_torque_Nm": 1, "duty__drive_inertia_kgm2": 1}
    assert start_speeds(bench.make_case(**torque)) == pytest.approx((1200 * turn, 0.0))
    still = bench.make_case(**torque, duty__start_speed_rpm=0)
    assert start_speeds(still) == (0.0, 0.0)
    assert duty_course(still).varies == 0
