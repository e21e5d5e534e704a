"""The run command with --replicates."""

import json
import signal
import subprocess
import sys
import time

import pytest

SET = ("run", "six.toml", "-o", "out", "--replicates", "2", "--duration", "0.03")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--jobs", "2"], "--jobs is for sets of runs: give --replicates too"),
        (["--within", "5", "--hours", "1"], "--within is for sets"),
        (["--replicates", "2", "--most", "9"], "give --within too"),
        (["--replicates", "0"], "0"),
        (["--replicates", "2", "--within", "5", "--most", "3"], "fewer than the 5 to begin with"),
        (["--replicates", "2", "--quantity", "peak"], "peak_force"),
        (["--replicates", "2", "-o", "six.toml/out.h5"], "six.toml"),
    ],
)
def test_a_bad_option_is_refused_before_anything_is_written(rollsim, folder, options, words):
    answer = rollsim("run", "six.toml", *options, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert [path.name for path in folder.iterdir()] == ["six.toml"]


def test_a_set_is_told_as_json_and_in_words_and_a_failed_run_by_the_exit_code(rollsim, folder):
    case = folder / "six.toml"
    case.write_text(case.read_text() + "seed = 7\n")
    answer = rollsim(*SET, "--json", folder=folder)
    assert answer.code == 0, answer.err
    found = json.loads(answer.out)
    assert [row["state"] for row in found["replicates"]] == ["finished"] * 2
    assert found["interval"]["low"] < found["interval"]["estimate"] < found["interval"]["high"]
    assert "follows the seed of the replicate" in found["notes"][0]
    assert "follows the seed of the replicate" in answer.err and "\r" not in answer.err
    _spoil(folder / "out_r02.h5")
    again = rollsim(*SET, folder=folder)
    assert again.code == 1
    assert "1 of 2 replicates of 0.03 s finished, seeds from seed 3" in again.out
    assert "Replicate 2 failed: a number was lost" in again.err
    status = rollsim("status", "out_replicates.json", folder=folder)
    assert status.out.splitlines() == [
        "six rollers: 1 of 2 replicates finished",
        "  out_r01.h5: finished, 0.03 of 0.03 s",
        "  out_r02.h5: failed: a number was lost, 0.03 of 0.03 s",
    ]
    kept = rollsim(*SET, "--source-seeds", "keep", folder=folder)
    assert kept.code == 2 and "another case file" in kept.err


def _spoil(path):
    """Turn a finished history into one of a run that failed."""
    import h5py

    with h5py.File(path, "r+") as file:
        file.attrs["status"] = "stopped: a number was lost"


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal to one process on Windows")
def test_ctrl_c_ends_a_set_in_plain_words(rollsim, folder, environment):
    process = subprocess.Popen(
        [sys.executable, "-m", "rollsim", *SET[:-1], "600", "--jobs", "1"],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        while process.poll() is None and not list(folder.glob("out_r01.h5.parts/*.h5")):
            time.sleep(0.02)
        running = rollsim("status", "out_replicates.json", "--json", folder=folder)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=240)
    finally:
        process.kill()
        process.wait()
    states = [row["status"] for row in json.loads(running.out)["replicates"]]
    assert states == ["running", "not begun"]
    assert (process.returncode, out) == (1, "")
    assert "Stopped by the user; no run goes on. out_replicates.json says what is finished" in err
    assert "Traceback" not in err
    rows = json.loads((folder / "out_replicates.json").read_text())["replicates"]
    assert [row["state"] for row in rows] == ["begun", "not begun"]
