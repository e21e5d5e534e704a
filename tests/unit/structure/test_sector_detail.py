"""Solid model of a cage sector: equilibrium, ordering of the closures, agreement with the beams."""

import dataclasses
import math

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.errors import RollsimError
from rollsim.structure import sector_detail as module
from rollsim.structure.cage_mesh import frame_design as cage_design
from rollsim.structure.sector_contact import sector_motions, solve_contact
from rollsim.structure.sector_detail import sector_convergence, sector_detail
from rollsim.structure.sector_mesh import sector_mesh
from rollsim.structure.sector_plane import half_plane
from rollsim.structure.sector_read import balanced_push, bar_push, cover_push, section_force

pytest.importorskip("skfem")
CAGES = {
    "free": {"closure": "rivet", "fit": "free"},
    "tight": {"closure": "rivet", "fit": "tight"},
    "tenon": {"closure": "tenon"},
    "round_tenon": {"closure": "round"},
    "one_piece": {"closure": "one_piece"},
}


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    """Keep solved sectors of one session in one folder, away from the user's."""
    base = tmp_path_factory.getbasetemp() / "sector_cache"
    monkeypatch.setenv("ROLLSIM_CACHE", str(base))


def details(load="cover", refine=0.5):
    """All four cages at 1 kN."""
    return {
        name: sector_detail(cage_case(**cage), 1000.0, load, refine) for name, cage in CAGES.items()
    }


