"""Lubricated raceway contact: film, grip, rolling resistance; kernels against plain formulas."""

import math

import numpy as np
import pytest

from rollsim.kernels.ehl import asperity_share, film_grip, film_rolling, film_thickness
from rollsim.kernels.planar import planar_rhs
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.traction import friction_over_slip, grip, rolling_force
from rollsim.kernels.types import Disc, OilFilm, RoundPair, Traction, TractionLaw
from rollsim.model.film_formulas import FILM_LAWS, LubricatedContact, kernel_film

CONTACT = LubricatedContact(11.1e-3, 42.2e-3, 226e9, 0.02, 1.86e-8)
GIVEN = OilFilm(
    by_roughness=1.0 / 0.3e-6, limit=2e6, limit_slope=0.05, least_scale=0.02, rolling=1.0
)
LAW = Traction(int(TractionLaw.EHL), 0.12, 0.1, 0.0, 0.0, 0.0, 0.0)
OIL = kernel_film(CONTACT, FILM_LAWS["dowson_higginson"], 0.8, GIVEN)
EHL = LAW._replace(oil=OIL)


def _grip_by_formulas(load, speed, law, factor):
    """The grip straight from dimensionless groups."""
    thickness = factor * CONTACT.radius * FILM_LAWS[law].thickness(CONTACT.groups(speed, load))
    share = 1.0 / (1.0 + thickness / 0.3e-6) ** 2
    half = math.sqrt(8.0 * load / CONTACT.length * CONTACT.radius / (math.pi * CONTACT.modulus))
    pressure = load / (2.0 * half * CONTACT.length)
    limit = 2e6 + 0.05 * pressure
    scale = limit * thickness / (0.02 * math.exp(1.86e-8 * pressure))
    return share * 0.12, 0.1, (1.0 - share) * limit / pressure, math.hypot(scale, 0.02)


@pytest.mark.parametrize("law", FILM_LAWS)
@pytest.mark.parametrize(("load", "speed"), [(7000.0, 5.6), (40.0, -5.6), (900.0, 0.03)])
def test_grip_is_that_of_the_formulas(way, law, load, speed):
    oil = kernel_film(CONTACT, FILM_LAWS[law], 0.8, GIVEN)
    found = way(grip)(load, speed, LAW._replace(oil=oil))
    assert tuple(found) == pytest.approx(_grip_by_formulas(load, abs(speed), law, 0.8), rel=1e-9)


@pytest.mark.parametrize("slip", [0.0, 1e-4, 0.3, 20.0])
def test_both_terms_are_added(way, slip):
    held = way(grip)(5000.0, 5.0, EHL)
    expected = held[0] / math.hypot(slip, held[1]) + held[2] / math.hypot(slip, held[3])
    assert way(friction_over_slip)(slip, EHL, held) == pytest.approx(expected, rel=1e-12)


def test_thick_film_leaves_the_film_and_no_film_the_asperities(way):
    """Far above the roughness: limiting shear over pressure; far below, or at rest: boundary."""
    limit = 2e6 / CONTACT.mean_pressure(5000.0) + 0.05
    smooth = way(grip)(5000.0, 5.0, EHL._replace(oil=OIL._replace(by_roughness=1e15)))
    assert smooth.friction < 1e-15
    assert smooth.film_friction == pytest.approx(limit, rel=1e-6)
    rough = way(grip)(5000.0, 5.0, EHL._replace(oil=OIL._replace(by_roughness=1.0)))
    assert rough.friction == pytest.approx(0.12, rel=1e-5)
    assert rough.film_friction < 1e-5 * limit
    at_rest = way(grip)(5000.0, 0.0, EHL)
    assert at_rest.friction == pytest.approx(0.12, rel=1e-3)
    assert at_rest.film_friction < 1e-3
    assert at_rest.film_scale == pytest.approx(0.02, rel=1e-3)


def test_asperity_share_falls_with_lambda(way):
    shares = [way(asperity_share)(ratio) for ratio in (0.0, 0.5, 1.0, 3.0, 10.0)]
    assert shares == pytest.approx([1.0, 1 / 2.25, 0.25, 0.0625, 1 / 121], rel=1e-12)


@pytest.mark.parametrize("load", [0.0, 1e-12, 1.0, 1e4, 1e9])
@pytest.mark.parametrize("speed", [0.0, 1e-9, -3.0, 500.0])
def test_nothing_runs_away(way, load, speed):
    """No load, no speed, absurd load: all finite and not negative; no load holds nothing."""
    held = way(film_grip)(load, speed, EHL)
    assert all(np.isfinite(held)) and min(held) >= 0.0
    force = load * way(friction_over_slip)(1.0, EHL, held)
    assert np.isfinite(force)
    assert force < 0.2 * load + 30.0
    resist = way(film_rolling)(load, speed, OIL)
    assert np.isfinite(resist) and resist * speed >= 0.0
    if load == 0.0:
        assert force == resist == 0.0


