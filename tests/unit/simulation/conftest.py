"""A bearing of six rollers whose runs take a fraction of a second."""

import sys
from pathlib import Path

import numpy as np
import pytest

SUPPORT = Path(__file__).resolve().parents[2] / "support"
if str(SUPPORT) not in sys.path:
    sys.path.insert(0, str(SUPPORT))

from rollsim.case.change import changed_case  # noqa: E402
from rollsim.case.read import parse_case  # noqa: E402
from rollsim.history import open_history  # noqa: E402
from rollsim.simulation.run import run  # noqa: E402

CASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")


class Interrupting:
    """Progress that breaks off with an exception after some blocks."""

    def __init__(self, blocks, exception=KeyboardInterrupt):
        self.blocks = blocks
        self.exception = exception
        self.closed = False

    def __call__(self, total, start):
        """Stand in for the class of a progress display."""
        return self

    def update(self, reached, largest):
        """Count a block."""
        self.blocks -= 1
        if self.blocks <= 0:
            raise self.exception

    def close(self):
        """Remember that the run closed its display."""
        self.closed = True


@pytest.fixture
def six_rollers():
    """Function that gives the case with values changed: dotted keys, a dot written as __."""

    def make(**changes):
        case = parse_case(CASE, "six rollers")
        return changed_case(case, {key.replace("__", "."): value for key, value in changes.items()})

    return make


@pytest.fixture
def still_case():
    """The case without vibration."""
    return parse_case(CASE.partition("[[vibration]]")[0], "six rollers at rest")


@pytest.fixture
def run_case(tmp_path):
    """Function that runs a case and gives its history, closed after the test."""
    opened = []

    def make(case, name="out.h5", **options):
        opened.append(open_history(run(case, tmp_path / name, **options)))
        return opened[-1]

    yield make
    for history in opened:
        history.close()


@pytest.fixture
def interrupting():
    """The class of a progress display that breaks off."""
    return Interrupting


@pytest.fixture
def case_file(tmp_path) -> Path:
    """The case as a file."""
    path = tmp_path / "six.toml"
    path.write_text(CASE, encoding="utf-8")
    return path


@pytest.fixture
def same_results():
    """Function that asserts that two histories hold the same numbers, bit for bit."""

    def check(first, second):
        for group in ("history", "peak"):
            for name in first.names(group):
                ours = first.window(name, -1.0, np.inf, group)
                assert np.array_equal(ours, second.window(name, -1.0, np.inf, group)), name
        ours, theirs = first.impacts(), second.impacts()
        for name, values in ours.items():
            assert np.array_equal(values, theirs[name]), name
        ours, theirs = first.quality(), second.quality()
        for name in set(ours) - {"wall_time"}:
            assert np.array_equal(ours[name], theirs[name]), name

    return check
