"""The published checks as a person reads them, and as plain data."""

import json

import pytest

from rollsim.report.plain_data import json_ready
from rollsim.report.verification_text import (
    list_dict,
    list_text,
    off_rows,
    verification_dict,
    verification_text,
)
from rollsim.verification.catalogue import TOPICS
from rollsim.verification.check import Basis, Check, Source, Topic, outcome_of

READ = Source("Somebody 1950, table 3", Basis.READ)
RECALLED = Source("Somebody else 1960", Basis.MEMORY)


def broken():
    """A computation that fails."""
    raise ValueError("no root")


GOOD = Check("A01", "a good number", READ, 4.08, 0.002, lambda: 4.0841, "kN")
OFF = Check("A02", "a number that is off", RECALLED, 10.0, 0.01, lambda: 11.0, "mm", absolute=True)
ROUTE = Check("A03", "by two routes", READ, lambda: 1.0 / 3.0, 1e-9, lambda: 1.0 / 3.0)
BROKEN = Check("A04", "a number that fails", READ, 1.0, 0.1, broken)
ABSENT = Check("A05", "by a library", READ, 1.0, 0.1, lambda: 1.0, needs="not_there_at_all")


def found(*checks):
    """Outcomes of some checks under one heading."""
    return [(Topic("Some field", checks), [outcome_of(check) for check in checks])]


def lines_of(*checks):
    """Lines of the text."""
    return verification_text(found(*checks)).splitlines()


def row(lines, key):
    """The line of a check."""
    (line,) = (line for line in lines if line.strip().startswith(key))
    return line


def test_a_row_shows_expected_computed_deviation_and_tolerance():
    lines = lines_of(GOOD)
    assert row(lines, "A01").split() == [
        "A01", "a", "good", "number", "4.08", "4.0841", "kN", "+0.1", "%", "0.2", "%",
    ]  # fmt: skip
    head = next(line for line in lines if line.startswith("Some field"))
    assert head.split()[2:] == ["expected", "computed", "unit", "deviation", "tolerance"]
    assert "  Somebody 1950, table 3 [read]" in lines
    assert lines[-1] == "1 of 1 within tolerance"
    assert lines[0].startswith("rollsim ") and "numba" in lines[0]


def test_a_row_that_is_off_is_marked_and_told_at_the_end():
    lines = lines_of(GOOD, OFF)
    assert row(lines, "A02").split()[-4:] == ["mm", "+1", "0.01", "OFF"]
    assert "  OFF: A02 a number that is off: 11.0000 in place of 10.0000 mm" in lines
    assert lines[-1] == "1 of 2 within tolerance"
    assert not row(lines, "A01").endswith("OFF")


def test_values_from_memory_are_marked():
    lines = lines_of(GOOD, OFF)
    assert "*a number that is off" in row(lines, "A02")
    assert "*" not in row(lines, "A01")
    assert "  Somebody else 1960 [memory]" in lines
    assert any(line.startswith("  [memory]") and line.endswith("(*)") for line in lines)
    assert "Held against values from memory (marked *): 1 checks." in lines
    assert not any("memory" in line for line in lines_of(GOOD))


def test_a_row_that_cannot_be_computed_counts_as_off():
    lines = lines_of(GOOD, BROKEN)
    assert row(lines, "A04").endswith("OFF, not computed:")
    assert any("ValueError: no root" in line for line in lines)
    assert lines[-1] == "1 of 2 within tolerance"


def test_a_row_without_its_library_is_told_and_not_counted():
    lines = lines_of(GOOD, ABSENT)
    assert row(lines, "A05").endswith("left out: no not_there_at_all here")
    assert "Left out for want of not_there_at_all: 1 checks." in lines
    assert lines[-1] == "1 of 1 within tolerance"
    assert off_rows(found(GOOD, ABSENT)) == []


def test_off_rows_are_those_off_and_those_that_fail():
    kept = off_rows(found(GOOD, OFF, ROUTE, BROKEN, ABSENT))
    assert [outcome.check.key for outcome in kept] == ["A02", "A04"]


def test_plain_data_hold_what_the_text_holds():
    data = json.loads(json.dumps(json_ready(verification_dict(found(GOOD, OFF, BROKEN, ABSENT)))))
    assert (data["checked"], data["within"], data["left_out"], data["from_memory"]) == (3, 1, 1, 1)
    rows = {entry["key"]: entry for entry in data["rows"]}
    assert rows["A02"]["deviation"] == pytest.approx(1.0)
    assert rows["A02"]["tolerance_is"] == "in the unit"
    assert rows["A01"]["deviation"] == pytest.approx(0.0041 / 4.08)
    assert (rows["A01"]["source"], rows["A01"]["basis"]) == ("Somebody 1950, table 3", "read")
    assert rows["A04"]["computed"] is None and not rows["A04"]["within"]
    assert rows["A05"]["left_out_for_want_of"] == "not_there_at_all"


def test_the_list_computes_nothing():
    lines = list_text([Topic("Some field", (GOOD, ROUTE, BROKEN))]).splitlines()
    assert row(lines, "A01").split()[-4:] == ["4.08", "kN", "0.2", "%"]
    assert "computed" in row(lines, "A03")
    assert lines[-1] == "3 checks"
    rows = list_dict([Topic("Some field", (GOOD, ROUTE, BROKEN))])["rows"]
    assert [entry["expected"] for entry in rows] == [4.08, None, 1.0]


def test_all_checks_fit_a_console_of_120_characters():
    lines = list_text(TOPICS).splitlines()
    assert max(map(len, lines)) <= 120
    for topic in TOPICS:
        for check in topic.checks:
            # A longer text would push its numbers out of their columns.
            assert len(check.what) <= 51, check.what
            assert len(check.unit) <= 11, check.unit
