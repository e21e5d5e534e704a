"""Spatial contacts of one roller: wrenches, their reaction, limits without tilt."""

import math

import numpy as np
import pytest

from rollsim.kernels.end_contact import end_paths, end_point, end_side
from rollsim.kernels.pocket import tilted_frame
from rollsim.kernels.pocket_flat import bar_spatial
from rollsim.kernels.pocket_spatial import bar_bent, bar_slice
from rollsim.kernels.round_contact import (
    angular_velocity,
    contact_force,
    point_velocity,
    reaction,
    round_slice,
)
from rollsim.kernels.types import Body, OilFilm, Traction

# Lubricated traction of a film of some tenths of a micrometre, with rolling resistance.
OILED = Traction(
    2, 0.12, 0.1, 0.0, 0.0, 0.0, 0.0,
    OilFilm(-14.5, 0.7, -0.13, 3e6, 6e6, 0.02, 1.8e-8, 2e6, 0.05, 0.02, 0.3, 0.011),
)  # fmt: skip


@pytest.fixture(scope="module")
def model(bench):
    """Loaded spatial model with five slices."""
    built = bench.make_built(solver__motion="spatial", roller__slices=5)
    return bench.squeezed(built.model, 1e-5)


def _body(seed, x=0.0, spin=0.0, tilt=1e-3):
    """Body near (x, 0, 0) with random motion."""
    g = np.random.default_rng(seed).uniform(-1.0, 1.0, 10)
    place = (x + 1e-6 * g[0], 1e-6 * g[1], 1e-6 * g[2])
    return Body(*place, *(0.05 * g[3:6]), *(tilt * g[6:8]), *(0.5 * g[8:10]), spin)


def _about_origin(wrench, body):
    """Force and moment about the origin."""
    force = np.array([wrench.fx, wrench.fy, wrench.fz])
    moment = np.array([wrench.mx, wrench.my, wrench.mz])
    return force, moment + np.cross([body.x, body.y, body.z], force)


def _power(wrench, body):
    """Power of a wrench on a body."""
    force, moment = np.array(wrench[:3]), np.array(wrench[3:6])
    return force @ [body.vx, body.vy, body.vz] + moment @ angular_velocity(body)


def test_angular_velocity_turns_the_axis(way):
    """omega x u = u' for a body that keeps the length of its axis to first order."""
    body = _body(1, spin=400.0)
    omega = np.array(way(angular_velocity)(body))
    turned = np.cross(omega, [body.ux, body.uy, 1.0])
    assert turned[:2] == pytest.approx([body.wx, body.wy], rel=1e-9)
    assert abs(turned[2]) < 2.0 * 1e-3 * 0.5


def test_point_velocity(way):
    body = _body(2, spin=300.0)
    point = np.array([0.01, -0.02, 0.015])
    expected = np.array([body.vx, body.vy, body.vz]) + np.cross(angular_velocity(body), point)
    assert way(point_velocity)(body, *point) == pytest.approx(tuple(expected), rel=1e-12)


def test_contact_force(way, model):
    """Push along -n; friction against the slip and square to n; heat is its power."""
    n = np.array([0.6, 0.0, 0.8])
    v = np.array([0.3, -0.2, 0.5])
    *force, heat = way(contact_force)(100.0, *n, *v, model.pocket.traction)
    force = np.array(force)
    assert force @ n == pytest.approx(-100.0)
    slip = v - (v @ n) * n
    friction = force + 100.0 * n
    speed = np.linalg.norm(slip)
    mu, scale = model.pocket.traction.friction, model.pocket.traction.slip_scale
    expected = -100.0 * mu * slip / math.hypot(speed, scale)
    assert friction == pytest.approx(expected, rel=1e-12)
    assert heat == pytest.approx(-friction @ slip)


def _orbit(roller, ring):
    """Azimuth of a roller seen from a ring, rad, and its rate, rad/s."""
    dx, dy = roller.x - ring.x, roller.y - ring.y
    rate = dx * (roller.vy - ring.vy) - dy * (roller.vx - ring.vx)
    return math.atan2(dy, dx), rate / (dx**2 + dy**2)


def _frame(azimuth, body):
    """Pocket frame carried along by a body."""
    return tilted_frame(math.cos(azimuth), math.sin(azimuth), body.ux, body.uy, 0.0, 0.0)


