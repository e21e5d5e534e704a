"""Solid model of a cage sector beside the frame: agreement for every execution."""

from pathlib import Path

import pytest
from cage_cases import cage_case

from rollsim.case.read import load_case
from rollsim.structure.sector_compare import AGREEMENT, compare_sector

pytest.importorskip("skfem")
CASES = Path(__file__).parents[3] / "cases"


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    """Keep solved sectors of one session in one folder, away from the user's."""
    base = tmp_path_factory.getbasetemp() / "sector_cache"
    monkeypatch.setenv("ROLLSIM_CACHE", str(base))


def ratios(case, held="base", refine=0.5):
    """Frame over solid: stiffness of the cover, axial force, shear and moment of the closure."""
    found = compare_sector(case, 1000.0, held, refines=(refine,))
    return [value.ratio for value in found.values]


@pytest.mark.parametrize("held", ["base", "inertia"])
def test_shipped_riveted_cage_agrees(held):
    # Measured on the mesh of 22 000 unknowns: within 4 % for all four, held by the base ring.
    case = load_case(CASES / "dewatering_screen_riveted.toml")
    assert ratios(case, held) == pytest.approx([1.0] * 4, rel=0.10)


@pytest.mark.parametrize("held", ["base", "inertia"])
def test_shipped_tenon_cage_agrees(held):
    # On 18 500 unknowns: stiffness 11 % low, forces within 5 %; the coarse mesh here is stiffer.
    case = load_case(CASES / "dewatering_screen_tenon.toml")
    stiffness, *forces = ratios(case, held)
    assert forces == pytest.approx([1.0] * 3, rel=0.10)
    assert stiffness == pytest.approx(1.0, abs=AGREEMENT)


@pytest.mark.long
@pytest.mark.parametrize("name", ["riveted", "tenon"])
def test_shipped_cages_agree_on_the_plain_mesh(name):
    found = ratios(load_case(CASES / f"dewatering_screen_{name}.toml"), refine=1.0)
    assert found == pytest.approx([1.0] * 4, rel=0.12)


@pytest.mark.parametrize(
    ("closure", "stiffness"), [("rivet", 0.74), ("round", 0.85), ("one_piece", 0.74)]
)
def test_closures_that_fill_their_holes(closure, stiffness):
    # Forces agree within 7 %. The frame's cover and base ring bend up to the middle of every bar,
    # the solid's are stiffened by it over its width: where the closure lets nothing turn, the frame
    # is a quarter too soft. Measured bound, not what is wanted.
    found = ratios(cage_case(closure, fit="tight"))
    assert found[1:] == pytest.approx([1.0] * 3, rel=0.07)
    assert found[0] == pytest.approx(stiffness, abs=0.02)


def test_formula_and_meshes_stand_beside_each_other():
    told = []
    found = compare_sector(
        cage_case("tenon"), 500.0, refines=(0.4, 0.5), tell=lambda *words: told.append(words)
    )
    first, second = found.meshes
    assert told == [(1, 2, 0), (2, 2, first.unknowns)] and first.unknowns < second.unknowns
    assert found.notch == "tenon root" and 1.5 < found.formula_factor < 4.0
    assert len(found.seconds) == 2 and len(found.head) == 3
    # Faces in the plane fill it from ring to ring; the head is on top.
    places = found.cut.places
    x, z = places[:, :, 0], places[:, :, 1]
    area = 0.5 * abs(
        (x[:, 2] - x[:, 0]) * (z[:, 3] - z[:, 1]) - (x[:, 3] - x[:, 1]) * (z[:, 2] - z[:, 0])
    )
    design = found.design
    height = design.base_thickness + design.bar_length + design.cover_thickness
    below = z.max(axis=1) < height + 1e-9
    assert area[below].sum() == pytest.approx(10e-3 * height, rel=2e-3)
    assert found.cut.stress.max() > 10e6 / 500.0


def test_one_piece_has_no_head_and_no_fillet():
    found = compare_sector(cage_case("one_piece"), 1000.0, refines=(0.4,))
    assert found.head == () and found.notch == "" and found.formula_factor == 0.0
