"""Tables in time, drive, seat, shaft and imbalance that do not fit together."""

import pytest

from rollsim.case.read import parse_case
from rollsim.errors import CaseError

_DUTY = "[duty]\n"
_TORQUE = 'drive = "torque"\ndrive_inertia_kgm2 = 0.5\n'

# lines added to [duty], words of every problem in order
WRONG = [
    ("speed_table = []", ["duty.speed_table = []: needs at least one row"]),
    ("speed_table = [[0.1, 5.0], [0.2, 8.0]]", ["the first row must stand at time 0 s, not 0.1"]),
    (
        "speed_table = [[0.0, 5.0], [0.2, 8.0], [0.2, 9.0]]",
        ["times must rise by a microsecond at least: row 3 stands at 0.2 s behind 0.2 s"],
    ),
    ("speed_table = [[0.0, 3e5]]", ["row 1: the speed 300000 rpm is not from -200000 to 200000"]),
    (
        "speed_table = [[0.0, 1.0], [1.0, nan]]",
        ["duty.speed_table[2] = [1.0, nan]: must be a row [time in s, speed in rpm] of finite"],
    ),
    ("speed_table = [[0.0, 1.0, 2.0]]", ["duty.speed_table"]),
    (
        "load_table = [[0.0, -1.0, 0.0, 0.0], [1.0, 1.0, 0.0, 0.0]]",
        ["row 1: the radial load -1 kN is not from 0 to 100000"],
    ),
    ("load_table = [[0.0, 1.0, 0.0, 1.0]]", ["planar motion takes no axial load"]),
    ('drive = "torque"', ["'drive_inertia_kgm2'", "needs 'drive_torque_Nm' or 'torque_table'"]),
    (
        _TORQUE + "drive_torque_Nm = 1.0\ntorque_table = [[0.0, 1.0]]",
        ["give either drive_torque_Nm or torque_table, not both"],
    ),
    (
        _TORQUE + "drive_torque_Nm = 1.0\nspeed_table = [[0.0, 1.0]]",
        ["its speed cannot be prescribed"],
    ),
    (
        "drive_torque_Nm = 1.0\nstart_speed_rpm = 0.0",
        ["duty.drive_torque_Nm = 1.0: belongs to drive = 'torque'", "duty.start_speed_rpm = 0.0"],
    ),
    ("shaft_stiffness_N_per_um = 100.0", ["a shaft stiffness carries a rotor: give duty.rotor"]),
    ("shaft_damping_Ns_per_mm = 1.0", ["damping belongs to a stiffness: give duty.shaft_stiff"]),
    ("shaft_tilt_stiffness_Nm_per_mrad = 1.0", ["planar motion has no tilt"]),
    ("carrier_radius_mm = 200.0", ["counts only where the carrier turns: give duty.carrier_spe"]),
    (
        _TORQUE + "drive_torque_Nm = 0.0\nstart_speed_rpm = 0.0",
        ["duty.drive_torque_Nm = 0.0: nothing would turn"],
    ),
    (
        _TORQUE + "torque_table = [[0.0, 0.0], [1.0, 0.0]]\nstart_speed_rpm = 0.0",
        ["nothing would turn: give a torque, or the speed of a run-down as start_speed_rpm"],
    ),
]
WRONG_SEAT = [
    ("seat_stiffness_N_per_um = [1.0, 0.0, 1.0]", ["each part must be greater than 0"]),
    ("seat_stiffness_N_per_um = [1.0, 1.0]", ["bearing.seat_stiffness_N_per_um"]),
    ("seat_damping_Ns_per_mm = 1.0", ["give bearing.seat_stiffness_N_per_um as well"]),
    ("outer_mass_kg = 1.0", ["the mass of a fixed ring counts for nothing"]),
]

_SPATIAL = '[solver]\nmotion = "spatial"\n'
# axial load, flanges, what is missing (none where the load is taken up)
AXIAL = [
    ("axial_load_kN = 2.0", None, "towards the cover (+z): the inner ring would slide out; "
     "bearing.flanges needs 'inner_base' too"),
    ("axial_load_kN = -2.0", ["outer_cover", "inner_base"], "towards the base (-z): the inner ring "
     "would slide out; bearing.flanges needs 'inner_cover' and 'outer_base' too"),
    ("load_table = [[0.0, 5.0, 0.0, 0.0], [1.0, 5.0, 0.0, -1.0]]", None, "towards the base (-z)"),
    ("axial_load_kN = 2.0", ["outer_cover", "inner_base"], None),
    ("load_table = [[0.0, 5.0, 0.0, -2.0]]", ["outer_base", "inner_cover"], None),
]  # fmt: skip


@pytest.mark.parametrize(("load", "flanges", "missing"), AXIAL)
def test_an_axial_load_that_no_flange_takes_up_is_told(good_text, load, flanges, missing):
    bearing = "[bearing]\n" + (f"flanges = {flanges}\n" if flanges else "")
    text = good_text.replace("[bearing]\n", bearing) + _SPATIAL
    text = text.replace(_DUTY, f"{_DUTY}{load}\n")
    if missing is None:
        assert parse_case(text)
        return
    with pytest.raises(CaseError) as caught:
        parse_case(text)
    (problem,) = caught.value.problems
    assert missing in problem.message
    assert parse_case(text + 'locked = ["inner_z"]\n')


def _found(problems, words):
    """Every problem holds its words."""
    assert len(problems) == len(words), problems
    for problem, part in zip(problems, words, strict=True):
        assert part in problem


@pytest.mark.parametrize(("lines", "words"), WRONG)
def test_wrong_duty_is_told(problems_after, lines, words):
    _found(problems_after(_DUTY, f"{_DUTY}{lines}\n"), words)


@pytest.mark.parametrize(("lines", "words"), WRONG_SEAT)
def test_wrong_seat_is_told(problems_after, lines, words):
    _found(problems_after("[bearing]\n", f"[bearing]\n{lines}\n"), words)


@pytest.mark.parametrize(
    "lines",
    [
        _TORQUE + "drive_torque_Nm = 0.0",
        _TORQUE + "drive_torque_Nm = 0.0\nstart_speed_rpm = 0.0\nouter_speed_rpm = 10.0",
        _TORQUE + "torque_table = [[0.0, 0.0], [1.0, 2.0]]\nstart_speed_rpm = 0.0",
        "carrier_radius_mm = 200.0\ncarrier_speed_rpm = 5.0",
    ],
)
def test_run_down_dragged_ring_and_carrier_are_good(good_text, lines):
    assert parse_case(good_text.replace(_DUTY, f"{_DUTY}{lines}\n"))


def test_good_tables_and_drive_are_read(good_text):
    lines = _TORQUE + "torque_table = [[0.0, 5.0], [1.5, -20.0]]\nstart_speed_rpm = 0.0\n"
    case = parse_case(good_text.replace(_DUTY, _DUTY + lines))
    assert case.duty.torque_table == ((0.0, 5.0), (1.5, -20.0))
    assert case.duty.start_speed_rpm == 0.0
    listed = {item.key: item.value for item in parse_case(good_text).assumptions}
    assert listed["duty.drive"] == "speed"
    assert listed["cage.imbalance_gmm"] == 0.0
