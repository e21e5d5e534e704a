"""Pocket geometry and the planar contacts of one roller."""

import math

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset, inner_offset, planar_size
from rollsim.kernels.pocket import bar_film, bar_planar, face_distance, tilted_frame
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc

ANGLE = math.radians(12.0)


@pytest.fixture(scope="module")
def model(bench):
    """Model with friction, damping and film."""
    return bench.make_built().model


def _pocket(model, angle=0.0, low=-0.01, high=0.008):
    """Pocket with a face angle and bar limits."""
    return model.pocket._replace(
        cosine=math.cos(angle), sine=math.sin(angle), low=low, high=high, half_clearance=1e-4
    )


def _nearest(pocket, along, outward, angle):
    """Nearest point of the leading face, sought over its height without the closed form."""
    reach = pocket.radius + pocket.half_clearance
    normal = np.array([math.cos(angle), -math.sin(angle)])
    up = np.array([math.sin(angle), math.cos(angle)])
    heights = np.linspace(pocket.low, pocket.high, 200001)
    points = reach * normal + heights[:, None] * up
    away = points - [along, outward]
    lengths = np.hypot(*away.T)
    best = int(np.argmin(lengths))
    return lengths[best], away[best] / lengths[best]


@pytest.mark.parametrize("angle", [0.0, ANGLE, -ANGLE])
@pytest.mark.parametrize(
    "place", [(0.0, 0.0), (2e-4, 1e-3), (-3e-4, 0.0095), (1e-4, -0.013), (1e-4, 0.03)]
)
def test_distance_to_plane_and_edge(way, model, angle, place):
    """Distance and direction against a search over the points of the face, edges included."""
    pocket = _pocket(model, angle)
    distance, nt, nr = way(face_distance)(pocket, 1.0, *place, 0.0)
    length, direction = _nearest(pocket, *place, angle)
    assert distance == pytest.approx(length, abs=1e-10)
    assert (nt, nr) == pytest.approx(tuple(direction), abs=2e-5)
    assert math.hypot(nt, nr) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("angle", [0.0, ANGLE])
@pytest.mark.parametrize("outward", [0.001, 0.02, -0.02])
def test_trailing_face_is_the_mirror_image(way, model, angle, outward):
    pocket = _pocket(model, angle)
    lead = way(face_distance)(pocket, 1.0, 2e-4, outward, 1e-5)
    trail = way(face_distance)(pocket, -1.0, -2e-4, outward, 1e-5)
    assert trail == (lead[0], -lead[1], lead[2])


def test_extra_clearance_moves_the_face(way, model):
    pocket = _pocket(model, ANGLE)
    near = way(face_distance)(pocket, 1.0, 0.0, 0.0, 0.0)[0]
    far = way(face_distance)(pocket, 1.0, 0.0, 0.0, 3e-5)[0]
    assert far - near == pytest.approx(3e-5, rel=1e-9)
    assert near == pytest.approx(pocket.radius + pocket.half_clearance, rel=1e-12)


def test_direction_is_continuous_at_the_edge(way, model):
    pocket = _pocket(model, 0.0)
    inside = way(face_distance)(pocket, 1.0, 0.0, pocket.high - 1e-9, 0.0)
    beyond = way(face_distance)(pocket, 1.0, 0.0, pocket.high + 1e-9, 0.0)
    assert inside == pytest.approx(beyond, abs=1e-6)


def test_tilted_frame(way):
    """Both directions are square to the tilted axis; without tilt they are the plain ones."""
    ux, uy = 2e-3, -3e-3
    frame = way(tilted_frame)(math.cos(0.7), math.sin(0.7), ux, uy, 1e-6, 2e-6)
    axis = np.array([ux, uy, 1.0])
    assert np.dot([frame.tx, frame.ty, frame.tz], axis) == pytest.approx(0.0, abs=1e-15)
    assert np.dot([frame.rx, frame.ry, frame.rz], axis) == pytest.approx(0.0, abs=1e-15)
    assert (frame.shift, frame.extra) == (1e-6, 2e-6)
    flat = way(tilted_frame)(math.cos(0.7), math.sin(0.7), 0.0, 0.0, 0.0, 0.0)
    assert (flat.rx, flat.ry, flat.rz) == (math.cos(0.7), math.sin(0.7), 0.0)
    assert (flat.tx, flat.ty, flat.tz) == (-math.sin(0.7), math.cos(0.7), 0.0)


