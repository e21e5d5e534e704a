"""The verdict in words, as data and as a picture."""

import json

import pytest
from force_history import ForceHistory, cover_pulses, no_force
from matplotlib.colors import to_rgba
from matplotlib.container import BarContainer

from rollsim.errors import RollsimError
from rollsim.fatigue.verdict import fatigue
from rollsim.report import fatigue_figures
from rollsim.report.fatigue_figures import PLACE_COLOURS, draw_fatigue
from rollsim.report.fatigue_table import (
    factor,
    fatigue_dict,
    fatigue_text,
    hours,
    with_interval,
)


@pytest.fixture(scope="module")
def results():
    """A loaded cage, one with preload, one that nothing touches in a planar run."""
    return {
        "loaded": fatigue(ForceHistory(cover_pulses(150.0))),
        "preload": fatigue(ForceHistory(cover_pulses(150.0), more="preload_N = 900.0")),
        "free": fatigue(ForceHistory(no_force(), motion="planar")),
        "overloaded": fatigue(ForceHistory(cover_pulses(2500.0), more="preload_N = 5400.0")),
        "short": fatigue(ForceHistory(cover_pulses(150.0, samples=300))),
        "tenon": fatigue(ForceHistory(cover_pulses(150.0), closure="tenon")),
        "one piece": fatigue(ForceHistory(cover_pulses(150.0), closure="one_piece")),
        "bars pushed": fatigue(ForceHistory(bar_pulses(20.0), motion="planar")),
    }


def bar_pulses(force):
    """One bar is pushed every few samples."""
    forces = no_force()
    forces[10::20, 6, 0] = force
    return forces


def lines_with(text, *starts):
    """Lines of a text that begin with one of these words, in order."""
    return [line.strip() for line in text.splitlines() if line.strip().startswith(starts)]


def test_text_tells_closures_then_bars_then_the_overall_verdict(results):
    result = results["loaded"]
    closure, bars, overall = lines_with(fatigue_text(result), "closure: ", "bars: ", "verdict: ")
    for line, part in ((closure, result.closures), (bars, result.bars)):
        told = with_interval(part.reserve, part.reserve_interval, factor)
        assert f" {part.verdict.upper()}; reserve factor {told}; life" in line
    assert overall.split(": ")[1].strip() == f"{result.verdict.upper()}, governed by the closure"
    assert f"life in h {hours(result.closures.life_h)}" in " ".join(fatigue_text(result).split())


def test_one_piece_says_that_there_is_no_closure(results):
    text = fatigue_text(results["one piece"])
    assert "none, the cage is one piece" in lines_with(text, "closure:")[0]
    data = fatigue_dict(results["one piece"])
    assert data["closure_verdict"] == {"verdict": None, "reason": "none, the cage is one piece"}
    assert data["bars_verdict"]["verdict"] == data["verdict"] and data["governing_part"] == "bars"


def test_forces_on_the_bars_alone_are_no_plain_survival(results):
    result = results["bars pushed"]
    assert result.closures.verdict == result.bars.verdict == "survives"
    for line in lines_with(fatigue_text(result), "closure:", "bars:", "verdict:"):
        assert "SURVIVES FORCES ON THE BARS ALONE" in line
    assert "bars alone" in fatigue_dict(result)["closure_verdict"]["reason"]


def test_data_tells_closures_and_bars_apart(results):
    result = results["tenon"]
    data = fatigue_dict(result)
    for key, part in (("closure_verdict", result.closures), ("bars_verdict", result.bars)):
        assert data[key]["reserve_factor"] == part.reserve
        assert data[key]["life_h"] == part.life_h
        assert data[key]["reserve_factor_interval"] == list(part.reserve_interval)
        assert (data[key]["place"], data[key]["bar"]) == (part.spot.name, part.bar + 1)
    assert data["closure_verdict"]["place"] == "tenon root"
    assert data["bars_verdict"]["place"] == "bar root at base ring"


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
        "Beam frame of the free cage",
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
    text = fatigue_text(results["preload"])
    assert f"preload {results['preload'].spots[0].preload_stress / 1e6:.0f} MPa" in text
    assert "quasi-static on the free cage" in text and "largest on the base ring" in text
    assert "too short a history for an interval" in fatigue_text(results["short"])


