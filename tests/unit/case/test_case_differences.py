"""Inputs of cases side by side."""

import pytest

import rollsim
from rollsim.case.change import changed_case
from rollsim.case.differences import COMPUTED, input_comparison, input_values


@pytest.fixture(scope="module")
def screen(repository):
    """The riveted screen."""
    return rollsim.load_case(repository / "cases" / "dewatering_screen_riveted.toml")


def differing(*cases):
    """Differences by key."""
    return {own.key: own for own in input_comparison(cases).differences}


def test_the_shipped_pair_differs_in_its_closures_and_their_material_alone(screen, repository):
    tenon = rollsim.load_case(repository / "cases" / "dewatering_screen_tenon.toml")
    found = differing(screen, tenon)
    assert found["cage.closure.kind"].values == ("steel_rivet", "integral_tenon")
    diameter = found["cage.closure.diameter_mm"]
    assert (diameter.values, diameter.unit, diameter.given) == ((5.0, None), "mm", (True, False))
    assert found["cage.closure.material"].given == (False, False)
    assert found["material.rivet_steel.yield_MPa"].values == (280.0, None)
    assert all(own.of_cage for own in found.values())
    assert {key.rpartition(".")[0] for key in found} == {"cage.closure", "material.rivet_steel"}
    comparison = input_comparison([screen, tenon])
    assert comparison.same["duty"] > 5 and "duty" not in comparison.differing


@pytest.mark.parametrize(
    ("key", "value", "of_cage"),
    [
        ("clearance.pocket_um", 300.0, False),
        ("solver.tolerance", 1e-5, False),
        ("vibration[2].environment", "railway_axle_vertical", False),
        ("cage.elastic_modes", 33, False),
        ("cage.mode_damping", 0.02, False),
        ("cage.cover_thickness_mm", 5.0, True),
        ("material.CuZn40Pb2.yield_MPa", 200.0, True),
        ("material.bearing_steel.density_kg_per_m3", 7000.0, False),
    ],
)
def test_a_changed_value_is_told_and_whether_it_is_the_cage(screen, key, value, of_cage):
    found = differing(screen, changed_case(screen, {key: value}))
    assert found[key].values[1] == value and found[key].values[0] != value
    assert found[key].of_cage is of_cage and found[key].given[1]
    if key == "vibration[2].environment":
        assert not any(own.of_cage for own in found.values())


def test_names_and_seeds_do_not_count(screen):
    other = changed_case(screen, {"case.name": "b", "case.seed": 9, "vibration[2].seed": 4})
    assert differing(screen, other) == {}


def test_assumed_and_computed_values_are_told_apart_from_given_ones(screen):
    values = input_values(screen)
    assert values["lubricant.oil_fraction"].given and not values["solver.tolerance"].given
    assert values["cage.bar_stiffness_N_per_um"] == (COMPUTED, "N/um", False)
    given = changed_case(screen, {"cage.bar_stiffness_N_per_um": 100.0})
    found = differing(screen, given)["cage.bar_stiffness_N_per_um"]
    assert (found.values, found.given) == ((COMPUTED, 100.0), (False, True))


def test_three_cases_side_by_side(screen):
    others = [changed_case(screen, {"clearance.pocket_um": own}) for own in (450.0, 500.0)]
    assert differing(screen, *others)["clearance.pocket_um"].values == (450.0, 450.0, 500.0)
