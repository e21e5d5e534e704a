"""Spoilt recordings of every format: words and no run, or samples that are finite numbers."""

import wave
from pathlib import Path

import h5py
import numpy as np
import pytest
from hard import FEW, MANY, bounded, examples, spoilt_bytes
from hypothesis import given
from hypothesis import strategies as st

from rollsim.case.read import parse_case
from rollsim.model.recording.findings import RecordingError
from rollsim.model.recording.replay import build_replays

CASE = (Path(__file__).resolve().parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")
KEYS = {
    "csv": 'channels = ["a"]\nrate_Hz = 2000.0',
    "h5": 'channels = ["/a"]\nrate_Hz = 2000.0',
    "wav": 'channels = ["1"]\nfull_scale = 5.0',
    "uff": 'channels = ["1"]',
}
SAMPLES = 400


def uff_text(values):
    """Data set 58 as a hand would write it, node 7."""
    head = [
        "    -1", "    58", "response", "NONE", "01-JAN-20 00:00:00", "NONE", "NONE",
        "    1         0    0         0       NONE         7   1       NONE         0   0",
        f"         4{len(values):10d}         1  0.00000E+00  5.00000E-04  0.00000E+00",
        "        17    0    0    0                 NONE                    s",
        "        12    0    0    0         Acceleration                    g",
        "         0    0    0    0                 NONE                 NONE",
        "         0    0    0    0                 NONE                 NONE",
    ]  # fmt: skip
    rows = ["".join(f"{value:20.11E}" for value in values[i : i + 4])
            for i in range(0, len(values), 4)]  # fmt: skip
    return "\n".join([*head, *rows, "    -1", ""])


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Folder with one good recording of every format."""
    folder = tmp_path_factory.mktemp("recordings")
    values = np.random.default_rng(1).normal(0.0, 0.5, SAMPLES)
    lines = "\n".join(f"{value:.5f};{2 * value:.5f}" for value in values)
    (folder / "good.csv").write_text(f"a;b\n{lines}\n", "utf-8")
    with h5py.File(folder / "good.h5", "w") as file:
        file.create_dataset("a", data=values, chunks=(100,), compression=1)
    with wave.open(str(folder / "good.wav"), "wb") as file:
        file.setparams((1, 2, 2000, SAMPLES, "NONE", ""))
        file.writeframes((3000 * values).astype("<i2").tobytes())
    (folder / "good.uff").write_text(uff_text(values), "utf-8")
    return folder


def case_of(folder, ending, name="spoilt"):
    """Case that replays a recording of the folder."""
    source = f'[[vibration]]\nkind = "recording"\nfile = "{name}.{ending}"\naxis = ["x"]\n'
    text = CASE.partition("[[vibration]]")[0] + source + f'unit = "g"\n{KEYS[ending]}\n'
    return parse_case(text, str(folder / "case.toml"))


def replay(folder, ending, content):
    """Replay spoilt bytes: finite samples or words that name the file."""
    (folder / f"spoilt.{ending}").write_bytes(content)
    case = case_of(folder, ending)
    with bounded():
        try:
            (found,) = build_replays(case, 0.06)
        except RecordingError as problem:
            assert "spoilt" in str(problem) and len(str(problem)) < 100_000
        else:
            assert np.all(np.isfinite(found.table))


@pytest.mark.parametrize("ending", KEYS)
def test_the_good_recording_is_replayed(folder, ending):
    (found,) = build_replays(case_of(folder, ending, "good"), 0.06)
    assert np.any(found.table != 0.0) and np.all(np.isfinite(found.table))


@given(data=st.data(), ending=st.sampled_from(sorted(KEYS)))
@examples(4 * FEW)
def test_a_spoilt_recording_ends_in_words(folder, data, ending):
    replay(folder, ending, data.draw(spoilt_bytes((folder / f"good.{ending}").read_bytes())))


@pytest.mark.long
@pytest.mark.parametrize("ending", sorted(KEYS))
@given(data=st.data())
@examples(MANY)
def test_two_thousand_spoilt_recordings_end_in_words(folder, data, ending):
    replay(folder, ending, data.draw(spoilt_bytes((folder / f"good.{ending}").read_bytes())))


def test_hdf5_recordings_that_take_numbers_from_elsewhere_or_claim_too_much_are_refused(folder):
    path = folder / "spoilt.h5"

    def link(file):
        file["a"] = h5py.ExternalLink("good.h5", "/a")

    def external(file):
        file.create_dataset("a", (SAMPLES,), "f8", external=[(str(folder / "good.wav"), 0, 3200)])

    def virtual(file):
        layout = h5py.VirtualLayout((SAMPLES,), "f8")
        layout[:] = h5py.VirtualSource(str(folder / "good.h5"), "a", (SAMPLES,))
        file.create_virtual_dataset("a", layout)

    def huge(file):
        file.create_dataset("a", (10**12,), "f8", chunks=(1000,))

    words = ("another file", "another file", "another file", "does not store")
    for work, said in zip((link, external, virtual, huge), words, strict=True):
        path.unlink(missing_ok=True)
        with h5py.File(path, "w") as file:
            work(file)
        with pytest.raises(RecordingError, match=said):
            build_replays(case_of(folder, "h5"), 0.06)


def test_a_wav_file_without_samples_is_refused(folder):
    with wave.open(str(folder / "spoilt.wav"), "wb") as file:
        file.setparams((1, 2, 2000, 0, "NONE", ""))
    with pytest.raises(RecordingError, match="holds no samples"):
        build_replays(case_of(folder, "wav"), 0.06)
