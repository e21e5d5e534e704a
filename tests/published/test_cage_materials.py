"""Shipped materials against the printed values of data sheets, in the units of the sheet."""

import pytest

from rollsim.case.materials import SHIPPED, shipped_material

KSI = 6.894757  # MPa
LB_PER_IN3 = 27679.9  # kg/m3


def test_brass_of_machined_cages():
    # Copper institute, data sheet 2.0402 (text read): 97 kN/mm2, 8.44 kg/dm3.
    brass = shipped_material("CuZn40Pb2")
    assert brass.youngs_modulus == 97e9
    assert brass.density == pytest.approx(8.44e3)
    assert "text read" in brass.basis["youngs_modulus_GPa"]


def test_fatigue_of_free_cutting_brass():
    # C36000 rod, half hard: 20 ksi at 1e8 cycles, ultimate 58 ksi (value from memory): 0.345.
    brass = shipped_material("CuZn40Pb2")
    assert brass.fatigue_strength_MPa == pytest.approx(20.0 * KSI, rel=3e-3)
    assert brass.knee_cycles == 1e8
    assert pytest.approx(0.345, abs=5e-4) == 20.0 / 58.0
    assert brass.fatigue_strength_MPa / brass.ultimate_MPa < 0.345
    assert "value from memory" in brass.basis["fatigue_strength_MPa"]


def test_manganese_bronze():
    # C86300, published alloy data (text read): 110 ksi minimum, 62 ksi, 14.2 Msi, 0.283 lb/in3;
    # fatigue 25 ksi at 1e8 cycles (value from memory).
    bronze = shipped_material("C86300")
    assert bronze.ultimate_MPa == pytest.approx(110.0 * KSI, rel=2e-3)
    assert bronze.yield_MPa == pytest.approx(62.0 * KSI, rel=2e-3)
    assert bronze.youngs_modulus_GPa == pytest.approx(14.2 * KSI, rel=2e-3)
    assert bronze.density == pytest.approx(0.283 * LB_PER_IN3, rel=2e-3)
    assert bronze.fatigue_strength_MPa == pytest.approx(25.0 * KSI, rel=3e-3)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_number_says_where_it_comes_from(name):
    words = ("value from memory", "text read", "computed", "estimate", "no endurance limit")
    for number, basis in shipped_material(name).basis.items():
        assert any(word in basis for word in words), (name, number)


def test_copper_alloys_keep_their_slope():
    for name in SHIPPED:
        material = shipped_material(name)
        if material.group == "copper_alloy":
            assert material.slope_beyond == material.slope
        else:
            assert material.slope_beyond == 2.0 * material.slope - 1.0
