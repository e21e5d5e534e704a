"""Rules of fatigue that the materials of cage and closures do not allow."""

import pytest

from rollsim.case.read import parse_case

FKM = (
    "fatigue.mean_stress = 'fkm': the FKM guideline gives constants for steel, cast steel, nodular "
    "iron, malleable iron, grey iron, wrought aluminium, cast aluminium only, and "
)
OTHERS = "; take goodman, gerber, smith_watson_topper or walker; did you mean 'goodman'?"
OWN = (
    "[material.own]\nyoungs_modulus_GPa = 206\npoisson = 0.3\ndensity_kg_per_m3 = 7850\n"
    "yield_MPa = 400\nultimate_MPa = 600\nfatigue_strength_MPa = 250\nknee_cycles = 1e6\n"
)

WRONG = [
    ('mean_stress = "fkm"', "", [f"{FKM}'CuZn40Pb2' is a copper alloy{OTHERS}"]),
    (
        'mean_stress = "fkm"',
        OWN,
        [
            f"{FKM}nothing tells what 'own' is (key group in [material.own]){OTHERS}",
        ],
    ),
    (
        'mean_stress = "walker"',
        "",
        [
            "fatigue.mean_stress = 'walker': walker needs fatigue.walker_exponent beside it (from "
            "tests; 0.5 is smith_watson_topper, 1 is none)"
        ],
    ),
    (
        "walker_exponent = 0.4",
        "",
        [
            'fatigue.walker_exponent = 0.4: counts only with mean_stress = "walker", not with '
            '"goodman"'
        ],
    ),
    (
        'damage_rule = "original"',
        "",
        [
            "fatigue.damage_rule = 'original': original takes no damage below the knee, and "
            "'CuZn40Pb2' is a copper alloy, which has no endurance limit; take elementary, "
            "by_material or modified; did you mean 'elementary'?"
        ],
    ),
    (
        'damage_rule = "modified"',
        "[material.rivet_steel]\nslope_beyond = 7.0\n",
        [
            'material.rivet_steel.slope_beyond = 7.0: fatigue.damage_rule = "modified" tells the '
            'slope beyond the knee already; leave one of the two out ("by_material" uses the one '
            "given here)"
        ],
    ),
]


@pytest.mark.parametrize(("line", "more", "expected"), WRONG)
def test_rules_that_do_not_fit_are_refused_with_reason(problems_after, line, more, expected):
    cage = '[cage]\nmaterial = "own"\n' if "own" in more else "[cage]\n"
    found = problems_after("[cage]\n", f"[fatigue]\n{line}\n{more}{cage}")
    assert [text.split(": ", 1)[1] for text in found] == expected


def test_fkm_is_allowed_where_all_of_the_cage_is_in_its_range(good_text):
    text = good_text.replace(
        "[cage]\n",
        f'[fatigue]\nmean_stress = "fkm"\n{OWN}group = "steel"\n[cage]\nmaterial = "own"\n',
    )
    case = parse_case(text, "steel.toml")
    assert case.materials["own"].group == "steel"
    assert case.materials["CuZn40Pb2"].group == "copper_alloy"


def test_rules_not_given_are_assumptions_with_their_effect(good_text):
    told = {item.key: item for item in parse_case(good_text, "good.toml").assumptions}
    for key, value in (("mean_stress", "goodman"), ("damage_rule", "by_material")):
        assert told[f"fatigue.{key}"].value == value
        assert told[f"fatigue.{key}"].effect
    assert told["fatigue.strength_scatter"].value == 0.08
    assert "fatigue.walker_exponent" not in told
