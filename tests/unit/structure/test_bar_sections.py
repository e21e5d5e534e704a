"""Sections of bars and closures."""

from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.errors import RollsimError
from rollsim.structure.design import cage_numbers
from rollsim.structure.sections import (
    BarShape,
    bar_section,
    rectangle_section,
    rectangle_torsion,
    round_section,
)

SHAPE = BarShape(0.089, 0.099, 0.091, 0.01315, 18)


def test_bar_area_equals_ring_less_pockets():
    # Bars measured along circles instead of at right angles: the same to second order.
    radius = np.linspace(0.089, 0.099, 20001)
    edge = np.arccos((radius**2 + 0.091**2 - 0.01315**2) / (2 * radius * 0.091))
    area = np.trapezoid(radius * (2 * np.pi / 18 - 2 * edge), radius)
    assert bar_section(SHAPE).area == pytest.approx(area, rel=3e-3)


def test_hole_takes_its_area_out_of_the_bar():
    full, holed = bar_section(SHAPE), bar_section(SHAPE, 4e-3, 0.095)
    assert full.area - holed.area == pytest.approx(np.pi * 4e-3**2 / 4, rel=1e-3)
    assert full.about_r - holed.about_r == pytest.approx(np.pi * 4e-3**4 / 64, rel=5e-3)
    shifted = np.pi * 4e-3**2 / 4 * (0.095 - holed.centroid) ** 2 + np.pi * 4e-3**4 / 64
    moved = full.about_t + full.area * (full.centroid - holed.centroid) ** 2
    assert moved - holed.about_t == pytest.approx(shifted, rel=5e-3)


def test_corner_points_lie_on_the_outline():
    section = bar_section(SHAPE)
    radius = section.centroid + section.points[:, 0]
    assert sorted(set(radius)) == pytest.approx([0.089, 0.099])
    assert 2 * np.abs(section.points[:, 1]) == pytest.approx(SHAPE.width(radius))


def test_round_and_rectangle_agree_with_their_formulas():
    assert round_section(5e-3).torsion == pytest.approx(np.pi * 5e-3**4 / 32)
    assert len(round_section(5e-3).points) == 36
    flat = rectangle_section(4.8e-3, 5.6e-3)
    assert flat.about_t == pytest.approx(5.6e-3 * 4.8e-3**3 / 12)
    assert flat.about_r == pytest.approx(4.8e-3 * 5.6e-3**3 / 12)
    # A thin strip twists with a b^3 / 3.
    assert rectangle_torsion(1.0, 1e-3) == pytest.approx(1e-9 / 3, rel=1e-3)


def test_bar_without_metal_is_refused():
    with pytest.raises(RollsimError, match="no metal left at radius"):
        bar_section(BarShape(0.089, 0.099, 0.091, 0.0162, 18))
    with pytest.raises(RollsimError, match="rivet holes"):
        bar_section(SHAPE, 9e-3, 0.094)


@pytest.mark.parametrize(
    ("closure", "values", "words"),
    [
        ("tenon", {"circle_diameter_mm": 194.0}, "does not fit into the bar"),
        ("tenon", {"circle_diameter_mm": 183.0}, "does not fit into the bar"),
        ("tenon", {"tangential_width_mm": 9.0}, "does not fit into the bar"),
        ("rivet", {"count": 7}, "must divide"),
    ],
)
def test_closure_that_cannot_be_made_is_refused(closure, values, words):
    # The checks of a case file refuse these too: they are put in behind them.
    case = cage_case(closure)
    other = case.cage.closure.model_copy(update=values)
    case = replace(case, cage=case.cage.model_copy(update={"closure": other}))
    with pytest.raises(RollsimError, match=words):
        cage_numbers(case)
