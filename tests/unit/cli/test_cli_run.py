"""The run command: outputs, refusals, stops, progress."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

RUN = ("run", "six.toml", "-o", "out.h5")


def test_run_writes_a_history_and_says_where(finished):
    folder, answer = finished
    assert answer.code == 0
    assert (folder / "six.h5").is_file()
    assert answer.out.startswith("six.h5\nstatus: finished\nsimulated: 0.06 of 0.06 s (100 %)\n")
    assert "next: rollsim peaks six.h5" in answer.out


def test_progress_of_a_log_is_plain_lines(finished):
    _, answer = finished
    lines = [line for line in answer.err.splitlines() if "simulated" in line]
    assert 3 <= len(lines) <= 10
    assert "\r" not in answer.err
    assert "\x1b" not in answer.err
    assert lines[-1].startswith("0.060 of 0.06 s simulated, about 0 s left, peak pocket force ")


def test_the_same_command_again_computes_nothing(rollsim, finished):
    folder, _ = finished
    before = (folder / "six.h5").read_bytes()
    answer = rollsim("run", "six.toml", folder=folder)
    assert answer.code == 0
    assert "nothing to compute" in answer.err
    assert "--overwrite" in answer.err
    assert "status: finished" in answer.out
    assert (folder / "six.h5").read_bytes() == before


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--seed", "9"], "another seed (3 there, 9 here)"),
        (["--duration", "0.05"], "another duration (0.06 s there, 0.05 s here)"),
        (["--solver", "RK45"], "another solver (leapfrog there, RK45 here)"),
    ],
)
def test_another_run_into_the_same_file_is_refused(rollsim, finished, options, words):
    answer = rollsim("run", "six.toml", *options, folder=finished[0])
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert "-o" in answer.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--preview", "--duration", "1"], "--preview and --duration exclude each other"),
        (["--duration", "0"], "0"),
        (["--duration", "nan"], "duration nan s"),
        (["--duration", "inf"], "duration inf s"),
        (["--duration", "abc"], "abc"),
        (["--duration", "0.005"], "settle_s = 0.01 s"),
        (["--seed", "-1"], "-1"),
        (["--seed", str(2**32)], str(2**32)),
        (["--seed", "1.5"], "1.5"),
        (["--solver", "Euler"], "Euler"),
        (["--tolerance", "1"], "--tolerance"),
        (["-o", "."], "is a directory"),
        (["-o", "six.toml"], "left alone"),
        (["-o", "six.toml", "--overwrite"], "left alone"),
        (["-o", "six.toml/out.h5"], "Cannot make the folder"),
    ],
)
def test_a_bad_option_is_refused_before_anything_is_written(rollsim, folder, options, words):
    text = (folder / "six.toml").read_text()
    answer = rollsim("run", "six.toml", *options, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert [path.name for path in folder.iterdir()] == ["six.toml"]
    assert (folder / "six.toml").read_text() == text


def test_json_is_alone_on_its_stream(rollsim, folder):
    answer = rollsim(*RUN, "--json", "--duration", "0.03", folder=folder)
    found = json.loads(answer.out)
    assert answer.code == 0
    assert found["status"] == "finished"
    assert found["simulated_s"] == pytest.approx(0.03)
    assert found["peak_pocket_force_N"] > 0.0


def test_an_ending_is_added_and_folders_are_made(rollsim, folder):
    answer = rollsim("run", "six.toml", "-o", "deep/below/out", "--preview", folder=folder)
    assert answer.code == 0
    assert (folder / "deep" / "below" / "out.h5").is_file()
    assert answer.out.startswith(os.path.join("deep", "below", "out.h5"))


#: Simulated seconds of a run that is to be caught at work: no machine is through with them before
#: the test has looked.
LONG = "600"


def _start(folder, environment):
    """Start a run in a process of its own that is stopped long before its end."""
    return subprocess.Popen(
        [sys.executable, "-m", "rollsim", *RUN, "--duration", LONG],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _wait_for_blocks(folder, process, blocks):
    """Wait until some blocks are on the disk."""
    parts = folder / "out.h5.parts"
    while process.poll() is None and len(list(parts.glob("*.h5"))) < blocks:
        time.sleep(0.02)
    assert process.poll() is None, process.communicate()


def test_status_of_a_running_and_of_an_interrupted_run(rollsim, folder, environment):
    process = _start(folder, environment)
    try:
        _wait_for_blocks(folder, process, 2)
        running = rollsim("status", "out.h5", folder=folder)
        as_json = json.loads(rollsim("status", "out.h5", "--json", folder=folder).out)
    finally:
        process.kill()
        process.communicate()
    assert running.code == 0
    assert running.out.startswith(f"status: running\nprocess: {process.pid} on ")
    assert f" of {LONG} s (" in running.out
    assert "s left" in running.out
    assert as_json["status"] == "running"
    assert 0.0 < as_json["share_done"] < 1.0
    after = rollsim("status", "out.h5", folder=folder)
    assert after.code == 0
    assert after.out.startswith("status: interrupted")
    assert "process:" not in after.out
    assert "The command that started it goes on from there." in after.out
    peaks = rollsim("peaks", "out.h5", folder=folder)
    assert peaks.code == 0, peaks.err
    assert "The run is not complete" in " ".join(peaks.out.split())


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal to one process on Windows")
def test_ctrl_c_ends_in_plain_words_and_the_run_goes_on(rollsim, folder, environment):
    process = _start(folder, environment)
    try:
        _wait_for_blocks(folder, process, 2)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    finally:
        process.kill()
        process.wait()
    assert (process.returncode, out) == (1, "")
    assert "Stopping as soon as the block at hand is finished" in err
    assert "Stopped by Ctrl-C, at " in err
    assert "is safe in out.h5.parts; the same command goes on from there." in err
    assert "Traceback" not in err
    blocks = len(list((folder / "out.h5.parts").glob("*.h5")))
    process = _start(folder, environment)
    try:
        _wait_for_blocks(folder, process, blocks + 1)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    finally:
        process.kill()
        process.wait()
    assert (process.returncode, out) == (1, "")
    assert "Going on from " in err


def test_a_second_run_into_a_running_output_is_refused(rollsim, folder, environment):
    process = _start(folder, environment)
    try:
        _wait_for_blocks(folder, process, 1)
        answer = rollsim(*RUN, "--duration", LONG, folder=folder)
    finally:
        process.kill()
        process.communicate()
    assert answer.code == 2
    assert f"process {process.pid} on" in answer.err


def test_status_before_the_first_block(rollsim, folder):
    from rollsim.history import SegmentWriter

    with SegmentWriter(folder / "out.h5", {"roller_count": 6}):
        answer = rollsim("status", "out.h5", folder=folder)
        as_json = json.loads(rollsim("status", "out.h5", "--json", folder=folder).out)
    assert answer.code == 0
    assert "status: running" in answer.out
    assert "no block is finished yet" in answer.out
    assert as_json["duration_s"] is None


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals on Windows")
def test_a_terminal_gets_a_bar(folder, environment):
    import pty

    master, slave = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "rollsim", *RUN],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=slave,
    )
    os.close(slave)
    shown = b""
    while True:
        try:
            part = os.read(master, 4096)
        except OSError:  # the other end was closed
            break
        if not part:
            break
        shown += part
    os.close(master)
    assert process.wait() == 0
    process.stdout.close()
    text = shown.decode("utf-8")
    assert "\r" in text
    assert "running: 100%" in text
    assert "0.060/0.060 s simulated" in text
    assert "peak pocket force" in text
    assert ", ," not in text and ",  " not in text
