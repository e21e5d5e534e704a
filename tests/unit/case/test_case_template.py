"""The commented template: loads, holds every key, and loads with every key switched on."""

import re
import tomllib

import pytest

from rollsim.case import template
from rollsim.case.materials import MaterialTable
from rollsim.case.read import parse_case
from rollsim.case.schema import TABLES
from rollsim.case.schema_closures import CLOSURES
from rollsim.case.template import template_text
from rollsim.case.vibration import SOURCES
from rollsim.errors import CaseError

SWITCHED_OFF = re.compile(r"^#(?=\w+ = |\[)", flags=re.MULTILINE)


def _block(header, kind=""):
    """Keys below a header of the template with all keys switched on."""
    text = SWITCHED_OFF.sub("", template_text())
    for part in re.split(r"^(?=\[)", text, flags=re.MULTILINE):
        if part.startswith(header) and f'kind = "{kind}"' in (part if kind else 'kind = ""'):
            return tomllib.loads(part), part
    raise AssertionError(f"no {header} in the template")


def test_template_loads_without_problems():
    case = parse_case(template_text())
    assert case.cage.closure.kind == "steel_rivet"
    assert case.vibration[0].psd_unit == "g2/Hz"


@pytest.mark.parametrize("name", TABLES)
def test_template_holds_every_key_of_a_table(name):
    data, _ = _block(f"[{name}]")
    assert list(data[name]) == list(TABLES[name].model_fields)


@pytest.mark.parametrize("kind", CLOSURES)
def test_template_holds_every_key_of_a_closure(kind):
    data, _ = _block("[cage.closure]", kind)
    assert list(data["cage"]["closure"]) == list(CLOSURES[kind].model_fields)


@pytest.mark.parametrize("kind", SOURCES)
def test_template_holds_every_key_of_a_source(kind):
    data, _ = _block("[[vibration]]", kind)
    assert list(data["vibration"][0]) == list(SOURCES[kind].model_fields)


def test_template_names_the_unit_of_every_key_that_has_one():
    text = " ".join(line.removeprefix("# ") for line in template_text().splitlines())
    for model in (*TABLES.values(), *CLOSURES.values(), *SOURCES.values(), MaterialTable):
        for name, field in model.model_fields.items():
            unit = field.json_schema_extra["unit"]
            assert not unit or f" in {unit}" in text, name


#: Keys of the roller profiles that do not belong to one profile.
OTHER_PROFILE = {"crowned": "profile_(table|inter)", "table": "(crown|straight)_"}
#: Keys of each way to tell the viscosity.
VISCOSITY = {
    "direct": r"viscosity_mPas",
    "grade": r"grade_iso_vg|viscosity_index|temperature_C|density_15C_kg_per_m3",
    "curve": r"viscosity_\d+C_mm2_per_s|temperature_C|density_15C_kg_per_m3",
}
ANY_WAY = re.compile(rf"^({'|'.join(VISCOSITY.values())}) = .*\n", flags=re.MULTILINE)

#: Keys that do not go with a drive.
OTHER_DRIVE = {
    "speed": r"drive_(torque|inertia|resistance)|torque_table|start_speed",
    "torque": r"speed_table|drive_torque",
}

#: Keys of the sources of vibration that stand in place of others.
OTHER_SOURCE = {
    "psd": r"direction|psd_slopes_dB_per_octave|psd_level|psd_level_at_Hz|coherence|phase_deg",
    "sine": r"axis|amplitude_g",
    "sweep": r"axis|amplitude_g|rate_octaves_per_min|rate_Hz_per_s",
    "shock": r"direction|amplitude_g|rise_ms|fall_ms|rate_per_s|seed",
    "exciter": r"second_throw_mm|angle_deg|ratio",
}


def _source(kind):
    """Block of a source without the keys that stand in place of others."""
    text = _block("[[vibration]]", kind)[1]
    return re.sub(rf"^({OTHER_SOURCE.get(kind, '$.')}) = .*\n", "", text, flags=re.MULTILINE)


