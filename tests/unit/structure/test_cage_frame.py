"""Frame of the whole floating cage."""

import numpy as np
import pytest
from cage_cases import cage_case, cage_text

from rollsim.case.read import parse_case
from rollsim.errors import RollsimError
from rollsim.model.inertia import cage_inertia
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_mesh import BAR_NODES, SEGMENTS
from rollsim.structure.cage_modes import cage_modes
from rollsim.structure.cage_solution import (
    cover_lift,
    pocket_loads,
    solve_cage,
    unit_responses,
)
from rollsim.structure.closed_forms import built_in_spread_moment

SORTS = [("rivet", "free"), ("rivet", "tight"), ("tenon", "tight"), ("one_piece", "tight")]


@pytest.fixture(scope="module", params=SORTS, ids="-".join)
def frame(request):
    closure, fit = request.param
    return build_cage_frame(cage_case(closure, fit=fit))


def test_mass_and_inertia_are_those_of_the_moving_cage(frame, request):
    # Second route: prisms, integrated over the outline of the parts.
    closure, fit = request.node.callspec.params["frame"]
    body = cage_inertia(cage_case(closure, fit=fit))
    assert frame.total_mass == pytest.approx(body.mass, rel=5e-4)
    assert frame.centre == pytest.approx([0.0, 0.0, body.centre], abs=5e-6)
    moments = [body.transverse, body.transverse, body.axial]
    assert frame.inertia == pytest.approx(np.diag(moments), rel=2e-3, abs=1e-9)


def _load_cases(frame):
    """Load cases without and with symmetry, forces on all parts, with and without resultant."""
    one = np.eye(frame.design.count)[2]
    random = np.random.default_rng(1).uniform(0.0, 500.0, (3, frame.design.count))
    return {
        "even cover": pocket_loads(frame, cover=1000.0),
        "squeezed": pocket_loads(frame, cover=1000.0, base=1000.0),
        "one cover": pocket_loads(frame, cover=1000.0 * one),
        "one bar": pocket_loads(frame, bars=-700.0 * one),
        "spinning": pocket_loads(frame, radial_acceleration=1e4),
        "all": pocket_loads(frame, random[0], random[1] - 250.0, random[2], 500.0),
    }


def test_every_load_case_is_in_equilibrium(frame):
    for name, loads in _load_cases(frame).items():
        solution = solve_cage(frame, loads)
        assert solution.residual < 1e-9, name
        # The same from outside: weight of every node times its acceleration against the loads.
        reach = np.cross(frame.nodes, loads[:, :3]) + loads[:, 3:]
        momentum = frame.mass @ (frame.rigid @ solution.acceleration)
        inertia = momentum.reshape(-1, 6)
        size = np.abs(loads[:, :3]).sum()
        assert np.abs(loads[:, :3].sum(0) - inertia[:, :3].sum(0)).max() < 1e-9 * size
        turning = np.cross(frame.nodes, inertia[:, :3]) + inertia[:, 3:]
        assert np.abs(reach.sum(0) - turning.sum(0)).max() < 1e-9 * size


def test_turning_the_load_by_a_pocket_turns_the_answer(frame):
    count = frame.design.count
    cover = np.random.default_rng(3).uniform(0.0, 800.0, count)
    bars = np.random.default_rng(4).uniform(-300.0, 300.0, count)
    first = solve_cage(frame, pocket_loads(frame, cover, bars))
    second = solve_cage(frame, pocket_loads(frame, np.roll(cover, 1), np.roll(bars, 1)))
    for name, period in (("interface", 1), ("bar_base", 1), ("ring_base", SEGMENTS)):
        one, two = (getattr(each.forces, name) for each in (first, second))
        assert two == pytest.approx(np.roll(one, period, axis=0), abs=1e-7 * np.abs(one).max())
    assert np.array_equal(second.closed, np.roll(first.closed, 1, axis=0))


