"""The command on the elastic cage: text, JSON, files, comparison, wrong input."""

import json

import pytest

FILES = ("cage_static.png", "cage_modes.png", "cage.vtk")


def test_one_case_gives_text_and_files(rollsim, folder):
    answer = rollsim("cage", "six.toml", folder=folder)
    assert answer.code == 0, answer.err
    assert "1000 N axially of every roller on the cover; held by the base ring" in answer.out
    assert "this one is assumed" in answer.out and "Assumptions" in answer.out
    assert "licensed engineer" in answer.out
    for name in FILES:
        assert (folder / "six_results" / name).stat().st_size > 5000
        assert f"wrote six_results/{name}" in answer.out


def test_two_executions_side_by_side_in_strict_json(rollsim, repository, tmp_path):
    riveted, tenon = (
        repository / "cases" / f"dewatering_screen_{name}.toml" for name in ("riveted", "tenon")
    )
    words = ("cage", riveted, "--against", tenon, "--cover-force", "500", "--modes", "4")
    answer = rollsim(*words, "-o", "found", "--json", folder=tmp_path)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out, parse_constant=pytest.fail)
    assert found["load"]["cover_force_N"] == 500.0 and not found["load"]["assumed"]
    differences = {row["key"]: (row["value"], row["against"]) for row in found["differences"]}
    assert differences["cage.closure.kind"] == ("steel_rivet", "integral_tenon")
    assert "cage.cover_thickness_mm" not in differences
    rivets, tenons = (
        max(own["share_of_yield"] for own in side["stress"] if own["place"].startswith(names))
        for side, names in ((found, "rivet"), (found["against"], "tenon"))
    )
    assert rivets > tenons
    assert found["cover_lift_m"] > found["against"]["cover_lift_m"] > 0.0
    assert len(found["frequencies_Hz"]) == 4 and found["frequencies_Hz"][0] > 100.0
    written = {path.name for path in (tmp_path / "found").iterdir()}
    assert written == {*FILES, "cage_modes_against.png", "cage_against.vtk"}


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--cover-force", "-5"), "Cover force -5 N: a roller pushes the cover"),
        (("--cover-force", "0"), "All loads are zero"),
        (("--bar-force", "nan"), "Bar force nan N"),
        (("--radial-acceleration", "-3"), "Radial acceleration -3 g"),
        (("--modes", "0"), "--modes"),
        (("--against", "missing.toml"), "missing.toml"),
        (("--held", "cover"), "'base', 'inertia'"),
    ],
)
def test_wrong_input_is_refused(rollsim, folder, options, words):
    answer = rollsim("cage", "six.toml", *options, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert not list(folder.glob("*_results"))


def test_detail_takes_forces_on_the_cover_only(rollsim, folder):
    answer = rollsim("cage", "six.toml", "--detail", "--bar-force", "10", folder=folder)
    assert answer.code == 2 and "--cover-force" in answer.err


@pytest.mark.long
def test_detail_of_the_shipped_tenon_cage(rollsim, repository, tmp_path):
    pytest.importorskip("skfem")
    case = repository / "cases" / "dewatering_screen_tenon.toml"
    answer = rollsim("cage", case, "--detail", "-o", "found", "--json", folder=tmp_path)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out, parse_constant=pytest.fail)
    assert len(found["meshes"]) == 3 and found["cover_force_N"] == 1000.0
    for own in found["compared"]:
        assert own["frame_over_solid"] == pytest.approx(1.0, abs=found["agreement_asked_for"])
    assert (tmp_path / "found" / "cage_sector.png").stat().st_size > 20000
