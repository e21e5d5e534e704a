"""[lubricant]: one way to the viscosity, and what belongs to which law of traction."""

import pytest

from rollsim.case.read import parse_case
from rollsim.errors import CaseError

CURVE = "viscosity_40C_mm2_per_s = 68.0\nviscosity_100C_mm2_per_s = 8.7\n"
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