def test_bar_alone_is_in_equilibrium(frame):
    # Newton for one bar: both root shears, the roller's force, its mass in the rigid acceleration.
    count, bar = frame.design.count, frame.design.bar
    solution = solve_cage(frame, pocket_loads(frame, bars=300.0 * np.eye(count)[0]))
    base, cover = solution.forces.bar_base[0], solution.forces.bar_cover[0]
    radial = np.array([np.cos(np.pi / count), np.sin(np.pi / count), 0.0])
    tangential = np.array([-radial[1], radial[0], 0.0])
    speed = solution.acceleration
    push = (speed[:3] + np.cross(speed[3:], bar.centroid * radial)) @ tangential
    mass = bar.area * frame.design.material.density * frame.design.bar_length
    # A tight shank rides on its bar: about half as heavy again, its middle a little further out.
    shank = {"steel_rivet": frame.design.closure.area * 7850.0 * frame.design.bar_length}
    extra = 0.0 if frame.design.shank_free else shank.get(frame.design.kind, 0.0)
    assert cover[2] + 300.0 - base[2] == pytest.approx(mass * push, abs=1e-6 + 1.1 * extra * push)
    assert mass * push > 1.0


def test_spread_load_bends_a_bar_like_an_even_line_load():
    # Two forces on Gauss's points of a built-in beam: the end moment of the even load, F L/12.
    shares = np.array([BAR_NODES[0], BAR_NODES[2]])
    moment = np.sum(0.5 * 12.0 * shares * (1.0 - shares) ** 2)
    assert moment == pytest.approx(built_in_spread_moment(12.0, 1.0), rel=1e-12)


def test_many_loads_at_once_are_the_bonded_solutions(frame):
    cases = np.array(list(_load_cases(frame).values()))
    displacement, forces = unit_responses(frame, cases)
    for k, loads in enumerate(cases):
        single = solve_cage(frame, loads, interface="bonded")
        scale = np.abs(displacement[k]).max()
        assert displacement[k] == pytest.approx(single.displacement, abs=1e-9 * scale)
        largest = np.abs(forces.bar_base[k]).max()
        assert forces.bar_base[k] == pytest.approx(single.forces.bar_base, abs=1e-8 * largest)


def test_modes_are_mass_normalised_and_without_momentum(frame):
    modes = cage_modes(frame, 12)
    assert modes.rigid_frequency < 1.0
    assert np.all(np.diff(modes.frequencies) > -1e-6)
    shapes = modes.shapes.reshape(12, -1)
    assert shapes @ (frame.mass @ shapes.T) == pytest.approx(np.eye(12), abs=1e-6)
    wanted = np.diag((2.0 * np.pi * modes.frequencies) ** 2)
    assert shapes @ (frame.stiffness @ shapes.T) == pytest.approx(wanted, abs=1e-6 * wanted.max())
    assert shapes @ (frame.mass @ frame.rigid) == pytest.approx(np.zeros((12, 6)), abs=1e-5)


def test_preload_is_the_tension_that_is_left():
    for closure, fit in SORTS[:3]:
        tight = build_cage_frame(cage_case(closure, fit=fit, more="preload_N = 800.0"))
        rest = solve_cage(tight, np.zeros((len(tight.nodes), 6)))
        assert rest.preload.interface[:, 0] == pytest.approx(np.full(18, 800.0), rel=1e-9)
        assert rest.forces.interface == pytest.approx(rest.preload.interface, abs=1e-6)
        assert np.abs(rest.displacement).max() < 1e-12
        # Between preloaded parts a small load meets the stiffness of the joined state.
        loads = pocket_loads(tight, cover=1.0)
        small = solve_cage(tight, loads)
        closed = rest.closed
        joined, _ = unit_responses(tight, loads[None], closed)
        assert small.displacement == pytest.approx(joined[0], abs=1e-6 * np.abs(joined).max())


def test_preload_keeps_load_off_the_closure():
    change = {}
    for preload in (0.0, 3000.0):
        frame = build_cage_frame(cage_case("rivet", more=f"preload_N = {preload}"))
        solution = solve_cage(frame, pocket_loads(frame, cover=300.0))
        change[preload] = (solution.forces.interface - solution.preload.interface)[0, 0]
    assert change[3000.0] < 0.8 * change[0.0]


@pytest.mark.parametrize("count", [6, 9])
def test_bars_without_a_rivet_have_no_hole(count):
    case = cage_case("rivet", more=f"count = {count}")
    frame, body = build_cage_frame(case), cage_inertia(case)
    assert frame.total_mass == pytest.approx(body.mass, rel=5e-4)
    assert frame.inertia[2, 2] == pytest.approx(body.axial, rel=2e-3)
    solution = solve_cage(frame, pocket_loads(frame, cover=500.0))
    assert solution.residual < 1e-9
    # Closures pull on their own bars alone, each the same.
    pulls = solution.forces.interface[:, 0]
    every = 18 // count
    assert pulls[::every] == pytest.approx(np.full(count, pulls[0]), rel=1e-7)
    assert np.all(np.delete(pulls, np.arange(0, 18, every)) == 0.0)