@pytest.mark.parametrize("name", CAGES)
@pytest.mark.parametrize("load", ["cover", "bar"])
def test_forces_balance(name, load):
    design = cage_design(cage_case(**CAGES[name]))
    mesh = sector_mesh(design, 0.5, whole=load == "bar")
    solid = module._solid(mesh)
    push = cover_push(mesh) if load == "cover" else bar_push(mesh)
    assert np.sum(push) == pytest.approx(0.5 if load == "cover" else 1.0, rel=1e-12)
    motion, pressure = solve_contact(solid.stiffness(), sector_motions(mesh), mesh, push)
    reaction = (solid.stiffness() @ motion - push).reshape(-1, 3)
    for (outer, inner), normal, force in zip(mesh.pairs, mesh.pair_normals, pressure, strict=True):
        reaction[outer] -= force * normal
        reaction[inner] += force * normal
    held = mesh.node_level == 0
    on_edge = np.abs(np.abs(np.arctan2(mesh.points[:, 1], mesh.points[:, 0])) - math.pi / 18) < 1e-9
    inside = ~held & ~on_edge & (mesh.whole | (np.abs(mesh.points[:, 1]) > 1e-9))
    assert np.max(np.abs(reaction[inside])) < 1e-9
    total = np.sum(reaction, axis=0)
    if load == "cover":
        assert total[2] == pytest.approx(-0.5, rel=1e-9)
    else:
        # Moment about the bearing axis; the neighbours' forces cancel.
        lever = mesh.points[np.flatnonzero(push) // 3, 0]
        assert np.ptp(lever) < 1e-12
        arm = np.cross(mesh.points, reaction)[:, 2]
        assert np.sum(arm) == pytest.approx(-lever[0], rel=1e-9)
    axial = section_force(mesh, solid, motion, mesh.levels.interface, pressure)[0]
    share = 1.0 if mesh.whole else 2.0
    pushed = 1.0 if load == "cover" else 0.0
    face = share * np.sum(pressure[: mesh.interface_pairs])
    assert axial == pytest.approx(pushed + face, abs=1e-9)


@pytest.mark.parametrize("name", ["free", "tenon"])
def test_faces_press_and_never_overlap(name):
    mesh = sector_mesh(cage_design(cage_case(**CAGES[name])), 0.5, whole=False)
    solid = module._solid(mesh)
    motion, pressure = solve_contact(
        solid.stiffness(), sector_motions(mesh), mesh, cover_push(mesh)
    )
    way = motion.reshape(-1, 3)
    gap = np.sum((way[mesh.pairs[:, 0]] - way[mesh.pairs[:, 1]]) * mesh.pair_normals, axis=1)
    size = np.max(np.abs(gap))
    assert np.all(pressure >= 0.0) and np.any(pressure > 0.0) and np.any(pressure == 0.0)
    assert np.min(gap) > -1e-7 * size
    assert np.max(np.abs(gap[pressure > 0.0])) < 1e-7 * size
    assert np.max(gap) == pytest.approx(size)


def test_plane_covers_half_a_sector():
    for cage in CAGES.values():
        plane = half_plane(cage_design(cage_case(**cage)), 1.0)
        area = math.pi * (99e-3**2 - 89e-3**2) / 36.0
        assert np.sum(plane.area) == pytest.approx(area, rel=2e-3)


def test_push_lies_on_the_load_radius():
    mesh = sector_mesh(cage_design(cage_case(load=179.0)), 1.0, whole=False)
    push = cover_push(mesh).reshape(-1, 3)[:, 2]
    radius = np.hypot(*mesh.points[:, :2].T)
    assert np.sum(push * radius) / np.sum(push) == pytest.approx(89.5e-3, rel=1e-9)


def test_free_shank_opens_more_than_tight_and_tenon_is_stiffer():
    # Ordering and order of magnitude: common practice, no source.
    found = details()
    lift = {name: 1000.0 / one.stiffness_N_per_m for name, one in found.items()}
    assert lift["free"] > 1.15 * lift["tight"] > 1.15 * lift["one_piece"]
    assert lift["free"] > 1.15 * lift["tenon"]
    for one in found.values():
        assert 0.02e-3 < one.deflection_m < 0.3e-3
        assert 50e6 < one.closure_stress_Pa < 1000e6
    assert found["free"].touching < found["tight"].touching
    assert found["free"].fillet_stress_Pa > 1.3 * found["tenon"].fillet_stress_Pa
    assert found["tenon"].notch_factor > 1.2


def test_a_push_further_in_bends_the_closure_more():
    inner = sector_detail(cage_case(load=180.0), 1000.0, refine=0.5)
    outer = sector_detail(cage_case(load=188.0), 1000.0, refine=0.5)
    assert inner.interface_force[5] > 1.3 * outer.interface_force[5] > 0.0


@pytest.mark.parametrize("held", ["base", "inertia"])
def test_a_floating_sector_needs_no_hold(held):
    # One node is kept from moving; it must carry nothing.
    mesh = sector_mesh(cage_design(cage_case()), 0.5, whole=False)
    solid = module._solid(mesh)
    push = cover_push(mesh)
    load = balanced_push(mesh, solid, push, held)
    motion, pressure = solve_contact(
        solid.stiffness(), sector_motions(mesh, clamped=False), mesh, load
    )
    reaction = (solid.stiffness() @ motion - load).reshape(-1, 3)[:, 2]
    for (outer, inner), normal, force in zip(mesh.pairs, mesh.pair_normals, pressure, strict=True):
        reaction[outer] -= force * normal[2]
        reaction[inner] += force * normal[2]
    assert np.max(np.abs(reaction)) < 1e-8
    # The pull of the joint is what lies beyond it: all of the push, less the cover's own inertia.
    axial = section_force(mesh, solid, motion, mesh.levels.interface, pressure)[0]
    face = 2.0 * np.sum(pressure[: mesh.interface_pairs])
    assert axial - face == pytest.approx(1.0, abs=1e-9) if held == "base" else axial - face < 0.9


def test_a_free_shank_swings_in_its_bar_and_a_tight_one_does_not():
    free = sector_detail(cage_case(), 1000.0, refine=0.5)
    # A shank built in at its far head and turned by the moment at the mouth bows by
    # M L^2/(27 E I) at most (beam tables); it leans on one side of a hole that bows a little too.
    bow = abs(free.interface_force[5]) * 0.0492**2 / (27.0 * 206e9 * math.pi * 5e-3**4 / 64.0)
    assert free.swing_m == pytest.approx(bow, rel=0.3)
    assert sector_detail(cage_case(fit="tight"), 1000.0, refine=0.5).swing_m == 0.0


def test_bar_load_bends_the_closures_sideways():
    one = sector_detail(cage_case(fit="tight"), 1000.0, "bar", 0.5)
    assert abs(one.interface_force[2]) > 15.0 and one.interface_force[4] > 0.5
    assert one.interface_force[0] == pytest.approx(one.contact_force_N, rel=1e-9)


def test_solved_sectors_are_kept(monkeypatch):
    case = cage_case("tenon")
    first = sector_detail(case, 500.0, refine=0.5)
    monkeypatch.setattr(module, "solve_sector", None)
    again = sector_detail(case, 1000.0, refine=0.5)
    assert again == first.scaled(1000.0)
    assert again.deflection_m == pytest.approx(2.0 * first.deflection_m, rel=1e-12)
    assert again.notch_factor == first.notch_factor
    design = dataclasses.replace(cage_design(case), preload=0.0)
    file = module._cache_file(design, "cover", 0.5)
    other = dataclasses.replace(design, fillet=0.4e-3)
    assert file.exists() and module._cache_file(other, "cover", 0.5) != file
    assert module._cache_file(design, "cover", 0.5, "inertia") != file
    file.write_text("{broken", encoding="utf-8")
    assert module._read(file) is None


def test_wrong_input_is_refused_in_one_message():
    with pytest.raises(RollsimError, match=r"force_N(.|\n)*load(.|\n)*held(.|\n)*refine"):
        sector_detail(cage_case(), -1.0, "side", 9.0, "air")
    with pytest.raises(RollsimError, match="every bar"):
        sector_detail(cage_case(more="count = 9\n"), 1.0)
    beside = 'position = "beside_bars"\nboss_diameter_mm = 7.0\ncount = 10\n'
    with pytest.raises(RollsimError, match="beside the bars"):
        sector_detail(cage_case(more=beside, fit="tight"), 1.0)
    with pytest.raises(RollsimError, match="stiffness_factors"):
        sector_detail(cage_case(more="stiffness_factors = [[1, 0.5]]\n"), 1.0)
    with pytest.raises(RollsimError, match="too large for a cover"):
        sector_detail(cage_case(more="head_fillet_mm = 4.0\n"), 1.0)


@pytest.mark.long
@pytest.mark.parametrize("name", ["free", "tenon"])
def test_stress_in_a_fillet_converges(name):
    meshes = sector_convergence(cage_case(**CAGES[name]), 1000.0)
    assert len(meshes) == 3 and meshes[0].unknowns < meshes[1].unknowns < meshes[2].unknowns
    stress = [one.fillet_stress_Pa for one in meshes]
    steps = np.abs(np.diff(stress)) / stress[-1]
    assert steps[1] < 0.2
    lift = [1.0 / one.stiffness_N_per_m for one in meshes]
    assert abs(lift[2] - lift[1]) < 0.06 * lift[2]