@pytest.mark.parametrize("name", ["outer", "inner", "land"])
@pytest.mark.parametrize("seed", range(4))
def test_round_contact_acts_alike_on_both_bodies(way, model, name, seed):
    """Moment of the pair about the origin vanishes; heat is the lost power; the push is right."""
    pair = getattr(model, name)
    generator = np.random.default_rng(seed)
    angle = generator.uniform(0.0, 2.0 * math.pi)
    ring = Disc(*generator.uniform(-1e-4, 1e-4, 2), *generator.uniform(-0.3, 0.3, 2), 90.0)
    away = pair.side * pair.gap + pair.side * 6e-6
    body = Disc(
        ring.x + away * math.cos(angle), ring.y + away * math.sin(angle),
        *generator.uniform(-0.3, 0.3, 2), -300.0,
    )  # fmt: skip
    result = way(round_planar)(body, ring, pair)
    moment = body.x * result.fy - body.y * result.fx + result.moment
    back = -(ring.x * result.fy - ring.y * result.fx) + result.reaction
    assert moment + back == pytest.approx(0.0, abs=1e-12 * result.normal)
    power = result.fx * (body.vx - ring.vx) + result.fy * (body.vy - ring.vy)
    power += result.moment * body.spin + result.reaction * ring.spin
    elastic = pair.constant * 6e-6 ** (10.0 / 9.0)
    assert -power == pytest.approx(result.heat + elastic * result.approach, rel=1e-6)
    outward = result.fx * math.cos(angle) + result.fy * math.sin(angle)
    assert outward == pytest.approx(-pair.side * result.normal, rel=1e-9)
    assert result.heat > 0.0


@pytest.mark.parametrize("name", ["outer", "inner", "land"])
def test_round_contact_without_touch(way, model, name):
    pair = getattr(model, name)
    away = pair.side * (pair.gap - 1e-7)
    body = Disc(away, 0.0, 5.0 * pair.side, 0.0, 100.0)
    pair = way(round_planar)(body, Disc(0.0, 0.0, 0.0, 0.0, 50.0), pair)
    # The approach speed may be told before the touch; nothing else may.
    assert tuple(pair)[:7] == (0.0,) * 7


@pytest.mark.parametrize("angle", [0.0, ANGLE])
@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("outward", [0.0005, 0.0085, -0.0105])
def test_bar_acts_alike_on_roller_and_cage(way, model, angle, side, outward):
    """Plane, outer edge and inner edge: force, moment about the cage centre and power."""
    pocket = _pocket(model, angle)
    gap, nt, nr = way(face_distance)(pocket, side, 0.0, outward, 0.0)
    depth = 3e-6
    move = gap - pocket.radius + depth
    t, r = move * nt, pocket.pitch_radius + outward + move * nr
    motion = (t, r, 0.04 * side, -0.03)
    result = way(bar_planar)(motion, -500.0, pocket, side, 0.0, 0.0)
    assert result.normal > 0.0
    # Counter-clockwise moment of (ft, fr) at (t, r): r ft - t fr.
    about_cage = r * result.fx - t * result.fy + result.moment
    assert about_cage + result.reaction == pytest.approx(0.0, abs=1e-12)
    lost = -(result.fx * motion[2] + result.fy * motion[3] + result.moment * -500.0)
    film = pocket.film / pocket.floor**1.5
    film *= max(result.approach, 0.0) / (1.0 + film / pocket.impedance)
    elastic = result.normal - film
    elastic /= 1.0 + 1.5 * pocket.damping * result.approach
    assert lost == pytest.approx(result.heat + elastic * result.approach, rel=1e-9)
    assert result.fx * nt + result.fy * nr == pytest.approx(-result.normal, rel=1e-3)


def test_bar_film_pushes_on_approach_only(way, model):
    pocket = _pocket(model)._replace(impedance=math.inf)
    motion = (2e-5, pocket.pitch_radius, 0.05, 0.0)
    coming = way(bar_planar)(motion, 0.0, pocket, 1.0, 0.0, 0.0)
    film = pocket.film * 0.05 / 8e-5**1.5
    assert coming.normal == pytest.approx(film, rel=1e-9)
    assert coming.fx == pytest.approx(-film, rel=1e-9)
    assert coming.heat == pytest.approx(film * 0.05, rel=1e-9)
    assert coming.energy == 0.0
    going = way(bar_planar)(motion, 0.0, pocket, -1.0, 0.0, 0.0)
    assert not any(going)


@pytest.mark.parametrize("gap", [4e-5, 5e-7, -2e-6])
def test_bar_film_yields_with_the_bar(way, model, gap):
    """Approach speed times c / (1 + c / Z): the film's own force far off, below v Z at touch."""
    pocket = _pocket(model)
    motion = (pocket.half_clearance - gap, pocket.pitch_radius, 0.05, 0.0)
    bare = pocket._replace(constant=1e-20)
    force = way(bar_planar)(motion, 0.0, bare, 1.0, 0.0, 0.0).normal
    x = min(max(gap, 0.0), 2.0 * pocket.floor)
    film = max(gap, 2.0 * pocket.floor) - 2.0 * pocket.floor
    film += pocket.floor + 0.25 * x**2 / pocket.floor
    damping = pocket.film / film**1.5
    series = 1.0 / (1.0 / damping + 1.0 / pocket.impedance)
    assert force == pytest.approx(0.05 * series, rel=1e-9)
    assert force < 0.05 * pocket.impedance


