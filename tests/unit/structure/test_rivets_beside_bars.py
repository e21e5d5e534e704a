"""Rivets beside the bars: bosses and distance pieces in place of bars, any number of them."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from cage_cases import cage_text

from rollsim.case.read import parse_case
from rollsim.errors import RollsimError
from rollsim.model.inertia import cage_inertia
from rollsim.report.cage_text import cage_dict
from rollsim.report.cage_text import cage_text as study_text
from rollsim.structure.boss import boss_gaps
from rollsim.structure.cage_answers import held_by_base, study_cage
from rollsim.structure.cage_axes import END_FLEXIBILITY
from rollsim.structure.cage_frame import assemble_frame, build_cage_frame
from rollsim.structure.cage_mesh import SEGMENTS, frame_design
from rollsim.structure.cage_modes import cage_modes
from rollsim.structure.cage_solution import cover_lift, pocket_loads, solve_cage, unit_responses
from rollsim.structure.cage_study import cage_load
from rollsim.structure.design import CageDesign
from rollsim.structure.elasticity import cage_elasticity
from rollsim.structure.hot_spots import BOSS_ROOT, PIECE, hot_spots
from rollsim.structure.sector_mesh import sector_mesh
from rollsim.units import GPA

SORTS = [("one_piece", "free"), ("one_piece", "tight"), ("separate", "free")]
COUNTS = [6, 9, 10, 12, 18]


def beside_case(count=10, joint="one_piece", fit="free", more="", load=181.0):
    """The cage of the other tests with rivets of 4.5 mm in bosses of 6.4 mm."""
    keys = f'position = "beside_bars"\nboss_diameter_mm = 6.4\ncount = {count}\n'
    text = cage_text(fit=fit, load=load, more=f'{keys}boss_joint = "{joint}"\n{more}')
    return parse_case(text.replace("diameter_mm = 5.0", "diameter_mm = 4.5"), "cage.toml")


def through_case():
    """The same rivets through all bars, free in their holes."""
    text = cage_text(fit="free").replace("diameter_mm = 5.0", "diameter_mm = 4.5")
    return parse_case(text, "cage.toml")


@pytest.mark.parametrize("rollers", [7, 18, 31])
def test_rivets_stand_in_the_gaps_nearest_to_even_places(rollers):
    for count in range(2, rollers + 1):
        gaps = np.array(boss_gaps(count, rollers))
        assert len(set(gaps)) == count
        even = np.arange(count) * rollers / count
        away = (gaps - even + 0.5 * rollers) % rollers - 0.5 * rollers
        assert np.abs(away).max() <= 0.5
        steps = np.diff([*gaps, gaps[0] + rollers])
        assert steps.max() - steps.min() <= 1
    assert boss_gaps(6, 18, first=2) == (2, 5, 8, 11, 14, 17)


@pytest.mark.parametrize(("joint", "fit"), SORTS)
@pytest.mark.parametrize("count", COUNTS)
def test_any_number_of_rivets_is_in_equilibrium(count, joint, fit):
    case = beside_case(count, joint, fit)
    frame, body = build_cage_frame(case), cage_inertia(case)
    # Second route: prisms of rings, bars, tubes and rivets.
    assert frame.total_mass == pytest.approx(body.mass, rel=5e-4)
    assert frame.inertia[2, 2] == pytest.approx(body.axial, rel=2e-3)
    assert frame.centre == pytest.approx([0.0, 0.0, body.centre], abs=5e-6)
    random = np.random.default_rng(1).uniform(0.0, 500.0, (3, 18))
    loads = pocket_loads(frame, random[0], random[1] - 250.0, random[2], 500.0)
    solution = solve_cage(frame, loads)
    assert solution.residual < 1e-9
    momentum = (frame.mass @ (frame.rigid @ solution.acceleration)).reshape(-1, 6)
    assert loads[:, :3].sum(0) == pytest.approx(momentum[:, :3].sum(0), abs=1e-9 * random.sum())
    # Only rivets join the parts: bars without one neither pull nor hold sideways.
    bare = np.setdiff1d(np.arange(18), frame.design.closure_places)
    assert np.all(solution.forces.interface[bare] == 0.0)
    assert np.count_nonzero(solution.forces.interface[:, 0]) == count


@pytest.mark.parametrize(("joint", "fit"), SORTS)
@pytest.mark.parametrize("count", [6, 10])
def test_rivets_alone_carry_the_push_where_the_interface_is_open(count, joint, fit):
    frame = build_cage_frame(beside_case(count, joint, fit))
    push = np.random.default_rng(2).uniform(100.0, 900.0, 18)
    loads = held_by_base(frame, pocket_loads(frame, cover=push))
    apart = np.zeros(len(frame.spring_stiffness), dtype=bool)
    _, forces = unit_responses(frame, loads[None], apart)
    for place in (forces.interface, forces.head):
        assert place[0, :, 0].sum() == pytest.approx(push.sum(), rel=1e-9)


@pytest.mark.parametrize(("count", "period"), [(6, 3), (9, 2), (10, 9), (12, 3)])
def test_turning_the_load_by_the_common_period_turns_the_answer(count, period):
    frame = build_cage_frame(beside_case(count, "separate"))
    cover = np.random.default_rng(3).uniform(0.0, 800.0, 18)
    bars = np.random.default_rng(4).uniform(-300.0, 300.0, 18)
    first = solve_cage(frame, pocket_loads(frame, cover, bars))
    turned = pocket_loads(frame, np.roll(cover, period), np.roll(bars, period))
    second = solve_cage(frame, turned)
    places = {"interface": 1, "bar_base": 1, "ring_base": SEGMENTS}
    for name, each_pitch in places.items():
        one, two = (getattr(each.forces, name) for each in (first, second))
        moved = np.roll(one, period * each_pitch, axis=0)
        assert two == pytest.approx(moved, abs=1e-6 * np.abs(one).max())


def test_the_first_gap_turns_all_rivets():
    push = np.random.default_rng(5).uniform(0.0, 800.0, 18)
    here, there = (build_cage_frame(beside_case(10, more=f"first_gap = {gap}")) for gap in (1, 4))
    one = solve_cage(here, pocket_loads(here, cover=push)).forces
    two = solve_cage(there, pocket_loads(there, cover=np.roll(push, 3))).forces
    scale = np.abs(one.interface).max()
    assert two.interface == pytest.approx(np.roll(one.interface, 3, axis=0), abs=1e-6 * scale)


@dataclass(frozen=True)
class WithFacesOfBars(CageDesign):
    """Bosses that press with the end faces of drilled bars."""

    like: CageDesign | None = None

    def faces_at(self, j):
        """Faces of the other cage."""
        return self.like.faces_at(j)


def test_bosses_with_the_shape_of_drilled_bars_are_rivets_through_bars():
    through = frame_design(through_case())
    design = frame_design(beside_case(18))
    fields = {name: getattr(design, name) for name in CageDesign.__dataclass_fields__}
    bosses = replace(design.bosses, section=through.bar)
    fields |= {"bosses": bosses, "bar": through.bar, "like": through}
    same, other = assemble_frame(through), assemble_frame(WithFacesOfBars(**fields))
    assert other.total_mass == pytest.approx(same.total_mass, rel=1e-9)
    push = np.random.default_rng(6).uniform(0.0, 800.0, 18)
    one = solve_cage(same, pocket_loads(same, cover=push, bars=100.0))
    two = solve_cage(other, pocket_loads(other, cover=push, bars=100.0))
    size = np.abs(one.displacement).max()
    assert two.displacement == pytest.approx(one.displacement, abs=1e-9 * size)
    scale = np.abs(one.forces.interface).max()
    assert two.forces.interface == pytest.approx(one.forces.interface, abs=1e-7 * scale)
    frequencies = [cage_modes(own, 4).frequencies for own in (same, other)]
    assert frequencies[1] == pytest.approx(frequencies[0], rel=1e-7)


def test_wider_bosses_hold_the_cover_nearly_like_drilled_bars():
    # A bar is 10 mm by 8 mm, the widest boss 7.08 mm: narrower ones are softer still.
    frames = [build_cage_frame(through_case())]
    for wide in (7.08, 6.3):
        text = beside_case(18).text.replace("6.4", f"{wide}")
        frames.append(build_cage_frame(parse_case(text, "")))
    lifts = []
    for frame in frames:
        loads = held_by_base(frame, pocket_loads(frame, cover=1000.0))
        lifts.append(cover_lift(frame, solve_cage(frame, loads).displacement).max())
    assert lifts[0] < lifts[1] < lifts[2]
    assert lifts[1] < 1.25 * lifts[0]


@pytest.mark.parametrize("joint", ["one_piece", "separate"])
def test_preloaded_rivet_between_stiff_rings_follows_the_joint_diagram(joint):
    """k_r / (k_r + k_c) of the push goes to the rivet; all of it once the joint has opened."""
    design = frame_design(beside_case(18, joint, more="preload_N = 2000.0", load=190.0))
    # A hundred thousand times stiffer rings; the bosses keep their metal.
    modulus = {"youngs_modulus_GPa": 1e5 * design.material.youngs_modulus_GPa}
    design = replace(design, material=replace(design.material, **modulus))
    frame, bosses = assemble_frame(design), design.bosses
    area = np.pi / 4.0 * 4.5e-3**2
    length = design.bar_length + design.base_thickness + 2.0 * END_FLEXIBILITY * 4.5e-3
    rivet = 206.0 * GPA * area / length
    tube = np.pi / 4.0 * (6.4e-3**2 - 4.5e-3**2)
    give = design.bar_length / (bosses.material.youngs_modulus * tube)
    give += (2 if joint == "separate" else 1) / (bosses.bedding * tube)
    shares = []
    for push in (1000.0, 9000.0):
        loads = held_by_base(frame, pocket_loads(frame, cover=push))
        solution = solve_cage(frame, loads)
        assert solution.preload.interface[:, 0] == pytest.approx(np.full(18, 2000.0), rel=1e-6)
        shares.append(solution.forces.interface[:, 0])
    between = 2000.0 + 1000.0 * rivet / (rivet + 1.0 / give)
    assert shares[0] == pytest.approx(np.full(18, between), rel=2e-4)
    assert shares[1] == pytest.approx(np.full(18, 9000.0), rel=2e-4)


def test_a_distance_piece_is_pressed_but_never_pulled():
    frame = build_cage_frame(beside_case(10, "separate"))
    loads = held_by_base(frame, pocket_loads(frame, cover=1000.0))
    places = frame.design.closure_places
    assert solve_cage(frame, loads).forces.bar_base[places, 0].max() < 1.0
    # At rest the pieces, and the bars by the way, are pressed as hard as the rivets pull.
    tight = build_cage_frame(beside_case(9, "separate", more="preload_N = 1000.0"))
    rest = solve_cage(tight, np.zeros((len(tight.nodes), 6)))
    places = tight.design.closure_places
    assert rest.preload.interface[places, 0] == pytest.approx(np.full(9, 1000.0), rel=1e-6)
    bare = rest.preload.bar_base[tight.design.bare_bars, 0].sum()
    assert rest.preload.bar_base[places, 0].sum() + bare == pytest.approx(-9000.0, rel=1e-6)


@pytest.mark.parametrize(("joint", "fit"), SORTS)
def test_a_missing_rivet_loads_its_neighbours(joint, fit):
    pulls = {}
    for rows in ("[]", "[[4, 0.0]]"):
        frame = build_cage_frame(beside_case(9, joint, fit, f"stiffness_factors = {rows}"))
        loads = held_by_base(frame, pocket_loads(frame, cover=500.0))
        solution = solve_cage(frame, loads)
        assert solution.residual < 1e-9
        pulls[rows] = solution.forces.interface[::2, 0]
    sound, weak = pulls.values()
    assert frame.design.closure_bars.tolist() == [0, 2, 4, 8, 10, 12, 14, 16]
    assert weak[3] == 0.0
    assert weak[2] == pytest.approx(weak[4], rel=1e-5)
    assert weak[2] > 1.3 * sound[2]
    assert np.argmax(weak) in (2, 4)


def test_stronger_bosses_of_steel_weigh_what_they_are():
    brass, steel = (
        beside_case(10, "separate", more=f'boss_material = "{name}"')
        for name in ("CuZn40Pb2", "rivet_steel")
    )
    masses = [build_cage_frame(case).total_mass for case in (brass, steel)]
    tube = np.pi / 4.0 * (6.4e-3**2 - 4.5e-3**2) * 44.4e-3
    assert masses[1] - masses[0] == pytest.approx(10 * tube * (7850.0 - 8440.0), rel=1e-6)
    assert masses[1] - masses[0] == pytest.approx(
        cage_inertia(steel).mass - cage_inertia(brass).mass, rel=1e-6
    )


def test_every_pocket_hands_its_own_stiffness_to_a_run():
    # The end of an unriveted bar is free sideways at the cover: softer than a boss on a rivet.
    backing = cage_elasticity(beside_case(10)).backing
    design = frame_design(beside_case(10))
    riveted, bare = backing.bar[design.closure_places], backing.bar[design.bare_bars]
    assert bare.max() < 0.3 * riveted.min()
    assert np.ptp(riveted) < 0.1 * riveted.min()
    assert backing.bar == pytest.approx(np.roll(backing.bar, 9), rel=1e-5)


def test_hot_spots_name_rivets_bars_and_bosses():
    design = frame_design(beside_case(10))
    spots = {spot.name: spot for spot in hot_spots(design)}
    gaps = [0, 2, 4, 5, 7, 9, 11, 13, 14, 16]
    for name in ("rivet head fillet", "rivet at interface", BOSS_ROOT):
        assert spots[name].bars.tolist() == gaps
    assert spots["root of unriveted bar"].bars.tolist() == sorted(set(range(18)) - set(gaps))
    assert spots[BOSS_ROOT].notch_about_r > 1.2
    # Bending of a tube: M D / (2 I).
    moment = np.array([0.0, 0.0, 0.0, 0.0, 3.0, 0.0])
    inertia = np.pi / 64.0 * (6.4e-3**4 - 4.5e-3**4)
    stress = np.abs(spots[BOSS_ROOT].stress(moment, notched=False)).max()
    assert stress == pytest.approx(3.0 * 3.2e-3 / inertia, rel=1e-9)
    loose = {spot.name: spot for spot in hot_spots(frame_design(beside_case(10, "separate")))}
    assert PIECE in loose and BOSS_ROOT not in loose


def test_the_study_says_where_the_rivets_stand():
    case = beside_case(10, "separate", more="stiffness_factors = [[3, 0.0]]")
    study = study_cage(case, cage_load(300.0, None, None), 2)
    text = " ".join(study_text([study], []).split())
    assert "(steel rivets beside the bars)" in text
    assert "rivets 1 to 10 stand in place of bars 1, 3, 5, 6, 8, 10, 12, 14, 15, 17" in text
    most = max(study.closures, key=lambda own: own.nominal).number
    assert most in (2, 4)
    assert "loaded most" in text
    found = cage_dict([study], [])
    assert found["beside_bars"] is True
    assert [own["bar"] for own in found["closures"]] == [1, 3, 5, 6, 8, 10, 12, 14, 15, 17]
    assert 0.0 < study.open_share < 1.0


def test_model_of_one_pitch_refuses_rivets_beside_the_bars():
    case = beside_case(18)
    with pytest.raises(RollsimError, match="not beside them"):
        sector_mesh(frame_design(case), 0.5, whole=False)
