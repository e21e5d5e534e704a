"""Rules and factors of the case reach the verdict, and its report tells them."""

import math

import numpy as np
import pytest
from cage_cases import cage_text
from force_history import ForceHistory, cover_pulses

from rollsim.case.read import parse_case
from rollsim.fatigue.sn_curve import survival_factor
from rollsim.fatigue.verdict import fatigue
from rollsim.report import fatigue_figures
from rollsim.report.fatigue_table import fatigue_dict, fatigue_text


def verdict_with(*lines, forces=None):
    """Verdict on a riveted cage with more keys in [fatigue]."""
    text = cage_text().replace("[fatigue]", "\n".join(["[fatigue]", *lines]))
    forces = cover_pulses(200.0) if forces is None else forces
    return fatigue(ForceHistory(forces, case=parse_case(text, "rules.toml")))


@pytest.fixture(scope="module")
def plain():
    """Verdict without a mean stress rule."""
    return verdict_with('mean_stress = "none"')


def test_strength_factors_scale_the_reserve(plain):
    small = verdict_with('mean_stress = "none"', "size_factor = 0.5")
    assert small.reserve == pytest.approx(0.5 * plain.reserve, rel=1e-6)
    loose = verdict_with('mean_stress = "none"', "strength_scatter = 0.16")
    ratio = survival_factor(0.95, 0.16) / survival_factor(0.95, 0.08)
    assert loose.reserve == pytest.approx(ratio * plain.reserve, rel=1e-6)


def test_mean_stress_rules_are_in_their_order(plain):
    rules = ('"gerber"', '"goodman"', '"smith_watson_topper"')
    found = [verdict_with(f"mean_stress = {rule}").reserve for rule in rules]
    # Pulses from zero far below the ultimate strength: Smith, Watson and Topper cost sqrt(2).
    assert plain.reserve > found[0] > found[1] > found[2]
    assert found[2] == pytest.approx(plain.reserve / math.sqrt(2.0), rel=0.02)
    half = verdict_with('mean_stress = "walker"', "walker_exponent = 0.5")
    assert half.reserve == pytest.approx(found[2], rel=1e-9)


def test_damage_rules_change_a_load_below_the_knee():
    weak = cover_pulses(5.0)
    lives = [
        verdict_with(f'damage_rule = "{rule}"', forces=weak).spots[0].life_h.min()
        for rule in ("elementary", "modified")
    ]
    assert lives[0] < 1e-3 * lives[1]


def test_picture_of_an_endurance_limit_goes_on_flat(monkeypatch, tmp_path):
    kept = []
    monkeypatch.setattr(
        fatigue_figures, "save_figure", lambda figure, path, caption: kept.append((figure, caption))
    )
    text = cage_text().replace("[cage]\n", '[cage]\nmaterial = "34CrMo4"\n', 1)
    text = text.replace("[fatigue]", '[fatigue]\nmean_stress = "fkm"\ndamage_rule = "original"')
    steel = fatigue(ForceHistory(cover_pulses(60.0), case=parse_case(text, "steel.toml")))
    assert steel.life_h == math.inf and 0.0 < steel.reserve < math.inf
    fatigue_figures.draw_fatigue(steel, tmp_path / "flat.png")
    (figure, caption), curve = kept[0], steel.governing.spot.curve
    level = curve.strength / 1e6
    flat = [line for line in figure.axes[0].get_lines() if list(line.get_ydata()) == [level] * 2]
    assert len(flat) == 1 and flat[0].get_xdata()[0] == curve.knee_cycles
    assert "by the rule fkm" in caption


def test_report_tells_rules_and_side_line(plain):
    text, data = fatigue_text(plain), fatigue_dict(plain)
    assert "mean stress rule none; damage beyond the knee" in " ".join(text.split())
    assert data["places"][0]["sn_line"]["mean_stress"] == "none"
    side = plain.governing.side_line
    assert not side.looks_gaussian and "NOT GAUSSIAN" in text
    assert f"{side.ratios['Dirlik']:.3g} of rainflow" in text
    told = data["closure_verdict"]["spectral_side_line"]
    assert told["ratio_to_rainflow"]["Dirlik"] == pytest.approx(side.ratios["Dirlik"])
    assert told["bar"] == side.bar + 1
    # The samples are the pulses themselves: a share of 1/20 of the time, kurtosis near 19.
    assert side.kurtosis == pytest.approx(18.05, rel=0.02)
    assert side.crest == pytest.approx(math.sqrt(19.0), rel=0.02)


def test_damage_of_the_side_line_is_that_of_the_pulses(plain):
    side, spot = plain.closures.side_line, plain.closures.spot
    stress = spot.highest_stress[spot.worst]
    cycle = (0.5 * stress / spot.curve.strength) ** spot.curve.slope / spot.curve.knee_cycles
    assert side.rainflow_per_h == pytest.approx(250.0 * 3600.0 * cycle, rel=0.02)
    assert list(side.spectral_per_h) == [
        "narrow band",
        "Wirsching and Light",
        "Tovo and Benasciutti",
        "Dirlik",
    ]
    assert np.all(np.isfinite(list(side.spectral_per_h.values())))
