"""Commands on histories: results, their files, and histories that cannot be used."""

import json
import math
import shutil

import h5py
import pytest

RESULTS = {
    "peaks": ("impacts.csv", "exceedance.png", "thresholds.png", "pocket_map.png"),
    "whirl": ("whirl.png",),
    "slip": ("slip.png", "smearing.png", "wear.png"),
    "fatigue": ("fatigue.png", "mechanisms.png"),
}


def _numbers(value):
    """All floats of nested lists and dicts."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return [number for item in value for number in _numbers(item)]
    return [value] if isinstance(value, float) else []


@pytest.mark.parametrize("command", RESULTS)
def test_results_are_printed_and_written(rollsim, finished, tmp_path, command):
    answer = rollsim(command, finished[0] / "six.h5", "-o", tmp_path / "found", folder=tmp_path)
    assert answer.code == 0, answer.err
    assert "licensed engineer" in answer.out
    for name in RESULTS[command]:
        assert (tmp_path / "found" / name).stat().st_size > 500
        assert f"wrote {tmp_path / 'found' / name}" in answer.out
    assert max(map(len, answer.out.splitlines())) <= 200


def test_stress_file_is_written_where_it_is_asked_for(rollsim, finished, tmp_path):
    target = tmp_path / "stress.h5"
    options = ("-o", tmp_path / "found", "--stress-file", target)
    answer = rollsim("fatigue", finished[0] / "six.h5", *options, folder=tmp_path)
    assert answer.code == 0, answer.err
    assert f"wrote {target}" in answer.out
    with h5py.File(target) as file:
        assert file.attrs["format"] == "rollsim stress" and file.attrs["history"] == "six.h5"
        assert file["stress"].shape == (len(file["time"]), len(file["place"]))
        assert file["closure_force"].attrs["units"] == "N"


def test_one_run_under_a_share_of_time_is_judged_as_a_duty(rollsim, finished, tmp_path):
    path = finished[0] / "six.h5"
    options = ("-o", tmp_path, "--load-shares")
    answer = rollsim("fatigue", path, *options, "0.25", folder=tmp_path)
    assert answer.code == 0, answer.err
    assert answer.out.startswith("VERDICT: ") and "25 % of the time" in answer.out
    wrong = rollsim("fatigue", path, *options, "much", folder=tmp_path)
    assert wrong.code == 2 and "0.3,0.6" in wrong.err
    refused = rollsim(
        "fatigue", path, *options, "0.5", "--stress-file", tmp_path / "s.h5", folder=tmp_path
    )
    assert refused.code == 2 and "one history" in refused.err


@pytest.mark.parametrize("command", [*RESULTS, "status"])
def test_json_is_strict_and_alone_on_its_stream(rollsim, finished, tmp_path, command):
    options = [] if command == "status" else ["-o", tmp_path]
    answer = rollsim(command, finished[0] / "six.h5", "--json", *options, folder=tmp_path)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out, parse_constant=pytest.fail)
    assert all(map(math.isfinite, _numbers(found)))
    assert _numbers(found)


def test_without_a_folder_results_lie_beside_the_history(rollsim, finished, tmp_path):
    shutil.copy(finished[0] / "six.h5", tmp_path / "copy.h5")
    assert rollsim("whirl", "copy.h5", folder=tmp_path).code == 0
    assert (tmp_path / "copy_results" / "whirl.png").is_file()


@pytest.fixture
def bad_histories(finished, tmp_path):
    """Folder with files that are no usable histories."""
    with h5py.File(tmp_path / "foreign.h5", "w") as file:
        file["x"] = [1.0, 2.0]
    whole = (finished[0] / "six.h5").read_bytes()
    (tmp_path / "cut.h5").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "text.h5").write_text("no history")
    (tmp_path / "folder.h5").mkdir()
    shutil.copy(finished[0] / "six.toml", tmp_path / "six.toml")
    return tmp_path


@pytest.mark.parametrize("command", [*RESULTS, "status"])
@pytest.mark.parametrize(
    "name", ["missing.h5", "foreign.h5", "cut.h5", "text.h5", "folder.h5", "six.toml"]
)
def test_a_file_that_is_no_history_is_refused(rollsim, bad_histories, command, name):
    answer = rollsim(command, name, folder=bad_histories)
    assert (answer.code, answer.out) == (2, "")
    assert name in answer.err
    assert not list(bad_histories.glob("*_results"))


@pytest.mark.parametrize("command", RESULTS)
def test_a_history_that_ends_before_settling_has_no_result(rollsim, folder, command):
    text = (folder / "six.toml").read_text().replace("settle_s = 0.01", "settle_s = 0.0285")
    (folder / "six.toml").write_text(text)
    assert rollsim("run", "six.toml", "--duration", "0.03", folder=folder).code == 0
    answer = rollsim(command, "six.h5", folder=folder)
    assert answer.code in (1, 2)
    assert answer.out == ""
    assert "settl" in answer.err


@pytest.mark.parametrize("command", RESULTS)
def test_a_result_folder_that_cannot_be_made_is_named(rollsim, finished, tmp_path, command):
    (tmp_path / "file").write_text("")
    target = tmp_path / "file" / "below"
    answer = rollsim(command, finished[0] / "six.h5", "-o", target, folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert str(target) in answer.err


def test_a_result_file_that_cannot_be_written_is_named(rollsim, finished, tmp_path):
    (tmp_path / "found" / "impacts.csv").mkdir(parents=True)
    answer = rollsim("peaks", finished[0] / "six.h5", "-o", "found", folder=tmp_path)
    assert answer.code == 1
    assert "impacts.csv" in answer.err
