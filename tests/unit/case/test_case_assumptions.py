"""The ledger holds every optional key that was not given, and no key that was."""

import pytest

from rollsim.case.assumptions import assumable
from rollsim.case.fields import detail, toml_value
from rollsim.case.materials import NUMBERS
from rollsim.case.read import parse_case
from rollsim.case.schema import TABLES
from rollsim.case.schema_closures import CLOSURES
from rollsim.case.vibration import SOURCES

# Keys that count only with values of other keys which the good file does not have.
OUT_OF_FORCE = {
    "viscosity_index", "density_15C_kg_per_m3", "boundary_friction", "limiting_shear_coefficient",
    "limiting_shear_stress_MPa", "ehl_least_slip_scale_m_per_s", "rolling_resistance",
}  # fmt: skip
# Keys of rivets beside the bars, which those of the good file are not.
OF_BOSSES = {"boss_joint", "boss_material", "first_gap"}
OPTIONAL = [
    (table, key)
    for table, model in TABLES.items()
    for key in assumable(model)
    if key not in OUT_OF_FORCE
]
OPTIONAL += [
    ("cage.closure", key) for key in assumable(CLOSURES["steel_rivet"]) if key not in OF_BOSSES
]
OPTIONAL += [("vibration", key) for key in assumable(SOURCES["psd"])]


def _ledger(text):
    """Entries by key."""
    return {item.key: item for item in parse_case(text).assumptions}


def _ledger_key(table, key):
    return f"vibration[1].{key}" if table == "vibration" else f"{table}.{key}"


def _with_key(text, table, key):
    """The good file with one optional key given its default or example."""
    model = {"cage.closure": CLOSURES["steel_rivet"], "vibration": SOURCES["psd"]}.get(table)
    field = (model or TABLES[table]).model_fields[key]
    value = field.default if field.default is not None else detail(field, "example")
    line = f"{key} = {toml_value(value)}\n"
    header = "[[vibration]]\n" if table == "vibration" else f"[{table}]\n"
    if header in text:
        return text.replace(header, header + line)
    return text + header + line


def test_every_optional_key_not_given_is_in_the_ledger(good_text):
    given = {"cage.closure.circle_diameter_mm"}
    expected = {_ledger_key(table, key) for table, key in OPTIONAL} - given
    found = {key for key in _ledger(good_text) if not key.startswith("material.")}
    assert found == expected


@pytest.mark.parametrize(("table", "key"), OPTIONAL)
def test_a_given_key_leaves_the_ledger(good_text, table, key):
    if _ledger_key(table, key) == "cage.closure.circle_diameter_mm":  # given in the good file
        assert _ledger_key(table, key) not in _ledger(good_text)
        return
    after = _ledger(_with_key(good_text, table, key))
    assert set(_ledger(good_text)) - set(after) == {_ledger_key(table, key)}


def test_keys_that_do_not_count_are_no_assumptions(good_text):
    oil = '[lubricant]\nraceway_traction = "ehl"\ngrade_iso_vg = 68.0\ntemperature_C = 70.0\n'
    found = {key.split(".")[1] for key in _ledger(good_text + oil) if key.startswith("lubricant.")}
    assert found >= OUT_OF_FORCE
    assert "viscosity_mPas" not in found
    assert not OUT_OF_FORCE & {key.split(".")[-1] for key in _ledger(good_text)}
    assert "raceway_slip_scale_m_per_s" in found and "raceway_friction" not in found
    curve = "[lubricant]\nviscosity_40C_mm2_per_s = 68.0\nviscosity_100C_mm2_per_s = 8.7\n"
    found = _ledger(good_text + curve + "temperature_C = 70.0\n")
    assert "lubricant.density_15C_kg_per_m3" in found
    assert not {"lubricant.viscosity_mPas", "lubricant.viscosity_index"} & set(found)


