"""Cage and guiding ring with their oil film: sums of the pair, power, plane and space."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from rollsim.kernels.land_contact import (
    film_planar,
    film_spatial,
    land_planar,
    land_spatial,
    rub_planar,
    rub_spatial,
)
from rollsim.kernels.land_film import elastic_floor, land_film
from rollsim.kernels.round_contact import reaction, round_planar, round_slice
from rollsim.kernels.types import Body, Disc

GUIDES = ("outer_ring", "inner_ring")


@pytest.fixture(scope="module", params=GUIDES)
def model(request, bench):
    """Model of the small bearing, guided by one of the rings."""
    return bench.make_built(cage__guidance=request.param).model


def _states(seed, reach):
    """Random motions of ring and cage in the plane."""
    generator = np.random.default_rng(seed)
    for _ in range(20):
        e, angle = reach * generator.uniform(0.0, 1.0), generator.uniform(0.0, 7.0)
        ring = Disc(*generator.uniform(-1e-4, 1e-4, 2), *generator.uniform(-0.1, 0.1, 2),
                    generator.uniform(-200.0, 200.0))  # fmt: skip
        cage = Disc(ring.x + e * math.cos(angle), ring.y + e * math.sin(angle),
                    *generator.uniform(-0.1, 0.1, 2), generator.uniform(-200.0, 200.0))  # fmt: skip
        yield cage, ring


def test_moments_of_the_pair_cancel_and_the_heat_is_the_lost_power(way, model):
    for cage, ring in _states(3, 1.02 * model.land.gap):
        p = way(land_planar)(cage, ring, model.land, model.land_film)
        dx, dy = cage.x - ring.x, cage.y - ring.y
        size = abs(p.moment) + abs(p.reaction)
        assert p.moment + p.reaction + dx * p.fy - dy * p.fx == pytest.approx(0.0, abs=1e-9 * size)
        power = p.fx * (cage.vx - ring.vx) + p.fy * (cage.vy - ring.vy)
        power += p.moment * cage.spin + p.reaction * ring.spin
        solid = way(round_planar)(cage, ring, model.land)
        # What is left of the solid contact's power is stored in its spring.
        dry = solid.fx * (cage.vx - ring.vx) + solid.fy * (cage.vy - ring.vy)
        stored = -(dry + solid.moment * cage.spin + solid.reaction * ring.spin + solid.heat)
        assert -power == pytest.approx(p.heat + stored, rel=1e-9)
        assert p.heat > 0.0
        w = math.hypot(dx, dy)
        inward = -(p.fx * dx + p.fy * dy) / w
        film = way(film_planar)(cage, ring, model.land_film)[0]
        rub = way(rub_planar)(cage, ring, model.land, model.land_film, film.normal)
        friction = (solid.fy + rub.fy) * dx / w - (solid.fx + rub.fx) * dy / w
        across = p.fy * dx / w - p.fx * dy / w - friction
        assert p.normal == pytest.approx(math.hypot(inward, across), rel=1e-6, abs=1e-6)


def test_turning_the_frame_changes_nothing(way, model):
    """Seen from a frame that turns with the whirl the film is the same: force and torques."""
    turn = 77.0
    for cage, ring in _states(4, 0.9 * model.land.gap):
        a = way(film_planar)(cage, ring, model.land_film)[0]
        seen = [
            Disc(b.x, b.y, b.vx + turn * b.y, b.vy - turn * b.x, b.spin - turn)
            for b in (cage, ring)
        ]
        b = way(film_planar)(*seen, model.land_film)[0]
        assert tuple(b)[:4] == pytest.approx(tuple(a)[:4], rel=1e-9, abs=1e-9)
        assert b.heat == pytest.approx(a.heat, rel=1e-9)


def test_exchanging_the_bodies_turns_the_force_round(way, model):
    """The cage inside its ring or the ring inside the cage: one law."""
    for cage, ring in _states(5, 0.9 * model.land.gap):
        a = way(film_planar)(cage, ring, model.land_film)[0]
        b = way(film_planar)(ring, cage, model.land_film)[0]
        assert (b.fx, b.fy) == pytest.approx((-a.fx, -a.fy), rel=1e-9)
        assert (b.moment, b.reaction) == pytest.approx((a.reaction, a.moment), rel=1e-9, abs=1e-12)


def test_the_torques_by_integration_of_the_shear(model):
    """Shear stress of both surfaces added up around the film, pressure by the open formula.

    Couette flow is taken to fill the whole gap; the pressure gradient shears its half.
    """
    film = model.land_film._replace(floor=1e-12, impedance=math.inf, stiffness=math.inf)
    radius, width = abs(model.land.arm), 4.75e-3
    viscosity = film.couette * film.clearance / (4.0 * math.pi * radius**3 * width)
    ring = Disc(0.0, 0.0, 0.0, 0.0, -40.0)
    cage = Disc(0.6 * film.clearance, 0.0, 0.02, 0.03, 90.0)
    result, _ = film_planar(cage, ring, film)
    count = 200_000
    angle = (np.arange(count) + 0.5) * 2.0 * math.pi / count
    h = film.clearance - cage.x * np.cos(angle)
    growth = -cage.vx * np.cos(angle) - cage.vy * np.sin(angle)
    growth += 0.5 * (cage.spin + ring.spin) * cage.x * np.sin(angle)
    # Force per length of circumference of both lands.
    line = 2.0 * np.maximum(-viscosity * width**3 * growth / h**3, 0.0)
    step = 2.0 * math.pi / count
    force = [-np.sum(line * np.cos(angle)) * radius * step,
             -np.sum(line * np.sin(angle)) * radius * step]  # fmt: skip
    assert (result.fx, result.fy) == pytest.approx(force, rel=1e-4)
    speed = radius * (cage.spin - ring.spin)
    couette = np.sum(2.0 * viscosity * width * speed / h) * radius**2 * step
    gradient = np.gradient(line, step) / radius
    pressed = np.sum(0.5 * h * gradient) * radius**2 * step
    torques = sorted([couette - pressed, couette + pressed])
    assert sorted([-result.moment, result.reaction]) == pytest.approx(torques, rel=1e-4)


@pytest.mark.parametrize("viscosity", [20.0, 400.0])
def test_a_thin_wedge_shares_the_gap_with_its_yielding_surfaces(bench, viscosity):
    """Film and spring in series, h = g + F(h)/k, solved by search, from far to overlap.

    The floor of the thickness stands for it: two fifths of the force are its greatest error.
    """
    film = bench.make_built(lubricant__viscosity_mPas=viscosity).model.land_film
    film = film._replace(impedance=math.inf, floor=1e-9)
    rigid = film._replace(stiffness=math.inf)
    c, speed = film.clearance, 0.02

    def force(thickness):
        return -land_film(rigid, c - thickness, 0.0, speed)[0]

    floor = elastic_floor(film, speed)
    assert force(floor) == pytest.approx(film.stiffness * floor, rel=0.2)
    for gap in (0.0, 0.3 * floor, floor, 2.0 * floor, 4.0 * floor, 10.0 * floor):
        exact = force(brentq(lambda h, g=gap: h - g - force(h) / film.stiffness, 1e-8, 0.9 * c))
        assert -land_film(film, c - gap, 0.0, speed)[0] == pytest.approx(exact, rel=0.4)
    far = c - 20.0 * floor
    assert land_film(film, far, 0.0, speed) == pytest.approx(land_film(rigid, far, 0.0, speed))


def _body(disc, z=0.0, tilt=(0.0, 0.0), rate=(0.0, 0.0)):
    """A planar motion as that of a body in space."""
    return Body(disc.x, disc.y, z, disc.vx, disc.vy, 0.0, *tilt, *rate, disc.spin)


def test_both_lands_in_space_are_those_of_the_plane(way, model):
    for cage, ring in _states(6, 1.01 * model.land.gap):
        flat = way(land_planar)(cage, ring, model.land, model.land_film)
        pieces = [way(land_spatial)(_body(cage), _body(ring), model, s) for s in (-0.02, 0.02)]
        assert sum(p.fx for p in pieces) == pytest.approx(flat.fx, rel=1e-9, abs=1e-9)
        assert sum(p.fy for p in pieces) == pytest.approx(flat.fy, rel=1e-9, abs=1e-9)
        assert sum(p.mz for p in pieces) == pytest.approx(flat.moment, rel=1e-9, abs=1e-12)
        assert sum(p.heat for p in pieces) == pytest.approx(flat.heat, rel=1e-9)
        assert sum(p.normal for p in pieces) == pytest.approx(flat.normal, rel=1e-6, abs=1e-9)


def test_a_tilted_cage_closes_one_land_and_opens_the_other(model):
    """Concentric in the middle, tilted and tilting: each land has its own eccentricity."""
    film = model.land_film
    s = model.land_z
    lean = 0.5 * film.clearance / s
    cage = Body(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, lean, 0.0, 3.0, 0.0, 50.0)
    still = Body(*[0.0] * 11)._replace(spin=30.0)
    pieces = [film_spatial(cage, still, film, side * s, 0.5)[0] for side in (-1.0, 1.0)]
    e, vn = lean * s, 3.0 * s
    fn, ft, _ = land_film(film, e, vn, -0.5 * 80.0 * e)
    for piece, side in zip(pieces, (-1.0, 1.0), strict=True):
        assert piece.fx == pytest.approx(0.5 * side * fn, rel=1e-4)
        assert piece.fy == pytest.approx(0.5 * side * ft, rel=1e-4)
        assert piece.my == pytest.approx(side * s * piece.fx, rel=2e-3)
    assert fn < 0.0 and sum(p.my for p in pieces) < 0.0


@pytest.mark.parametrize(("gap", "share"), [(-5e-6, 0.25), (0.0, 0.25), (9.0, 0.01), (40.0, 6e-4)])
def test_asperities_rub_through_a_thin_film(way, model, gap, share):
    """Share 1/(1 + lambda)^2 of the film force with the friction of the land, lambda gap/floor."""
    film = model.land_film._replace(stiffness=math.inf)
    e = film.clearance - (gap * film.floor if gap > 0.0 else film.floor * gap)
    ring = Disc(0.0, 0.0, 0.0, 0.0, -30.0)
    cage = Disc(e * 0.6, e * 0.8, 0.0, 0.0, 90.0)
    rub = way(rub_planar)(cage, ring, model.land, film, 50.0)
    slip = 90.0 * model.land.arm + 30.0 * (e + model.land.arm)
    law = model.land.traction
    force = -share * 50.0 * law.friction * slip / math.hypot(slip, law.slip_scale)
    assert (rub.fx, rub.fy) == pytest.approx((-0.8 * force, 0.6 * force), rel=1e-2)
    assert rub.moment == pytest.approx(model.land.arm * force, rel=1e-2)
    assert rub.friction == rub.heat == pytest.approx(-force * slip, rel=1e-2)
    half = way(rub_spatial)(_body(cage), _body(ring), model._replace(land_film=film), 0.02, 50.0)
    assert (half.fx, half.fy, half.mz) == pytest.approx((rub.fx, rub.fy, rub.moment), rel=1e-9)
    assert half.my == pytest.approx(0.02 * half.fx, rel=1e-9)


@pytest.mark.parametrize("part", ["film", "rub"])
def test_pair_in_space_loses_the_power_it_books(model, part):
    """Tilted and shifted bodies: power of both wrenches plus heat is zero."""
    generator = np.random.default_rng(9)
    for _ in range(20):
        tilts = generator.uniform(-1e-3, 1e-3, 4)
        rates = generator.uniform(-0.5, 0.5, 4)
        spins = generator.uniform(-200.0, 200.0, 2)
        place, speed = generator.uniform(-1e-4, 1e-4, 6), generator.uniform(-0.1, 0.1, 6)
        cage = Body(*place[:3], *speed[:3], *tilts[:2], *rates[:2], spins[0])
        ring = Body(*place[3:], *speed[3:], *tilts[2:], *rates[2:], spins[1])
        if part == "film":
            on_cage, _ = film_spatial(cage, ring, model.land_film, 0.02, 0.5)
        else:
            on_cage = rub_spatial(cage, ring, model, 0.02, 70.0)
        on_ring = reaction(on_cage, cage, ring)
        power = 0.0
        for wrench, body in ((on_cage, cage), (on_ring, ring)):
            power += wrench.fx * body.vx + wrench.fy * body.vy + wrench.fz * body.vz
            power += wrench.mx * (body.spin * body.ux - body.wy)
            power += wrench.my * (body.spin * body.uy + body.wx) + wrench.mz * body.spin
        assert -power == pytest.approx(on_cage.heat, rel=1e-8)
        assert on_cage.heat > 0.0


def test_a_dry_land_is_the_solid_contact_alone(bench):
    """land_film = "none"; and without a touch there is nothing."""
    model = bench.make_built(lubricant__land_film="none").model
    for cage, ring in _states(7, 1.05 * model.land.gap):
        flat = land_planar(cage, ring, model.land, model.land_film)
        assert flat == pytest.approx(round_planar(cage, ring, model.land), rel=1e-12)
        deep = land_spatial(_body(cage), _body(ring), model, 0.01)
        solid = round_slice(_body(cage), _body(ring), model.land, 0.01, 0.0, 0.5)
        assert deep == pytest.approx(solid, rel=1e-12)
        e = math.hypot(cage.x - ring.x, cage.y - ring.y)
        assert e > model.land.gap or flat.fx == flat.fy == flat.heat == 0.0


def test_share_of_the_oil_and_floor(bench):
    """The share of the pockets unless given; the floor is the roughness within its limits."""
    film = bench.make_built(lubricant__oil_fraction=0.4).model.land_film
    viscosity = 0.4 * 20e-3
    assert film.squeeze == pytest.approx(2.0 * viscosity * 0.099 * 4.75e-3**3 / 200e-6**3)
    assert film.floor == pytest.approx(1e-6)
    own = bench.make_built(lubricant__land_oil_fraction=0.8).model.land_film
    assert own.squeeze == pytest.approx(2.0 * film.squeeze)
    rough = bench.make_built(lubricant__pocket_roughness_um=100.0, clearance__guidance_um=300.0)
    assert rough.model.land_film.floor == pytest.approx(75e-6)
    smooth = bench.make_built(lubricant__pocket_roughness_um=1e-3).model.land_film
    assert smooth.floor == pytest.approx(20e-9)
