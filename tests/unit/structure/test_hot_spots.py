"""Stress at hot spots and notch factors."""

import numpy as np
import pytest
from cage_cases import cage_case, cage_text

from rollsim.case.read import parse_case
from rollsim.structure.design import cage_numbers
from rollsim.structure.hot_spots import hot_spots
from rollsim.structure.notch import _FITS, step_notch


def spots_of(closure="rivet", **values):
    """Spots by name."""
    found = hot_spots(cage_numbers(cage_case(closure, **values)))
    return {spot.name: spot for spot in found}


def test_names_by_execution():
    assert list(spots_of()) == ["rivet head fillet", "rivet at interface", "bar root at base ring"]
    assert list(spots_of("tenon")) == ["tenon root", "bar root at base ring"]
    assert list(spots_of("one_piece")) == ["bar root at cover", "bar root at base ring"]


def test_round_shank_in_tension_and_bending():
    spot = spots_of()["rivet at interface"]
    area, modulus = np.pi * 25e-6 / 4, np.pi * 125e-9 / 32
    pull = np.array([1000.0, 0, 0, 0, 0, 0])
    assert spot.stress(pull) == pytest.approx(np.full(36, 1000.0 / area))
    bend = np.array([0, 0, 0, 0, 0, 2.0])
    assert spot.stress(bend).max() == pytest.approx(2.0 / modulus)
    # A positive moment about t stretches the inner side (r < 0).
    assert spot.stress(bend).argmax() == 18
    about_r = np.array([0, 0, 0, 0, 2.0, 0])
    assert spot.stress(about_r).argmax() == 9


def test_notched_stress_is_nominal_times_factor():
    spot = spots_of("tenon")["tenon root"]
    pull, bend = np.eye(6)[0] * 500.0, np.eye(6)[5] * 1.5
    assert spot.stress(pull) == pytest.approx(spot.notch_tension * spot.stress(pull, False))
    assert spot.stress(bend) == pytest.approx(spot.notch_about_t * spot.stress(bend, False))
    assert min(spot.notch_tension, spot.notch_about_r, spot.notch_about_t) > 1.5


def test_equivalent_stress_of_pure_shear_tension_and_preload():
    spot = spots_of(more="preload_N = 400.0")["rivet at interface"]
    area = np.pi * 25e-6 / 4
    shear = np.array([0, 300.0, 400.0, 0, 0, 0])
    expected = np.hypot(400.0 / area, np.sqrt(3) * 4 / 3 * 500.0 / area)
    assert spot.equivalent(shear) == pytest.approx(expected)
    assert spot.equivalent(np.eye(6)[0] * 600.0) == pytest.approx(1000.0 / area)
    twist = np.eye(6)[3] * 1.0
    tau = 1.0 * 16 / (np.pi * 125e-9)
    assert spot.equivalent(twist) == pytest.approx(np.hypot(400.0 / area, np.sqrt(3) * tau))
    assert spot.preload_stress() == pytest.approx(400.0 / area)


def test_own_notch_factor_replaces_all():
    design = cage_numbers(cage_case())
    for spot in hot_spots(design, 1.7):
        factors = (spot.notch_tension, spot.notch_about_r, spot.notch_about_t)
        assert factors == (1.7, 1.7, 1.7)


def test_larger_fillet_gives_less_stress():
    sharp = spots_of("tenon", more="root_fillet_mm = 0.2")["tenon root"]
    soft = spots_of("tenon", more="root_fillet_mm = 0.5")["tenon root"]
    assert soft.notch_tension < sharp.notch_tension
    assert soft.notch_about_t < sharp.notch_about_t


def test_pocket_fillet_of_the_case_sets_the_bar_roots():
    sharp = spots_of()["bar root at base ring"]
    text = cage_text().replace("guidance =", "pocket_fillet_mm = 1.5\nguidance =")
    soft = {s.name: s for s in hot_spots(cage_numbers(parse_case(text, "round.toml")))}
    soft = soft["bar root at base ring"]
    assert soft.notch_tension < sharp.notch_tension
    assert soft.notch_about_r < sharp.notch_about_r
    assert "fillet 0.5 mm" in sharp.note and "fillet 1.5 mm" in soft.note


@pytest.mark.parametrize("key", sorted(_FITS))
def test_fits_end_at_one_and_join(key):
    # A step that takes all of the width, d -> 0, has no stress concentration: the constants add up
    # to 1 within what the printed digits allow.
    for rows, ratios in zip(_FITS[key], ((0.1, 2.0), (2.0, 20.0)), strict=True):
        for ratio in ratios:
            total = sum(a + b * ratio**0.5 + c * ratio for a, b, c in rows)
            assert total == pytest.approx(1.0, abs=0.05)
    below = step_notch(*key, 20e-3 + 4e-3 * 0.99999, 20e-3, 1e-3).value
    above = step_notch(*key, 20e-3 + 4e-3 * 1.00001, 20e-3, 1e-3).value
    assert above == pytest.approx(below, rel=0.03)


def test_no_step_and_out_of_range_steps():
    assert step_notch("flat", "tension", 5e-3, 5e-3, 1e-3).value == 1.0
    deep = step_notch("flat", "tension", 40e-3, 10e-3, 0.5e-3)
    assert "taken as 20" in deep.note
    shallow = step_notch("round", "bending", 10.01e-3, 10e-3, 1e-3)
    assert "taken as 0.1" in shallow.note and 1.0 <= shallow.value < 1.4


def test_bars_without_a_rivet_are_a_place_of_their_own():
    design = cage_numbers(cage_case(more="count = 6"))
    found = {spot.name: spot for spot in hot_spots(design)}
    drilled, bare = found["bar root at base ring"], found["root of unriveted bar"]
    assert drilled.bars.tolist() == [0, 3, 6, 9, 12, 15]
    assert sorted([*drilled.bars, *bare.bars]) == list(range(18))
    # The hole takes pi d^4/64 and what its middle lies off the bar's; the root bends less without.
    assert bare.section.about_r - drilled.section.about_r == pytest.approx(
        np.pi * 5e-3**4 / 64.0, rel=5e-3
    )
    bend = np.eye(6)[4]
    assert bare.stress(bend).max() < drilled.stress(bend).max()


def test_round_tenon():
    design = cage_numbers(cage_case("round"))
    assert design.closure.area == pytest.approx(np.pi * 5.5e-3**2 / 4.0)
    spot = spots_of("round")["tenon root"]
    assert len(spot.section.points) == 36
    assert spot.material.name == design.material.name
    # Its root is a stepped round bar, as wide as the bar is in each direction.
    wide = float(design.shape.width(np.array(design.closure_radius)))
    about_r = step_notch("round", "bending", wide, 5.5e-3, 0.3e-3).value
    about_t = step_notch("round", "bending", 10e-3, 5.5e-3, 0.3e-3).value
    assert spot.notch_about_r == pytest.approx(about_r)
    assert spot.notch_about_t == pytest.approx(about_t)
    # The end face carries beside the tenon: the bar less the round, on a grid of 16 by 4.
    face, hole = design.interface_points[:, 2].sum(), np.pi * 5.5e-3**2 / 4.0
    assert face == pytest.approx(design.bar.area - hole, rel=0.1)
