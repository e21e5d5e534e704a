"""Roller profiles and pocket tolerances that do not fit: the words that a person reads."""

import pytest

ROLLER = "length_mm = 44.0"
GUIDANCE = 'guidance = "outer_ring"'
LINE = "screen.toml, line 14: roller."
NEXT = "screen.toml, line 15: roller."
CAGE = "screen.toml, line 21: cage."

# keys added to the good file, every problem word for word
WRONG_PROFILE = [
    (
        "crown_radius_m = 40.0",
        [f"{LINE}crown_radius_m = 40.0: is only used with roller.profile = 'crowned'"],
    ),
    (
        'profile = "crowned"',
        ["screen.toml, line 10: [roller] needs 'crown_radius_m' with profile = 'crowned'"],
    ),
    (
        'profile = "table"',
        ["screen.toml, line 10: [roller] needs 'profile_table_um' with profile = 'table'"],
    ),
    (
        'profile = "crowned"\ncrown_radius_m = 0.02',
        [
            f"{NEXT}crown_radius_m = 0.02: must be greater than 0.02112 m, half of the crowned "
            "length; tens of metres are usual"
        ],
    ),
    (
        'profile = "crowned"\nstraight_length_mm = 43\ncrown_radius_m = 5',
        [
            f"{NEXT}straight_length_mm = 43: must be less than the length in contact, 42.24 mm: "
            "no crown is left"
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [[0.0, 0.0]]',
        [
            f"{NEXT}profile_table_um = [[0.0, 0.0]]: needs at least two rows [position in mm, "
            "drop in um]",
            f"{NEXT}profile_table_um = [[0.0, 0.0]]: must cover the length in contact, from "
            "-21.12 to 21.12 mm, or from 0 to 21.12 mm for a symmetric roller; it runs from 0 to "
            "0 mm",
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [[0, 0], [20, 5]]',
        [
            f"{NEXT}profile_table_um = [[0, 0], [20, 5]]: must cover the length in contact, from "
            "-21.12 to 21.12 mm, or from 0 to 21.12 mm for a symmetric roller; it runs from 0 to "
            "20 mm"
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [[0, 1], [10, 0.5], [10, 3], [22, 5]]',
        [
            f"{NEXT}profile_table_um = [[0, 1], [10, 0.5], [10, 3], [22, 5]]: positions must rise "
            "from row to row: row 3 stands at 10 mm behind 10 mm",
            f"{NEXT}profile_table_um = [[0, 1], [10, 0.5], [10, 3], [22, 5]]: drops must be from 0 "
            "to 1000 um, with 0 at the highest point of the profile; they run from 0.5 to 5 um",
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [[0, 0, 1], [22, 5]]',
        [
            f"{NEXT}profile_table_um[1] = [0, 0, 1]: must be a row [position in mm, drop in um] of "
            "finite numbers"
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [\n  [0, 0],\n  [10, nan],\n  [22, "5"],\n]',
        [
            "screen.toml, line 17: roller.profile_table_um[2] = [10, nan]: must be a row [position "
            "in mm, drop in um] of finite numbers",
            "screen.toml, line 18: roller.profile_table_um[3] = [22, '5']: must be a row [position "
            "in mm, drop in um] of finite numbers",
        ],
    ),
    (
        'profile = "table"\nprofile_table_um = [0, 0, 22, 5]',
        [
            f"{NEXT}profile_table_um = [0, 0, 22, 5]: must be a list of rows [position in mm, drop "
            "in um]"
        ],
    ),
]

WRONG_POCKETS = [
    (
        f"pocket_pitch_errors_um = {[0.0] * 4 + ['?']}",
        [
            f"{CAGE}pocket_pitch_errors_um = [0.0, 0.0, 0.0, 0.0, '?']: must be a list of numbers, "
            "one a pocket in um; number 5 of the list is '?'"
        ],
    ),
    (
        "pocket_pitch_errors_um = [10, 20]",
        [f"{CAGE}pocket_pitch_errors_um = [10, 20]: must hold one number a pocket, 18; it holds 2"],
    ),
    (
        "pocket_pitch_tolerance_um = 300",
        [
            f"{CAGE}pocket_pitch_tolerance_um = 300: must be less than the pocket clearance of "
            "300 um: evenly spaced rollers would not find room in their pockets"
        ],
    ),
    (
        "pocket_clearance_tolerance_um = 300",
        [
            f"{CAGE}pocket_clearance_tolerance_um = 300: must be less than the pocket clearance "
            "of 300 um, or a pocket may be smaller than its roller"
        ],
    ),
    (
        "pocket_extra_clearance_um = [[19, 50], [1.5, 50], [3, 1], [3, 2]]",
        [
            f"{CAGE}pocket_extra_clearance_um = [[19, 50], [1.5, 50], [3, 1], [3, 2]]: row "
            "[19, 50]: pockets are numbered from 1 to 18",
            f"{CAGE}pocket_extra_clearance_um = [[19, 50], [1.5, 50], [3, 1], [3, 2]]: row "
            "[1.5, 50]: pockets are numbered from 1 to 18",
            f"{CAGE}pocket_extra_clearance_um = [[19, 50], [1.5, 50], [3, 1], [3, 2]]: row "
            "[3, 2]: pocket 3 is named twice",
        ],
    ),
    (
        "pocket_extra_clearance_um = [[2, -250]]\npocket_clearance_tolerance_um = 60",
        [
            f"{CAGE}pocket_extra_clearance_um = [[2, -250]]: row [2, -250]: leaves a pocket "
            "clearance of -10 um; it must be greater than 0"
        ],
    ),
    (
        "pocket_extra_clearance_um = [[4, 5000], [5, 5000]]",
        [
            f"{CAGE}pocket_extra_clearance_um = [[4, 5000], [5, 5000]]: wear and tolerances may "
            "take 5 mm of the bar ahead of pocket 4, which is 5.3 mm wide; at least 0.52 mm must "
            "be left"
        ],
    ),
]


@pytest.mark.parametrize(("added", "expected"), WRONG_PROFILE)
def test_wrong_profile_is_named_in_plain_words(problems_after, added, expected):
    assert problems_after(ROLLER, f"{ROLLER}\n{added}") == expected


@pytest.mark.parametrize(("added", "expected"), WRONG_POCKETS)
def test_wrong_pocket_is_named_in_plain_words(problems_after, added, expected):
    assert problems_after(GUIDANCE, f"{GUIDANCE}\n{added}") == expected


def test_an_error_as_large_as_the_clearance_is_refused(problems_after):
    errors = [0.0] * 17 + [-300.0]
    found = problems_after(GUIDANCE, f"{GUIDANCE}\npocket_pitch_errors_um = {errors}")
    assert len(found) == 1
    assert "an error of 300 um is not smaller than the pocket clearance of 300 um" in found[0]
    both = f"pocket_pitch_errors_um = {[0.0] * 18}\npocket_pitch_tolerance_um = 10"
    found = problems_after(GUIDANCE, f"{GUIDANCE}\n{both}")
    assert len(found) == 1
    assert "either pocket_pitch_tolerance_um or pocket_pitch_errors_um" in found[0]
