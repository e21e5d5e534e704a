"""Concave pocket sides: nearest point, contact, film, plane and space, play of the cage."""

import math

import numpy as np
import pytest
from scipy.integrate import cumulative_trapezoid
from scipy.optimize import brentq

from rollsim.kernels.pocket import bar_film_damping, bar_planar, face_distance, with_flat_sides
from rollsim.model.roller_guidance import roller_guidance_play

RADIUS = 13.6e-3


@pytest.fixture(scope="module")
def model(bench):
    """Model of the small bearing with a cage that its rollers guide by a contour."""
    return bench.make_built(
        cage__guidance="roller", cage__pocket_side_angle_deg=0.0,
        cage__pocket_contour_radius_mm=1e3 * RADIUS,
    ).model  # fmt: skip


def _arc(pocket, side, extra=0.0, count=200_001):
    """Points of a pocket side along t and r, out of its circle."""
    height = np.linspace(pocket.low, pocket.high, count)
    centre = pocket.radius + pocket.half_clearance + extra - RADIUS
    return side * (centre + np.sqrt(RADIUS**2 - height**2)), height


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_nearest_point_of_the_arc_by_search(way, model, side):
    """Inside the bar, beyond both edges, and on the far side of the centre of the arc."""
    pocket = model.pocket
    generator = np.random.default_rng(2)
    extra = 2e-5
    t, r = _arc(pocket, side, extra)
    regions = set()
    for _ in range(200):
        along, outward = generator.uniform(-1.5e-3, 1e-4) * side, generator.uniform(-2e-3, 2e-3)
        away = np.hypot(t - along, r - outward)
        nearest = int(np.argmin(away))
        regions.add(0 if nearest == 0 else 2 if nearest == len(t) - 1 else 1)
        distance, nt, nr = way(face_distance)(pocket, side, along, outward, extra)
        assert distance == pytest.approx(away[nearest], abs=1e-12)
        direction = (t[nearest] - along) / distance, (r[nearest] - outward) / distance
        assert (nt, nr) == pytest.approx(direction, abs=2e-4)
    assert regions == {0, 1, 2}


def test_ends_of_the_bar_lie_on_the_cage_surfaces(model):
    """Both edges of the arc are at the inner and outer radius of the cage."""
    pocket = model.pocket
    t, r = _arc(pocket, 1.0)
    ends = np.hypot(t[[0, -1]], pocket.pitch_radius + r[[0, -1]])
    assert ends == pytest.approx([89e-3, 99e-3], abs=1e-9)


def test_a_flat_side_is_the_limit_of_a_large_radius(way, model):
    flat = with_flat_sides.py_func(model.pocket)
    assert flat == model.pocket._replace(curvature=0.0)
    for along, outward in ((0.0, 0.0), (1e-4, 3e-4), (-2e-4, -8e-3), (0.0, 12e-3)):
        curved = way(face_distance)(flat._replace(curvature=1e-9), 1.0, along, outward, 0.0)
        assert curved == pytest.approx(way(face_distance)(flat, 1.0, along, outward, 0.0), abs=1e-9)


@pytest.mark.parametrize("outward", [0.0, 4e-4, -3e-3])
def test_a_contour_acts_alike_on_roller_and_cage(way, model, outward):
    """On the arc and at the edge: moments cancel and the heat is the power that is not stored."""
    pocket = model.pocket
    depth = 3e-6
    along = brentq(
        lambda t: face_distance(pocket, 1.0, t, outward, 0.0)[0] - pocket.radius + depth,
        -1e-3,
        5e-3,
    )
    t, r = along, pocket.pitch_radius + outward
    motion, spin = (t, r, 0.04, -0.03), -500.0
    p = way(bar_planar)(motion, spin, pocket, 1.0, 0.0, 0.0)
    assert p.normal > 10.0
    # t, r and the bearing axis make a left-handed set.
    assert p.moment + p.reaction - t * p.fy + r * p.fx == pytest.approx(0.0, abs=1e-9 * p.normal)
    step = 1e-9
    rise = [
        way(bar_planar)((t + s * 0.04, r - s * 0.03, 0.0, 0.0), 0.0, pocket, 1.0, 0.0, 0.0).energy
        for s in (-step, step)
    ]
    power = p.fx * 0.04 + p.fy * -0.03 + p.moment * spin
    assert -power == pytest.approx(p.heat + (rise[1] - rise[0]) / (2.0 * step), rel=1e-4)
    assert p.heat > 0.0


def _reynolds(pocket, gap):
    """Force per speed and length of a roller that comes down on the middle of an arc, over eta.

    Reynolds equation over the height of the bar with the true gap of two circles; the pressure is
    zero at both edges. The flux out of the middle is x V, so that dp/dx = -12 eta V x / h^3.
    """
    half = min(pocket.high, -pocket.low)
    x = np.linspace(-half, half, 400_001)
    centre = RADIUS - pocket.radius - gap
    h = np.sqrt(RADIUS**2 - x**2) - centre - np.sqrt(pocket.radius**2 - x**2)
    slope = -12.0 * x / h**3
    pressure = cumulative_trapezoid(slope, x, initial=0.0)
    return np.trapezoid(pressure, x)


