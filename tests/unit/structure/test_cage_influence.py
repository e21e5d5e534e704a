"""Influence of unit loads on the floating cage."""

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.errors import RollsimError
from rollsim.structure.cage_axes import beam_of
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_influence import (
    FACES,
    KINDS,
    cage_influence,
    held_loads,
    local_compliances,
)
from rollsim.structure.cage_mesh import SEGMENTS
from rollsim.structure.cage_solution import pocket_loads, solve_cage


@pytest.fixture(scope="module", params=["free", "tight"])
def frame(request):
    return build_cage_frame(cage_case("rivet", fit=request.param))


@pytest.fixture(scope="module")
def pushed(frame):
    return solve_cage(frame, pocket_loads(frame, cover=1000.0))


def test_mixture_of_unit_loads_is_the_solution(frame, pushed):
    influence = cage_influence(frame, pushed)
    amounts = np.zeros(len(KINDS) * 18 + 1)
    amounts[influence.columns("cover")] = 1000.0
    forces = influence.section_forces(amounts)
    for name in ("interface", "head", "bar_base", "bar_cover", "ring_base", "ring_cover"):
        wanted = getattr(pushed.forces, name)
        assert getattr(forces, name) == pytest.approx(wanted, abs=1e-8 * np.abs(wanted).max())


def test_histories_keep_their_leading_axes(frame):
    influence = cage_influence(frame)
    forces = influence.section_forces(np.ones((4, 2, len(KINDS) * 18 + 1)))
    assert forces.interface.shape == (4, 2, 18, 6)
    assert forces.ring_cover.shape == (4, 2, 18 * SEGMENTS, 6)


def test_compliance_is_symmetric_and_costs_energy(frame):
    compliance = cage_influence(frame).compliance
    assert compliance == pytest.approx(compliance.T, abs=1e-9 * np.abs(compliance).max())
    newtons = compliance[:-1, :-1]
    assert np.linalg.eigvalsh(newtons).min() > -1e-9 * np.abs(newtons).max()


def test_every_pocket_has_the_same_compliance(frame):
    influence = cage_influence(frame)
    for kind in KINDS:
        own = influence.columns(kind)
        each = influence.compliance[own, own]
        assert each == pytest.approx(np.full(18, each[0]), rel=1e-8)
        assert influence.pocket_compliance(kind) > 0.0


def test_bar_yields_like_a_beam_between_two_soft_ends():
    # One piece, so that both ends are held alike. Mean deflection under an even load F: built in
    # F L^3/(720 E I), simply supported F L^3/(120 E I), shear F L/(12 k G A) on top of both.
    frame = build_cage_frame(cage_case("one_piece"))
    design = frame.design
    beam = beam_of(design.bar, design.material)
    sheared = design.bar_length / (12.0 * beam.shear)
    bent = design.bar_length**3 / beam.bend_y
    found = cage_influence(frame).local_compliance("bar")
    assert bent / 720.0 + sheared < found < bent / 120.0 + sheared


@pytest.mark.parametrize("pocket", [0, 11])
def test_held_loads_leave_no_resultant(frame, pocket):
    for load in held_loads(frame, pocket):
        assert np.abs(frame.rigid.T @ load.ravel()) == pytest.approx(np.zeros(6), abs=1e-12)


@pytest.mark.parametrize("kind", ["rivet", "tenon"])
@pytest.mark.parametrize("preload", [0.0, 500.0])
def test_interface_of_local_compliances_is_near_the_solved_one(kind, preload):
    """Bonded where preload holds the interface, open without: against 200 N with contact."""
    frame = build_cage_frame(cage_case(kind, more=f"preload_N = {preload}"))
    found = local_compliances(frame)
    for face, load in zip(FACES, held_loads(frame, 2), strict=True):
        moved = solve_cage(frame, 200.0 * load).displacement
        wanted = float(np.sum(load * moved)) / 200.0
        assert found[face][2] == pytest.approx(wanted, rel=0.12 if preload == 0.0 else 1e-6)


def test_bars_and_pockets_beside_a_missing_closure_give_way():
    """Frame turned by five pockets: the same numbers, five pockets on; other pockets like sound."""
    sound = local_compliances(build_cage_frame(cage_case("rivet")))
    first, moved = (
        local_compliances(
            build_cage_frame(cage_case("rivet", more=f"stiffness_factors = [[{number}, 0.0]]"))
        )
        for number in (4, 9)
    )
    for face in FACES:
        assert np.roll(first[face], 5) == pytest.approx(moved[face], rel=1e-7)
        assert first[face][12] == pytest.approx(sound[face][12], rel=1e-2)
    assert np.argmax(first["bar"]) == 3 and first["bar"][3] > 5.0 * sound["bar"][3]
    for face in ("cover", "base"):
        # Bar 4 lies between pockets 4 and 5.
        assert np.flatnonzero(first[face] > 1.5 * sound[face]).tolist() == [3, 4]


def test_surroundings_alone_are_stiffer_than_the_whole_cage(frame):
    influence = cage_influence(frame)
    for kind in FACES:
        assert 0.0 < influence.local_compliance(kind) < influence.pocket_compliance(kind)
    with pytest.raises(RollsimError, match="cover, base, bar"):
        influence.local_compliance("land base radial")


def test_open_interface_is_softer(frame, pushed):
    open_state, bonded = cage_influence(frame, pushed), cage_influence(frame)
    for kind in ("cover", "bar"):
        assert open_state.pocket_compliance(kind) > bonded.pocket_compliance(kind)


def test_turning_load_stretches_the_rings(frame):
    # Free thin ring: hoop force rho A v^2; bars hang on the rings, so it is more.
    influence = cage_influence(frame)
    hoop = influence.forces.ring_base[influence.columns("spin")[0], :, 0]
    design = frame.design
    area = (design.shape.outer_radius - design.shape.inner_radius) * design.base_thickness
    own = design.material.density * area * design.cover_radius**2
    assert own < hoop.min() and hoop.max() < 4.0 * own
    # Half of all metal of the cage on each ring, evenly: the mean hoop force is m r w^2/(2 pi).
    both = hoop.mean() + influence.forces.ring_cover[-1, :, 0].mean()
    assert both == pytest.approx(frame.total_mass * design.cover_radius / (2.0 * np.pi), rel=0.02)


def test_unknown_load_is_refused(frame):
    with pytest.raises(RollsimError, match="land base radial"):
        cage_influence(frame).columns("lid")