@pytest.mark.parametrize("closure", CLOSURES)
@pytest.mark.parametrize(
    ("left_out", "profile", "way"),
    [("environment", "crowned", "direct"), ("psd", "table", "grade"), ("psd", "crowned", "curve")],
)
def test_template_loads_with_every_key_switched_on(tmp_path, closure, left_out, profile, way):
    parts = [_block(f"[{name}]")[1] for name in TABLES]
    joint = _block("[cage.closure]", closure)[1]
    if closure == "integral_tenon":
        # A tenon is rectangular or round.
        round_one = left_out == "environment"
        other = "(tangential|radial)_" if round_one else "diameter_mm"
        joint = re.sub(rf"^{other}.*\n", "", joint, flags=re.MULTILINE)
        shape = "round" if round_one else "rectangular"
        joint = joint.replace('tenon_shape = "rectangular"', f'tenon_shape = "{shape}"')
    if closure == "steel_rivet":
        # Bosses belong to rivets beside the bars.
        if left_out == "environment":
            joint = joint.replace('"through_bars"', '"beside_bars"')
            joint = joint.replace('"one_piece"', '"separate"')
            joint = joint.replace("diameter_mm = 5.0", "diameter_mm = 4.5", 1)
        else:
            joint = re.sub(r"^(boss_|first_gap).*\n", "", joint, flags=re.MULTILINE)
    parts += [joint, _block("[material.my_brass]")[1]]
    parts += [_source(kind) for kind in SOURCES]
    text = "\n".join(parts)
    text = re.sub(rf"^{left_out}(_unit)? = .*\n", "", text, flags=re.MULTILINE)
    text = text.replace('profile = "straight"', f'profile = "{profile}"')
    text = re.sub(rf"^{OTHER_PROFILE[profile]}.*\n", "", text, flags=re.MULTILINE)
    text = ANY_WAY.sub(lambda key: key[0] if re.fullmatch(VISCOSITY[way], key[1]) else "", text)
    drive = "speed" if left_out == "environment" else "torque"
    text = text.replace('drive = "speed"', f'drive = "{drive}"')
    text = re.sub(rf"^({OTHER_DRIVE[drive]}).*\n", "", text, flags=re.MULTILINE)
    text = text.replace('motion = "planar"', 'motion = "spatial"')
    text = text.replace('mean_stress = "goodman"', 'mean_stress = "walker"')
    text = re.sub(r"^(full_scale|cross_fade_s) = .*\n", "", text, flags=re.MULTILINE)
    text = text.replace('after_end = "refuse"', 'after_end = "silence"')
    (tmp_path / "my_environments.toml").write_text(
        '[environment.own]\npsd = [[1.0, 1.0], [2.0, 1.0]]\npsd_unit = "g2/Hz"\n'
        'source = "record"\nbasis = "measured"\n'
    )
    case = parse_case(text, str(tmp_path / "case.toml"))
    assert [item.key for item in case.assumptions if not item.key.startswith("material.")] == []
    assert case.roller.effective_length_mm == 42.24


def test_examples_are_read_from_the_package_or_the_clone(tmp_path, monkeypatch, good_text):
    package = tmp_path / "rollsim" / "case"
    package.mkdir(parents=True)
    (tmp_path / "cases").mkdir()
    monkeypatch.setattr(template, "__file__", str(package / "template.py"))
    assert template.example_names() == ()
    (tmp_path / "cases" / "screen.toml").write_text(good_text)
    assert template.example_names() == ("screen",)
    assert template_text("screen") == good_text
    (package / "examples").mkdir()
    (package / "examples" / "planet.toml").write_text(good_text)
    assert template.example_names() == ("planet",)


def test_unknown_example_names_the_nearest(tmp_path, monkeypatch, good_text):
    (tmp_path / "examples").mkdir()
    (tmp_path / "examples" / "screen.toml").write_text(good_text)
    monkeypatch.setattr(template, "__file__", str(tmp_path / "template.py"))
    with pytest.raises(CaseError, match="unknown example 'scren'; known: screen; did you mean"):
        template_text("scren")


@pytest.mark.parametrize("name", template.example_names())
def test_shipped_example_loads(name):
    assert parse_case(template_text(name), name=name).case.name
