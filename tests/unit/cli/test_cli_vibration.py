"""The command that looks at imposed vibration: cases, environments, histories, wrong input."""

import json
import shutil
import subprocess
import sys

import h5py
import pytest

PICTURES = ("vibration_spectrum.png", "vibration_histogram.png", "shock_response.png")


def test_a_case_is_looked_at_without_a_run(rollsim, folder):
    answer = rollsim("vibration", "six.toml", "--duration", "0.5", folder=folder)
    assert answer.code == 0, answer.err
    assert "Asked against applied" in answer.out
    for name in PICTURES:
        assert (folder / "six_results" / name).stat().st_size > 5000


def test_check_shows_and_draws_what_is_applied(rollsim, folder):
    """Levels, bands, distribution and shock response; figures on request, at a width of paper."""
    answer = rollsim("check", "six.toml", "--no-trial", folder=folder)
    assert answer.code == 0, answer.err
    for words in (
        "Asked against applied vibration",
        "applied over asked rms in third-octave bands:",
        "share of the time beyond     1 rms    2 rms    3 rms    4 rms",
        "Shock response: largest absolute acceleration",
    ):
        assert words in answer.out
    assert not list(folder.glob("*.png"))
    answer = rollsim(
        "check", "six.toml", "--no-trial", "--json", "-o", "drawn", "--width-mm", "85",
        folder=folder,
    )  # fmt: skip
    found = json.loads(answer.out)["applied_vibration"]
    x = found["axes"]["x"]
    assert len(x["shock_response_m_per_s2"]) == len(found["shock_response"]["natural_Hz"]) > 50
    assert len(x["histogram_density"]) == len(x["histogram_edges_in_rms"]) - 1 == 41
    assert x["share_beyond_1_2_3_4_rms"][0] == pytest.approx(0.317, rel=0.2)
    for name in PICTURES:
        assert (folder / "drawn" / name).stat().st_size > 5000


def test_a_history_shows_what_was_applied(rollsim, finished, tmp_path):
    answer = rollsim("vibration", finished[0] / "six.h5", "-o", "found", "--json", folder=tmp_path)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out, parse_constant=pytest.fail)
    # 0.01 g2/Hz from 10 to 1000 Hz, 50 ms of it: bands of the run are few and wide.
    x = found["axes"]["x"]
    assert x["random_rms_asked_m_per_s2"] == pytest.approx(30.856, rel=1e-3)
    assert x["random_rms_applied_m_per_s2"] == pytest.approx(30.856, rel=0.35)
    assert found["axes"]["z"]["rms_m_per_s2"] == 0.0
    assert any("shows bands up to 2500 Hz" in note for note in found["notes"])
    assert (tmp_path / "found" / PICTURES[0]).is_file()


@pytest.mark.long
def test_flag_of_an_environment_is_in_check_history_and_reports(rollsim, folder):
    text = (folder / "six.toml").read_text().split("[[vibration]]")[0]
    text += '[[vibration]]\nkind = "psd"\naxis = "y"\nenvironment = "railway_bogie_vertical"\n'
    (folder / "six.toml").write_text(text)
    flag = "from memory, confirm against the standard before use"
    for command in (
        ("check", "six.toml", "--no-trial"),
        ("run", "six.toml"),
        ("peaks", "six.h5"),
        ("whirl", "six.h5"),
        ("slip", "six.h5"),
        ("fatigue", "six.h5"),
        ("vibration", "six.h5"),
    ):
        answer = rollsim(*command, folder=folder)
        assert answer.code == 0, answer.err
        assert command[0] == "run" or flag in " ".join(answer.out.split()), command
    with h5py.File(folder / "six.h5") as file:
        (record,) = json.loads(file.attrs["environments"])
    assert (record["name"], record["basis"]) == ("railway_bogie_vertical", flag)


@pytest.mark.long
def test_a_run_keeps_the_environment_of_a_file_that_is_gone(rollsim, folder):
    head = (folder / "six.toml").read_text().split("[[vibration]]")[0]
    head = head.replace("[case]", '[case]\nenvironments_file = "own.toml"')
    source = '[[vibration]]\nkind = "psd"\naxis = "y"\nenvironment = "deck"\n'
    (folder / "six.toml").write_text(head + source)
    (folder / "own.toml").write_text(
        '[environment.deck]\npsd = [[10.0, 0.02], [200.0, 0.02]]\npsd_unit = "g2/Hz"\n'
        'source = "upper deck"\nbasis = "measured"\n'
    )
    assert rollsim("run", "six.toml", folder=folder).code == 0
    (folder / "own.toml").unlink()
    answer = rollsim("vibration", "six.h5", folder=folder)
    assert answer.code == 0, answer.err
    assert "environment deck: upper deck; measured" in answer.out
    assert rollsim("whirl", "six.h5", folder=folder).code == 0


#: Largest resident memory of a command, in the units of the system (kB on Linux).
MEMORY = (
    "import resource, subprocess, sys; subprocess.run([sys.executable, '-m', 'rollsim',"
    " *sys.argv[1:]], capture_output=True, check=True);"
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
)


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="other systems count memory otherwise")
@pytest.mark.parametrize("command", ["vibration", "check"])
def test_an_hour_of_three_axes_takes_less_than_half_a_gigabyte(environment, folder, command):
    """3600 s, 20 to 2000 Hz (20 kHz): the whole process, interpreter and libraries included."""
    head = (folder / "six.toml").read_text().split("[[vibration]]")[0]
    source = '[[vibration]]\nkind = "psd"\naxis = ["x", "y", "z"]\npsd_unit = "g2/Hz"\n'
    source += 'psd = [[20.0, 0.01], [2000.0, 0.01]]\n[solver]\nmotion = "spatial"\n'
    (folder / "six.toml").write_text(
        head.replace("duration_s = 0.06", "duration_s = 3600") + source
    )
    done = subprocess.run(
        [sys.executable, "-c", MEMORY, command, "six.toml", "--json"],
        cwd=folder, env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert 1024 * int(done.stdout) < 500e6


def test_environments_are_listed(rollsim, tmp_path):
    answer = rollsim("vibration", "--list", folder=tmp_path)
    assert answer.code == 0
    assert "computer_board" in answer.out and "half_sine_10g_10ms" in answer.out
    found = json.loads(rollsim("vibration", "--list", "--json", folder=tmp_path).out)
    assert found["environments"][0]["source"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("computer_bord", "computer_board"),
        ("foreign.h5", "foreign.h5"),
        ("missing.toml", "missing.toml"),
    ],
)
def test_wrong_input_is_refused(rollsim, tmp_path, name, words):
    with h5py.File(tmp_path / "foreign.h5", "w") as file:
        file["x"] = [1.0, 2.0]
    answer = rollsim("vibration", name, folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert not list(tmp_path.glob("*_results"))


@pytest.mark.long
def test_a_history_that_ends_before_settling_is_refused(rollsim, folder):
    text = (folder / "six.toml").read_text().replace("settle_s = 0.01", "settle_s = 0.0285")
    (folder / "six.toml").write_text(text)
    assert rollsim("run", "six.toml", "--duration", "0.03", folder=folder).code == 0
    answer = rollsim("vibration", "six.h5", folder=folder)
    assert answer.code in (1, 2)
    assert answer.out == "" and "settl" in answer.err


def test_a_picture_folder_that_cannot_be_made_is_named(rollsim, finished, tmp_path):
    (tmp_path / "file").write_text("")
    shutil.copy(finished[0] / "six.toml", tmp_path / "six.toml")
    answer = rollsim("vibration", "six.toml", "-o", "file/below", folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
