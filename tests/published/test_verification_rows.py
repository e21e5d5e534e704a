"""Every row of `rollsim verify`: value, source, basis and tolerance stand in rollsim/verification/.

A row whose basis is "memory" or "part memory" is held against a value from memory.
"""

import pytest

from rollsim.verification.catalogue import TOPICS
from rollsim.verification.check import outcome_of

#: Published values that the rows have to hold, by letter; a row's key begins with L07 and the like.
COVERED = {
    "H": (1, 2, 4, 5, 7, 8, 9, 10),
    "L": (1, 2, 3, 4, 6, 7, 9, 10, 12, 13, 15, 16, 18, 19, 20, 21),
    "K": (1, 2, 3, 4, 6, 7, 9),
    "E": (1, 2, 4, 5, 7),
    "J": (1, 2, 3, 4, 6, 7, 8, 10, 11, 13, 14),
    "I": (1, 2, 4, 5, 7, 8, 10, 11, 13, 14, 16, 17, 19, 20, 21, 22, 24, 25),
    "V": (1, 2, 3, 4, 5, 7, 8, 10, 11, 12, 14, 15, 16, 18, 19, 21, 22, 24, 25, 27),
    "F": (1, 2, 3, 4, 5, 7, 8, 9, 10, 12, 13, 15, 16),
    "S": (1, 2, 3, 5, 6, 8, 9, 10, 11, 13, 14, 16, 17, 19),
    "C": (2,),
}
ROWS = [check for topic in TOPICS for check in topic.checks]


@pytest.mark.parametrize("check", ROWS, ids=lambda check: check.key)
def test_row(check):
    found = outcome_of(check)
    assert not found.left_out, f"the tests need {found.left_out}"
    assert not found.problem
    assert found.within, (check.what, found.expected, found.computed, found.deviation)


def test_every_published_value_has_a_row():
    keys = [check.key for check in ROWS]
    names = [f"{letter}{n:02d}" for letter, numbers in COVERED.items() for n in numbers]
    missing = [name for name in names if not any(key.startswith(name) for key in keys)]
    assert not missing


def test_every_row_has_a_key_of_its_own_a_source_and_a_bound():
    keys = [check.key for check in ROWS]
    assert len(set(keys)) == len(keys)
    for check in ROWS:
        assert check.source.name and check.what and check.unit, check.key
        assert check.tolerance >= 0.0, check.key
        # A share of nothing bounds nothing.
        assert check.absolute or callable(check.expected) or check.expected != 0.0, check.key