def test_pitch_error_moves_the_pocket(way, model):
    pocket = _pocket(model)
    shifted = way(bar_planar)((1.02e-4 + 5e-5, 0.091, 0.01, 0.0), 3.0, pocket, 1.0, 5e-5, 0.0)
    plain = way(bar_planar)((1.02e-4, 0.091, 0.01, 0.0), 3.0, pocket, 1.0, 0.0, 0.0)
    assert shifted.normal == pytest.approx(plain.normal, rel=1e-6)
    assert shifted.normal > 0.0


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(
    ("angle", "outward"),
    [(0.0, 0.0005), (0.0, 0.0085), (0.0, -0.0105), (ANGLE, 1e-5), (ANGLE, 0.0085)],
)
@pytest.mark.parametrize("rate", [0.05, -0.05])
def test_film_of_an_open_bar(way, model, side, angle, outward, rate):
    """The quick film of a bar that is not touched is that of the whole contact."""
    pocket = _pocket(model, angle)
    motion = (3e-5 * side, pocket.pitch_radius + outward, rate * side, 0.02)
    whole = way(bar_planar)(motion, -40.0, pocket, side, 1e-6, 4e-5)
    thickness, normal, nt, nr, approach = way(bar_film)(motion, pocket, side, 1e-6, 4e-5)
    assert thickness > 0.0
    assert normal == pytest.approx(whole.normal, rel=1e-12)
    assert (-normal * nt, -normal * nr) == pytest.approx((whole.fx, whole.fy), rel=1e-9)
    assert normal == 0.0 or approach == pytest.approx(whole.approach)


def test_film_of_a_touched_bar_is_left_to_the_contact(way, model):
    pocket = _pocket(model)
    motion = (1.02e-4, pocket.pitch_radius, 0.05, 0.0)
    thickness, normal, *_ = way(bar_film)(motion, pocket, 1.0, 0.0, 0.0)
    assert thickness < 0.0 and normal == 0.0


@pytest.mark.parametrize("loaded", [True, False])
def test_a_turned_bearing_feels_the_same(bench, loaded):
    """Everything turned by one angle: the same contact forces, the accelerations turned."""
    built = bench.make_built(duty__gravity=False, duty__radial_load_kN=0.0)
    model = bench.squeezed(built.model) if loaded else built.model
    z = model.count
    c, i = cage_offset(z), inner_offset(z)
    state = bench.disturbed(bench.centred(built), z, 12)
    turn = 0.83
    pairs = [(slice(0, z), slice(z, 2 * z)), (slice(2 * z, 3 * z), slice(3 * z, 4 * z))]
    pairs += [(c, c + 1), (c + 3, c + 4), (i, i + 1), (i + 2, i + 3)]

    def turned(values):
        """All vectors of a state or of rates, turned."""
        result = values.copy()
        for i, k in pairs:
            result[i] = math.cos(turn) * values[i] - math.sin(turn) * values[k]
            result[k] = math.sin(turn) * values[i] + math.cos(turn) * values[k]
        return result

    moved = turned(state)
    moved[c + 2] += turn
    rates, out = bench.evaluate(model, state)
    more, more_out = bench.evaluate(model, moved)
    n = planar_size(z)
    assert more[:n] == pytest.approx(turned(rates)[:n], rel=1e-7, abs=1e-9 * abs(rates).max())
    assert more_out[: 4 * z] == pytest.approx(out[: 4 * z], rel=1e-7, abs=1e-7)
    assert out[2 * z : 4 * z].max() > 0.0


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_share_of_the_tables_stands_for_another_stiffness(bench, motion):
    """Half the stiffness by the tables is half the stiffness of the pair, impedance included."""
    built = bench.make_built(solver__motion=motion)
    model = bench.squeezed(built.model)
    half, root = np.full(2 * model.count, 0.5), np.sqrt(0.5)
    tables = model.tables._replace(bar_share=half, bar_root=np.sqrt(half), end_share=half)
    by_tables = model._replace(tables=tables)
    pocket, ends = model.pocket, model.ends
    by_pair = model._replace(
        pocket=pocket._replace(backing=0.5 * pocket.backing, impedance=root * pocket.impedance),
        ends=ends._replace(stiffness=0.5 * ends.stiffness, impedance=root * ends.impedance),
    )
    state = bench.disturbed(bench.centred(built), model.count, 3)
    rates, out = bench.evaluate(by_tables, state)
    wanted, forces = bench.evaluate(by_pair, state)
    assert rates == pytest.approx(wanted, rel=1e-9)
    assert out == pytest.approx(forces, rel=1e-9)
    assert not np.allclose(forces, bench.evaluate(model, state)[1], rtol=1e-3)
