"""The beam model of the cover against closed solutions and against equilibrium."""

from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_case
from scipy.sparse.linalg import splu

from rollsim.structure.closed_forms import (
    built_in_spread_moment,
    fastener_shear,
    ring_moments,
    ring_roll_angle,
)
from rollsim.structure.cover_frame import build_cover_frame
from rollsim.structure.cover_parts import (
    AXIAL,
    SEGMENTS,
    assemble,
    bar_node,
    cover_elements,
    directions,
    node_dofs,
    pocket_node,
)
from rollsim.structure.design import cage_design


def stiff(section, factor):
    """The same section with all rigidities grown."""
    return replace(
        section,
        area=section.area * factor,
        about_r=section.about_r * factor,
        about_t=section.about_t * factor,
        torsion=section.torsion * factor,
    )


def free_ring(design):
    """Cover alone on very soft springs, which take nothing from loads in equilibrium."""
    size = 6 * design.count * SEGMENTS
    soft = [(np.array([k]), np.array([1.0]), 1e-4) for k in range(size)]
    return splu(assemble(cover_elements(design), soft, size)), size


@pytest.mark.parametrize(("count", "forces"), [(18, 2), (18, 3), (16, 4), (16, 8)])
def test_ring_under_radial_forces(count, forces):
    # Straight beams instead of arcs: 0.8 % at 16 beams from load to load, less with more.
    design = replace(cage_design(cage_case()), count=count)
    slender = replace(
        design,
        cover=replace(design.cover, about_t=design.cover.about_t * 1e-2, shear_share=5.0),
    )
    solver, size = free_ring(slender)
    load = np.zeros(size)
    for j in range(0, count, count // forces):
        radial, _ = directions(slender, j)
        load[node_dofs(pocket_node(slender, j))[:3]] += 100.0 * radial
    motion = solver.solve(load)
    elements = cover_elements(slender)
    under = elements[0].end_forces(motion)[5]
    midway = elements[count * SEGMENTS // forces // 2].end_forces(motion)[5]
    expected = ring_moments(100.0, slender.cover_radius, forces)
    assert [abs(under), abs(midway)] == pytest.approx(expected, rel=8e-3)


def test_ring_rolls_under_an_even_couple():
    design = cage_design(cage_case())
    solver, size = free_ring(design)
    load, total = np.zeros(size), design.count * SEGMENTS
    step = 2 * np.pi * design.cover_radius / total
    for k in range(total):
        _, tangential = directions(design, k / SEGMENTS)
        load[node_dofs(k)[3:]] += 3.0 * step * tangential
    motion = solver.solve(load)
    _, tangential = directions(design, 5)
    angle = motion[node_dofs(pocket_node(design, 5))[3:]] @ tangential
    rigidity = design.material.youngs_modulus * design.cover.about_r
    assert angle == pytest.approx(ring_roll_angle(3.0, design.cover_radius, rigidity), rel=3e-3)


@pytest.mark.parametrize("closure", ["rivet", "tenon", "one_piece"])
@pytest.mark.parametrize("kind", ["cover", "bar"])
def test_bars_carry_the_whole_load(closure, kind):
    design = cage_design(cage_case(closure, fit="tight"))
    frame = build_cover_frame(design)
    forces = np.linspace(0.0, 900.0, design.count)
    on_bars = None if kind == "cover" else forces - 400.0
    load = frame.cover_load(forces) if on_bars is None else frame.bar_load(on_bars)
    motion, _ = frame.solve(load)
    roots = frame.section_forces(motion, on_bars)[2]
    total, applied = np.zeros(3), np.zeros(3)
    for j, root in enumerate(roots):
        radial, tangential = directions(design, j + 0.5)
        total += root[0] * AXIAL + root[1] * radial + root[2] * tangential
        applied += forces[j] * AXIAL if on_bars is None else on_bars[j] * tangential
    assert total == pytest.approx(applied, abs=1e-6 * np.abs(forces).sum())


def test_free_shank_and_bar_together_carry_an_even_push():
    design = cage_design(cage_case(fit="free"))
    frame = build_cover_frame(design)
    motion, _ = frame.solve(frame.cover_load(np.full(18, 1000.0)))
    forces = frame.section_forces(motion)
    # What the rivet pulls beyond the push of its roller is pressed back onto the bar.
    assert forces[0, :, 0] + forces[2, :, 0] == pytest.approx(np.full(18, 1000.0), rel=1e-6)
    assert np.all(forces[0, :, 0] > 1000.0) and np.all(forces[2, :, 0] < 0.0)


def test_interface_presses_and_never_pulls():
    design = cage_design(cage_case(fit="tight"))
    frame = build_cover_frame(design)
    motion, active = frame.solve(frame.cover_load(np.full(18, 1000.0)))
    opening = frame.opening_rows @ motion
    assert 0 < active.sum() < active.size
    assert opening[active].max() <= 1e-7 * np.abs(opening).max()
    assert opening[~active].min() >= -1e-7 * np.abs(opening).max()
    radius = np.tile(design.interface_points[:, 0], 18)
    # Rollers push inside the closure circle: the cover rocks onto the outer rim.
    assert radius[active].min() > design.closure_radius


def test_stiff_cover_shares_shear_like_a_fastener_group():
    design = cage_design(cage_case("one_piece"))
    design = replace(
        design, cover=stiff(design.cover, 1e5), bar=replace(design.bar, centroid=0.094)
    )
    # Bars that bend equally both ways, and do not twist, act as equal fasteners.
    even = replace(design.bar, about_r=design.bar.about_t, torsion=design.bar.torsion * 1e-6)
    design = replace(design, bar=even, closure=even, closure_radius=0.094)
    frame = build_cover_frame(design)
    load = np.zeros(frame.stiffness.shape[0])
    node = pocket_node(design, 4)
    radial, _ = directions(design, 4)
    force = np.array([0.0, 1800.0, 0.0])
    load[node_dofs(node)[:3]] = force
    motion, _ = frame.solve(load)
    forces = frame.section_forces(motion)[0]
    places = np.array([0.094 * directions(design, j + 0.5)[0][:2] for j in range(18)])
    expected = fastener_shear(places, force[:2], design.cover_radius * radial[:2])
    for j in range(18):
        r, t = directions(design, j + 0.5)
        shear = forces[j, 1] * r[:2] + forces[j, 2] * t[:2]
        assert shear == pytest.approx(expected[j], abs=0.01 * np.abs(expected).max())


def test_stiff_held_cover_makes_a_built_in_bar():
    design = cage_design(cage_case("one_piece"))
    design = replace(
        design,
        cover=stiff(design.cover, 1e6),
        closure=stiff(design.closure, 1e4),
        bar=replace(design.bar, shear_share=1e6),
    )
    frame = build_cover_frame(design)
    # Equal and opposite forces on bars that face each other hold the cover still, bar by bar.
    forces = 100.0 * (-1.0) ** np.arange(18)
    motion, _ = frame.solve(frame.bar_load(forces))
    roots = frame.section_forces(motion, forces)[2]
    moment = built_in_spread_moment(100.0, design.bar_length)
    assert np.abs(roots[:, 4]) == pytest.approx(np.full(18, moment), rel=5e-3)
    assert np.abs(roots[:, 2]) == pytest.approx(np.full(18, 50.0), rel=5e-3)
    # The rollers press at the pitch radius, beside the middle of the bar: half of the torque each.
    torque = 100.0 * (design.bar.centroid - design.shape.pitch_radius)
    assert np.abs(roots[:, 3]) == pytest.approx(np.full(18, 0.5 * torque), rel=5e-3)


def test_spread_load_bends_the_root_of_a_free_bar_like_a_cantilever():
    # A cover and closures of next to no stiffness leave every bar to itself: F L/2 at its root.
    design = cage_design(cage_case("one_piece"))
    design = replace(design, cover=stiff(design.cover, 1e-7), closure=stiff(design.closure, 1e-7))
    frame = build_cover_frame(design)
    forces = 100.0 * np.eye(18)[5]
    motion, _ = frame.solve(frame.bar_load(forces))
    root = frame.section_forces(motion, forces)[2, 5]
    assert abs(root[4]) == pytest.approx(100.0 * 0.5 * design.bar_length, rel=1e-3)
    assert root[2] == pytest.approx(100.0, rel=1e-3)


def test_nodes_do_not_overlap():
    design = cage_design(cage_case(more="count = 9"))
    nodes = [pocket_node(design, j) for j in range(18)]
    nodes += [bar_node(design, j, which) for j in range(18) for which in ("cover", "middle", "end")]
    nodes += [bar_node(design, int(j), "mouth") for j in design.closure_bars]
    assert len(set(nodes)) == len(nodes)


def test_bars_without_a_rivet_keep_their_metal():
    # A rivet on every second bar: the bars between have no hole.
    design = cage_design(cage_case(more="count = 9", fit="tight"))
    drilled, solid = design.bar_at(0), design.bar_at(1)
    assert drilled is design.bar
    hole = np.pi * 5e-3**2 / 4.0
    assert solid.area - drilled.area == pytest.approx(hole, rel=2e-3)
    bars = build_cover_frame(design).bars
    for j, section in ((0, drilled), (1, solid)):
        # Pull on half a bar: E A / (L/2).
        stiffness = design.material.youngs_modulus * section.area / (0.5 * design.bar_length)
        assert bars[j].stiffness[0, 0] == pytest.approx(stiffness, rel=1e-9)
