"""Files that are not TOML: the words that a person reads."""

import pytest

# passage of the good file, what stands there instead, every problem word for word
WRONG_TOML = [
    (
        "bore_mm = 130.0",
        "bore_mm = 130,0",
        [
            "screen.toml, line 5: not valid TOML, column 14: decimals take a point, not a "
            "comma: bore_mm = 130,0",
        ],
    ),
    (
        "bore_mm = 130.0",
        "bore_mm = 130.0\nbore_mm = 131.0",
        [
            "screen.toml, line 6: not valid TOML, column 16: this key is given twice: "
            "bore_mm = 131.0",
        ],
    ),
    (
        "[duty]",
        "[roller]",
        [
            "screen.toml, line 32: not valid TOML, column 8: the table [roller] is given "
            "twice: [roller]",
        ],
    ),
    (
        'guidance = "outer_ring"',
        "guidance = outer_ring",
        [
            "screen.toml, line 20: not valid TOML, column 12: text needs double quotes, true "
            "and false small letters, numbers a point: guidance = outer_ring",
        ],
    ),
    (
        "[duty]",
        "[duty",
        [
            "screen.toml, line 32: not valid TOML, column 6: expected ']' at the end of a "
            "table declaration: [duty",
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), WRONG_TOML)
def test_wrong_toml_is_named_in_plain_words(problems_after, old, new, expected):
    assert problems_after(old, new) == expected