@pytest.mark.parametrize("name", ["loaded", "preload", "free", "overloaded", "short"])
def test_data_is_strict_json(results, name):
    data = json.loads(json.dumps(fatigue_dict(results[name]), allow_nan=False))
    assert data["verdict"] == results[name].verdict
    assert data["governing_bar"] == results[name].governing.bar + 1
    assert data["numbering"].startswith("rollers 1 to 18, bar 1 lies ahead of roller 1")
    assert len(data["places"]) == 3
    assert len(data["places"][0]["reserve_factor"]) == 18
    assert "never replace" in data["caution"]


def test_data_holds_the_numbers_and_null_for_no_limit(results):
    data = fatigue_dict(results["loaded"])
    assert data["life_h"] == results["loaded"].life_h
    assert data["reserve_factor_interval"] == list(results["loaded"].governing.reserve_interval)
    assert data["evaluated_s"]["duration"] == pytest.approx(1751 / 5000)
    assert fatigue_dict(results["free"])["life_h"] is None
    assert fatigue_dict(results["short"])["life_interval_h"] is None


@pytest.mark.parametrize("name", ["loaded", "preload", "free", "overloaded", "short"])
def test_picture_is_written_with_its_caption(results, name, tmp_path):
    picture = draw_fatigue(results[name], tmp_path / f"{name}.svg")
    assert picture.path.stat().st_size > 5000
    assert picture.caption.startswith("forces in memory. Verdict: ")
    assert results[name].verdict in picture.caption


@pytest.mark.parametrize("name", ["loaded", "tenon", "one piece", "short", "bars pushed"])
def test_picture_keeps_one_colour_a_place_and_tells_both_parts(
    results, name, tmp_path, monkeypatch
):
    result, kept = results[name], []
    save = fatigue_figures.save_figure
    monkeypatch.setattr(
        fatigue_figures, "save_figure", lambda f, p, c: (kept.append(f), save(f, p, c))[1]
    )
    draw_fatigue(result, tmp_path / "verdict.png")
    upper, lower = kept[0].axes
    drawn = [bars for bars in lower.containers if isinstance(bars, BarContainer)]
    columns = {bars.get_label(): bars[0].get_facecolor() for bars in drawn}
    expected = {spot.name: to_rgba(PLACE_COLOURS[spot.name]) for spot in result.spots}
    assert columns == expected
    (spectrum,) = [line for line in upper.lines if line.get_label() == "cycles at or above"]
    assert to_rgba(spectrum.get_color()) == expected[result.governing.spot.name]
    title = kept[0]._suptitle
    width = kept[0].bbox.width
    assert title.get_window_extent().width < 0.98 * width
    closure, bars = title.get_text().splitlines()
    assert bars.startswith(f"bars: {result.bars.verdict}") and ", reserve " in bars
    part = result.closures
    told = part.verdict if part else "none, the cage is one piece"
    assert closure.startswith(f"closure: {told}")


#: Places that stand in one picture: riveted, with tenons, in one piece.
TOGETHER = (
    {
        "rivet head fillet",
        "rivet at interface",
        "bar root at base ring",
        "root of unriveted bar",
        "boss root at base ring",
        "foot of distance piece",
    },
    {"tenon root", "bar root at base ring"},
    {"bar root at cover", "bar root at base ring"},
)


@pytest.mark.parametrize("places", TOGETHER)
def test_places_in_one_picture_have_colours_of_their_own(places):
    assert len({PLACE_COLOURS[place] for place in places}) == len(places)
    assert set(PLACE_COLOURS) == set.union(*TOGETHER)


def test_picture_of_unknown_kind_is_refused(results, tmp_path):
    with pytest.raises(RollsimError, match="picture"):
        draw_fatigue(results["free"], tmp_path / "verdict.docx")
