"""Frame of the whole cage: against the model with a held base ring, and against common practice."""

import numpy as np
import pytest
from cage_cases import cage_case
from scipy.sparse.linalg import splu

from rollsim.structure.cage_contact import settle_contact
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_modes import cage_modes
from rollsim.structure.cage_solution import (
    cover_lift,
    pocket_loads,
    section_forces,
    solve_cage,
)
from rollsim.structure.cover_frame import build_cover_frame
from rollsim.structure.hot_spots import hot_spots

SORTS = [
    ("rivet", "free"),
    ("rivet", "tight"),
    ("tenon", "tight"),
    ("round", "tight"),
    ("one_piece", "tight"),
]


def held(frame, load):
    """Solution with every node of the base ring held: motion, section forces."""
    first = 6 * frame.mesh.ring_count

    def solve(closed):
        stiffness = frame.with_closed(closed).tocsc()[first:, first:]
        motion = np.zeros(load.size)
        motion[first:] = splu(stiffness).solve(load.ravel()[first:])
        return motion

    motion = settle_contact(solve, frame.opening)[0].reshape(-1, 6)
    return motion, section_forces(frame, frame.beams.end_forces(motion))


@pytest.mark.parametrize(("closure", "fit"), SORTS)
def test_with_a_held_base_it_is_the_model_of_cover_and_bars(closure, fit):
    # Two programs, one mechanics: other nodes, other assembly, other numbering.
    frame = build_cage_frame(cage_case(closure, fit=fit))
    other = build_cover_frame(frame.design)
    forces = np.random.default_rng(5).uniform(0.0, 1500.0, 18)
    motion, sections = held(frame, pocket_loads(frame, cover=forces))
    wanted, _ = other.solve(other.cover_load(forces))
    expected = other.section_forces(wanted)
    for k, name in enumerate(("interface", "head", "bar_base")):
        scale = np.abs(expected[k]).max()
        assert getattr(sections, name) == pytest.approx(expected[k], abs=1e-7 * scale)
    assert cover_lift(frame, motion) == pytest.approx(other.cover_lift(wanted), rel=1e-7)


@pytest.mark.parametrize(("closure", "fit"), SORTS)
def test_spread_bar_forces_agree_with_the_model_of_cover_and_bars(closure, fit):
    # There the line load stands on four beams with couples, here on Gauss's points.
    frame = build_cage_frame(cage_case(closure, fit=fit))
    other = build_cover_frame(frame.design)
    forces = 200.0 * np.eye(18)[4]
    _, sections = held(frame, pocket_loads(frame, bars=forces))
    wanted, _ = other.solve(other.bar_load(forces))
    expected = other.section_forces(wanted, forces)
    for k, name in enumerate(("interface", "head", "bar_base")):
        scale = np.abs(expected[k]).max()
        assert getattr(sections, name) == pytest.approx(expected[k], abs=1e-6 * scale)


def test_both_models_agree_where_only_some_bars_are_riveted():
    frame = build_cage_frame(cage_case("rivet", fit="free", more="count = 6"))
    other = build_cover_frame(frame.design)
    forces = np.random.default_rng(6).uniform(-200.0, 200.0, 18)
    _, sections = held(frame, pocket_loads(frame, bars=forces))
    wanted, _ = other.solve(other.bar_load(forces))
    expected = other.section_forces(wanted, forces)
    for k, name in enumerate(("interface", "head", "bar_base")):
        scale = np.abs(expected[k]).max()
        assert getattr(sections, name) == pytest.approx(expected[k], abs=1e-6 * scale)


def pushed(closure, fit="tight", load=181.0):
    """1 kN from every roller on the cover, held against the base: lift in mm, closure in MPa."""
    frame = build_cage_frame(cage_case(closure, fit=fit, load=load))
    solution = solve_cage(frame, pocket_loads(frame, cover=1000.0, base=1000.0))
    stress = [
        spot.stress(getattr(solution.forces, spot.place), notched=False).max() / 1e6
        for spot in hot_spots(frame.design)
        if spot.place in ("interface", "head")
    ]
    return cover_lift(frame, solution.displacement).max() * 1e3, max(stress)


def test_closures_rank_as_in_common_practice():
    # Common practice, no source: a cage of about 1 kg in brass deforms by 0.1 to 0.2 mm and its
    # steel rivets see several hundred MPa; a tenon about half of it; a rivet free in its hole is
    # softer and worse than a tight one; 3.5 mm of load radius halve the stress. Order of magnitude
    # and ordering only.
    free_lift, free = pushed("rivet", "free")
    tight_lift, tight = pushed("rivet", "tight")
    tenon_lift, tenon = pushed("tenon")
    assert 0.05 < free_lift < 0.3
    assert 200.0 < free < 800.0
    assert free > 1.1 * tight and free_lift > 1.2 * tight_lift
    assert tenon_lift < free_lift
    assert 0.3 * free < tenon < 0.7 * free
    _, outside = pushed("rivet", "free", load=188.0)
    assert outside < 0.6 * free


def test_an_interface_that_opens_loads_the_rivet():
    # With cover and bar ends bonded the rivet carries almost nothing of what it really carries.
    frame = build_cage_frame(cage_case("rivet", fit="free"))
    loads = pocket_loads(frame, cover=1000.0, base=1000.0)
    really, bonded = (
        np.abs(solve_cage(frame, loads, interface).forces.interface[:, 5]).max()
        for interface in ("contact", "bonded")
    )
    assert really > 3.0 * bonded


def test_first_modes_lie_inside_the_vibration_spectrum():
    # A plain brass cage of 190 mm and 1 kg: 200 to 500 Hz (common practice, no source).
    frame = build_cage_frame(cage_case("rivet", fit="free"))
    modes = cage_modes(frame, 4).frequencies
    assert 200.0 < modes[0] < 500.0
    # Two waves round the ring: every mode comes twice.
    assert modes[1] == pytest.approx(modes[0], rel=1e-5)
