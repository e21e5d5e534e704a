"""A good case file and a function that spoils it."""

from pathlib import Path

import pytest

from rollsim.case.read import parse_case
from rollsim.errors import CaseError

GOOD = Path(__file__).parents[2] / "data" / "case_good.toml"


@pytest.fixture
def good_text():
    """Text of a case file without problems."""
    return GOOD.read_text(encoding="utf-8")


@pytest.fixture
def problems_after(good_text):
    """Function: problems (one text each) of the good file with one passage replaced."""

    def spoil(old, new):
        assert good_text.count(old) == 1, f"{old!r} must stand once in {GOOD.name}"
        with pytest.raises(CaseError) as caught:
            parse_case(good_text.replace(old, new), name="screen.toml")
        return [str(problem) for problem in caught.value.problems]

    return spoil
