"""Frame of the cage with its base ring held: closed solutions, equilibrium, the interface."""

from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_case
from held_frame import frame_of, held

from rollsim.structure.beams import BeamKind, circle, ring_beams, stack
from rollsim.structure.cage_axes import AXIAL, beam_of, directions
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_mesh import held_point
from rollsim.structure.cage_solution import cover_lift, pocket_loads
from rollsim.structure.closed_forms import (
    built_in_spread_moment,
    fastener_shear,
    ring_roll_angle,
)
from rollsim.structure.design import bar_period, cage_numbers

COUNT = 18
SORTS = [
    ("rivet", "free"),
    ("rivet", "tight"),
    ("tenon", "tight"),
    ("round", "tight"),
    ("one_piece", "tight"),
]


def stiff(section, factor):
    """The same section with all rigidities grown."""
    return replace(
        section,
        area=section.area * factor,
        about_r=section.about_r * factor,
        about_t=section.about_t * factor,
        torsion=section.torsion * factor,
    )


def test_ring_rolls_under_an_even_couple():
    design, parts = cage_numbers(cage_case()), 8 * COUNT
    nodes = circle(design.cover_radius, 0.0, parts)
    kind = BeamKind(beam_of(design.cover, design.material), None)
    stiffness = stack(ring_beams("cover", nodes, 0, kind)).assemble("stiffness", parts)
    step = 2.0 * np.pi / parts
    load = np.zeros((parts, 6))
    for k in range(parts):
        load[k, 3:] = 3.0 * design.cover_radius * step * directions(design, k / 8)[1]
    # Soft springs everywhere take nothing from loads in equilibrium.
    soft = stiffness.toarray() + 1e-4 * np.eye(6 * parts)
    motion = np.linalg.solve(soft, load.ravel()).reshape(-1, 6)
    angle = motion[40, 3:] @ directions(design, 5)[1]
    rigidity = design.material.youngs_modulus * design.cover.about_r
    assert angle == pytest.approx(ring_roll_angle(3.0, design.cover_radius, rigidity), rel=3e-3)


@pytest.mark.parametrize(("closure", "fit"), SORTS)
@pytest.mark.parametrize("kind", ["cover", "bars"])
def test_roots_carry_the_whole_load(closure, fit, kind):
    frame = build_cage_frame(cage_case(closure, fit=fit))
    design = frame.design
    forces = np.linspace(0.0, 900.0, COUNT) - (400.0 if kind == "bars" else 0.0)
    motion, sections, _ = held(frame, pocket_loads(frame, **{kind: forces}))
    total, applied = np.zeros(3), np.zeros(3)
    for j in range(COUNT):
        radial, tangential = directions(design, j + 0.5)
        axes = np.array([AXIAL, radial, tangential])
        # A free shank ends at the base ring too, beside the root of its bar.
        total += sections.bar_base[j, :3] @ axes
        if design.shank_free:
            total += shank_foot(frame, motion, j)
        applied += forces[j] * (AXIAL if kind == "cover" else tangential)
    assert total == pytest.approx(applied, abs=1e-6 * np.abs(forces).sum())


def shank_foot(frame, motion, j):
    """Force that the shank of a free rivet puts on the base ring, in the axes of the cage."""
    (first, _) = frame.beams.where(f"closure {j}")
    radial, tangential = directions(frame.design, j + 0.5)
    local = -frame.beams.end_forces(motion)[first, :3]
    return local @ np.array([AXIAL, radial, tangential])


def test_free_shank_and_bar_together_carry_an_even_push():
    frame = build_cage_frame(cage_case(fit="free"))
    _, sections, _ = held(frame, pocket_loads(frame, cover=1000.0))
    pulls, roots = sections.interface[:, 0], sections.bar_base[:, 0]
    # What the rivet pulls beyond the push of its roller is pressed back onto the bar.
    assert pulls + roots == pytest.approx(np.full(COUNT, 1000.0), rel=1e-6)
    assert np.all(pulls > 1000.0) and np.all(roots < 0.0)


def test_one_piece_passes_exactly_the_push():
    frame = build_cage_frame(cage_case("one_piece"))
    _, sections, _ = held(frame, pocket_loads(frame, cover=1000.0))
    for place in ("interface", "bar_base", "bar_cover"):
        assert getattr(sections, place)[:, 0] == pytest.approx(np.full(COUNT, 1000.0))


@pytest.mark.parametrize(("closure", "fit"), SORTS)
def test_equal_push_gives_equal_closures_without_tangential_parts(closure, fit):
    frame = build_cage_frame(cage_case(closure, fit=fit))
    _, sections, _ = held(frame, pocket_loads(frame, cover=1000.0))
    forces = sections.interface
    assert forces == pytest.approx(np.tile(forces[0], (COUNT, 1)), rel=1e-5, abs=1e-4)
    assert forces[:, [2, 3, 4]] == pytest.approx(np.zeros((COUNT, 3)), abs=1e-4)


@pytest.mark.parametrize(("closure", "fit"), SORTS)
def test_bar_force_backward_is_the_mirror_of_forward(closure, fit):
    frame = build_cage_frame(cage_case(closure, fit=fit))
    mirror = np.array([1.0, 1.0, -1.0, -1.0, -1.0, 1.0])
    order = -np.arange(COUNT) % COUNT
    forces = np.eye(COUNT)[0]
    one, other = (held(frame, pocket_loads(frame, bars=s * 200.0 * forces))[1] for s in (1, -1))
    for place in ("interface", "head", "bar_base"):
        forward, backward = getattr(one, place), getattr(other, place)
        scale = np.abs(forward).max()
        assert backward[order] * mirror == pytest.approx(forward, abs=2e-6 * scale)