def _contacts(raceway_spatial, model, roller, cage, ring, cage_angle=0.0):
    """Every spatial contact of one roller: function, arguments, other body."""
    frame = _frame(cage_angle, cage)
    azimuth, orbit = _orbit(roller, ring)
    on_ring = _frame(azimuth, ring)
    flange = model.outer_flange
    tables = model.tables
    pocket = model.pocket
    return [
        (raceway_spatial, (roller, ring, model.outer, tables, 0), ring),
        (raceway_spatial, (roller, ring, model.outer._replace(traction=OILED), tables, 2), ring),
        (round_slice, (roller, ring, model.outer, 0.01, 1e-6, 0.2), ring),
        (bar_spatial, (roller, cage, frame, pocket, 1.0, tables), cage),
        (bar_spatial, (roller, cage, frame, pocket, -1.0, tables), cage),
        (bar_slice, (roller, cage, frame, pocket._replace(low=2e-4), 1.0, 0.01, 0.2), cage),
        (bar_spatial, (roller, cage, frame, pocket._replace(low=2e-4), 1.0, tables), cage),
        (end_side, (roller, cage, frame, model.ends, 1.0, cage.spin), cage),
        (end_side, (roller, cage, frame, model.ends, -1.0, cage.spin), cage),
        (end_side, (roller, ring, on_ring, flange, 1.0, orbit), ring),
        (end_side, (roller, ring, on_ring, flange, -1.0, orbit), ring),
    ]


@pytest.mark.parametrize("which", range(10))
def test_wrench_and_reaction_balance(way, raceway_spatial, model, which):
    """Force and moment about the origin of both bodies sum to zero; power is lost."""
    roller = _body(3, 0.091, -600.0, 1e-4)
    roller = roller._replace(vy=roller.vy + 0.091 * 55.0)
    cage, ring = _body(4, 0.0, 55.0, 1e-4), _body(5, 0.0, 10.0, 1e-4)
    function, arguments, other = _contacts(raceway_spatial, model, roller, cage, ring)[which]
    wrench = way(function)(*arguments)
    assert wrench.normal > 0.0
    back = way(reaction)(wrench, roller, other)
    force, moment = _about_origin(wrench, roller)
    opposite, turning = _about_origin(back, other)
    size = np.linalg.norm(force)
    assert force + opposite == pytest.approx(np.zeros(3), abs=1e-12 * size)
    assert moment + turning == pytest.approx(np.zeros(3), abs=1e-13 * size)
    power = _power(wrench, roller) + _power(back, other)
    assert back.heat == back.energy == back.normal == 0.0
    # The rest of the lost power goes into elastic energy at the speed of approach.
    assert abs(power + wrench.heat) <= abs(wrench.normal * 0.2)


def _later(body, time):
    """A body carried on along its velocities."""
    names = [("x", "vx"), ("y", "vy"), ("z", "vz"), ("ux", "wx"), ("uy", "wy")]
    return body._replace(**{at: getattr(body, at) + time * getattr(body, v) for at, v in names})


@pytest.mark.parametrize("which", range(10))
def test_lost_power_is_heat_and_the_rate_of_the_elastic_energy(way, raceway_spatial, model, which):
    """Both bodies and the pocket carried on for 20 ns: power lost = heat + rate of the energy.

    The approach speed is then the rate at which the gap closes, whatever spins through it.
    """
    roller = _body(3, 0.091, -600.0, 1e-4)
    roller = roller._replace(vy=roller.vy + 0.091 * 55.0)
    cage, ring = _body(4, 0.0, 55.0, 1e-4), _body(5, 0.0, 10.0, 1e-4)
    energies = []
    for time in (-1e-8, 1e-8):
        bodies = [_later(body, time) for body in (roller, cage, ring)]
        function, arguments, _ = _contacts(raceway_spatial, model, *bodies, cage.spin * time)[which]
        energies.append(way(function)(*arguments).energy)
    function, arguments, other = _contacts(raceway_spatial, model, roller, cage, ring)[which]
    wrench = way(function)(*arguments)
    lost = -_power(wrench, roller) - _power(way(reaction)(wrench, roller, other), other)
    stored = (energies[1] - energies[0]) / 2e-8
    assert lost == pytest.approx(wrench.heat + stored, rel=1e-5)


