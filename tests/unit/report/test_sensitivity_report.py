"""What is told about a one-at-a-time variation: text, plain data, table, picture."""

import csv
import json
import math
from pathlib import Path

import pytest

from rollsim.analysis.paired import Change
from rollsim.report.plain_data import json_ready
from rollsim.report.sensitivity_figures import draw_tornado
from rollsim.report.sensitivity_text import (
    rests_on,
    sensitivity_dict,
    sensitivity_text,
    write_sensitivity_csv,
)
from rollsim.sweep.sensitivity_types import Bar, Input, InputEffect, Sensitivity


def change(ratio, width):
    """A change with its interval."""
    log = math.log(ratio)
    return Change(log, log - width, log + width, 3)


def made(flips=True):
    """A variation of three inputs."""
    oil = Input("lubricant.oil_fraction", 0.3, (0.0, 1.0), "its bounds", True)
    bar = Input("cage.bar_stiffness_N_per_um", None, (50.0,), "engineering choice", False)
    rule = Input("fatigue.mean_stress", "goodman", ("gerber",), "the other rule", False)
    peak = change(1.7, 0.1)
    effects = (
        InputEffect(
            oil,
            (
                Bar(0.0, change(0.6, 0.1), peak, "does not survive", flips, True, 3),
                Bar(1.0, change(2.0, 0.1), change(0.4, 0.1), "survives", False, True, 3),
            ),
        ),
        InputEffect(bar, (Bar(50.0, change(1.05, 0.2), peak, "survives", False, True, 3),)),
        InputEffect(rule, (Bar("gerber", change(1.1, 0.0), None, "survives", False, False, 3),)),
    )
    return Sensitivity(
        "screen", (5, 6, 7), 1.0, 0.2, 1.3, 700.0, "survives", (1.1, 1.6), 0.4, effects,
        {"reserve": 0.95, "peak": 0.4}, 1.12, (("a=1", "too small"),),
        (("roller.count", "no range is stated for it"),), ("cage.mass_kg=2",), Path("list.json"),
        ("A note.",),
    )  # fmt: skip


def test_text_names_what_the_verdict_rests_on_and_what_is_not_seen():
    text = sensitivity_text(made())
    joined = " ".join(text.split())
    assert "The verdict rests on: lubricant.oil_fraction." in joined
    assert "does not survive *" in joined
    assert "(1.05)" in joined and " 0.60 " in joined
    assert "its bounds" in joined and "computed (assumed); 50: engineering choice" in joined
    assert "a=1 was skipped: too small" in joined and "A note." in joined
    assert "Not varied: roller.count (no range is stated for it)" in joined
    assert "Without all replicates: cage.mass_kg=2." in joined
    assert "licensed engineer" in joined


def test_text_says_what_equal_seeds_gained():
    joined = " ".join(sensitivity_text(made()).split())
    assert "leaves 0.95 of the variance" in joined and "it hardly helps" in joined
    assert "leaves 0.40 of the variance" in joined and "it helps" in joined


def test_without_a_flip_it_names_what_moves_the_reserve_and_is_seen():
    words = rests_on(made(flips=False))
    assert words.startswith("No value alone")
    assert "lubricant.oil_fraction, fatigue.mean_stress." in words
    assert "bar_stiffness" not in words


def test_plain_data_is_json():
    found = json.loads(json.dumps(json_ready(sensitivity_dict(made())), allow_nan=False))
    assert found["base"]["utilisation"] == pytest.approx(1.0 / 1.3)
    first = found["effects"][0]["values"][0]
    assert first["flips"] and first["reserve_ratio"]["estimate"] == pytest.approx(0.6)
    assert found["flipping"] == ["lubricant.oil_fraction"]


def test_table_has_a_row_a_value(tmp_path):
    path = write_sensitivity_csv(made(), tmp_path / "table.csv")
    rows = list(csv.DictReader(path.open(encoding="utf-8")))
    assert [row["value"] for row in rows] == ["0.0", "1.0", "50.0", "gerber"]
    assert float(rows[1]["reserve_ratio"]) == pytest.approx(2.0)
    assert rows[3]["peak_force_ratio"] == ""


def test_picture_says_what_it_shows(tmp_path):
    picture = draw_tornado(made(), tmp_path / "tornado")
    assert picture.path.name == "tornado.png" and picture.path.stat().st_size > 10000
    assert "The verdict rests on: lubricant.oil_fraction" in picture.caption
    assert "3 replicates of 1 s" in picture.caption


def test_picture_of_inputs_without_effect(tmp_path):
    still = made()
    effects = tuple(
        InputEffect(own.input, tuple(Bar(bar.value, change(1.0, 0.0), None, "survives", False,
                                         False, 3) for bar in own.bars))
        for own in still.effects
    )  # fmt: skip
    still = Sensitivity(**{**vars(still), "effects": effects})
    assert (
        "3 further inputs moved the reserve by less" in draw_tornado(still, tmp_path / "a").caption
    )
