"""From numbers of variants to effects, words and flips; numbers are handed in."""

import math

import pytest

from rollsim.fatigue.result import FAILS, SURVIVES, UNKNOWN
from rollsim.sweep.sensitivity_types import BASE, Input, Variant
from rollsim.sweep.tornado import PEAK, RESERVE, Comparison

SCATTER = (0.98, 1.0, 1.02)


def numbers(reserve, peak=500.0, yield_share=0.3, scatter=SCATTER):
    """Three replicates."""
    return {
        k: {
            "reserve": reserve * s,
            "peak": peak / s,
            "yield_share": yield_share,
            "problem": "",
        }
        for k, s in enumerate(scatter)
    }


def compare(**found):
    """A comparison of variants by name; those that begin with "run" have runs of their own."""
    variants = [Variant(BASE, "", None, None, None, True)]
    variants += [
        Variant(name, name, 1.0, None, None, name.startswith("run")) for name in found if name
    ]
    inputs = [Input(name, 0.0, (1.0,), "", False) for name in found if name]
    own = Comparison(variants, {BASE: numbers(1.3), **found})
    return own, {each.input.key: each for each in own.effects(inputs)}


def test_an_effect_is_the_ratio_of_geometric_means():
    own, effects = compare(run_a=numbers(2.6, 250.0), judged=numbers(0.65))
    bar = effects["run_a"].bars[0]
    assert bar.reserve.ratio == pytest.approx(2.0)
    assert bar.peak.ratio == pytest.approx(0.5)
    assert effects["judged"].bars[0].reserve.ratio == pytest.approx(0.5)
    assert effects["judged"].bars[0].peak is None
    assert own.level(BASE, PEAK)[0] == pytest.approx(500.0, rel=1e-3)


def test_the_word_flips_where_the_reserve_crosses_the_limit():
    own, effects = compare(run_a=numbers(0.8), run_b=numbers(1.8), judged=numbers(1.0))
    assert own.word(BASE) == SURVIVES
    assert effects["run_a"].bars[0].word == FAILS and effects["run_a"].flips
    assert effects["run_b"].bars[0].word == SURVIVES and not effects["run_b"].flips
    assert effects["judged"].bars[0].word == UNKNOWN and effects["judged"].flips


def test_yield_alone_flips_the_word():
    _, effects = compare(judged=numbers(1.4, yield_share=1.1))
    assert effects["judged"].bars[0].word == FAILS and effects["judged"].flips


def test_a_change_within_the_scatter_is_not_seen_and_flips_nothing():
    wide = (0.6, 1.0, 1.7)
    own, effects = compare(
        run_a=numbers(1.4, scatter=wide[::-1]), run_b=numbers(1.3, scatter=wide), run_c=numbers(9.0)
    )
    assert not effects["run_a"].seen and not effects["run_a"].flips
    assert effects["run_c"].seen
    assert own.smallest_seen(3) > 1.0


def test_flips_come_first_then_what_is_seen_by_its_swing():
    own, _ = compare(
        run_a=numbers(1.5), run_b=numbers(2.6), run_c=numbers(0.9), judged=numbers(1.3)
    )
    names = ("judged", "run_a", "run_b", "run_c")
    found = own.effects([Input(name, 0.0, (1.0,), "", False) for name in names])
    assert [each.input.key for each in found] == ["run_c", "run_b", "run_a", "judged"]


def test_equal_seeds_are_worth_what_runs_have_in_common():
    own, _ = compare(run_a=numbers(2.0), run_b=numbers(1.0))
    assert own.pairing()[RESERVE] == pytest.approx(0.0, abs=1e-9)
    own, _ = compare(run_a=numbers(2.0, scatter=SCATTER[::-1]))
    assert own.pairing()[RESERVE] == pytest.approx(2.0, rel=0.01)


def test_missing_numbers_are_told():
    endless = {k: {**row, "reserve": math.inf} for k, row in numbers(1.0).items()}
    broken = {0: {"problem": "walker_exponent is missing"}}
    _, effects = compare(judged=endless, other=broken, third={})
    assert effects["judged"].bars[0].word == SURVIVES
    assert "without limit" in effects["judged"].bars[0].problem
    assert effects["other"].bars[0].problem == "walker_exponent is missing"
    assert not effects["other"].flips and not effects["third"].flips
    assert effects["third"].bars[0].replicates == 0


def test_replicates_are_paired_by_their_number():
    late = {k: row for k, row in numbers(2.6).items() if k}
    _, effects = compare(run_a=late, run_b=numbers(2.6))
    assert effects["run_a"].bars[0].reserve.ratio == pytest.approx(2.0)
    assert effects["run_a"].bars[0].replicates == 2
