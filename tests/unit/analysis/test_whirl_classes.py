"""The rule that names the behaviour of the cage."""

from dataclasses import replace

import pytest

from rollsim.analysis.whirl_class import RULE, Evidence, classify

ORBIT = Evidence(
    offset=0.1,
    radius_variation=0.1,
    circulation=-0.9,
    ratio_scatter=0.1,
    whirl_turns=30.0,
    cage_turns=60.0,
)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({}, "orbiting"),
        ({"circulation": 0.9}, "orbiting"),
        ({"offset": 0.95}, "seated"),
        ({"offset": 0.7}, "undecided"),
        ({"radius_variation": 0.4}, "undecided"),
        ({"radius_variation": 0.4, "circulation": 0.3}, "disordered"),
        ({"ratio_scatter": 0.5}, "undecided"),
        ({"ratio_scatter": float("nan")}, "undecided"),
        ({"whirl_turns": 4.0}, "undecided"),
        ({"cage_turns": 4.0}, "undecided"),
        ({"offset": float("nan")}, "undecided"),
    ],
)
def test_each_condition_decides(change, name):
    assert classify(replace(ORBIT, **change)).name == name


def test_the_rule_is_told_as_our_own_with_its_thresholds():
    verdict = classify(ORBIT)
    assert verdict.origin == "our own choice, not published"
    assert verdict.rule == RULE
    for threshold in ("0.9", "0.5", "0.25", "0.7"):
        assert threshold in RULE
