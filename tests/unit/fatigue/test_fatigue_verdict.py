"""The verdict on forces that are known."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_text
from force_history import ForceHistory, cover_pulses, no_force
from synthetic_history import write_synthetic_history

import rollsim
from rollsim.case.read import parse_case
from rollsim.errors import RollsimError
from rollsim.fatigue.verdict import fatigue, judge
from rollsim.report.fatigue_figures import draw_fatigue
from rollsim.report.fatigue_table import fatigue_text
from rollsim.structure.hot_spots import BOSS_ROOT, PIECE, hot_spots
from rollsim.structure.recovery import cage_recovery

COUNT_PER_HOUR = 250.0 * 3600.0


def spot_of(result, name):
    """Result of a sort of spot."""
    (found,) = [spot for spot in result.spots if spot.name == name]
    return found


def test_even_pulses_give_the_life_worked_by_hand():
    history = ForceHistory(cover_pulses(600.0))
    result = fatigue(history)
    recovery = cage_recovery(history.case)
    loads = np.zeros((1, recovery.load_count))
    loads[0, :18] = 600.0
    forces = recovery.section_forces(loads)
    spot = spot_of(result, "rivet head fillet")
    (place,) = [s for s in hot_spots(recovery.frame.design) if s.name == spot.name]
    stress = place.stress(forces.head[0])[0].max()
    assert result.method == "quasi_static" and 0.04 < result.open_share < 0.06
    assert spot.highest_stress == pytest.approx(np.full(18, stress), rel=1e-4)
    # A pulse from zero: amplitude and mean are half of the peak.
    damage = float(spot.curve.damage(stress, 0.5 * stress)) * COUNT_PER_HOUR
    # Start and end of the history cost at most one cycle of some 88.
    assert spot.damage_per_h == pytest.approx(np.full(18, damage), rel=0.015)
    assert spot.life_h == pytest.approx(1.0 / spot.damage_per_h)


def test_load_scaled_by_the_reserve_just_lives_as_long_as_wanted():
    first = fatigue(ForceHistory(cover_pulses(100.0)))
    again = fatigue(ForceHistory(cover_pulses(100.0 * first.reserve)))
    assert again.reserve == pytest.approx(1.0, rel=2e-3)
    assert again.life_h == pytest.approx(20000.0, rel=0.02)
    assert again.governing.spot.name == first.governing.spot.name


def test_preload_keeps_the_joint_closed_and_its_own_stress_costs_reserve():
    plain, held, tighter = (
        fatigue(ForceHistory(cover_pulses(100.0), more=f"preload_N = {preload}"))
        for preload in (0.0, 1500.0, 2500.0)
    )
    assert plain.open_share > 0.0 and held.open_share == tighter.open_share == 0.0
    spot = spot_of(held, "rivet head fillet")
    assert tighter.reserve < held.reserve and plain.reserve < held.reserve
    # Pull of the rivet times its notch factor, and a little bending by parts that yield.
    pull = 1500.0 / (np.pi * 2.5e-3**2) * spot.notch_factors[0]
    assert spot.preload_stress == pytest.approx(pull, rel=0.25) and spot.preload_stress > pull
    again = fatigue(ForceHistory(cover_pulses(100.0 * held.reserve), more="preload_N = 1500.0"))
    assert again.open_share == 0.0
    assert again.reserve == pytest.approx(1.0, rel=2e-3)
    assert "The least reserve scales exactly" in held.reserve_note


def test_unknown_method_is_refused():
    with pytest.raises(RollsimError, match="quasi_static"):
        fatigue(ForceHistory(cover_pulses(20.0)), method="guess")


def test_missing_closure_counts():
    forces = cover_pulses(100.0)
    sound, torn = (
        fatigue(ForceHistory(forces, more=f"stiffness_factors = [{rows}]"))
        for rows in ("[4, 1.0]", "[4, 0.0]")
    )
    assert not any("NOT SEEN" in line for line in torn.warnings)
    spot = spot_of(torn, "rivet head fillet")
    assert 3 not in spot.bars and len(spot.bars) == 17
    assert torn.closures.bar in (2, 4) and sound.closures.reserve > 1.1 * torn.closures.reserve


def test_forces_on_the_base_ring_count():
    forces = no_force()
    forces[10::20, :, 2] = 200.0
    result = fatigue(ForceHistory(forces))
    assert result.largest_base_force == 200.0 and result.largest_cover_force == 0.0
    assert math.isfinite(result.closures.life_h)
    # Against a push on the cover the base ring alone hardly loads the rivets.
    pushed = fatigue(ForceHistory(cover_pulses(200.0)))
    assert result.closures.reserve > pushed.closures.reserve


def test_forces_of_the_lands_count():
    land, side = np.zeros((2000, 2, 3)), np.zeros((2000, 3))
    side[:, 0], land[10::20, :, 0] = 1e-4, -900.0
    others = {("history", "land_force"): land, ("history", "cage_position"): side}
    others["peak", "land_force"] = np.abs(land[:, :, 0])
    result = fatigue(ForceHistory(no_force(), others=others))
    assert result.largest_land_force == 900.0
    assert math.isfinite(result.bars.life_h)


def test_words_of_the_verdict():
    weak, strong = (fatigue(ForceHistory(cover_pulses(f))) for f in (20.0, 500.0))
    assert weak.verdict == "survives" and weak.life_h > weak.target_life_h
    assert strong.verdict == "does not survive" and strong.life_h < strong.target_life_h
    forces = cover_pulses(100.0) * fatigue(ForceHistory(cover_pulses(100.0))).reserve
    forces[:1000] *= 0.8
    forces[1000:] *= 1.2
    torn = fatigue(ForceHistory(forces))
    assert torn.verdict == "cannot tell"
    low, high = torn.governing.reserve_interval
    assert low < 1.0 < high and low <= torn.reserve <= high
    assert torn.governing.life_interval_h[0] < 20000.0 < torn.governing.life_interval_h[1]


@pytest.mark.parametrize(
    ("interval", "share", "force", "word"),
    [
        ((1.0, 2.0), 0.99, 10.0, "survives"),
        ((1.5, 2.0), 1.0, 10.0, "does not survive"),
        ((0.2, 0.99), 0.1, 10.0, "does not survive"),
        ((0.0, math.inf), 0.1, 10.0, "cannot tell"),
        (None, 0.1, 10.0, "cannot tell"),
        ((math.inf, math.inf), 0.0, 0.0, "cannot tell"),
    ],
)
def test_judgement(interval, share, force, word):
    found, reason = judge(interval, share, force, 30.0)
    assert found == word
    assert reason.endswith(".")


def test_rollers_that_touch_nothing_cannot_tell():
    result = fatigue(ForceHistory(no_force()))
    assert result.verdict == "cannot tell"
    assert math.isinf(result.life_h) and math.isinf(result.reserve)


def test_short_history_has_no_interval():
    result = fatigue(ForceHistory(cover_pulses(20.0, every=5, samples=300)))
    assert result.governing.reserve_interval is None and result.verdict == "cannot tell"
    assert "too short" in result.governing.reason


def test_planar_run_is_called_so_loudly():
    forces = no_force()
    forces[10::20, :, 0] = 20.0
    result = fatigue(ForceHistory(forces, motion="planar"))
    assert result.warnings[0].startswith("PLANAR RUN") and "MISSING" in result.warnings[0]
    assert "bars alone" in result.governing.reason
    spatial = fatigue(ForceHistory(cover_pulses(20.0)))
    assert not any("PLANAR" in line for line in spatial.warnings)


def test_pulse_on_one_bar_hurts_that_bar_most():
    result = fatigue(ForceHistory(forces_on_one_bar(200.0), closure="tenon"))
    assert result.governing.bar == 6
    root = spot_of(result, "bar root at base ring")
    assert root.damage_per_h.argmax() == 6
    # The cover hands the force on: tenons two bars away are bent about as much as its own.
    assert abs(int(spot_of(result, "tenon root").damage_per_h.argmax()) - 6) <= 2


def test_peak_between_two_samples_counts():
    sample = no_force()
    peak = cover_pulses(300.0)
    hidden, seen = (fatigue(ForceHistory(s, peak)) for s in (sample, peak))
    assert hidden.life_h == pytest.approx(seen.life_h, rel=0.02)
    assert hidden.largest_cover_force == 300.0


def test_load_share_stretches_the_life():
    text = cage_text().replace("[fatigue]", "[fatigue]\nload_share = 0.25")
    part = fatigue(ForceHistory(cover_pulses(200.0), case=parse_case(text, "part.toml")))
    whole = fatigue(ForceHistory(cover_pulses(200.0)))
    assert part.life_h == pytest.approx(4.0 * whole.life_h)
    assert part.reserve > whole.reserve


def test_an_assumed_pocket_fillet_is_told_with_what_another_would_do():
    forces = no_force()
    forces[10::20, 6, 0] = 200.0
    first = fatigue(ForceHistory(forces))
    text = cage_text().replace("guidance =", "pocket_fillet_mm = 1.0\nguidance =")
    other = fatigue(ForceHistory(forces, case=parse_case(text, "round.toml")))
    least, more = (spot_of(r, "bar root at base ring").reserve.min() for r in (first, other))
    assert 1.1 < more / least < 1.5
    (line,) = [line for line in first.own_assumptions if "pocket corners" in line]
    assert "0.5 mm (cage.pocket_fillet_mm; common practice, no source)" in line
    assert f"from {least:.2f} to {more:.2f}" in line
    assert not any("pocket corners" in line for line in other.own_assumptions)
    given = cage_text().replace("[fatigue]", "[fatigue]\nnotch_factor = 1.5")
    held = fatigue(ForceHistory(forces, case=parse_case(given, "held.toml")))
    assert not any("in its place" in line for line in held.own_assumptions)


def test_limits_tell_how_rollers_press_and_how_quick_a_bar_is():
    text = " ".join(fatigue(ForceHistory(cover_pulses(20.0))).limits)
    assert "presses evenly along its whole bar (line load" in text
    assert re.search(r"A bar of this cage swings within 7\d us", text)


def test_one_piece_checks_the_bar_roots():
    result = fatigue(ForceHistory(cover_pulses(200.0), closure="one_piece"))
    assert [spot.name for spot in result.spots] == ["bar root at cover", "bar root at base ring"]
    assert result.closures is None and result.parts == (result.bars,)
    assert result.governing is result.bars


def forces_on_one_bar(force, samples=2000):
    """Both faces of bar 6 are pushed in turn."""
    forces = no_force(samples)
    forces[10::20, 6, 0] = force
    forces[20::20, 7, 1] = force
    return forces


@pytest.mark.parametrize(
    ("closure", "more", "force", "failing"),
    [("rivet", "", 300.0, "closure"), ("tenon", "root_fillet_mm = 0.58", 1200.0, "bars")],
)
def test_closures_and_bars_are_judged_apart(closure, more, force, failing):
    forces = forces_on_one_bar(force)
    forces[:, :, 3] = cover_pulses(5.0)[:, :, 3]
    result = fatigue(ForceHistory(forces, closure=closure, more=more))
    for part in result.parts:
        fails = part.part == failing
        assert (part.verdict == "does not survive") == fails
        assert (part.reserve < 1.0) == fails
    assert result.closures.spot.name.startswith(closure)
    assert result.bars.spot.name == "bar root at base ring" and result.bars.bar == 6
    for part, own in ((result.closures, result.spots[:-1]), (result.bars, result.spots[-1:])):
        assert part.reserve == min(spot.reserve.min() for spot in own)
        assert part.yield_share == max(spot.yield_share.max() for spot in own)
        low, high = part.reserve_interval
        assert low <= part.reserve <= high
        assert [low, high] != [part.reserve, part.reserve]
    assert result.governing.part == failing and result.verdict == "does not survive"
    pushed = fatigue(ForceHistory(cover_pulses(500.0), closure=closure, more=more))
    assert pushed.governing is pushed.closures and pushed.bars.reserve > pushed.closures.reserve


def test_the_worse_word_governs_before_the_smaller_reserve():
    result = fatigue(ForceHistory(cover_pulses(20.0)))
    assert result.governing is result.closures
    sure = replace(result, closures=replace(result.closures, verdict="cannot tell"))
    assert sure.governing is sure.closures and sure.verdict == "cannot tell"
    failed = replace(sure, bars=replace(result.bars, verdict="does not survive"))
    assert failed.bars.reserve > failed.closures.reserve
    assert failed.governing is failed.bars and failed.verdict == "does not survive"
    assert failed.reserve == failed.bars.reserve and failed.life_h == failed.bars.life_h


def test_material_without_data_is_refused_in_plain_words():
    text = cage_text(more='material = "own"')
    text += "[material.own]\nyoungs_modulus_GPa = 200.0\npoisson = 0.3\n"
    text += "density_kg_per_m3 = 7800.0\n"
    with pytest.raises(RollsimError):
        fatigue(ForceHistory(no_force(), case=parse_case(text, "own.toml")))


def test_bars_without_a_rivet_are_judged_with_their_own_section():
    result = fatigue(ForceHistory(cover_pulses(600.0), more="count = 6"))
    drilled = spot_of(result, "bar root at base ring")
    bare = spot_of(result, "root of unriveted bar")
    assert sorted([*drilled.bars, *bare.bars]) == list(range(18))
    assert result.bars.spot.reserve.min() == pytest.approx(
        min(drilled.reserve.min(), bare.reserve.min())
    )
    assert "root of unriveted bar" in fatigue_text(result)


def test_file_and_callable_package(tmp_path):
    path = tmp_path / "run.h5"
    write_synthetic_history(path, roller_count=18, duration_s=0.6, pulse_peak=150.0)
    with rollsim.open_history(path) as history:
        result = rollsim.fatigue(history)
        assert rollsim.fatigue(history).life_h == result.life_h
    assert result.case_name == "synthetic"
    assert result.largest_bar_force == pytest.approx(150.0, rel=1e-6)
    assert any("lubricant.oil_fraction" in line for line in result.assumptions)
    short = tmp_path / "short.h5"
    write_synthetic_history(short, roller_count=18, duration_s=0.1, settle_s=0.099)
    with (
        rollsim.open_history(short) as history,
        pytest.raises(RollsimError, match="after the settling time"),
    ):
        rollsim.fatigue(history)


@pytest.mark.parametrize(
    ("low", "duration", "word"),
    [(1.2, 9.9, "cannot tell"), (1.6, 9.9, "survives"), (1.2, 10.0, "survives")],
)
def test_a_short_history_must_leave_a_larger_reserve(low, duration, word):
    found, reason = judge((low, 3.0), 0.3, 500.0, duration)
    assert found == word
    assert ("Run longer" in reason) == (word == "cannot tell")


@pytest.mark.parametrize(("count", "joint"), [(10, "separate"), (18, "one_piece")])
def test_rivets_beside_the_bars_are_judged_one_by_one(count, joint, tmp_path):
    keys = f'position = "beside_bars"\nboss_diameter_mm = 7.0\ncount = {count}\n'
    history = ForceHistory(cover_pulses(100.0), more=f'{keys}boss_joint = "{joint}"')
    result = fatigue(history)
    rivets = spot_of(result, "rivet head fillet")
    gaps = [0, 2, 4, 5, 7, 9, 11, 13, 14, 16] if count == 10 else list(range(18))
    assert rivets.bars.tolist() == gaps
    # Two turns of the pattern of ten rivets: opposite ones carry the same.
    assert rivets.reserve == pytest.approx(np.roll(rivets.reserve, count // 2), rel=1e-3)
    assert result.closures.spot.part == "closure"
    foot = spot_of(result, PIECE if joint == "separate" else BOSS_ROOT)
    assert foot.bars.tolist() == gaps
    assert "fillet in the pocket corners" in fatigue_text(result)
    assert draw_fatigue(result, tmp_path / "verdict.png").path.stat().st_size > 10000
