"""Squeeze films, dissipation of a contact, drag."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.driving import cage_drag, roller_drag, rotating_frame
from rollsim.kernels.film import (
    film_thickness,
    line_film_damping,
    plane_film_damping,
    squeeze_line,
    squeeze_plane,
    yielding,
)
from rollsim.kernels.pocket import bar_film_damping
from rollsim.kernels.types import Drag

DRAG = Drag(0.02, 3e-9, 4e-6, 100.0, 0.5)


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
    assert f(1e-6, 0.0, 0.1, 1e-6) == f(1e-6, -1e-7, 0.1, 1e-6) == f(1e-6, -1e-5, 0.1, 1e-6)
    power = 1.5 if film is squeeze_line else 3.0
    assert f(1e-6, 0.0, 0.1, 1e-6) == pytest.approx(1e-7 / 1e-6**power, rel=1e-12)
    forces = [f(1e-6, gap, 0.1, 1e-6) for gap in (0.0, 5e-7, 1e-6, 2e-6, 4e-6)]
    assert forces == sorted(forces, reverse=True) and len(set(forces)) == 5


def test_film_is_the_gap_from_two_floors_on(way):
    """Exact above two floors, the floor where the nominal surfaces touch or overlap."""
    h = way(film_thickness)
    floor = 1.7e-6
    for gap in (2.0 * floor, 3e-6 + floor, 2e-5, 3e-3):
        assert h(gap, floor) == pytest.approx(gap, rel=1e-14)
    for gap in (0.0, -1e-9, -1e-5):
        assert h(gap, floor) == floor
    assert h(floor, floor) == pytest.approx(1.25 * floor, rel=1e-14)


def test_film_thickness_has_no_corner(way):
    """Its slope is continuous, rises from 0 to 1, and nowhere lies the film below gap or floor."""
    h = way(film_thickness)
    floor, step = 1e-6, 1e-10
    gaps = np.arange(-1e-6, 4e-6, step)
    film = np.array([h(gap, floor) for gap in gaps])
    slope = np.diff(film) / step
    # h'' = 1/(2 f) between 0 and two floors: the slope changes by h'' step, and never jumps.
    assert np.abs(np.diff(slope)).max() <= 0.5 / floor * step * 1.01
    assert np.all(np.diff(slope) > -1e-9)
    assert slope[0] == 0.0 and slope[-1] == pytest.approx(1.0, abs=1e-9)
    assert np.all(film >= np.maximum(gaps, floor) * (1.0 - 1e-14))


@pytest.mark.parametrize(
    ("damping", "power"), [(line_film_damping, 1.5), (plane_film_damping, 3.0)]
)
def test_film_damping(way, damping, power):
    """Force per speed: a power of the film thickness."""
    f = way(damping)
    assert f(2e-6, 4e-6, 1e-6) == pytest.approx(2e-6 / 4e-6**power, rel=1e-12)
    assert f(2e-6, 1e-6, 1e-6) == pytest.approx(2e-6 / 1.25e-6**power, rel=1e-12)
    assert f(0.0, -1e-6, 1e-6) == 0.0


def test_a_film_yields_with_the_wall_behind_it(way):
    """Soft films are not changed, stiff films are as stiff as the wall, half way is half."""
    f = way(yielding)
    assert f(50.0, math.inf) == 50.0
    assert f(1e-6, 1e3) == pytest.approx(1e-6, rel=2e-9)
    assert f(1e12, 1e3) == pytest.approx(1e3, rel=2e-9)
    assert f(400.0, 400.0) == pytest.approx(200.0)
    assert f(0.0, 400.0) == 0.0
    values = [f(c, 300.0) for c in (1.0, 10.0, 1e2, 1e3, 1e4)]
    assert values == sorted(values) and values[-1] < 300.0


def test_impedance_is_the_greatest_force_on_a_spring_hit_by_a_mass(bench):
    """A mass that meets a spring at speed v feels v sqrt(k m): no film gives more than that."""
    model = bench.make_built(cage__bar_stiffness_N_per_um=80.0).model
    mass, stiffness = model.roller.mass, 80e6
    assert model.pocket.backing == pytest.approx(stiffness)
    assert model.pocket.impedance == pytest.approx(math.sqrt(stiffness * mass), rel=1e-12)
    rate = math.sqrt(stiffness / mass)
    times = np.linspace(0.0, math.pi / rate, 2001)
    top = (stiffness * 0.3 / rate * np.sin(rate * times)).max()
    assert model.pocket.impedance * 0.3 == pytest.approx(top, rel=1e-6)
    touching = bar_film_damping(model.pocket._replace(film=1e9), 0.0)
    assert touching * 0.3 == pytest.approx(top, rel=1e-4) and touching * 0.3 <= top
    # Both points of a roller end together have the impedance of roller and ring.
    ends = model.ends
    whole = math.sqrt(2.0 * ends.stiffness * mass)
    assert 2.0 * ends.impedance == pytest.approx(whole, rel=1e-12)
    assert model.outer_flange.impedance == model.inner_flange.impedance == math.inf


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
    """Windage against the motion; the heat is the lost power."""
    for spin in (50.0, -50.0):
        moment, heat = way(cage_drag)(spin, DRAG)
        assert moment == pytest.approx(-4e-6 * 50.0 * spin)
        assert heat == pytest.approx(4e-6 * 50.0**3)


def test_rotating_frame(way):
    """A body at rest in the inertial frame moves backwards on a circle in the carrier frame."""
    speed, x, y = 7.0, 0.03, -0.05
    vx, vy = speed * y, -speed * x
    ax, ay = way(rotating_frame)(x, y, vx, vy, speed)
    # v = -Omega x r, so that the acceleration in the frame is -Omega^2 r.
    assert (ax, ay) == pytest.approx((-(speed**2) * x, -(speed**2) * y))
