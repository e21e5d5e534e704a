"""Short bearing film: load, attitude, squeeze and friction from outside, and routes of our own.

Ocvirk, NACA TN 2808 (1952) and Ocvirk and DuBois, NACA TR 1157 (1953) for the short bearing;
Friswell, Penny, Garvey and Lees, Dynamics of Rotating Machines (2010) for its static equation;
Raimondi and Boyd, Trans. ASLE 1 (1958) for bearings of finite length, whose table stands here from
memory. The worked static points come from a collection of checks for a course on rotor vibration.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rollsim.kernels.jit import kernel
from rollsim.kernels.land_film import approach_integral, land_film, pi_film_integrals
from rollsim.kernels.types import LandFilm
from rollsim.verification.short_bearing import RAIMONDI_TABLE

RADIUS, LENGTH, CLEARANCE = 50e-3, 25e-3, 100e-6
VISCOSITY, SPEED = 20e-3, 3000 * 2.0 * math.pi / 60.0
#: eta R L^3 / c^2, N s
FACTOR = VISCOSITY * RADIUS * LENGTH**3 / CLEARANCE**2
FILM = LandFilm(
    CLEARANCE, 1e-12, FACTOR / CLEARANCE,
    2.0 * math.pi * VISCOSITY * RADIUS**3 * LENGTH / CLEARANCE, math.inf, math.inf,
)  # fmt: skip


def _steady(eps, film=FILM, speed=SPEED):
    """Load and attitude angle of a journal that turns at `speed` and stays where it is."""
    fn, ft, _ = land_film(film, eps * CLEARANCE, 0.0, -0.5 * speed * eps * CLEARANCE)
    return math.hypot(fn, ft), math.atan2(ft, -fn)


@kernel
def _fall(film, mass, load, speed, steps, interval):
    """Semi-implicit Euler march of a journal under a steady load; returns its last place."""
    x, y, vx, vy = 0.3 * film.clearance, 0.0, 0.0, 0.0
    for _ in range(steps):
        e = math.sqrt(x * x + y * y)
        nx, ny = x / e, y / e
        fn, ft, _ = land_film(film, e, vx * nx + vy * ny, vy * nx - vx * ny - 0.5 * speed * e)
        vx += interval * (fn * nx - ft * ny + load) / mass
        vy += interval * (fn * ny + ft * nx) / mass
        x += interval * vx
        y += interval * vy
    return x, y


@pytest.mark.parametrize(
    ("load", "speed", "viscosity", "eps", "attitude", "thinnest"),
    [
        (1000.0, SPEED, 1.0, 0.675788, 40.585, 32.4212),
        (500.0, SPEED, 1.0, 0.559668, 49.3086, 44.0332),
        (1000.0, 2.0 * SPEED, 1.0, 0.559668, 49.3086, 44.0332),
        (1000.0, SPEED, 2.0, 0.559668, 49.3086, 44.0332),
    ],
)
def test_a_journal_under_load_comes_to_rest_at_the_printed_point(
    load, speed, viscosity, eps, attitude, thinnest
):
    """20 mPas, 1000 N, 3000 rpm; half the load, twice the speed or twice the viscosity."""
    film = FILM._replace(squeeze=FILM.squeeze * viscosity)
    # Far below the mass at which oil whip would keep it turning.
    x, y = _fall(film, 0.5, load, speed, 500_000, 1e-6)
    e = math.hypot(x, y)
    assert e / CLEARANCE == pytest.approx(eps, abs=1e-6)
    assert math.degrees(math.atan2(y, x)) == pytest.approx(attitude, abs=1e-3)
    assert 1e6 * (CLEARANCE - e) == pytest.approx(thinnest, abs=1e-4)


def test_squeeze_damping_of_a_small_eccentricity():
    """C c^3/(eta R L^3) = pi/2 for the film that carries on half the circumference."""
    for eps, vn, vt in ((0.0, 1e-3, 0.0), (1e-7, 1e-3, 0.0), (1e-7, 0.6e-3, -0.8e-3)):
        fn, ft, _ = land_film(FILM, eps * CLEARANCE, vn, vt)
        assert math.hypot(fn, ft) / 1e-3 / FILM.squeeze == pytest.approx(1.5708, abs=5e-5)
        assert fn * vt == pytest.approx(ft * vn, abs=1e-6)


def test_both_halves_of_a_full_film_damp_twice_as_much():
    """C c^3/(eta R L^3) = pi where the film does not cavitate (full film, from memory).

    The half that would be torn is the half circle opposite to the one that carries.
    """
    for angle in np.linspace(0.0, 2.0 * math.pi, 13):
        sine, cosine = math.sin(angle), math.cos(angle)
        carried = pi_film_integrals(1e-9, sine, cosine)
        torn = pi_film_integrals(1e-9, -sine, -cosine)
        full = np.add(carried, torn)
        assert full == pytest.approx([3.14159, 0.0, 3.14159], abs=6e-6)


@pytest.mark.parametrize(("eps", "number", "attitude", "share"), [r[1:] for r in RAIMONDI_TABLE])
def test_a_bearing_of_finite_length_carries_somewhat_less(eps, number, attitude, share):
    """Raimondi and Boyd, L/D = 1/4: Sommerfeld number and attitude; from memory."""
    length = 2.0 * RADIUS / 4.0
    film = FILM._replace(squeeze=VISCOSITY * RADIUS * length**3 / CLEARANCE**3)
    load, angle = _steady(eps, film)
    pressure = load / (2.0 * RADIUS * length)
    ours = (RADIUS / CLEARANCE) ** 2 * VISCOSITY * (SPEED / (2.0 * math.pi)) / pressure
    assert 1.0 - share < ours / number < 1.0
    assert math.degrees(angle) == pytest.approx(attitude, abs=0.6)


def _by_quadrature(eps, psi):
    """The three integrals by adaptive quadrature, split where the integrand is steep."""
    low, high = psi - 0.5 * math.pi, psi + 0.5 * math.pi
    width = math.sqrt(2.0 * (1.0 - eps))
    marks = [k * math.pi + s * width for k in (-1, 1) for s in (-3.0, -1.0, 0.0, 1.0, 3.0)]
    inside = [0.0, *marks]
    points = sorted(x for x in inside if low < x < high) or None
    weights = (
        lambda t: math.cos(t) ** 2,
        lambda t: math.cos(t) * math.sin(t),
        lambda t: math.sin(t) ** 2,
    )
    return [
        quad(lambda t, w=w: w(t) / (1.0 + eps * math.cos(t)) ** 3, low, high, points=points,
             epsabs=1e-13, epsrel=1e-10, limit=400)[0]
        for w in weights
    ]  # fmt: skip


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")
@pytest.mark.parametrize("eps", [0.0, 1e-9, 1e-4, 0.05, 0.3, 0.6, 0.9, 0.98, 0.999])
def test_closed_integrals_against_quadrature(eps):
    """Over all positions of the half circle, to 1e-8."""
    for psi in np.linspace(-math.pi, math.pi, 17):
        ours = pi_film_integrals.py_func(eps, math.sin(psi), math.cos(psi))
        cc, cs, ss = _by_quadrature(eps, psi)
        assert ours[0] == pytest.approx(cc, rel=1e-8)
        assert ours[1] == pytest.approx(cs, rel=1e-8, abs=1e-8 * math.sqrt(cc * ss))
        assert ours[2] == pytest.approx(ss, rel=1e-8)
    assert approach_integral.py_func(eps) == pytest.approx(
        _by_quadrature(eps, math.pi)[0], rel=1e-8
    )


def test_force_by_differences_and_summation():
    """Reynolds equation along the land by finite differences, positive pressures added up.

    The thickness is moved by the velocity of the journal and by its turning surface; no closed
    integral and no substitution takes part.
    """
    generator = np.random.default_rng(5)
    count, cells = 20_000, 400
    angle = (np.arange(count) + 0.5) * 2.0 * math.pi / count
    z = np.linspace(-0.5, 0.5, cells + 1) * LENGTH
    parabola = np.zeros(cells + 1)
    # p'' = 1 with p = 0 at both ends, solved by differences
    step = z[1] - z[0]
    matrix = np.diag(np.full(cells - 1, -2.0)) + np.diag(np.ones(cells - 2), 1)
    matrix += np.diag(np.ones(cells - 2), -1)
    parabola[1:-1] = np.linalg.solve(matrix, np.full(cells - 1, step * step))
    area = np.trapezoid(parabola, z)
    for _ in range(6):
        eps, direction = generator.uniform(0.0, 0.9), generator.uniform(0.0, 6.0)
        vx, vy = generator.normal(0.0, 0.02, 2)
        speed = generator.uniform(-300.0, 300.0)
        x, y = eps * CLEARANCE * math.cos(direction), eps * CLEARANCE * math.sin(direction)
        thickness = CLEARANCE - x * np.cos(angle) - y * np.sin(angle)
        growth = -vx * np.cos(angle) - vy * np.sin(angle)
        growth += 0.5 * speed * (x * np.sin(angle) - y * np.cos(angle))
        line = np.maximum(12.0 * VISCOSITY * growth / thickness**3 * area, 0.0)
        width = RADIUS * 2.0 * math.pi / count
        expected = [-np.sum(line * np.cos(angle)) * width, -np.sum(line * np.sin(angle)) * width]
        nx, ny = math.cos(direction), math.sin(direction)
        vt = vy * nx - vx * ny - 0.5 * speed * eps * CLEARANCE
        fn, ft, _ = land_film(FILM, eps * CLEARANCE, vx * nx + vy * ny, vt)
        size = math.hypot(*expected)
        assert [fn * nx - ft * ny, fn * ny + ft * nx] == pytest.approx(expected, abs=3e-5 * size)


def test_the_film_only_takes_power():
    """Random states, thick and thin films, yielding surfaces or not: F . V is never positive."""
    generator = np.random.default_rng(8)
    film = FILM._replace(floor=1e-6)
    for wall in (1e9, 1e4, 10.0):
        for _ in range(3000):
            e = CLEARANCE * generator.choice([0.0, 1e-9, generator.uniform(0.0, 1.2)])
            vn, vt = generator.normal(0.0, 0.1, 2) * generator.choice([0.0, 1.0], 2)
            fn, ft, resistance = land_film(film._replace(impedance=wall), e, vn, vt)
            assert fn * vn + ft * vt <= 0.0
            assert resistance > 0.0
            # Straight approach: no more than the wall, or the film in the middle, can give.
            most = max(wall, 0.5 * math.pi * film.squeeze)
            assert vt != 0.0 or fn >= -most * max(vn, 0.0) * (1.0 + 1e-9)
