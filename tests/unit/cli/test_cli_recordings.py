"""Recordings on the command line: the example with its file, and refusals without a traceback."""

import importlib.util
import json

import pytest

EXAMPLE = "dewatering_screen_recording"


@pytest.fixture
def example(rollsim, tmp_path):
    """Folder with the example case as mine.toml, and its recording."""
    assert rollsim("new", "mine.toml", "--example", EXAMPLE, folder=tmp_path).code == 0
    return tmp_path


def test_the_example_brings_its_recording_along(rollsim, tmp_path, cases_folder):
    answer = rollsim("new", "mine.toml", "--example", EXAMPLE, folder=tmp_path)
    assert (answer.code, answer.out) == (
        0,
        f"wrote {EXAMPLE}.csv, the recording of this example\n"
        "wrote mine.toml; next: rollsim check mine.toml\n",
    )
    copied = tmp_path / f"{EXAMPLE}.csv"
    assert copied.read_bytes() == (cases_folder / f"{EXAMPLE}.csv").read_bytes()
    answer = rollsim("new", "other.toml", "--example", EXAMPLE, folder=tmp_path)
    assert answer.code == 2 and f"{EXAMPLE}.csv exists already" in answer.err
    assert not (tmp_path / "other.toml").exists()


def test_the_script_writes_the_recording_of_the_example(repository, cases_folder):
    path = repository / "scripts" / "make_example_recording.py"
    spec = importlib.util.spec_from_file_location("make_example_recording", path)
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    # To the printed digits: the last one may differ between processors.
    made, kept = script.recording_text(), (cases_folder / f"{EXAMPLE}.csv").read_text("utf-8")
    assert made.splitlines()[0] == kept.splitlines()[0]
    rows = [
        [float(cell) for line in text.splitlines()[1:] for cell in line.split(";")]
        for text in (made, kept)
    ]
    assert rows[0] == pytest.approx(rows[1], abs=1.5e-3)
    assert len(kept) < 200_000


def test_check_tells_what_was_read(rollsim, example):
    found = json.loads(rollsim("check", "mine.toml", "--no-trial", "--json", folder=example).out)
    (told,) = found["recordings"]
    assert (told["rate_Hz"], told["samples"]) == (pytest.approx(1000.0), 3200)
    # throw 4.3 mm at 970 rpm: a circle of 4.52 g; hits and random vibration add to its rms
    assert found["vibration"]["rms_x_g"] == pytest.approx(4.52 / 2**0.5, rel=0.06)
    assert found["vibration"]["rms_y_g"] == pytest.approx(4.52 / 2**0.5, rel=0.06)
    text = rollsim("check", "mine.toml", "--no-trial", folder=example).out
    assert "Recording dewatering_screen_recording.csv" in text
    assert "read: 3200 samples at 1000 Hz, 3.2 s" in text
    assert "vibration[1].delimiter = ;: found in the first lines of the file" in text
    for axis in found["applied_vibration"]["axes"].values():
        assert axis["random_rms_applied_m_per_s2"] == pytest.approx(
            axis["random_rms_asked_m_per_s2"], rel=0.01
        )


def test_a_run_longer_than_the_recording_is_refused(rollsim, example):
    text = (example / "mine.toml").read_text(encoding="utf-8")
    (example / "mine.toml").write_text(text.replace("duration_s = 3.2 ", "duration_s = 9.0 "))
    for command in (("check", "--no-trial"), ("run",)):
        answer = rollsim(command[0], "mine.toml", *command[1:], folder=example)
        assert (answer.code, answer.out) == (2, "")
        assert "the run takes 9 s, the part to replay only 3.2 s" in answer.err
    assert not list(example.glob("*.h5*"))


@pytest.mark.parametrize("content", [b"\0\1\2" * 500, None])
def test_a_bad_recording_ends_in_plain_words(rollsim, example, content):
    file = example / f"{EXAMPLE}.csv"
    file.unlink()
    if content is not None:
        file.write_bytes(content)
    answer = rollsim("run", "mine.toml", folder=example)  # looks for tracebacks itself
    assert (answer.code, answer.out) == (2, "")
    assert f"{EXAMPLE}.csv" in answer.err
    assert not list(example.glob("*.h5*"))