def test_grip_is_smooth_through_standstill(way):
    """Across no entrainment the grip changes little from one step of 1 um/s to the next."""
    speeds = np.linspace(-2e-5, 2e-5, 41)
    found = np.array([way(grip)(3000.0, speed, EHL) for speed in speeds])
    assert np.abs(np.diff(found, axis=0)).max() < 2e-4


def test_rolling_resistance_is_that_of_the_formula(way):
    expected = CONTACT.rolling_force(5.6, 7000.0)
    assert way(rolling_force)(7000.0, 5.6, EHL) == pytest.approx(expected, rel=1e-4)
    assert way(rolling_force)(7000.0, -5.6, EHL) == pytest.approx(-expected, rel=1e-4)
    off = EHL._replace(oil=OIL._replace(rolling=0.0))
    assert way(rolling_force)(7000.0, 5.6, off) == 0.0
    assert way(rolling_force)(7000.0, 5.6, off._replace(law=0)) == 0.0


def _raceway(side):
    """Raceway of a roller of 13 mm radius: outside 104 mm, inside 78 mm radius."""
    arm = side * 0.013
    return RoundPair(side, side * 0.091, arm, 1.6e9, 0.2, EHL)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("slip_share", [0.0, 0.2, -1.5])
def test_forces_of_a_pair_cancel_and_their_power_is_the_heat(way, side, slip_share):
    """Roller on a raceway at an odd place: force, moment about the origin, and power."""
    pair = _raceway(side)
    w = 0.091 + side * 2e-5
    n = np.array([math.cos(0.7), math.sin(0.7)])
    t = np.array([-n[1], n[0]])
    ring = Disc(3e-4, -2e-4, 0.01, -0.02, 40.0)
    orbit = 55.0
    reach = w + pair.arm
    spin = orbit + (ring.spin - orbit) * reach / pair.arm * (1.0 + slip_share)
    place = np.array([ring.x, ring.y]) + w * n
    velocity = np.array([ring.vx, ring.vy]) + orbit * w * t
    found = way(round_planar)(Disc(*place, *velocity, spin), ring, pair)
    force = np.array([found.fx, found.fy])
    turning = place[0] * force[1] - place[1] * force[0] + found.moment
    back = -(ring.x * force[1] - ring.y * force[0]) + found.reaction
    assert turning + back == pytest.approx(0.0, abs=1e-9 * found.normal)
    power = force @ velocity - force @ [ring.vx, ring.vy]
    power += found.moment * spin + found.reaction * ring.spin
    assert -power == pytest.approx(found.heat, rel=1e-9)
    assert found.heat > 0.0
    # Seen from the contact: u1 = (spin - orbit) arm, u2 = (ring spin - orbit)(w + arm).
    u1, u2 = (spin - orbit) * pair.arm, (ring.spin - orbit) * reach
    assert found.slip == pytest.approx(u1 - u2, abs=1e-12)
    resist = way(rolling_force)(found.normal, 0.5 * (u1 + u2), EHL)
    assert found.heat - found.friction == pytest.approx(resist * (u1 + u2), rel=1e-9)
    assert found.friction >= 0.0
    if slip_share == 0.0:  # the shear of the inlet alone turns roller and ring
        assert found.moment == pytest.approx(-pair.arm * resist, rel=1e-9)
        assert found.reaction == pytest.approx(-reach * resist, rel=1e-9)


def test_planar_rates_plain_and_compiled(bench):
    """The whole right-hand side with the lubricated law, both ways."""
    built = bench.make_built(lubricant__raceway_traction="ehl")
    state = bench.disturbed(bench.centred(built), built.model.count, 5)
    rates, out = bench.evaluate(built.model, state)
    plain, plain_out = np.zeros_like(rates), np.zeros_like(out)
    planar_rhs.py_func(0.0, state, plain, plain_out, built.model)
    assert np.allclose(rates, plain, rtol=1e-6, atol=1e-6 * np.abs(rates).max())
    assert np.allclose(out, plain_out, rtol=1e-6, atol=1e-6 * np.abs(out).max())


def test_film_grows_with_speed_and_shrinks_with_load(way):
    f = way(film_thickness)
    once = f(math.log(1000.0), math.log(2.0), OIL)
    assert f(math.log(1000.0), math.log(4.0), OIL) / once == pytest.approx(2.0**0.7, rel=1e-12)
    assert f(math.log(2000.0), math.log(2.0), OIL) / once == pytest.approx(2.0**-0.13, rel=1e-12)