def test_squeeze_film_of_a_contour(model):
    """The factor of the parabola of both radii, against Reynolds with both circles."""
    length, viscosity = 0.96 * 44e-3, 0.3 * 20e-3
    # Far from the middle the circles part faster than the parabola tells.
    for half, share in ((2e-3, 0.03), (7e-3, 0.15)):
        pocket = model.pocket._replace(low=-half, high=half, floor=1e-12, impedance=math.inf)
        for gap in (2e-6, 2e-5, 1.5e-4):
            exact = viscosity * length * _reynolds(pocket, gap)
            assert exact < bar_film_damping(pocket, gap) < (1.0 + share) * exact
        assert bar_film_damping(pocket, 1.5e-4) < 0.5 * pocket.film / 1.5e-4**1.5


def test_plane_and_space_agree(bench, model):
    deep = bench.make_built(
        solver__motion="spatial", cage__guidance="roller", cage__pocket_side_angle_deg=0.0,
        cage__pocket_contour_radius_mm=1e3 * RADIUS,
    )  # fmt: skip
    z = model.count
    state = bench.disturbed(bench.centred(deep), z, 4, length=2e-4)
    state[5 * z + 23 :] = 0.0
    rates, out = bench.evaluate(model, state)
    more_rates, more_out = bench.evaluate(deep.model, state)
    assert out[2 * z : 4 * z].max() > 100.0
    assert more_out[2 * z : 4 * z] == pytest.approx(out[2 * z : 4 * z], rel=1e-8, abs=1e-9)
    n = 5 * z + 6
    scale = np.abs(rates[:n]).max()
    assert more_rates[:n] == pytest.approx(rates[:n], rel=1e-8, abs=1e-10 * scale)


def _held(pocket, count, way, direction, sides):
    """Whether a cage moved by `way` is held: some roller finds no place in its pocket.

    Each roller stands on the pitch circle at any azimuth; sides are polygons of many points.
    """
    for j in range(count):
        nominal = 2.0 * math.pi * j / count
        free = False
        middle = way * math.sin(direction - nominal) / pocket.pitch_radius
        for turn in middle + np.linspace(-3e-3, 3e-3, 121):
            angle = nominal + turn
            x = pocket.pitch_radius * math.cos(angle) - way * math.cos(direction)
            y = pocket.pitch_radius * math.sin(angle) - way * math.sin(direction)
            along = y * math.cos(nominal) - x * math.sin(nominal)
            outward = x * math.cos(nominal) + y * math.sin(nominal) - pocket.pitch_radius
            if all(np.hypot(t - along, r - outward).min() >= pocket.radius for t, r in sides):
                free = True
                break
        if not free:
            return True
    return False


def _search(pocket, sides):
    """Least way of a cage with eight rollers at which it is held, by halving."""
    low, high = 0.0, 2e-3
    for _ in range(14):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if _held(pocket, 8, middle, 0.0, sides) else (middle, high)
    return 0.5 * (low + high)


def test_play_of_the_cage_by_a_geometric_search(bench, model):
    """Contour and leaning sides: all rollers tried at all azimuths between polygons."""
    pocket = model.pocket
    sides = [_arc(pocket, side, count=2001) for side in (1.0, -1.0)]
    assert _search(pocket, sides) == pytest.approx(roller_guidance_play(pocket), rel=0.01)
    high = pocket._replace(low=-10e-3, high=10e-3)
    sides = [_arc(high, side, count=2001) for side in (1.0, -1.0)]
    play = roller_guidance_play(high)
    clearance, more = pocket.half_clearance, RADIUS - pocket.radius
    assert play == pytest.approx(math.sqrt(clearance * (2.0 * more - clearance)), rel=1e-9)
    assert _search(high, sides) == pytest.approx(play, rel=0.01)

    leaning = bench.make_built(cage__guidance="roller", cage__pocket_side_angle_deg=10.0).model
    pocket = leaning.pocket
    angle = math.radians(10.0)
    place = np.linspace(pocket.low, pocket.high, 2001)
    reach = pocket.radius + pocket.half_clearance
    line = reach * math.cos(angle) + place * math.sin(angle)
    rise = place * math.cos(angle) - reach * math.sin(angle)
    # The bars of this cage end so close to the pitch circle that their edges hold the rollers.
    play = roller_guidance_play(pocket)
    assert play > pocket.half_clearance / math.sin(angle)
    assert _search(pocket, [(line, rise), (-line, rise)]) == pytest.approx(play, rel=0.01)
    longer = roller_guidance_play(pocket._replace(low=-5e-3))
    assert longer == pytest.approx(pocket.half_clearance / math.sin(angle), rel=1e-9)


def test_play_at_the_edges_of_the_bars(model):
    """Low bars: the roller meets the edge of the arc; lower ones still do not hold it at all."""
    pocket = model.pocket._replace(low=-3e-3, high=3e-3)
    deep = RADIUS - math.sqrt(RADIUS**2 - 3e-3**2)
    assert deep > pocket.half_clearance
    across = pocket.radius + pocket.half_clearance - deep
    expected = 3e-3 - math.sqrt(pocket.radius**2 - across**2)
    # On the arc the contact would lie higher than the bar.
    assert roller_guidance_play(model.pocket) * RADIUS / (RADIUS - pocket.radius) > 3e-3
    assert roller_guidance_play(pocket) == pytest.approx(expected, rel=1e-6)
    assert roller_guidance_play(pocket._replace(low=-1e-3, high=1e-3)) == math.inf
