"""Peaks in words and as JSON."""

import json

import numpy as np
import pytest

from rollsim.analysis.peaks import peaks
from rollsim.report.peaks_text import peaks_dict, peaks_text
from rollsim.report.plain_data import json_ready, number, table, wrapped


@pytest.fixture
def busy(plain):
    """History with a known greatest impact among many."""
    history = plain.random_impacts(plain.plain_history(samples=8001), 1500)
    history.attributes["motion"] = "spatial"
    history.peaks["pocket_force"][4321, 2, 3] = 8765.0
    return history


def test_the_words_name_the_greatest_force_and_its_place(busy):
    text = peaks_text(peaks(busy))
    assert "8765 N at 4.321 s" in text
    assert "roller 3, cover face" in text
    assert "Lock out rotating machinery" in text
    assert max(len(line) for line in text.splitlines()) <= 120


def test_every_roller_and_face_has_its_numbers(busy):
    result = peaks(busy)
    lines = peaks_text(result).splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("By roller")) + 1
    assert all(face in lines[first] for face in ("leading", "trailing", "base", "cover"))
    cells = lines[first + 3].split()
    assert cells[0] == "3"
    assert cells[-1] == "8765"
    assert cells[1] == number(result.pockets.rate[2, 0])
    assert cells[2] == number(result.pockets.percentile_99[2, 0])


def test_rollers_count_from_one_everywhere(busy):
    result = peaks(busy)
    assert "rollers 1 to 6, bar 1 lies ahead of roller 1" in peaks_text(result)
    read = peaks_dict(result)
    assert read["largest_pocket_force"]["roller"] == 3 == result.largest.roller + 1
    assert read["numbering"].startswith("rollers 1 to 6")


def test_a_level_that_the_run_carries_is_told_with_interval_and_reservation(busy):
    result = peaks(busy, horizon_h=1.0)
    level = result.extrapolation.level
    text = " ".join(peaks_text(result).split())
    assert f"above {number(level.level)} N is expected once in 1 h" in text
    assert f"{number(level.low)} to {number(level.high)} N" in text
    assert "Far extrapolation" in text
    assert peaks_dict(result)["return_level"]["level_N"] == level.level


def test_the_threshold_is_told_with_its_rule_and_its_alternatives(busy):
    result = peaks(busy, horizon_h=1.0)
    text = " ".join(peaks_text(result).split())
    assert "Threshold: the upper 10 % of the independent peaks" in text
    assert "of true samples would fit as badly" in text
    read = peaks_dict(result)["tail"]["threshold"]
    assert len(read["candidates"]) == len(result.thresholds.candidates) >= 5
    assert read["chosen"]["threshold_N"] == result.tail.threshold
    assert read["chosen"]["level_N"] == pytest.approx(result.extrapolation.level.level)
    marked = [line for line in peaks_text(result).splitlines() if line.startswith("  *")]
    assert len(marked) == 1 and number(result.tail.threshold) in marked[0]


def test_a_level_that_the_run_cannot_carry_is_not_told(busy):
    result = peaks(busy, horizon_h=20000.0)
    text = " ".join(peaks_text(result).split())
    assert "Return level for 20000 h: cannot be told from this run." in text
    assert "Rule (our own choice, not published): a level is told where 50" in text
    assert "once in 20000 h" not in text
    short = result.extrapolation.supported
    assert f"above {number(short.level)} N is expected once in 80 s" in text
    read = peaks_dict(result)["return_level"]
    assert read["level_N"] is None and read["low_N"] is None and read["high_N"] is None
    assert len(read["reasons"]) >= 1
    assert read["supported"]["level_N"] == short.level


def test_without_any_level_the_greatest_observed_force_is_what_is_left(plain):
    history = plain.plain_history()
    plain.add_impacts(history, [[2, 0, 1.0, 1e-3, 300.0, 0.2, 0.1, 0.0]])
    text = " ".join(peaks_text(peaks(history)).split())
    assert "1 independent peaks, and a fit needs 10 different ones" in text
    assert "greatest observed force, 300 N in 4 s" in text


def test_a_planar_history_without_impacts_is_told_as_such(plain):
    text = peaks_text(peaks(plain.plain_history()))
    assert "No roller touched the cage" in text
    assert "Planar motion: base and cover faces carry no force by definition." in text
    assert "cannot be told from this run" in text
    assert "nan" not in text


def test_the_dictionary_is_strict_json_with_units_in_the_keys(busy, plain):
    result = peaks(busy)
    read = json.loads(json.dumps(peaks_dict(result), allow_nan=False))
    assert read["largest_pocket_force"]["force_N"] == 8765.0
    assert read["largest_pocket_force"]["face"] == "cover"
    pockets = read["pockets_by_roller_and_face"]
    np.testing.assert_array_equal(pockets["maximum_N"], result.pockets.maximum)
    assert np.shape(pockets["approach_speed_m_per_s"]) == (6, 4)
    assert read["return_level"]["horizon_h"] == 20000.0
    quiet = json.loads(json.dumps(peaks_dict(peaks(plain.plain_history())), allow_nan=False))
    assert quiet["largest_pocket_force"] is None and quiet["return_level"]["level_N"] is None
    assert quiet["pockets_by_roller_and_face"]["percentile_99_N"][0][0] is None


def test_json_values_hold_no_nan_anywhere():
    value = {"a": [np.float64("inf"), (1, np.nan)], "b": np.array([[1, 2]]), "c": np.bool_(True)}
    assert json_ready(value) == {"a": [None, [1, None]], "b": [[1, 2]], "c": True}


def test_numbers_keep_three_digits():
    values = (1234567.0, 99.96, 0.00123456, -5.0, 3.2e9, 4e-12)
    words = ["1234567", "100", "0.00123", "-5.00", "3.20e+09", "4.00e-12"]
    assert [number(value) for value in values] == words


def test_tables_align_and_paragraphs_wrap():
    lines = table(["face", "N"], [["a", "1000"], ["cover", "1"]])
    assert len({len(line) for line in lines}) == 1
    assert all(len(line) <= 98 for line in wrapped("  " + "many words " * 40))
