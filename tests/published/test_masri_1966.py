"""A roller rattling in its pocket: the impact pair with a moving frame.

Symmetric motion with two impacts a period, no friction (form of Masri and Caughey 1966 and of
Bapat and Popplewell 1983, rederived): frame motion A sin(omega t), clearance L, restitution e,

    u = (L + 2 A sin(phi)) omega / pi,  cos(phi) = -(u/(A omega)) (1 - e)/(1 + e),

u the speed of the free body; the relative impact speed is 2 u/(1 + e). For a small clearance the
symmetric motion is unstable and an asymmetric one with two impacts takes its place (value from
an event-driven simulation made for this check).
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from rollsim.verification.rattling import AMPLITUDE, OMEGA, rattle


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
def test_symmetric_rattling(ratio, e, speed, impacts):
    """Relative impact speed within 1e-4 of the closed form; two impacts a period, evenly."""
    times, speeds = rattle(ratio, e, impacts, 0.8 * speed)
    assert speeds[-6:] == pytest.approx(np.full(6, speed), rel=1e-4)
    assert np.diff(times[-7:]) == pytest.approx(np.full(6, 0.005), rel=1e-3)


def test_asymmetric_rattling():
    """Clearance 2 A: the symmetric motion gives way; 0.104165 m/s, period split 0.291/0.709."""
    times, speeds = rattle(2.0, 0.6, 150, 0.08)
    assert speeds[-6:] == pytest.approx(np.full(6, 0.104165), rel=1e-3)
    split = np.diff(times[-3:]) / 0.01
    assert sorted(split) == pytest.approx([0.291, 0.709], abs=1e-3)
    assert split.sum() == pytest.approx(1.0, abs=1e-3)
