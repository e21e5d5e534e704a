"""Cages side by side: synthetic histories of known ratio, refusals, words, tables, pictures."""

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest
from synthetic_history import CASE_TEXT, write_synthetic_history

from rollsim.errors import HistoryError
from rollsim.report.compare_figures import draw_comparison
from rollsim.report.compare_table import compare_csv, compare_dict
from rollsim.report.compare_text import compare_text, same_words, verdict_sentences
from rollsim.sweep import compare as module
from rollsim.sweep.compare import compare
from rollsim.sweep.compared import GOVERNING, UTILISATION, measure_run

TEXT = CASE_TEXT.format(seed=1, roller_count=6, speed_rpm=1800.0, duration_s=0.4, settle_s=0.05)
WEAK = TEXT.replace("cover_thickness_mm = 4.5", "cover_thickness_mm = 4.4")
OTHER = TEXT.replace("guidance_um = 400.0", "guidance_um = 401.0")


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Histories by letter, three of each: pulses of 300, 600, 300 N; cases differ in one value."""
    folder, found = tmp_path_factory.mktemp("sides"), {}
    for letter, text, peak in (("a", TEXT, 300.0), ("b", WEAK, 600.0), ("c", OTHER, 300.0)):
        found[letter] = []
        for seed in (1, 2, 3):
            path = folder / f"{letter}{seed}.h5"
            write_synthetic_history(
                path, duration_s=0.4, seed=seed + 10 * (letter == "c"), case_text=text,
                settle_s=0.05, pulse_peak=peak, peak_spread=0.2,
            )  # fmt: skip
            found[letter].append(path)
    return found


@pytest.fixture(scope="module")
def measured(files):
    """Measures of all these histories."""
    return {path: measure_run(path) for paths in files.values() for path in paths}


@pytest.fixture
def quick(monkeypatch, measured):
    """`compare` with runs that were measured in this process."""
    monkeypatch.setattr(
        module, "_measured", lambda paths, jobs, tell: {p: replace(measured[p]) for p in paths}
    )
    return compare


def test_the_smaller_force_is_found_better_by_its_ratio(quick, files):
    found = quick([*files["a"], *files["b"]])
    pair = (0, 1)
    row = found.row("pocket_p99")
    assert row.rankings[pair].estimate == pytest.approx(0.5, rel=0.08)
    assert found.better(row, pair) == "A" and row.rankings[pair].odds > 0.99
    assert found.row("bar_p99").rankings[pair].apart
    governing = found.row(GOVERNING)
    assert found.rows[0] is governing and governing.rankings[pair].estimate < 0.8
    assert "A IS BETTER" in " ".join(verdict_sentences(found))
    # Speeds, whirl and slip were written alike into both.
    assert not found.row("cage_slip").rankings[pair].apart


def test_the_order_of_files_turns_the_answer_over_and_changes_nothing_else(quick, files):
    forth = quick([*files["a"], *files["b"]])
    back = quick([files["b"][2], files["a"][1], files["b"][0], *files["a"][::2], files["b"][1]])
    assert [side.runs.paths[0].name[0] for side in back.sides] == ["b", "a"]
    for row in forth.rows:
        own, other = row.rankings[0, 1], back.row(row.quantity.name).rankings[0, 1]
        assert own.apart == other.apart
        if not np.isnan(own.estimate) and own.kind == "ratio":
            assert own.estimate * other.estimate == pytest.approx(1.0, rel=1e-9)
    assert "B IS BETTER" in " ".join(verdict_sentences(back))


def test_equal_cages_are_not_ranked_and_another_input_is_warned_of(quick, files):
    found = quick([*files["a"], *files["c"]])
    words = " ".join(verdict_sentences(found))
    assert "CANNOT RANK, the interval of the ratio holds 1" in words and "IS BETTER" not in words
    assert "would likely be needed" in words and "estimate" in words
    assert any("MORE THAN THE CAGE DIFFERS: clearance.guidance_um" in w for w in found.warnings)
    assert not any("MORE THAN" in w for w in quick([*files["a"], *files["b"]]).warnings)


def test_fewer_than_three_replicates_are_not_ranked_however_far_apart(quick, files):
    found = quick([*files["a"], *files["b"][:2]])
    assert all(not row.rankings[0, 1].apart for row in found.rows)
    assert "fewer than 3 replicates" in " ".join(verdict_sentences(found))
    assert any(w.startswith("B has 2 runs; 3 are needed") for w in found.warnings)
    single = quick([files["a"][0], files["b"][0]])
    assert "CANNOT RANK" in compare_text(single)


def test_cages_that_nothing_loads_are_not_ranked(monkeypatch, measured, files, tmp_path):
    def idle(paths, jobs, tell):
        """Measures of runs in which no mechanism is used at all."""
        runs = {path: measured[path] for path in paths}
        return {
            path: replace(
                run,
                values=run.values | {GOVERNING: 0.0},
                mechanisms=dict.fromkeys(run.mechanisms, 0.0),
            )
            for path, run in runs.items()
        }

    monkeypatch.setattr(module, "_measured", idle)
    found = compare([*files["a"], *files["b"]])
    assert "CANNOT RANK, zero in 6 of 6 runs" in " ".join(verdict_sentences(found))
    assert not any(row.quantity.group == UTILISATION for row in found.rows)
    assert draw_comparison(found, tmp_path)


def test_three_cages_are_compared_pair_by_pair(quick, files):
    found = quick([path for paths in files.values() for path in paths])
    assert found.pairs == ((0, 1), (0, 2), (1, 2))
    words = verdict_sentences(found)
    assert any("B against C: C IS BETTER" in own for own in words)
    assert any("A against C: CANNOT RANK" in own for own in words)


def test_text_says_inputs_first_then_the_answer_and_guards_against_chance(quick, files):
    found = quick([*files["a"], *files["b"]])
    text = compare_text(found)
    assert max(map(len, text.splitlines())) < 170
    places = [
        text.index(words)
        for words in ("cage.cover_thickness_mm", "These are the same", "IS BETTER", "VERDICT")
    ]
    assert places == sorted(places)
    flowing = " ".join(text.split())
    assert "quantities were compared" in flowing and "by chance alone" in flowing
    assert "licensed engineer" in text
    assert "share seeds" in flowing
    assert "share seeds" not in compare_text(quick([*files["a"], *files["c"]]))
    assert "all values of bearing" in same_words(found.inputs)


def test_json_and_csv_hold_every_quantity(quick, files):
    found = quick([*files["a"], *files["b"]])
    content = json.loads(json.dumps(compare_dict(found), allow_nan=False))
    names = [own["name"] for own in content["quantities"]]
    assert names[0] == GOVERNING and len(set(names)) == len(found.rows)
    assert content["input_differences"][0]["key"] == "cage.cover_thickness_mm"
    lines = list(csv.DictReader(io.StringIO(compare_csv(found))))
    assert [line["quantity"] for line in lines] == names
    force = next(line for line in lines if line["quantity"] == "pocket_p99")
    assert (force["unit"], force["result"]) == ("N", "A")
    assert float(force["estimate"]) == pytest.approx(0.5, rel=0.08)


def test_utilisation_goes_with_the_load(quick, files):
    rows = quick([*files["a"], *files["b"]]).rows
    used = {r.quantity.name: r.rankings[0, 1] for r in rows if r.quantity.group == UTILISATION}
    assert {"closure fatigue", "bar fatigue", "pocket hammering"} <= set(used)
    # Hertzian line pressure grows with the root of the force.
    assert used["pocket hammering"].estimate == pytest.approx(0.5**0.5, rel=0.1)


def test_pictures_are_drawn(quick, files, tmp_path):
    found = quick([*files["a"], *files["b"]])
    for path in draw_comparison(found, tmp_path):
        assert path.stat().st_size > 15000


def test_one_case_and_wrong_files_are_refused(files, tmp_path):
    with pytest.raises(HistoryError, match="two cases at least"):
        compare(files["a"])
    with pytest.raises(HistoryError) as caught:
        compare([*files["a"], tmp_path / "none.h5", files["a"][0]])
    assert "none.h5 does not exist" in str(caught.value) and "given twice" in str(caught.value)


@pytest.mark.long
def test_runs_are_measured_in_processes_of_their_own(files):
    told = []
    found = compare([files["a"][0], files["b"][0]], 2, lambda *step: told.append(step))
    assert told[0] == (0, 2) and told[-1] == (2, 2)
    assert found.row("pocket_p99").values[0][0] > 0.0
