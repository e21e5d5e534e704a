"""Observations against a history: table, pictures, refusals."""

import csv
import json

TEXT = """\
[site]
name = "Bench"
pockets = {pockets}

[[observation]]
kind = "broken"
part = "closures"

[[observation]]
kind = "land_marks"
on = "cage"
extent = "all_round"
"""


def test_the_table_and_the_map_are_written(rollsim, finished, tmp_path):
    (tmp_path / "site.toml").write_text(TEXT.format(pockets=6), encoding="utf-8")
    history = finished[0] / "six.h5"
    answer = rollsim("evidence", "site.toml", history, "--json", "-o", "found", folder=tmp_path)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out)
    assert found["observations"][0]["observation"] == "closures broke"
    scores = [row["scores"]["A"]["score"] for row in found["observations"]]
    assert set(scores) <= {"agrees", "contradicts", "cannot tell"}
    only = found["hypotheses"][0]
    assert only["agrees"] + only["contradicts"] + only["cannot_tell"] == 2
    for name in ("evidence_table.png", "cage_map_A.png"):
        assert (tmp_path / "found" / name).stat().st_size > 5000
    rows = list(csv.DictReader((tmp_path / "found" / "cage_map_A.csv").open()))
    assert sum(row["part"] == "pocket" for row in rows) == 24
    land = [float(row["share_of_land_impulse"]) for row in rows if row["part"] == "land"]
    assert not land or abs(sum(land) - 1.0) < 1e-3
    text = rollsim("evidence", "site.toml", history, "-o", "found", folder=tmp_path).out
    assert "Criterion: agrees if the verdict" in text and "licensed engineer" in text


def test_another_cage_and_bad_observations_are_refused(rollsim, finished, tmp_path):
    (tmp_path / "site.toml").write_text(TEXT.format(pockets=7), encoding="utf-8")
    history = finished[0] / "six.h5"
    answer = rollsim("evidence", "site.toml", history, folder=tmp_path)
    assert answer.code == 2 and "6 pockets" in answer.err
    (tmp_path / "site.toml").write_text("[site]\nnam = 'x'\n", encoding="utf-8")
    answer = rollsim("evidence", "site.toml", history, folder=tmp_path)
    assert answer.code == 2 and "site.toml, line 2" in answer.err