@pytest.mark.parametrize("function", [round_slice])
def test_slice_without_tilt_is_planar(way, model, function):
    """Pure radial push of known size, no moment across the axis."""
    pair = model.outer._replace(traction=model.outer.traction._replace(friction=0.0))
    still = Body(*[0.0] * 11)
    roller = still._replace(x=pair.gap + 5e-6)
    wrench = way(function)(roller, still, pair, 0.01, 0.0, 0.25)
    force = 0.25 * pair.constant * 5e-6 ** (10.0 / 9.0)
    assert wrench.normal == pytest.approx(force, rel=1e-8)
    assert wrench[:3] == pytest.approx((-force, 0.0, 0.0), rel=1e-8)
    assert wrench[3:6] == pytest.approx((0.0, -0.01 * force, 0.0), rel=1e-8)


def test_profile_drop_opens_a_slice(way, model):
    still = Body(*[0.0] * 11)
    roller = still._replace(x=model.outer.gap + 5e-6)
    assert way(round_slice)(roller, still, model.outer, 0.0, 6e-6, 0.2).normal == 0.0
    deep = way(round_slice)(roller, still, model.outer, 0.0, 2e-6, 0.2).normal
    assert deep == pytest.approx(0.2 * model.outer.constant * 3e-6 ** (10.0 / 9.0), rel=1e-6)


def test_tilted_ring_enters_exactly(way, model):
    """Distance of a slice from the axis of a tilted ring, with the cross product."""
    pair = model.outer._replace(traction=model.outer.traction._replace(friction=0.0))
    ring = Body(*[0.0] * 11)._replace(ux=2e-3, uy=-1e-3)
    roller = Body(*[0.0] * 11)._replace(x=pair.gap + 4e-5, y=2e-4, z=1e-3)
    axis = np.array([ring.ux, ring.uy, 1.0])
    centre = np.array([roller.x, roller.y, roller.z + 0.015])
    distance = np.linalg.norm(np.cross(centre, axis)) / np.linalg.norm(axis)
    wrench = way(round_slice)(roller, ring, pair, 0.015, 0.0, 0.2)
    depth = distance - pair.gap
    assert 5e-6 < depth < 3.9e-5
    assert wrench.normal == pytest.approx(0.2 * pair.constant * depth ** (10.0 / 9.0), rel=1e-7)