def test_interface_presses_and_never_pulls():
    frame = build_cage_frame(cage_case(fit="tight"))
    design = frame.design
    motion, _, closed = held(frame, pocket_loads(frame, cover=1000.0))
    opening = frame.opening @ motion.ravel()
    assert 0 < closed.sum() < closed.size
    assert opening[closed].max() <= 1e-7 * np.abs(opening).max()
    assert opening[~closed].min() >= -1e-7 * np.abs(opening).max()
    # Rollers push inside the closure circle: the cover rocks onto the outer rim.
    radius = np.tile(design.interface_points[:, 0], COUNT)
    assert radius[closed].min() > design.closure_radius


def test_rivets_on_every_second_bar_carry_twice_the_load():
    frame = build_cage_frame(cage_case(fit="tight", more="count = 9"))
    _, sections, _ = held(frame, pocket_loads(frame, cover=1000.0))
    assert np.all(sections.interface[1::2] == 0.0)
    assert np.all(sections.interface[0::2, 0] > 2000.0)


def test_load_radius_matters_much():
    def lift(radius):
        frame = build_cage_frame(cage_case(load=radius))
        motion, sections, _ = held(frame, pocket_loads(frame, cover=1000.0))
        return cover_lift(frame, motion).max(), np.abs(sections.interface[:, 5]).max()

    inside, near = lift(181.0), lift(188.0)
    assert inside[0] > 1.5 * near[0]
    assert inside[1] > 2.0 * near[1]


def test_stiff_cover_shares_shear_like_a_fastener_group(monkeypatch):
    def change(design):
        # Bars that bend equally both ways, and do not twist, act as equal fasteners.
        even = replace(
            design.bar,
            centroid=0.094,
            about_r=design.bar.about_t,
            torsion=design.bar.torsion * 1e-6,
        )
        cover = stiff(design.cover, 1e5)
        return replace(design, cover=cover, bar=even, closure=even, closure_radius=0.094)

    frame = frame_of(monkeypatch, change, "one_piece")
    design = frame.design
    force, radial = np.array([0.0, 1800.0, 0.0]), directions(design, 4)[0]
    load = np.zeros((len(frame.nodes), 6))
    load[frame.mesh.ring_node("cover", 4), :3] = force
    _, sections, _ = held(frame, load)
    places = np.array([0.094 * directions(design, j + 0.5)[0][:2] for j in range(COUNT)])
    expected = fastener_shear(places, force[:2], design.cover_radius * radial[:2])
    for j in range(COUNT):
        r, t = directions(design, j + 0.5)
        shear = sections.interface[j, 1] * r[:2] + sections.interface[j, 2] * t[:2]
        assert shear == pytest.approx(expected[j], abs=0.01 * np.abs(expected).max())


def test_stiff_held_cover_makes_a_built_in_bar(monkeypatch):
    def change(design):
        bar = replace(design.bar, shear_share=1e6)
        return replace(design, cover=stiff(design.cover, 1e6), closure=stiff(bar, 1e4), bar=bar)

    frame = frame_of(monkeypatch, change, "one_piece")
    design = frame.design
    # Equal and opposite forces on bars that face each other hold the cover still, bar by bar.
    _, sections, _ = held(frame, pocket_loads(frame, bars=100.0 * (-1.0) ** np.arange(COUNT)))
    roots = sections.bar_base
    moment = built_in_spread_moment(100.0, design.bar_length)
    assert np.abs(roots[:, 4]) == pytest.approx(np.full(COUNT, moment), rel=5e-3)
    assert np.abs(roots[:, 2]) == pytest.approx(np.full(COUNT, 50.0), rel=5e-3)
    # The rollers press at the pitch radius, beside the middle of the bar: half of the torque each.
    torque = 100.0 * (design.bar.centroid - design.shape.pitch_radius)
    assert np.abs(roots[:, 3]) == pytest.approx(np.full(COUNT, 0.5 * torque), rel=5e-3)


def test_spread_load_bends_the_root_of_a_free_bar_like_a_cantilever(monkeypatch):
    # A cover and closures of next to no stiffness leave every bar to itself: F L/2 at its root.
    def change(design):
        return replace(design, cover=stiff(design.cover, 1e-7), closure=stiff(design.closure, 1e-7))

    frame = frame_of(monkeypatch, change, "one_piece")
    _, sections, _ = held(frame, pocket_loads(frame, bars=100.0 * np.eye(COUNT)[5]))
    root = sections.bar_base[5]
    assert abs(root[4]) == pytest.approx(100.0 * 0.5 * frame.design.bar_length, rel=1e-3)
    assert root[2] == pytest.approx(100.0, rel=1e-3)


def test_a_point_held_by_a_node_moves_with_its_turning():
    motion = np.array([1.0, 2.0, 3.0, 0.1, -0.2, 0.3])
    arm = np.array([0.5, -0.4, 0.2])
    assert held_point(arm) @ motion == pytest.approx(motion[:3] + np.cross(motion[3:], arm))


def test_period_of_a_bar_agrees_with_its_middle_deflection():
    # Rayleigh's quotient with the sag x^2 (L - x)^2 under its own weight: w^2 = 630/480 g/sag.
    design = cage_numbers(cage_case())
    bar, metal = design.bar, design.material
    rigidity = metal.youngs_modulus * bar.about_r
    weight = 9.81 * metal.density * bar.area * design.bar_length
    sag = weight * design.bar_length**3 / (384.0 * rigidity)
    expected = 2.0 * np.pi / np.sqrt(630.0 / 480.0 * 9.81 / sag)
    assert bar_period(design) == pytest.approx(expected, rel=5e-3)
