"""Shipped materials, overrides, and materials of the user."""

import dataclasses

import pytest

from rollsim.case.materials import NUMBERS, SHIPPED, shipped_material
from rollsim.case.read import parse_case

OWN = """
[material.my_brass]
youngs_modulus_GPa = 100.0
poisson = 0.34
density_kg_per_m3 = 8500.0
yield_MPa = 250.0
ultimate_MPa = 400.0
fatigue_strength_MPa = 120.0
knee_cycles = 1e7
"""


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_number_has_a_basis(name):
    material = shipped_material(name)
    for number in NUMBERS:
        assert getattr(material, number) > 0
        assert material.basis[number]
    assert material.yield_MPa < material.ultimate_MPa
    assert material.fatigue_strength_MPa < 0.5 * material.ultimate_MPa


def test_override_changes_one_number_and_its_basis(good_text):
    case = parse_case(good_text + "[material.CuZn40Pb2]\nyoungs_modulus_GPa = 103.0\n")
    changed, shipped = case.materials["CuZn40Pb2"], shipped_material("CuZn40Pb2")
    assert changed.youngs_modulus == 103.0e9
    assert changed.basis["youngs_modulus_GPa"] == "given in the case file"
    same = [number for number in NUMBERS if number != "youngs_modulus_GPa"]
    assert all(getattr(changed, key) == getattr(shipped, key) for key in same)
    assert changed.source.endswith("some values from the case file")


def test_own_material_gets_slopes_from_its_strengths(good_text):
    text = good_text.replace("[cage]\n", '[cage]\nmaterial = "my_brass"\n')
    material = parse_case(text + OWN).materials["my_brass"]
    # 0.9 * 400 = 360 = 3 * 120 over four decades: k = 4 / log10(3)
    assert material.slope == pytest.approx(4.0 / 0.47712125, rel=1e-7)
    assert material.slope_beyond == pytest.approx(2.0 * material.slope - 1.0)
    assert material.source == "given in the case file, no source named"


def test_source_of_the_user_is_kept(good_text):
    case = parse_case(good_text + OWN + 'source = "tensile tests of batch 7"\n')
    assert case.materials["my_brass"].source == "tensile tests of batch 7"


def test_si_properties_of_a_material():
    material = shipped_material("rivet_steel")
    assert material.youngs_modulus == 206.0e9
    assert material.density == 7850.0
    assert material.yield_strength == 280.0e6
    assert material.ultimate_strength == 400.0e6
    assert material.fatigue_strength == 180.0e6


def test_sections_and_materials_are_frozen(good_text):
    case = parse_case(good_text)
    with pytest.raises(ValueError, match="frozen"):
        case.roller.count = 3
    with pytest.raises(dataclasses.FrozenInstanceError):
        case.materials["CuZn40Pb2"].slope = 3.0