def test_a_cage_with_round_tenons_weighs_as_much_as_one_in_one_piece():
    # Of the cage's own metal, they fill their holes.
    frame, whole = (build_cage_frame(cage_case(kind)) for kind in ("round", "one_piece"))
    assert frame.total_mass == pytest.approx(whole.total_mass, rel=1e-9)
    assert frame.total_mass == pytest.approx(cage_inertia(cage_case("round")).mass, rel=5e-4)
    assert cage_inertia(cage_case("round")) == cage_inertia(cage_case("tenon"))


def test_a_given_mass_scales_all_metal():
    case = parse_case(
        cage_text("tenon").replace("[cage.closure]", "mass_kg = 1.5\n[cage.closure]"), ""
    )
    frame, body = build_cage_frame(case), cage_inertia(case)
    assert frame.total_mass == pytest.approx(1.5, rel=1e-12)
    assert frame.inertia[2, 2] == pytest.approx(body.axial, rel=2e-3)


@pytest.mark.parametrize(
    "sides", ["pocket_contour_radius_mm = 13.3", "pocket_side_angle_deg = 6.0"]
)
def test_bars_follow_the_pocket_sides(sides):
    # Area of a bar by counting: points of its outline that lie outside both pockets beside it.
    text = cage_text("one_piece").replace("[cage.closure]", f"{sides}\n[cage.closure]")
    design = build_cage_frame(parse_case(text, "")).design
    count, half, pitch = 18, 13.15e-3, 91e-3
    r, t = np.meshgrid(np.linspace(89e-3, 99e-3, 401), np.linspace(-0.1745, 0.1745, 2001))
    x, y = r * np.cos(t) - pitch, r * np.sin(t)
    if "contour" in sides:
        # Circle of 13.3 mm that leaves the pocket 26.3 mm wide on the pitch circle.
        width = half - 13.3e-3 + np.sqrt(np.maximum((13.3e-3) ** 2 - x**2, 0.0))
    else:
        width = half + x * np.tan(np.radians(6.0))
    inside = np.abs(y) < width
    sector = np.abs(t) < np.pi / count
    cell = (r[0, 1] - r[0, 0]) * (t[1, 0] - t[0, 0])
    weights = np.ones(401)
    weights[[0, -1]] = 0.5
    area = float(np.sum((r * (sector & ~inside)) @ weights)) * cell
    assert design.bar.area == pytest.approx(area, rel=6e-3)


@pytest.mark.parametrize(
    "sides",
    ["pocket_contour_radius_mm = 13.3", "pocket_side_angle_deg = 6.0", "imbalance_gmm = 0.0"],
)
def test_mass_of_the_frame_is_that_of_the_run_for_all_pocket_sides(sides):
    # The run weighs the cage by prisms about the bearing axis, the frame by its beams.
    text = cage_text("rivet").replace("[cage.closure]", f"{sides}\n[cage.closure]")
    case = parse_case(text, "")
    frame, body = build_cage_frame(case), cage_inertia(case)
    assert frame.total_mass == pytest.approx(body.mass, rel=5e-4)
    assert frame.centre[2] == pytest.approx(body.centre, abs=2e-6)
    assert frame.inertia[2, 2] == pytest.approx(body.axial, rel=2e-3)


def test_wrong_loads_are_refused():
    frame = build_cage_frame(cage_case("one_piece"))
    with pytest.raises(RollsimError, match="shape"):
        solve_cage(frame, np.zeros((3, 6)))
    with pytest.raises(RollsimError, match="contact"):
        solve_cage(frame, np.zeros((len(frame.nodes), 6)), interface="glued")


def test_lift_is_the_work_of_the_load():
    # Clapeyron: work of a unit load is its own displacement; an independent sum over elements.
    frame = build_cage_frame(cage_case("tenon"))
    loads = pocket_loads(frame, cover=1000.0, base=1000.0)
    solution = solve_cage(frame, loads, interface="bonded")
    work = float(np.sum(loads * solution.displacement))
    assert work == pytest.approx(1000.0 * cover_lift(frame, solution.displacement).sum(), rel=1e-9)
    assert work > 0.0
