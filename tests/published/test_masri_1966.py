"""A roller rattling in its pocket: the impact pair with a moving frame.

Symmetric motion with two impacts a period, no friction (form of Masri and Caughey 1966 and of
Bapat and Popplewell 1983, rederived): frame motion A sin(omega t), clearance L, restitution e,

    u = (L + 2 A sin(phi)) omega / pi,  cos(phi) = -(u/(A omega)) (1 - e)/(1 + e),

u the speed of the free body; the relative impact speed is 2 u/(1 + e). For a small clearance the
symmetric motion is unstable and an asymmetric one with two impacts takes its place (value from
an event-driven simulation made for this check).
"""

import importlib.util
import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from rollsim.kernels.pocket import bar_planar
from rollsim.model.damping import alpha_from_restitution

AMPLITUDE = 1e-4
OMEGA = 2.0 * math.pi * 100.0
MASS = 0.18


@pytest.fixture(scope="module")
def pocket(repository):
    """Pocket of the small bearing, made stiff, without film."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_masri", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    pocket = module.make_built().model.pocket
    return pocket._replace(constant=3e14, backing=1e17, film=0.0)


def _frame(time):
    """Position and velocity of the pocket along the orbit."""
    return AMPLITUDE * math.sin(OMEGA * time), AMPLITUDE * OMEGA * math.cos(OMEGA * time)


def _free_flight(pocket, time, x, v):
    """Time and side at which the roller next meets a bar."""
    step = 1e-5

    def gap(at, side):
        """Distance to the bar."""
        return pocket.half_clearance - side * (x + v * (at - time) - _frame(at)[0])

    now = time + 1e-9
    while True:
        for side in (1.0, -1.0):
            if gap(now + step, side) < 0.0 <= gap(now, side):
                return brentq(gap, now, now + step, args=(side,), xtol=1e-15), side
        now += step


def _contact(pocket, time, x, v, side):
    """Integrate one contact with the kernel's force; time, position and velocity at its end."""

    def pair(at, state):
        """The kernel's contact."""
        place, speed = _frame(at)
        motion = (state[0] - place, pocket.pitch_radius, state[1] - speed, 0.0)
        return bar_planar(motion, 0.0, pocket, side, 0.0, 0.0)

    def leaves(at, state):
        """Penetration, falling through zero."""
        return side * (state[0] - _frame(at)[0]) - pocket.half_clearance

    leaves.terminal, leaves.direction = True, -1.0
    result = solve_ivp(
        lambda at, s: (s[1], pair(at, s).fx / MASS), (time, time + 1e-4), (x, v), events=leaves,
        method="DOP853", rtol=1e-9, atol=(1e-13, 1e-9), first_step=1e-9, max_step=2e-8,
    )  # fmt: skip
    assert result.status == 1
    return result.t[-1], result.y[0, -1], result.y[1, -1]


def _rattle(pocket, ratio, restitution, impacts, v):
    """Times and relative speeds of the impacts of a roller released in the middle."""
    pocket = pocket._replace(half_clearance=0.5 * ratio * AMPLITUDE)
    time, x = 0.0, 0.0
    times, speeds = [], []
    for _ in range(impacts):
        at, side = _free_flight(pocket, time, x, v)
        x += v * (at - time)
        approach = side * (v - _frame(at)[1])
        struck = pocket._replace(damping=alpha_from_restitution(restitution, approach))
        time, x, v = _contact(struck, at, x, v, side)
        times.append(at)
        speeds.append(approach)
    return np.array(times), np.array(speeds)


def _symmetric_speed(ratio, e):
    """Relative impact speed of the closed form."""

    def residual(phi):
        """cos(phi) + (u/(A omega)) (1 - e)/(1 + e)."""
        u = (ratio + 2.0 * math.sin(phi)) * AMPLITUDE * OMEGA / math.pi
        return math.cos(phi) + u / (AMPLITUDE * OMEGA) * (1.0 - e) / (1.0 + e)

    phi = brentq(residual, 0.5 * math.pi, math.pi)
    return 2.0 * (ratio + 2.0 * math.sin(phi)) * AMPLITUDE * OMEGA / math.pi / (1.0 + e)


@pytest.mark.parametrize(
    ("ratio", "e", "speed"), [(4.0, 0.6, 0.144405), (10.0, 0.8, 0.262599), (2.0, 0.6, 0.09753)]
)
def test_closed_form(ratio, e, speed):
    """The printed speeds of the symmetric motion follow from its equations."""
    assert _symmetric_speed(ratio, e) == pytest.approx(speed, abs=6e-6)


@pytest.mark.parametrize(
    ("ratio", "e", "speed", "impacts"), [(4.0, 0.6, 0.144405, 40), (10.0, 0.8, 0.262599, 90)]
)
def test_symmetric_rattling(pocket, ratio, e, speed, impacts):
    """Relative impact speed within 1e-4 of the closed form; two impacts a period, evenly."""
    times, speeds = _rattle(pocket, ratio, e, impacts, 0.8 * speed)
    assert speeds[-6:] == pytest.approx(np.full(6, speed), rel=1e-4)
    assert np.diff(times[-7:]) == pytest.approx(np.full(6, 0.005), rel=1e-3)


def test_asymmetric_rattling(pocket):
    """Clearance 2 A: the symmetric motion gives way; 0.104165 m/s, period split 0.291/0.709."""
    times, speeds = _rattle(pocket, 2.0, 0.6, 150, 0.08)
    assert speeds[-6:] == pytest.approx(np.full(6, 0.104165), rel=1e-3)
    split = np.diff(times[-3:]) / 0.01
    assert sorted(split) == pytest.approx([0.291, 0.709], abs=1e-3)
    assert split.sum() == pytest.approx(1.0, abs=1e-3)
