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
        ({}, "regular circular"),
        ({"circulation": 0.9}, "regular circular"),
        ({"offset": 0.95}, "seated"),
        ({"offset": 0.7}, "undecided"),
        ({"radius_variation": 0.4}, "undecided"),
        ({"radius_variation": 0.4, "circulation": 0.3}, "disordered"),
        ({"ratio_scatter": 0.5}, "undecided"),
        ({"ratio_scatter": float("nan")}, "undecided"),
        ({"whirl_turns": 4.0}, "undecided"),
        ({"cage_turns": 4.0}, "regular circular"),
        ({"forced_by": "exciter at +16 Hz"}, "forced"),
        ({"forced_by": "exciter at +16 Hz", "cage_turns": 2.0}, "forced"),
        ({"forced_by": "exciter at +16 Hz", "whirl_turns": 4.0}, "undecided"),
        ({"forced_by": "exciter at +16 Hz", "offset": 0.95}, "seated"),
        ({"offset": 0.95, "cage_turns": 4.0}, "undecided"),
        ({"offset": 0.95, "whirl_turns": 0.0}, "seated"),
        ({"offset": float("nan")}, "undecided"),
    ],
)
def test_each_condition_decides(change, name):
    assert classify(replace(ORBIT, **change)).name == name


def test_the_rule_is_told_as_our_own_with_its_thresholds():
    verdict = classify(ORBIT)
    assert verdict.origin == "own thresholds, calibrated on synthetic orbits"
    assert verdict.rule == RULE
    for threshold in ("0.9", "0.5", "0.25", "0.7", "5 %", "5 or more whirl turns"):
        assert threshold in RULE


def test_a_short_motion_says_which_turns_are_missing():
    assert "only 4.0 whirl turns" in classify(replace(ORBIT, whirl_turns=4.0)).reason
    short = replace(ORBIT, offset=0.95, cage_turns=3.0, whirl_turns=0.1)
    assert "only 3.0 cage turns" in classify(short).reason
    forced = classify(replace(ORBIT, forced_by="exciter at +16 Hz"))
    assert forced.reason.startswith("whirls with the exciter at +16 Hz")
