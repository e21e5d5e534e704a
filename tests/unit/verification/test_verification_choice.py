"""Rows of the published checks: how one is judged, and how words choose among them."""

import math

import pytest

from rollsim.verification.catalogue import TOPICS, NoSuchCheck, chosen
from rollsim.verification.check import Basis, Check, Outcome, Source, outcome_of

SOURCE = Source("Somebody 1950", Basis.CLOSED)


def keys(*words):
    """Keys of the checks that answer to words."""
    return [check.key for topic in chosen(words) for check in topic.checks]


@pytest.mark.parametrize(
    ("expected", "tolerance", "absolute", "computed", "within"),
    [
        (200.0, 0.01, False, 201.9, True),
        (200.0, 0.01, False, 202.1, False),
        (200.0, 0.01, False, 197.9, False),
        (-200.0, 0.01, False, -201.9, True),
        (-200.0, 0.01, False, 200.0, False),
        (0.0, 0.5, True, -0.4, True),
        (0.0, 0.5, True, 0.6, False),
        (0.0, 0.5, False, 0.0, False),
        (1.0, 0.0, False, 1.0, True),
        (1.0, 0.1, False, math.nan, False),
        (1.0, 0.1, True, math.inf, False),
    ],
)
def test_a_row_is_judged_by_its_tolerance(expected, tolerance, absolute, computed, within):
    check = Check(
        "A01", "a number", SOURCE, expected, tolerance, lambda: computed, absolute=absolute
    )
    assert outcome_of(check).within is within


def test_deviation_is_a_share_or_in_the_unit():
    relative = Check("A01", "a number", SOURCE, -50.0, 0.1, lambda: -51.0)
    assert outcome_of(relative).deviation == pytest.approx(-0.02)
    absolute = Check("A01", "a number", SOURCE, -50.0, 0.1, lambda: -51.0, absolute=True)
    assert outcome_of(absolute).deviation == pytest.approx(-1.0)


def test_an_expected_value_may_be_computed_by_another_route():
    check = Check("A01", "a number", SOURCE, lambda: 3.0, 1e-9, lambda: 3.0)
    assert outcome_of(check) == Outcome(check, 3.0, 3.0)


def test_a_row_that_cannot_be_computed_is_off_and_says_why():
    def broken():
        raise ValueError("no root between 0 and 1")

    found = outcome_of(Check("A01", "a number", SOURCE, 1.0, 1e9, broken))
    assert found.problem == "ValueError: no root between 0 and 1"
    assert not found.within


def test_a_row_without_its_library_is_left_out():
    check = Check(
        "A01", "a number", SOURCE, 1.0, 0.1, lambda: 1 / 0, needs="a_library_that_is_not_there"
    )
    found = outcome_of(check)
    assert found.left_out == "a_library_that_is_not_there"
    assert not found.problem and not found.within


def test_without_words_all_checks_are_chosen():
    assert chosen(()) == TOPICS


def test_keys_choose_by_their_beginning():
    assert keys("J02") == ["J02a", "J02b", "J02c"]
    assert keys("j02B") == ["J02b"]
    assert {key[0] for key in keys("J")} == {"J"} and len(keys("J")) > 20


def test_words_choose_by_topic_source_and_basis_in_any_case():
    assert [topic.name for topic in chosen(["RAINFLOW counting"])] == ["Rainflow counting"]
    shigley = chosen(["shigley"])
    assert all("Shigley" in check.source.name for topic in shigley for check in topic.checks)
    assert len(shigley) == 2
    recalled = [check for topic in chosen(["from memory"]) for check in topic.checks]
    assert all(check.source.basis.recalled for check in recalled) and len(recalled) > 50


def test_several_words_add_up():
    assert sorted(keys("J02", "F03")) == sorted([*keys("J02"), *keys("F03")])


@pytest.mark.parametrize("word", ["xyzzy", "", "  ", "Q7", "J0299"])
def test_a_word_that_no_check_answers_to_is_refused(word):
    with pytest.raises(NoSuchCheck, match="Topics") as refused:
        chosen(["J02", word])
    assert f"'{word}'" in str(refused.value)
    assert refused.value.exit_code == 2


@pytest.mark.parametrize(("word", "meant"), [("rainflwo", "rainflow"), ("Shigly", "shigley")])
def test_a_slip_of_the_pen_is_met_with_the_nearest_word(word, meant):
    with pytest.raises(NoSuchCheck, match=f"Did you mean '{meant}'"):
        chosen([word])
