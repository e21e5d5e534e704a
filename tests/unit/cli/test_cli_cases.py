"""Commands on case files: new and check."""

import json

import pytest

from rollsim.case.template import example_names

BAD_FILES = {
    "missing.toml": (None, "missing.toml"),
    "empty.toml": ("", "the file holds no case"),
    "wrong.toml": ("[case\n", "wrong.toml, line 1"),
    "history.toml": (b"\x89HDF\r\n\x1a\n" + bytes(64), "history.toml"),
}


def strict(text):
    """Read JSON that holds no NaN or infinity, from text without anything else in it."""

    def refuse(name):
        raise AssertionError(f"{name} is no JSON")

    return json.loads(text, parse_constant=refuse)


def test_new_writes_the_template_that_check_accepts(rollsim, tmp_path):
    answer = rollsim("new", "mine.toml", folder=tmp_path)
    assert (answer.code, answer.out) == (0, "wrote mine.toml; next: rollsim check mine.toml\n")
    answer = rollsim("check", "mine.toml", "--no-trial", folder=tmp_path)
    assert answer.code == 0, answer.err
    assert "the case is valid" in answer.out


@pytest.mark.parametrize("name", example_names())
def test_every_shipped_example_passes_check(rollsim, tmp_path, name):
    assert rollsim("new", "mine.toml", "--example", name, folder=tmp_path).code == 0
    answer = rollsim("check", "mine.toml", "--no-trial", "--json", folder=tmp_path)
    assert answer.code == 0, answer.err
    found = strict(answer.out)
    assert found["speeds"]["cage_speed_rpm"] != 0.0
    assert found["static_load"]["loaded_rollers"] >= 1


def test_there_are_examples_and_list_names_them(rollsim, tmp_path):
    answer = rollsim("new", "--list", folder=tmp_path)
    assert answer.code == 0
    assert tuple(answer.out.split()) == example_names() != ()


def test_unknown_example_suggests_the_nearest(rollsim, tmp_path):
    name = example_names()[0]
    answer = rollsim("new", "mine.toml", "--example", name[:-1], folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert f"did you mean '{name}'" in answer.err
    assert not (tmp_path / "mine.toml").exists()


def test_new_replaces_a_file_only_when_told(rollsim, tmp_path):
    (tmp_path / "mine.toml").write_text("precious")
    answer = rollsim("new", "mine.toml", folder=tmp_path)
    assert answer.code == 2
    assert "mine.toml exists already" in answer.err
    assert "--overwrite" in answer.err
    assert (tmp_path / "mine.toml").read_text() == "precious"
    assert rollsim("new", "mine.toml", "--overwrite", folder=tmp_path).code == 0
    assert "[bearing]" in (tmp_path / "mine.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("target", ["nowhere/mine.toml", "."])
def test_new_names_a_place_that_cannot_be_written(rollsim, tmp_path, target):
    answer = rollsim("new", target, folder=tmp_path)
    assert answer.code == 2
    assert target in answer.err


@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("command", ["check", "run"])
def test_a_bad_case_file_is_refused_with_its_name(rollsim, tmp_path, command, name):
    content, words = BAD_FILES[name]
    if content is not None:
        (tmp_path / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    answer = rollsim(command, name, folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert not list(tmp_path.glob("*.h5*"))


def test_a_folder_as_case_is_refused(rollsim, tmp_path):
    answer = rollsim("check", ".", folder=tmp_path)
    assert answer.code == 2
    assert "folder" in answer.err


def test_all_problems_of_a_case_come_at_once(rollsim, folder):
    text = (folder / "six.toml").read_text()
    text = text.replace("count = 6", "count = 2").replace("speed_rpm", "speed_rmp")
    (folder / "six.toml").write_text(text)
    answer = rollsim("check", "six.toml", folder=folder)
    assert answer.code == 2
    assert "roller.count = 2" in answer.err
    assert "did you mean 'speed_rpm'" in answer.err


def test_check_prints_what_a_practitioner_needs(rollsim, folder):
    answer = rollsim("check", "six.toml", folder=folder)
    assert answer.code == 0
    for words in (
        "six rollers: the case is valid",
        "cage speed",
        "rollers passing outer",
        "largest roller load",
        "inner ring and rotor mass",
        "rms x",
        "expected run time",
        "expected file size",
        "Assumptions",
        "solver.tolerance = 0.0001",
        "duty.gravity = true",
    ):
        assert words in answer.out, words
    assert "None" not in answer.out
    assert "nan" not in answer.out.lower().split()
    assert max(map(len, answer.out.splitlines())) <= 100


def test_check_speeds_follow_from_the_geometry(rollsim, folder):
    """Cage speed n_i (1 - D_w/D_pw)/2, ring frequencies Z times the speeds relative to the cage."""
    found = strict(rollsim("check", "six.toml", "--no-trial", "--json", folder=folder).out)
    speeds = found["speeds"]
    cage = 1200.0 * (1.0 - 26.0 / 182.0) / 2.0
    assert speeds["cage_speed_rpm"] == pytest.approx(cage)
    assert speeds["rollers_passing_outer_Hz"] == pytest.approx(6 * cage / 60.0)
    assert speeds["rollers_passing_inner_Hz"] == pytest.approx(6 * (1200.0 - cage) / 60.0)
    assert found["vibration"]["rms_x_g"] == pytest.approx((0.01 * 990.0) ** 0.5, rel=0.01)
    assert found["run"]["samples"] == 300


def test_check_as_json_is_strict_and_alone_on_its_stream(rollsim, folder):
    answer = rollsim("check", "six.toml", "--json", folder=folder)
    found = strict(answer.out)
    assert found["run"]["expected_run_time_s"] > 0.0
    assert found["warnings"] == []
    keys = [item["key"] for item in found["assumptions"]]
    assert len(keys) == len(set(keys)) > 50


def test_check_without_trial_says_that_the_time_is_not_measured(rollsim, folder):
    answer = rollsim("check", "six.toml", "--no-trial", folder=folder)
    line = next(line for line in answer.out.splitlines() if "expected run time" in line)
    assert "not measured" in line


def test_check_of_another_solver_does_not_tell_the_time_of_ours(rollsim, folder):
    path = folder / "six.toml"
    path.write_text(path.read_text() + '\n[solver]\nname = "Radau"\n')
    found = strict(rollsim("check", "six.toml", "--json", folder=folder).out)
    assert found["run"]["expected_run_time_s"] is None
    assert "Radau is not measured" in found["warnings"][0]
