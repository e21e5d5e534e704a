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
    assert "roller 2, cover face" in text
    assert "Lock out rotating machinery" in text
    assert max(len(line) for line in text.splitlines()) <= 120


def test_every_roller_and_face_has_its_numbers(busy):
    result = peaks(busy)
    lines = peaks_text(result).splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("By roller")) + 1
    assert all(face in lines[first] for face in ("leading", "trailing", "base", "cover"))
    cells = lines[first + 3].split()
    assert cells[0] == "2"
    assert cells[-1] == "8765"
    assert cells[1] == number(result.pockets.rate[2, 0])
    assert cells[2] == number(result.pockets.percentile_99[2, 0])


def test_return_level_is_told_with_interval_and_reservation(busy):
    result = peaks(busy, horizon_h=500.0)
    text = " ".join(peaks_text(result).split())
    level = result.return_level
    assert f"above {number(level.level)} N is expected once in 500 h" in text
    assert f"{number(level.low)} to {number(level.high)} N" in text
    assert "Far extrapolation" in text


def test_a_planar_history_without_impacts_is_told_as_such(plain):
    text = peaks_text(peaks(plain.plain_history()))
    assert "No roller touched the cage" in text
    assert "Planar motion: base and cover faces carry no force by definition." in text
    assert "No return level" in text
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
    assert quiet["largest_pocket_force"] is None and quiet["return_level"] is None
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