def test_numbers_of_materials_in_use_are_assumptions_until_given(good_text):
    before = _ledger(good_text)
    for name in ("bearing_steel", "CuZn40Pb2", "rivet_steel"):
        assert {f"material.{name}.{number}" for number in NUMBERS} <= set(before)
    assert not any(key.startswith("material.C86300") for key in before)
    after = _ledger(good_text + "[material.rivet_steel]\nyield_MPa = 300.0\n")
    assert set(before) - set(after) == {"material.rivet_steel.yield_MPa"}


def test_steel_of_the_rings_is_an_assumption_whatever_the_rollers_are(good_text):
    text = good_text.replace("[roller]\n", '[roller]\nmaterial = "rivet_steel"\n')
    assert _ledger(text)["material.bearing_steel.youngs_modulus_GPa"].value == 206.0


def test_entry_states_value_unit_reason_and_effect(good_text):
    entry = _ledger(good_text)["lubricant.oil_fraction"]
    assert (entry.value, entry.unit) == (0.3, "")
    assert entry.why == "common practice, no source"
    assert "squeeze film" in entry.effect
    assert _ledger(good_text)["lubricant.viscosity_mPas"].unit == "mPa s"


@pytest.mark.parametrize(
    "key",
    [
        "lubricant.oil_fraction", "cage.bar_stiffness_N_per_um", "cage.end_stiffness_N_per_um",
        "lubricant.raceway_slip_scale_m_per_s", "cage.closure.hole_fit",
        "cage.cover_load_diameter_mm", "solver.motion",
    ],
)  # fmt: skip
def test_what_moves_the_results_most_says_so(good_text, key):
    assert _ledger(good_text)[key].effect


def test_every_entry_has_a_reason(good_text):
    assert all(item.why for item in parse_case(good_text).assumptions)


def test_computed_keys_have_no_value_and_say_what_they_come_from(good_text):
    entry = _ledger(good_text)["roller.effective_length_mm"]
    assert entry.value is None
    assert entry.why == "computed: 0.96 of the roller length"


def test_case_without_vibration_says_so(good_text):
    entry = _ledger(good_text.split("[[vibration]]")[0])["vibration"]
    assert entry.value == "none"


def test_tenon_takes_the_material_of_the_cage(good_text):
    text = good_text.replace(
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntangential_width_mm = 5.6\nradial_height_mm = 4.8',
    ).replace('guidance = "outer_ring"', 'guidance = "outer_ring"\nmaterial = "C86300"')
    case = parse_case(text)
    assert case.cage.closure.material == "C86300"
    ledger = {item.key: item.value for item in case.assumptions}
    assert ledger["cage.closure.material"] == "C86300"
    assert not any(key.startswith("material.rivet_steel") for key in ledger)


def test_rivets_beside_the_bars_assume_their_bosses(good_text):
    rivet = 'kind = "steel_rivet"\ndiameter_mm = 4.5\nposition = "beside_bars"\ncount = 10\n'
    text = good_text.replace(
        'kind = "steel_rivet"\ndiameter_mm = 5.0', rivet + "boss_diameter_mm = 6.4"
    )
    ledger = {key: item.value for key, item in _ledger(text).items()}
    assert ledger["cage.closure.boss_joint"] == "one_piece"
    assert ledger["cage.closure.first_gap"] == 1
    assert "cage.closure.boss_material" not in ledger
    apart = text.replace("count = 10", 'count = 10\nboss_joint = "separate"')
    assert parse_case(apart).cage.closure.boss_material == "CuZn40Pb2"
    assert _ledger(apart)["cage.closure.boss_material"].value == "CuZn40Pb2"
    steel = apart.replace("count = 10", 'count = 10\nboss_material = "rivet_steel"')
    assert parse_case(steel).cage.closure.boss_material == "rivet_steel"


def test_one_piece_cage_has_no_joint(good_text):
    text = good_text.replace("diameter_mm = 5.0\ncircle_diameter_mm = 190.0\n", "")
    closure = parse_case(text.replace("steel_rivet", "one_piece")).cage.closure
    assert closure.kind == "one_piece"
    assert (closure.material, closure.circle_diameter_mm, closure.preload_N) == (None, None, 0.0)
