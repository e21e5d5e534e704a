"""Wrong single values, keys and tables: the words that a person reads."""

import pytest

# passage of the good file, what stands there instead, every problem word for word
WRONG_VALUES = [
    (
        "diameter_mm = 26.0",
        'diameter_mm = "abc"',
        [
            "screen.toml, line 12: roller.diameter_mm = 'abc': must be a number in mm, "
            "greater than 0, at most 5000",
        ],
    ),
    (
        "length_mm = 44.0",
        "lenght_mm = 44.0",
        [
            (
                "screen.toml, line 10: [roller] needs 'length_mm' (roller length): a number "
                "in mm, greater than 0, at most 5000"
            ),
            (
                "screen.toml, line 13: unknown key 'lenght_mm' in [roller]; did you mean "
                "'length_mm'?"
            ),
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 44.0\nspeed_rpm = 100",
        [
            "screen.toml, line 14: unknown key 'speed_rpm' in [roller]; did you mean "
            "'duty.speed_rpm'?",
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 44.0\nzebra = 1",
        [
            "screen.toml, line 14: unknown key 'zebra' in [roller]; known keys: count, "
            "diameter_mm, length_mm, effective_length_mm, profile, crown_radius_m, "
            "straight_length_mm, profile_table_um, profile_interpolation, slices, material",
        ],
    ),
    (
        "count = 18",
        "count = 18.0",
        [
            "screen.toml, line 11: roller.count = 18.0: must be a whole number (no decimal "
            "point), at least 3, at most 200",
        ],
    ),
    (
        "count = 18",
        "count = true",
        [
            "screen.toml, line 11: roller.count = true: must be a whole number (no decimal "
            "point), at least 3, at most 200",
        ],
    ),
    (
        "count = 18",
        "count = 2",
        [
            "screen.toml, line 11: roller.count = 2: must be a whole number (no decimal "
            "point), at least 3, at most 200",
        ],
    ),
    (
        "width_mm = 64.0",
        "width_mm = inf",
        [
            "screen.toml, line 7: bearing.width_mm = inf: must be a number in mm, greater "
            "than 0, at most 5000",
        ],
    ),
    (
        "bore_mm = 130.0",
        "bore_mm = nan",
        [
            "screen.toml, line 5: bearing.bore_mm = nan: must be a number in mm, greater "
            "than 0, at most 5000",
        ],
    ),
    (
        "bore_mm = 130.0\n",
        "",
        [
            "screen.toml, line 4: [bearing] needs 'bore_mm' (bore of the inner ring): a "
            "number in mm, greater than 0, at most 5000",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "outer_rings"',
        [
            "screen.toml, line 20: cage.guidance = 'outer_rings': must be one of "
            "'outer_ring', 'inner_ring', 'roller'; did you mean 'outer_ring'?",
        ],
    ),
    (
        'name = "cage on a screen"',
        'name = ""',
        [
            "screen.toml, line 2: case.name = '': must be text, at most 200 characters, not empty",
        ],
    ),
    (
        'kind = "steel_rivet"',
        'kind = "steel_rivets"',
        [
            "screen.toml, line 23: cage.closure.kind = 'steel_rivets': must be one of "
            "'steel_rivet', 'integral_tenon', 'one_piece'; did you mean 'steel_rivet'?",
        ],
    ),
    (
        'kind = "steel_rivet"\n',
        "",
        [
            "screen.toml, line 22: [cage.closure] needs 'kind': one of 'steel_rivet', "
            "'integral_tenon', 'one_piece'",
        ],
    ),
    (
        "[cage.closure]\n",
        "[cage.clozure]\n",
        [
            (
                "screen.toml, line 15: the table [cage.closure] is missing; it needs kind = "
                "one of 'steel_rivet', 'integral_tenon', 'one_piece'"
            ),
            "screen.toml, line 22: unknown key 'clozure' in [cage]; did you mean 'closure'?",
        ],
    ),
    (
        "[duty]",
        "[dutty]",
        [
            "screen.toml, line 32: unknown table or key 'dutty'; did you mean 'duty'?",
            (
                "screen.toml: the table [duty] is missing; it needs 'speed_rpm', "
                "'duration_s', 'radial_load_kN'"
            ),
        ],
    ),
    (
        'kind = "psd"',
        'kind = "random"',
        [
            "screen.toml, line 38: vibration[1].kind = 'random': must be one of 'psd', "
            "'sine', 'sweep', 'shock', 'exciter', 'recording'",
        ],
    ),
    (
        "[[vibration]]",
        "[vibration]",
        [
            "screen.toml, line 37: write [[vibration]] in double brackets, once for each source",
        ],
    ),
    (
        "[roller]",
        "[[roller]]",
        [
            "screen.toml, line 10: write [roller] in single brackets, once",
        ],
    ),
    (
        'axis = "y"',
        'axis = ["y", "w"]',
        [
            "screen.toml, line 39: vibration[1].axis = ['y', 'w']: must be one of 'x', 'y', "
            "'z', or a list of them",
        ],
    ),
    (
        'axis = "y"',
        "axis = 3",
        [
            "screen.toml, line 39: vibration[1].axis = 3: must be one of 'x', 'y', 'z', or a "
            "list of them",
        ],
    ),
    (
        "    [80.0, 0.04],\n",
        '    [80.0, "much"],\n',
        [
            "screen.toml, line 42: vibration[1].psd[2] = [80.0, 'much']: must be a pair of "
            "numbers [frequency in Hz, density]",
        ],
    ),
    (
        "    [80.0, 0.04],\n",
        "    [80.0],\n",
        [
            "screen.toml, line 42: vibration[1].psd[2] = [80.0]: must be a pair of numbers "
            "[frequency in Hz, density]",
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 44.0\n[bearing2]\n",
        [
            "screen.toml, line 14: unknown table or key 'bearing2'; did you mean 'bearing'?",
        ],
    ),
    (
        "[duty]",
        "[material]\npoisson = 0.3\n[duty]",
        [
            "screen.toml, line 33: material.poisson = 0.3: a material has a name of its own: "
            "write [material.NAME]",
        ],
    ),
    (
        "[duty]",
        '[duty]\ngravity = "yes"\ntilting_moment_Nm = [1.0]',
        [
            "screen.toml, line 33: duty.gravity = 'yes': must be true or false",
            (
                "screen.toml, line 34: duty.tilting_moment_Nm = [1.0]: must be a list of two "
                "numbers in N m"
            ),
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), WRONG_VALUES)
def test_wrong_value_is_named_in_plain_words(problems_after, old, new, expected):
    assert problems_after(old, new) == expected
