"""The impact table as CSV."""

import csv

import numpy as np
import pytest

from rollsim.analysis.peaks import write_impacts_csv
from rollsim.errors import RollsimError


def test_the_header_carries_units_and_rows_come_back(plain, tmp_path):
    history = plain.plain_history()
    history.attributes["settle_s"] = 0.5
    history.table = plain.impact_rows(
        [
            [3, 0, 0.25, 1e-3, 120.5, 0.07, 0.12, -np.pi / 2.0],
            [-1, 5, 0.75, 2e-3, 55.0, 0.08, 0.01, 3.0 * np.pi],
        ]
    )
    path = write_impacts_csv(history, tmp_path / "impacts.csv")
    with open(path, newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert set(rows[0]) == {
        "contact",
        "roller_from_1",
        "start_s",
        "duration_s",
        "peak_N",
        "impulse_N_s",
        "approach_speed_m_per_s",
        "azimuth_deg",
        "settled",
    }
    assert rows[0]["contact"] == "leading" and rows[0]["roller_from_1"] == "4"
    assert float(rows[0]["peak_N"]) == 120.5
    assert float(rows[0]["azimuth_deg"]) == 270.0
    assert rows[0]["settled"] == "no"
    assert rows[1]["contact"] == "land cover" and rows[1]["roller_from_1"] == ""
    assert float(rows[1]["azimuth_deg"]) == 180.0
    assert rows[1]["settled"] == "yes"
    assert [item.name for item in tmp_path.iterdir()] == ["impacts.csv"]


def test_a_history_without_impacts_gives_the_header_alone(plain, tmp_path):
    path = write_impacts_csv(plain.plain_history(), tmp_path / "none.csv")
    assert len(path.read_text().splitlines()) == 1


def test_a_folder_that_is_missing_is_told_in_plain_words(plain, tmp_path):
    with pytest.raises(RollsimError, match="cannot be written: No such file"):
        write_impacts_csv(plain.plain_history(), tmp_path / "missing" / "impacts.csv")