def test_end_points_feel_skew_and_offset(way, model):
    """Skew loads one of the two points; a flange force off the axis tilts the roller."""
    ends = model.outer_flange._replace(half_gap=0.0)
    still = Body(*[0.0] * 11)
    frame = tilted_frame(1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    # Skew: the axis leans along the orbit (+y), so that the point at -tangential moves on to +z.
    skewed = still._replace(x=0.091, uy=1e-3)
    paths = way(end_paths)(skewed, still, frame, ends, 1.0, 0.0)
    near, far = way(end_point)(-1.0, paths, ends), way(end_point)(1.0, paths, ends)
    assert near.normal == pytest.approx(ends.stiffness * ends.tangential * 1e-3, rel=1e-9)
    assert far.normal == 0.0
    pushed = way(end_side)(still._replace(x=0.091, z=2e-6), still, frame, ends, 1.0, 0.0)
    assert pushed.fz == pytest.approx(-2.0 * ends.stiffness * 2e-6, rel=1e-9)
    # (radial, 0, length) x (0, 0, -F) = (0, radial F, 0).
    assert pushed.my == pytest.approx(-pushed.fz * ends.radial, rel=1e-9)
    assert pushed.mx == pytest.approx(0.0, abs=1e-12)


def _slices(tables):
    """Place, drop and weight of the slices that carry."""
    rows = zip(tables.slice_z, tables.slice_drop, tables.slice_weight, strict=True)
    return [row for row in rows if row[2] > 0.0]


@pytest.mark.parametrize("law", [0, 1, 2])
@pytest.mark.parametrize("seed", [31, 32, 33])
@pytest.mark.parametrize("which", ["outer", "inner"])
def test_raceway_is_the_sum_of_its_exact_slices(way, raceway_spatial, model, which, seed, law):
    """A skewed, tilted, moving roller on a tilted ring, with a profile, partly out of contact."""
    pair = getattr(model, which)
    roller = _body(seed, 0.091 + pair.side * 3e-6, -600.0, 1e-3)
    roller = roller._replace(vy=roller.vy + 0.091 * 55.0)
    ring = _body(seed + 9, 0.0, 10.0, 1e-3)
    pair = pair._replace(gap=pair.side * 0.091 - 2e-6)
    drop = 0.03 * model.tables.slice_z**2 + 1.0 * (model.tables.slice_weight == 0.0)
    tables = model.tables._replace(slice_drop=drop)
    total = np.zeros(12)
    for place, fall, weight in _slices(tables):
        total += np.array(way(round_slice)(roller, ring, pair, place, fall, weight))
    quick = np.array(way(raceway_spatial)(roller, ring, pair, tables, law))
    assert quick[6] > 100.0
    assert quick[:3] == pytest.approx(total[:3], abs=1e-5 * quick[6])
    assert quick[3:6] == pytest.approx(total[3:6], abs=2e-7 * quick[6])
    assert quick[6] == pytest.approx(total[6], rel=1e-6)
    assert quick[7:9] == pytest.approx(total[7:9], rel=2e-4)
    assert quick[10] == pytest.approx(total[10], rel=2e-4)


def test_raceway_that_touches_nowhere(way, raceway_spatial, model):
    still = Body(*[0.0] * 11)
    roller = still._replace(x=model.outer.gap - 1e-5, ux=1e-4)
    assert way(raceway_spatial)(roller, still, model.outer, model.tables, 0)[:] == (0.0,) * 12
    # A crowned roller, near enough for a closer look, and a roller that leaves faster than the
    # raceway springs back: neither carries, and the sliding speed of both means nothing.
    crowned = model.tables._replace(slice_drop=model.tables.slice_drop + 2e-5)
    near = roller._replace(x=model.outer.gap + 1e-5, vy=1.0)
    leaving = near._replace(vx=-1e3)
    for body, tables in ((near, crowned), (leaving, model.tables)):
        wrench = way(raceway_spatial)(body, still, model.outer, tables, 0)
        assert wrench.normal == 0.0
        assert wrench.slip == 0.0


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("opening", [-9e-6, -5.5e-6, 1e-6, 4e-5])
@pytest.mark.parametrize("seed", [21, 22, 23])
def test_bar_is_the_sum_of_its_exact_slices(way, model, side, opening, seed):
    """A tilted, moving roller near or on a bar: the linear gap gives what the slices give."""
    roller = _body(seed, 0.091, -600.0, 4e-5)
    roller = roller._replace(vy=roller.vy + 0.091 * 55.0 + 0.1 * side)
    cage = _body(seed + 9, 0.0, 55.0, 4e-5)
    pocket = model.pocket._replace(half_clearance=5e-6 + opening)
    frame = tilted_frame(1.0, 0.0, cage.ux, cage.uy, 0.0, 0.0)
    arguments = (roller, cage, frame, pocket, side)
    tables = model.tables
    total = np.zeros(12)
    for place, _, weight in _slices(tables):
        total += np.array(way(bar_slice)(*arguments, place, weight))
    for function in (bar_spatial, bar_bent):
        quick = np.array(way(function)(*arguments, tables))
        assert quick[6] > 0.0 and (quick[8] == 0.0) == (opening > 0.0)
        assert quick[:3] == pytest.approx(total[:3], abs=2e-6 * quick[6])
        assert quick[3:6] == pytest.approx(total[3:6], abs=1e-7 * quick[6])
        assert quick[6:9] == pytest.approx(total[6:9], rel=1e-5)
        assert quick[10] == pytest.approx(total[10], rel=1e-5)


def test_bar_beyond_its_height_meets_the_edge(way, model):
    """Out of the face the quick form hands over to the exact one."""
    cage = Body(*[0.0] * 11)
    roller = cage._replace(x=0.091 + 3e-4, y=5e-6)
    pocket = model.pocket._replace(half_clearance=1e-7, high=1e-4)
    frame = tilted_frame(1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    arguments = (roller, cage, frame, pocket, 1.0, model.tables)
    wrench = way(bar_spatial)(*arguments)
    assert wrench == pytest.approx(way(bar_bent)(*arguments), abs=1e-12)
    curved = (*arguments[:3], pocket._replace(curvature=70.0, high=6e-3), *arguments[4:])
    assert way(bar_spatial)(*curved) == pytest.approx(way(bar_bent)(*curved), abs=1e-12)
    assert way(bar_spatial)(*curved).normal > 1.0
    # The edge pushes outwards, which the face with parallel sides cannot.
    assert wrench.normal > 1.0 and wrench.fx > 0.01 * wrench.normal
