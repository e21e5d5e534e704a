"""[lubricant]: one way to the viscosity, and what belongs to which law of traction."""

import numpy as np
import pytest

from rollsim.case.assumptions import idle_keys
from rollsim.case.read import parse_case
from rollsim.errors import CaseError
from rollsim.model.viscosity import running_viscosity

CURVE = "viscosity_40C_mm2_per_s = 68.0\nviscosity_100C_mm2_per_s = 8.7\n"
FOUR = 'raceway_traction = "four_parameter"\nfour_parameter = '
WRONG = [
    (
        "viscosity_mPas = 20.0\ngrade_iso_vg = 68.0\ntemperature_C = 70.0\n",
        ["lubricant.grade_iso_vg = 68.0: give the viscosity in one way: viscosity_mPas and "
         "grade_iso_vg both tell it"],
    ),
    (
        "grade_iso_vg = 68.0\n" + CURVE + "temperature_C = 70.0\n",
        ["lubricant.viscosity_40C_mm2_per_s = 68.0: give the viscosity in one way: grade_iso_vg "
         "and viscosity_40C_mm2_per_s both tell it"],
    ),
    (
        "grade_iso_vg = 68.0\n",
        ["lubricant.grade_iso_vg = 68.0: needs temperature_C, the temperature of the oil"],
    ),
    (
        CURVE,
        ["lubricant.viscosity_40C_mm2_per_s = 68.0: needs temperature_C, the temperature of the "
         "oil"],
    ),
    (
        "viscosity_40C_mm2_per_s = 68.0\ntemperature_C = 70.0\n",
        ["lubricant.viscosity_40C_mm2_per_s = 68.0: needs viscosity_100C_mm2_per_s beside it, or "
         "give grade_iso_vg instead"],
    ),
    (
        "viscosity_100C_mm2_per_s = 8.7\n",
        ["lubricant.viscosity_100C_mm2_per_s = 8.7: belongs to viscosity_40C_mm2_per_s, which is "
         "not given"],
    ),
    (
        "viscosity_mPas = 20.0\ntemperature_C = 70.0\nviscosity_index = 95.0\n",
        [
            "lubricant.temperature_C = 70.0: counts only with grade_iso_vg or "
            "viscosity_40C_mm2_per_s, which are not given",
            "lubricant.viscosity_index = 95.0: counts only with grade_iso_vg or "
            "viscosity_40C_mm2_per_s, which are not given",
        ],
    ),
    (
        CURVE + "temperature_C = 70.0\nviscosity_index = 95.0\n",
        ["lubricant.viscosity_index = 95.0: viscosity_40C_mm2_per_s and viscosity_100C_mm2_per_s "
         "tell it already"],
    ),
    (
        "grade_iso_vg = 70.0\ntemperature_C = 70.0\n",
        ["lubricant.grade_iso_vg = 70.0: must be a grade of ISO 3448 with a viscosity index: 10, "
         "15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200; other oils by "
         "viscosity_40C_mm2_per_s and viscosity_100C_mm2_per_s; did you mean '68'?"],
    ),
    (
        "viscosity_40C_mm2_per_s = 8.0\nviscosity_100C_mm2_per_s = 9.0\ntemperature_C = 70.0\n",
        ["lubricant.viscosity_100C_mm2_per_s = 9.0: must be less than viscosity_40C_mm2_per_s = 8 "
         "mm2/s"],
    ),
    (
        'raceway_traction = "ehd"\n',
        ["lubricant.raceway_traction = 'ehd': must be one of 'coulomb', 'four_parameter', 'ehl'; "
         "did you mean 'ehl'?"],
    ),
    (
        "starvation_factor = 0.0\nraceway_roughness_um = 50.0\n",
        [
            "lubricant.starvation_factor = 0.0: must be a number, greater than 0, at most 1",
            "lubricant.raceway_roughness_um = 50.0: must be a number in um, greater than 0, at "
            "most 10",
        ],
    ),
    (
        "pressure_viscosity_per_GPa = 2e-8\n",
        ["lubricant.pressure_viscosity_per_GPa = 2e-08: must be a number in 1/GPa, at least 0.1, "
         "at most 100"],
    ),
    (
        FOUR + "[-0.1, 0.5, -2.5, 0.1]\n",
        ["lubricant.four_parameter = [-0.1, 0.5, -2.5, 0.1]: C must be greater than 0, or friction "
         "grows without bound"],
    ),
    (
        FOUR + "[0.1, 0.5, 2.5, -0.1]\n",
        ["lubricant.four_parameter = [0.1, 0.5, 2.5, -0.1]: friction must be against the slip "
         "everywhere: D (that at great slip) and B + C D (its rise with little slip) must be 0 or "
         "more, but are -0.1 and 0.25"],
    ),
    (
        FOUR + "[-0.1, -0.5, 2.5, 0.1]\n",
        ["lubricant.four_parameter = [-0.1, -0.5, 2.5, 0.1]: friction must be against the slip "
         "everywhere: D (that at great slip) and B + C D (its rise with little slip) must be 0 or "
         "more, but are 0.1 and -0.25"],
    ),
    (
        FOUR + "[0.0, 50.0, 2.5, 0.0]\n",
        ["lubricant.four_parameter = [0.0, 50.0, 2.5, 0.0]: the friction coefficient reaches 7.36 "
         "at 0.4 m/s; 2 is the most that is taken"],
    ),
    (
        FOUR + "[-3.0, 0.0, 2.5, 3.0]\n",
        ["lubricant.four_parameter = [-3.0, 0.0, 2.5, 3.0]: the friction coefficient reaches 3 at "
         "great slip; 2 is the most that is taken"],
    ),
]  # fmt: skip


