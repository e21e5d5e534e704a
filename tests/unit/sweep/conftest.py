"""A bearing of six rollers whose runs take a fraction of a second."""

import sys
from pathlib import Path

import numpy as np
import pytest

UNIT = Path(__file__).resolve().parents[1]
for _folder in (UNIT.parent / "support", UNIT / "sweep"):
    if str(_folder) not in sys.path:
        sys.path.insert(0, str(_folder))

from rollsim.case.change import changed_case  # noqa: E402
from rollsim.case.read import parse_case  # noqa: E402
from rollsim.history import open_history  # noqa: E402

CASE = (UNIT.parent / "data" / "case_six_rollers.toml").read_text("utf-8")


@pytest.fixture(scope="session")
def six():
    """The case, 0.03 s long."""
    return changed_case(parse_case(CASE, "six rollers"), {"duty.duration_s": 0.03})


@pytest.fixture(scope="session")
def same_numbers():
    """Function that asserts that two history files hold the same numbers, bit for bit."""

    def check(first, second):
        with open_history(first) as ours, open_history(second) as theirs:
            for group in ("history", "peak"):
                for name in ours.names(group):
                    own = ours.window(name, -1.0, np.inf, group)
                    assert np.array_equal(own, theirs.window(name, -1.0, np.inf, group)), name
            for name, values in ours.impacts().items():
                assert np.array_equal(values, theirs.impacts()[name]), name

    return check
