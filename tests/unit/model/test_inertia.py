"""Masses and inertias: closed forms, a brute-force integral of the cage, case level numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.model.inertia import (
    Prism,
    annulus_section,
    bar_sections,
    cage_inertia,
    cylinder_inertia,
    inner_ring_inertia,
    outer_ring_mass,
    prisms_inertia,
    roller_inertia,
)
from rollsim.model.stiffness import cage_bar_stiffness

RADII, COUNT, PITCH, WIDTH = (0.089, 0.099), 18, 0.091, 0.0263


def test_solid_cylinder():
    """m = rho pi d^2 L/4; J_a = m r^2/2; J_t = m (3 r^2 + L^2)/12."""
    body = cylinder_inertia(0.026, 0.044, 7860.0)
    assert body.mass == pytest.approx(7860.0 * math.pi * 0.013**2 * 0.044)
    assert body.axial == pytest.approx(0.5 * body.mass * 0.013**2)
    assert body.transverse == pytest.approx(body.mass * (3 * 0.013**2 + 0.044**2) / 12)


def test_prisms_make_the_cylinder():
    """A cylinder cut into two rings and two lengths keeps its inertia and centre."""
    whole = cylinder_inertia(0.2, 0.1, 1000.0)
    parts = [
        Prism(*annulus_section(0.1, 0.04), 1000.0, 0.0, 0.1),
        Prism(*annulus_section(0.04, 0.0), 1000.0, 0.0, 0.03),
        Prism(*annulus_section(0.04, 0.0), 1000.0, 0.03, 0.1),
    ]
    body = prisms_inertia(parts)
    assert body.mass == pytest.approx(whole.mass)
    assert body.axial == pytest.approx(whole.axial)
    assert body.transverse == pytest.approx(whole.transverse)
    assert body.centre == pytest.approx(0.05)


@pytest.mark.parametrize("lean", [0.0, 0.1, -0.05])
def test_bar_sections_against_counting_points(lean):
    """Area and polar moment of the bars from a fine grid of points in one pocket pitch."""
    r = RADII[0] + (np.arange(500) + 0.5) / 500 * (RADII[1] - RADII[0])
    angle = (np.arange(4000) + 0.5) / 4000 * 2 * np.pi / COUNT - np.pi / COUNT
    radius, angle = np.meshgrid(r, angle, indexing="ij")
    along, across = radius * np.cos(angle), radius * np.abs(np.sin(angle))
    metal = across > 0.5 * WIDTH + (along - PITCH) * np.tan(lean)
    cell = (RADII[1] - RADII[0]) / 500 * 2 * np.pi / 4000
    area, polar = bar_sections(RADII, COUNT, PITCH, WIDTH, lean)
    assert area == pytest.approx((metal * radius).sum() * cell, rel=1e-3)
    assert polar == pytest.approx((metal * radius**3).sum() * cell, rel=1e-3)


def test_bars_between_concave_sides_against_counting_points():
    """Sides of radius a through the width on the pitch circle, points counted one by one."""
    a = 0.0140
    r = RADII[0] + (np.arange(500) + 0.5) / 500 * (RADII[1] - RADII[0])
    angle = (np.arange(4000) + 0.5) / 4000 * 2 * np.pi / COUNT - np.pi / COUNT
    radius, angle = np.meshgrid(r, angle, indexing="ij")
    along, across = radius * np.cos(angle) - PITCH, radius * np.abs(np.sin(angle))
    metal = np.hypot(along, across + a - 0.5 * WIDTH) > a
    cell = (RADII[1] - RADII[0]) / 500 * 2 * np.pi / 4000
    area, polar = bar_sections(RADII, COUNT, PITCH, WIDTH, 0.0, a)
    assert area == pytest.approx((metal * radius).sum() * cell, rel=1e-3)
    assert polar == pytest.approx((metal * radius**3).sum() * cell, rel=1e-3)
    # Concave sides leave more metal than plane ones, and the flatter the less.
    flat, _ = bar_sections(RADII, COUNT, PITCH, WIDTH)
    assert area > 1.05 * flat
    assert bar_sections(RADII, COUNT, PITCH, WIDTH, 0.0, 100.0)[0] == pytest.approx(flat, rel=1e-3)


def test_no_pockets_leave_the_full_ring():
    """Pockets of no width take nothing away."""
    np.testing.assert_allclose(
        bar_sections(RADII, COUNT, PITCH, 0.0), annulus_section(RADII[1], RADII[0]), rtol=1e-12
    )


def test_cage_of_the_example_size(model_case):
    """About 0.95 kg of brass; base heavier than the cover, so the centre lies towards it."""
    body = cage_inertia(model_case())
    assert body.mass == pytest.approx(0.95, abs=0.08)
    assert -0.001 < body.centre < 0.0
    mean_radius = math.sqrt(body.axial / body.mass)
    assert 0.089 < mean_radius < 0.099
    assert 0.5 * body.axial < body.transverse < body.axial


def test_cage_mass_is_the_sum_of_its_parts(model_case):
    """Two rings and 18 bars by hand, rivets of another density in their holes."""
    case = model_case()
    ring = math.pi * (0.099**2 - 0.089**2)
    bars, _ = bar_sections(RADII, 18, PITCH, 0.0263)
    brass = 8440.0 * (ring * 0.0095 + bars * 0.0444)
    rivets = 18 * math.pi * 0.0015**2 * (0.0095 + 0.0444) * (7850.0 - 8440.0)
    assert cage_inertia(case).mass == pytest.approx(brass + rivets, rel=1e-9)


def test_tenons_of_the_cage_metal_change_nothing(model_case):
    """A tenon cage weighs as much as one in one piece."""
    tenon = model_case(
        ('kind = "steel_rivet"\ndiameter_mm = 3', 'kind = "integral_tenon"\n'
         "tangential_width_mm = 4\nradial_height_mm = 4")
    )  # fmt: skip
    whole = model_case(('kind = "steel_rivet"\ndiameter_mm = 3', 'kind = "one_piece"'))
    assert cage_inertia(tenon) == cage_inertia(whole)


def test_given_cage_mass_scales_the_inertia(model_case):
    """The mass of the case file wins; moments follow, the centre stays."""
    plain = cage_inertia(model_case())
    given = cage_inertia(model_case(("guidance =", "mass_kg = 1.5\nguidance =")))
    assert given.mass == 1.5
    assert given.axial / plain.axial == pytest.approx(1.5 / plain.mass)
    assert given.transverse / plain.transverse == pytest.approx(1.5 / plain.mass)
    assert given.centre == plain.centre


def test_roller_and_inner_ring(model_case):
    """Ring: hollow cylinder from bore to raceway, 130 to 156 mm, 64 mm wide."""
    assert roller_inertia(model_case()).mass == pytest.approx(0.18362, abs=1e-5)
    ring = inner_ring_inertia(model_case())
    mass = 7860.0 * math.pi * (0.078**2 - 0.065**2) * 0.064
    assert ring.mass == pytest.approx(mass)
    assert ring.axial == pytest.approx(0.5 * mass * (0.078**2 + 0.065**2))
    assert ring.centre == pytest.approx(0.0, abs=1e-12)


def test_inner_flange_adds_mass_on_its_side(model_case):
    """One flange of 3.9 x 10 mm on the base side pulls the centre there."""
    plain = inner_ring_inertia(model_case())
    case = model_case(
        ("pitch_diameter_mm = 182", 'pitch_diameter_mm = 182\nflanges = ["inner_base"]')
    )
    flanged = inner_ring_inertia(case)
    flange = 7860.0 * math.pi * (0.0819**2 - 0.078**2) * 0.010
    assert flanged.mass - plain.mass == pytest.approx(flange, rel=1e-9)
    assert flanged.centre == pytest.approx(-0.027 * flange / flanged.mass, rel=1e-9)


def test_outer_ring_with_its_flanges(model_case):
    """Ring 208 to 240 mm, 64 mm wide; two flanges 3.9 mm high in the 10 mm beside the rollers."""
    case = model_case()
    body = math.pi * (0.120**2 - 0.104**2) * 0.064
    flange = math.pi * (0.104**2 - 0.1001**2) * 0.010
    density = case.materials[case.roller.material].density
    assert outer_ring_mass(case) == pytest.approx(density * (body + 2.0 * flange))


def test_raceway_inside_the_bore_is_refused(model_case):
    """Kept for callers that build a case by hand: plain words."""
    case = model_case()
    bearing = case.bearing.model_copy(update={"bore_mm": 160.0})
    with pytest.raises(ValueError, match="raceway"):
        inner_ring_inertia(replace(case, bearing=bearing))


def test_bar_stiffness_of_the_example(model_case):
    """5.3 mm x 10 mm x 44.4 mm brass bar: mean deflection F L^3/(720 E I) plus shear."""
    width = 2 * 0.091 * math.sin(math.pi / 18) - 0.0263
    bending = 0.0444**3 / (720 * 97e9 * 0.010 * width**3 / 12)
    shear = 0.0444 / (12 * 5 / 6 * 0.010 * width * 97e9 / 2.7)
    assert cage_bar_stiffness(model_case()) == pytest.approx(1 / (bending + shear), rel=1e-9)
