"""Squeeze films, dissipation of a contact, drag."""

import math

import pytest
from scipy.integrate import quad

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.driving import cage_drag, roller_drag, rotating_frame
from rollsim.kernels.film import squeeze_line, squeeze_plane
from rollsim.kernels.types import Drag

DRAG = Drag(0.02, 3e-9, 4e-6, 2e-3, 100.0, 0.5)


def test_squeeze_line_against_the_reynolds_equation(way):
    """Force per length of a cylinder coming down on a plane, from p' = 12 eta V x / h^3.

    The gap is the parabola h + x^2/(2R); the pressure is zero far away on both sides.
    """
    eta, radius, gap, speed = 0.02, 0.013, 2e-5, 0.03
    reach = math.sqrt(2.0 * radius * gap)

    def load(u):
        """-x p' with x = reach u, integrated by parts."""
        x = reach * u
        return 12.0 * eta * speed * x**2 / (gap + x**2 / (2.0 * radius)) ** 3 * reach

    exact = 2.0 * quad(load, 0.0, 400.0, limit=400, epsrel=1e-10)[0]
    factor = 3.0 * math.sqrt(2.0) * math.pi * eta * radius**1.5
    assert way(squeeze_line)(factor, gap, speed, 1e-6) == pytest.approx(exact, rel=1e-6)


def test_squeeze_plane_against_the_reynolds_equation(way):
    """Disc on a plane: p = 3 eta V (a^2 - r^2)/h^3 integrated over the disc (Stefan 1874)."""
    eta, a, gap, speed = 0.02, 3e-3, 4e-5, 0.1
    exact = quad(lambda r: 3.0 * eta * speed * (a**2 - r**2) / gap**3 * 2.0 * math.pi * r, 0.0, a)[
        0
    ]
    force = way(squeeze_plane)(1.5 * math.pi * eta * a**4, gap, speed, 1e-6)
    assert force == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("film", [squeeze_line, squeeze_plane])
def test_films_cavitate_and_have_a_floor(way, film):
    f = way(film)
    assert f(1e-6, 1e-5, 0.0, 1e-6) == 0.0
    assert f(1e-6, 1e-5, -0.1, 1e-6) == 0.0
    assert f(1e-6, 1e-8, 0.1, 1e-6) == f(1e-6, 1e-6, 0.1, 1e-6) == f(1e-6, -1e-5, 0.1, 1e-6)
    assert f(1e-6, 2e-6, 0.1, 1e-6) < f(1e-6, 1e-6, 0.1, 1e-6)


def test_hunt_crossley(way):
    """Q (1 + 1.5 alpha v) while it pushes; never a pull."""
    f = way(hunt_crossley)
    assert f(100.0, 0.2, 0.5) == pytest.approx(115.0)
    assert f(100.0, -0.2, 0.5) == pytest.approx(85.0)
    assert f(100.0, 0.3, 0.0) == 100.0
    assert f(0.0, 5.0, 0.5) == 0.0
    for speed in (-1.0, -4.0 / 3.0, -2.0, -100.0):
        assert f(100.0, speed, 0.5) >= 0.0
    assert f(100.0, -2.0, 0.5) == 0.0


def test_roller_drag(way):
    """Quadratic, against the motion; the heat is the power of force and moment."""
    fx, fy, moment, heat = way(roller_drag)(3.0, -4.0, -600.0, DRAG)
    assert (fx, fy) == pytest.approx((-0.02 * 5.0 * 3.0, 0.02 * 5.0 * 4.0))
    assert moment == pytest.approx(3e-9 * 600.0**2)
    assert heat == pytest.approx(-(fx * 3.0 - fy * 4.0) + moment * 600.0)


def test_cage_drag(way):
    """Windage plus film; action and reaction in the film; the heat is the lost power."""
    moment, on_guide, heat = way(cage_drag)(50.0, 120.0, DRAG)
    assert moment == pytest.approx(-4e-6 * 2500.0 + 2e-3 * 70.0)
    assert on_guide == pytest.approx(-2e-3 * 70.0)
    assert heat == pytest.approx(-(moment * 50.0 + on_guide * 120.0))
    assert heat > 0.0


def test_rotating_frame(way):
    """A body at rest in the inertial frame moves backwards on a circle in the carrier frame."""
    speed, x, y = 7.0, 0.03, -0.05
    vx, vy = speed * y, -speed * x
    ax, ay = way(rotating_frame)(x, y, vx, vy, speed)
    # v = -Omega x r, so that the acceleration in the frame is -Omega^2 r.
    assert (ax, ay) == pytest.approx((-(speed**2) * x, -(speed**2) * y))
