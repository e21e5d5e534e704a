"""The verdict in words, as data and as a picture."""

import json

import pytest
from force_history import ForceHistory, cover_pulses, no_force

from rollsim.errors import RollsimError
from rollsim.fatigue.verdict import fatigue
from rollsim.report.fatigue_figures import draw_fatigue
from rollsim.report.fatigue_table import fatigue_dict, fatigue_text


@pytest.fixture(scope="module")
def results():
    """A loaded cage, one with preload, one that nothing touches in a planar run."""
    return {
        "loaded": fatigue(ForceHistory(cover_pulses(150.0))),
        "preload": fatigue(ForceHistory(cover_pulses(150.0), more="preload_N = 900.0")),
        "free": fatigue(ForceHistory(no_force(), motion="planar")),
        "overloaded": fatigue(ForceHistory(cover_pulses(2500.0), more="preload_N = 9000.0")),
        "short": fatigue(ForceHistory(cover_pulses(150.0, samples=300))),
    }


def test_text_says_verdict_numbers_units_limits_and_caution(results):
    result = results["loaded"]
    text = fatigue_text(result)
    assert result.verdict.upper() in text
    assert f"{result.reserve:.2f} (" in text
    for words in ("rivet head fillet", "steel rivets", "MPa", "target life", "Limits of this"):
        assert words in text
    for words in (
        "never replace",
        "Lock out rotating machinery",
        "Assumptions of this evaluation:",
        "First beam",
    ):
        assert words in text
    assert max(len(line) for line in text.splitlines()) <= 100


def test_assumptions_are_few_and_in_words(results):
    history = ForceHistory(cover_pulses(150.0))
    history.attributes["assumptions"] = json.dumps(
        [
            {"key": "cage.closure.count", "value": None, "unit": "", "why": "computed: one a bar"},
            {"key": "cage.mass_kg", "value": 0.8855, "unit": "kg", "effect": "moves much"},
            {"key": "lubricant.pocket_friction", "value": 0.1, "unit": ""},
            {"key": "lubricant.oil_air_density_kg_per_m3", "value": 30.0, "unit": "kg/m3"},
            {"key": "duty.tilting_moment_Nm", "value": [0.0, 0.0], "unit": "N m"},
            {"key": "solver.locked", "value": [], "unit": ""},
            {"key": "duty.gravity", "value": True, "unit": ""},
            {"key": "material.rivet_steel.yield_MPa", "value": 280.0, "unit": "MPa"},
            {"key": "material.rivet_steel.slope", "value": 5.0, "unit": "", "effect": "power"},
            {"key": "material.bearing_steel.yield_MPa", "value": 1800.0, "unit": "MPa"},
        ]
    )
    result = fatigue(history)
    text = fatigue_text(result)
    assert result.touching_assumptions == (
        "cage.closure.count = computed: one a bar",
        "cage.mass_kg = 0.8855 kg",
        "lubricant.pocket_friction = 0.1",
        "material.rivet_steel: yield_MPa 280, slope 5",
    )
    assert all(line in text for line in result.touching_assumptions)
    for words in ("None", "solver", "duty.", "bearing_steel", "moves much"):
        assert words not in text
    assert "`rollsim check CASE` and the JSON of this evaluation list every assumption" in text
    listed = fatigue_dict(result)["assumptions"]
    assert "cage.mass_kg = 0.8855 kg (moves much)" in listed
    assert "duty.tilting_moment_Nm = 0, 0 N m" in listed
    assert "solver.locked = none" in listed and "duty.gravity = yes" in listed


def test_text_of_a_planar_run_opens_with_the_warning(results):
    lines = fatigue_text(results["free"]).splitlines()
    assert lines[2].startswith("!! PLANAR RUN")
    assert "no limit" in fatigue_text(results["free"])


def test_text_tells_preload_and_missing_interval(results):
    assert "preload 100 MPa" in fatigue_text(results["preload"])
    assert "too short a history for an interval" in fatigue_text(results["short"])


@pytest.mark.parametrize("name", ["loaded", "preload", "free", "overloaded", "short"])
def test_data_is_strict_json(results, name):
    data = json.loads(json.dumps(fatigue_dict(results[name]), allow_nan=False))
    assert data["verdict"] == results[name].verdict
    assert data["governing_bar"] == results[name].bar + 1
    assert data["numbering"].startswith("rollers 1 to 18, bar 1 lies ahead of roller 1")
    assert len(data["places"]) == 3
    assert len(data["places"][0]["reserve_factor"]) == 18
    assert "never replace" in data["caution"]


def test_data_holds_the_numbers_and_null_for_no_limit(results):
    data = fatigue_dict(results["loaded"])
    assert data["life_h"] == results["loaded"].life_h
    assert data["reserve_factor_interval"] == list(results["loaded"].reserve_interval)
    assert data["evaluated_s"]["duration"] == pytest.approx(1751 / 5000)
    assert fatigue_dict(results["free"])["life_h"] is None
    assert fatigue_dict(results["short"])["life_interval_h"] is None


@pytest.mark.parametrize("name", ["loaded", "preload", "free", "overloaded", "short"])
def test_picture_is_written_with_its_caption(results, name, tmp_path):
    picture = draw_fatigue(results[name], tmp_path / f"{name}.svg")
    assert picture.path.stat().st_size > 5000
    assert picture.caption.startswith("forces in memory. Verdict: ")
    assert results[name].verdict in picture.caption


def test_picture_of_unknown_kind_is_refused(results, tmp_path):
    with pytest.raises(RollsimError, match="picture"):
        draw_fatigue(results["free"], tmp_path / "verdict.docx")
