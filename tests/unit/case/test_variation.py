"""The table of ranges: every key is one of the case file and every value passes its bounds."""

import itertools
from pathlib import Path

import pytest

from rollsim.case.change import changed_case
from rollsim.case.materials import NUMBERS
from rollsim.case.read import load_case
from rollsim.case.schema import TABLES
from rollsim.case.schema_closures import CLOSURES
from rollsim.case.variation import (
    VARIATIONS,
    Variation,
    fits,
    keys_in_force,
    needs_no_run,
    value_in,
    variation_of,
)

EXAMPLES = Path(__file__).resolve().parents[3] / "cases"


@pytest.fixture(scope="module")
def screen():
    return load_case(EXAMPLES / "dewatering_screen_riveted.toml")


def _known(key):
    """Whether a key of the table exists in the case file."""
    table, _, name = key.partition(".")
    if table == "material":
        return name.split(".")[1] in NUMBERS
    if table.startswith("vibration"):
        return name == "gain"
    if name.startswith("closure."):
        sections = CLOSURES.values()
        return any(name.split(".")[1] in section.model_fields for section in sections)
    return name in TABLES[table].model_fields


@pytest.mark.parametrize("entry", VARIATIONS, ids=lambda entry: entry.key)
def test_keys_exist_and_have_a_basis(entry):
    assert _known(entry.key)
    assert entry.how in ("factor", "amount", "values")
    assert entry.amounts and entry.basis


def test_no_key_has_two_ranges():
    for one, other in itertools.permutations(VARIATIONS, 2):
        assert not fits(one.key, other.key)


def test_ranges_of_the_screen_pass_the_checks_of_the_case(screen):
    tried = 0
    for key, value, _ in keys_in_force(screen):
        entry = variation_of(key)
        for other in entry.values(value) if entry else ():
            changed = changed_case(screen, {key: list(other) if key.endswith("mrad") else other})
            if "[" not in key:
                assert value_in(changed, key) == other
            tried += 1
    assert tried > 60


def test_given_values_are_varied_only_where_the_table_says_so(screen):
    given = {key for key, _, was_given in keys_in_force(screen) if was_given}
    assert {"clearance.pocket_um", "lubricant.oil_fraction"} <= given
    assert "fatigue.survival_probability" not in given
    keys = [key for key, _, _ in keys_in_force(screen)]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    "key, free",
    [
        ("fatigue.surface_factor", True),
        ("material.rivet_steel.fatigue_strength_MPa", True),
        ("cage.closure.preload_N", True),
        ("material.rivet_steel.youngs_modulus_GPa", False),
        ("cage.closure.hole_fit", False),
        ("lubricant.pocket_friction", False),
    ],
)
def test_what_needs_no_run(key, free):
    assert needs_no_run(key) is free


def test_values_of_a_range():
    assert Variation("a", "amount", (-20.0, 20.0)).values(100.0) == (80.0, 120.0)
    assert Variation("a", "factor", (0.0, 2.0)).values(0.0) == ()
    assert Variation("a", "factor", (0.5,)).values(None) == ()
    assert Variation("a", "values", ("x", "y")).values("x") == ("y",)


def test_examples_have_something_to_vary():
    for path in EXAMPLES.glob("*.toml"):
        found = [key for key, _, _ in keys_in_force(load_case(path)) if variation_of(key)]
        assert len(found) > 20, path.name