def _problems(text):
    """Every problem without place."""
    with pytest.raises(CaseError) as caught:
        parse_case(text, "oil.toml")
    return [str(problem).split(": ", 1)[1] for problem in caught.value.problems]


@pytest.mark.parametrize(("keys", "expected"), WRONG)
def test_every_conflict_is_named_in_one_pass(good_text, keys, expected):
    assert _problems(good_text + "[lubricant]\n" + keys) == expected


@pytest.mark.parametrize(
    "keys", ["", "viscosity_mPas = 9.0\n", "grade_iso_vg = 320\ntemperature_C = 55\n",
             CURVE + "temperature_C = 70.0\n"],
)  # fmt: skip
def test_each_way_alone_is_good(good_text, keys):
    oil = parse_case(good_text + "[lubricant]\n" + keys).lubricant
    assert oil.kind == "oil"
    ways = (oil.grade_iso_vg, oil.viscosity_40C_mm2_per_s)
    assert sum(way is not None for way in ways) == ("temperature_C" in keys)


@pytest.mark.parametrize("curve", [(-0.1, 0.5, 2.5, 0.1), (-0.1, -0.25, 2.5, 0.1), (0, 0, 1, 0)])
def test_a_curve_that_brakes_at_every_slip_is_good(good_text, curve):
    text = good_text + f"[lubricant]\n{FOUR}{list(map(float, curve))}\n"
    a, b, c, d = parse_case(text).lubricant.four_parameter
    slip = np.linspace(0.0, 10.0, 4001)
    assert np.min((a + b * slip) * np.exp(-c * slip) + d) > -1e-15


def test_a_curve_beside_another_law_is_told(good_text):
    case = parse_case(good_text + "[lubricant]\nfour_parameter = [-0.1, 0.5, 2.5, 0.1]\n")
    (key, _, when), *_ = idle_keys(case)
    assert key == "lubricant.four_parameter"
    assert when == "raceway_traction = 'four_parameter'"


@pytest.mark.parametrize(
    "keys",
    ["grade_iso_vg = 3200\n", "viscosity_40C_mm2_per_s = 1e5\nviscosity_100C_mm2_per_s = 2\n"],
)
def test_an_oil_that_does_not_flow_is_refused_with_its_temperature(good_text, keys):
    """Found where the viscosity is computed: the file alone does not tell it."""
    text = good_text + f"[lubricant]\n{keys}temperature_C = -40\n"
    with pytest.raises(CaseError) as caught:
        running_viscosity(parse_case(text, "oil.toml"))
    (problem,) = caught.value.problems
    assert problem.key == "lubricant.temperature_C" and problem.value == -40
    assert "temperature_C" in text.splitlines()[problem.line - 1]
    assert "films are computed up to 100000 mPas" in str(problem)
    assert ("is a solid there" in str(problem)) == ("100C" in keys)
