"""Words, data, pictures and VTK file of the elastic cage, read back and held against the study."""

import json
import re

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import load_case, parse_case
from rollsim.report.cage_figures import draw_modes, draw_static
from rollsim.report.cage_text import cage_dict, cage_text
from rollsim.report.cage_vtk import write_cage_vtk
from rollsim.structure.cage_answers import shape_differences, study_cage
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_influence import cage_influence
from rollsim.structure.cage_study import cage_load


@pytest.fixture(scope="module")
def case(repository):
    return load_case(repository / "cases" / "dewatering_screen_riveted.toml")


@pytest.fixture(scope="module")
def study(case):
    return study_cage(case, cage_load(None, 300.0, 100.0), 7)


def read_vtk(path):
    """Points, cells, vectors of the points and numbers of the cells of a legacy text file."""
    words = path.read_text("ascii").split("\n", 2)
    assert words[0] == "# vtk DataFile Version 3.0"
    tokens = iter(words[2].split())
    found, group = {}, None

    def take(count, kind=float):
        return np.array([kind(next(tokens)) for _ in range(count)])

    assert [next(tokens) for _ in range(3)] == ["ASCII", "DATASET", "UNSTRUCTURED_GRID"]
    for word in tokens:
        if word == "POINTS":
            count, _ = int(next(tokens)), next(tokens)
            found["points"] = take(3 * count).reshape(-1, 3)
        elif word == "CELLS":
            count, size = int(next(tokens)), int(next(tokens))
            found["cells"] = take(size, int).reshape(count, 3)
        elif word == "CELL_TYPES":
            found["types"] = take(int(next(tokens)), int)
        elif word in ("POINT_DATA", "CELL_DATA"):
            group = int(next(tokens))
        elif word == "VECTORS":
            name, _ = next(tokens), next(tokens)
            found[name] = take(3 * group).reshape(-1, 3)
        else:
            assert word == "SCALARS", word
            name = next(tokens)
            assert [next(tokens) for _ in range(4)] == ["int", "1", "LOOKUP_TABLE", "default"]
            found[name] = take(group, int)
    return found


def test_vtk_file_holds_what_the_study_says(study, tmp_path):
    found = read_vtk(write_cage_vtk(study, tmp_path / "cage.vtk"))
    assert found["points"] == pytest.approx(study.nodes, abs=1e-9)
    assert np.all(found["cells"][:, 0] == 2) and np.all(found["types"] == 3)
    assert np.array_equal(found["cells"][:, 1:], study.lines)
    largest = max(own.largest for own in study.motions)
    assert np.linalg.norm(found["displacement_m"], axis=1).max() == pytest.approx(largest, rel=1e-6)
    modes = [name for name in found if name.startswith("mode_")]
    assert len(modes) == 7
    assert float(modes[0].split("_")[2]) == pytest.approx(study.frequencies[0], abs=0.06)
    assert np.linalg.norm(found[modes[3]], axis=1).max() == pytest.approx(1.0)
    # 18 bars and 8 pieces of each ring to a pitch; no part is missing.
    assert np.array_equal(np.unique(found["part"]), [0, 1, 2, 3])
    assert np.count_nonzero(found["part"] == 2) == 144
    assert found["number"].min() == 1 and found["number"].max() == 18


def test_text_names_load_units_and_assumptions(study):
    text = cage_text([study], [])
    assert "300 N tangentially on every bar" in text
    assert "centrifugal acceleration of 100 g" in text
    assert "Deformation in um" in text and "Stress in MPa" in text
    assert "cage.pocket_fillet_mm not given: 0.5 mm" in text
    assert "of its area open" in text
    assert max(map(len, text.splitlines())) <= 100


def test_data_is_strict_json_and_agrees_with_the_text(study):
    found = cage_dict([study], [])
    again = json.loads(json.dumps(found, allow_nan=False))
    assert again["mass_kg"] == study.mass
    ring = next(own for own in again["stress"] if own["place"] == "cover ring")
    assert ring["local_Pa"] is None and ring["nominal_Pa"] > 0.0
    spot = next(own for own in again["stress"] if own["place"] == "rivet head fillet")
    assert spot["local_Pa"] > spot["nominal_Pa"] > 0.0
    assert again["balance_residual"] < 1e-6


def test_a_cage_against_itself_has_no_difference(case, study):
    assert shape_differences(case, case) == []
    text = cage_text([study, study], [])
    assert "no difference" in text
    (row,) = [line for line in text.splitlines() if "mass g" in line]
    assert row.split()[-1] == "1.00"


def test_a_cage_in_one_piece_beside_a_riveted_one(repository, study, case):
    """Parts that only one of both has stay in the table; yielding is said."""
    closure = '[cage.closure]\nkind = "one_piece"\n\n[clearance]'
    text = re.sub(r"(?ms)^\[cage.closure\]$.*?^\[clearance\]$", closure, case.text)
    load = cage_load(1500.0, None, None)
    both = [study_cage(own, load, 2) for own in (parse_case(text, "one.toml"), case)]
    words = cage_text(both, shape_differences(parse_case(text, "one.toml"), case))
    assert "closures, against" in words and "closures, this case" not in words
    assert "bar root at cover" in words
    assert "beyond yield by nominal stress: rivet head fillet" in words
    assert both[0].open_share == 0.0


def test_pictures_state_case_load_and_exaggeration(study, tmp_path):
    static = draw_static([study], tmp_path / "static")
    modes = draw_modes(study, tmp_path / "modes")
    assert static.path.stat().st_size > 20000 and modes.path.stat().st_size > 20000
    assert study.case_name in static.caption and study.case_name in modes.caption
    assert "times too large" in static.caption and "300 N" in static.caption
    assert "40 % of the axial length" in modes.caption


def test_stiffness_behind_the_pocket_faces_stands_beside_that_of_a_run(case, study):
    """Frame as its influence gives it; the run's as the case says; both in N/um in the text."""
    influence = cage_influence(build_cage_frame(case))
    text = cage_text([study], []).splitlines()
    for face in ("cover", "base", "bar"):
        wanted = 1.0 / influence.local_compliance(face)
        assert study.stiffness[face] == pytest.approx(np.full(18, wanted))
        row = next(line for line in text if line.split()[:1] == [face])
        assert float(row.split()[1]) == pytest.approx(1e-6 * wanted, rel=1e-3)
        assert study.in_runs[face] == pytest.approx(study.stiffness[face], rel=1e-5)
    given = changed_case(case, {"cage.bar_stiffness_N_per_um": 31.0})
    found = study_cage(given, study.load, 2)
    assert np.all(found.in_runs["bar"] == 31e6)
    assert np.array_equal(found.in_runs["cover"], study.in_runs["cover"])


def test_softest_faces_stand_below_the_sound_ones(case, study):
    weak = changed_case(case, {"cage.closure.stiffness_factors": [[4, 0.0]]})
    text = cage_text([study_cage(weak, study.load, 2)], []).splitlines()
    rows = {" ".join(line.split()[:-1]): line.split()[-1] for line in text if "softest" in line}
    assert float(rows["bar, softest"]) < 0.2 * 1e-6 * study.stiffness["bar"][0]
    assert rows["cover, in a run, softest"] == rows["cover, softest"]
