"""Runs that replay a recording: the motion applied, its record in the history, its changes."""

import json

import numpy as np
import pytest
from scipy import signal as sps
from scipy.interpolate import CubicSpline

from rollsim.analysis.settled import recording_notes
from rollsim.case.read import load_case
from rollsim.model.recording.findings import RecordingError
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import run
from rollsim.units import G0

RATE = 2000.0
SOURCE = """
[[vibration]]
kind = "recording"
file = "data/site.csv"
channels = ["ax", "ay"]
axis = ["x", "-y"]
unit = "g"
rate_Hz = 2000.0
"""


def site_signal(count=600):
    """Two channels of random vibration up to 400 Hz, in g."""
    noise = np.random.default_rng(8).normal(size=(count + 400, 2))
    return 20.0 * sps.sosfiltfilt(
        sps.butter(6, 400.0, fs=RATE, output="sos"), noise, axis=0
    )[200:-200]  # fmt: skip


def write_site(folder, values):
    """Write the recording into a folder beside the case."""
    (folder / "data").mkdir(exist_ok=True)
    lines = ["ax;ay", *(f"{a:.6f};{b:.6f}" for a, b in values)]
    (folder / "data" / "site.csv").write_text("\n".join(lines), encoding="utf-8")


@pytest.fixture
def site_case(still_case, tmp_path):
    """Function that writes case and recording, and loads the case; keys of the case changed."""

    def make(duration, values=None, more=""):
        write_site(tmp_path, site_signal() if values is None else values)
        text = still_case.text.replace("duration_s = 0.06", f"duration_s = {duration}")
        (tmp_path / "case.toml").write_text(text + SOURCE + more, encoding="utf-8")
        return load_case(tmp_path / "case.toml")

    return make


def test_the_run_applies_the_recording(site_case, run_case):
    """Against a spline through the recording: in time, rms, peak and density.

    The spline of another library through samples five and more in a period errs by 0.2 % of the
    rms itself; the density of both is compared in the band of the signal.
    """
    values = G0 * site_signal() * [1.0, -1.0]
    history = run_case(site_case(0.3))
    times = history.time
    applied = history.window("base_acceleration", 0, np.inf)[:, :2]
    expected = CubicSpline(np.arange(600) / RATE, values - values.mean(axis=0))(times)
    inner = (times > 0.02) & (times < 0.28)
    size = values.std()
    error = applied[inner] - expected[inner]
    assert error.std() < 0.005 * size
    for ours, theirs in zip(applied[inner].T, expected[inner].T, strict=True):
        assert ours.std() == pytest.approx(theirs.std(), rel=2e-3)
        assert np.abs(ours).max() == pytest.approx(np.abs(theirs).max(), rel=5e-3)
        rate = 1.0 / (times[1] - times[0])
        frequency, density = sps.welch(ours, rate, nperseg=256)
        _, other = sps.welch(theirs, rate, nperseg=256)
        band = (frequency > 30.0) & (frequency < 400.0)
        np.testing.assert_allclose(density[band], other[band], rtol=0.03)


def test_the_history_and_its_readers_know_the_recording(site_case, run_case):
    history = run_case(site_case(0.06))
    (told,) = json.loads(history.attributes["recordings"])
    assert history.attributes["recordings_sha256"] == f"{told['sha256']} data/site.csv"
    (note,) = recording_notes(history)
    assert told["sha256"] in note and "0.3 s at 2000 Hz" in note
    assert history.case.vibration[0].file == "data/site.csv"  # read without the recording


def test_a_run_whose_recording_changed_is_not_continued(site_case, tmp_path, interrupting):
    case, path = site_case(0.06), tmp_path / "out.h5"
    with pytest.raises(KeyboardInterrupt):
        run(case, path, progress=interrupting(2))
    write_site(tmp_path, 1.01 * site_signal())
    with pytest.raises(RefusedRun) as refusal:
        run(case, path)
    assert (
        "holds an unfinished run with another recording of the vibration (the content of its file "
        "has changed)" in str(refusal.value)
    )
    write_site(tmp_path, site_signal())
    assert run(case, path) == path
    write_site(tmp_path, 1.01 * site_signal())
    with pytest.raises(RefusedRun, match="holds a finished run with another recording"):
        run(case, path)
    (tmp_path / "data" / "site.csv").unlink()
    with pytest.raises(RecordingError, match="A relative path starts at the folder of the case"):
        run(case, path)


def test_a_run_tells_what_it_replays_and_refuses_what_is_too_short(site_case, tmp_path):
    said = []
    clipped = np.clip(site_signal(), -15.0, 15.0)
    run(site_case(0.06, clipped), tmp_path / "out.h5", say=said.append)
    assert any("data/site.csv: 600 samples at 2000 Hz" in line for line in said)
    assert any("looks clipped" in line for line in said)
    with pytest.raises(RecordingError, match=r"the run takes 0.5 s, .* only 0.3 s"):
        run(site_case(0.5), tmp_path / "long.h5")
    assert not list(tmp_path.glob("long.h5*"))


def test_a_history_is_looked_at_without_the_recording(site_case, run_case, tmp_path):
    from rollsim.report.look import look_at_history

    history = run_case(site_case(0.12))
    (tmp_path / "data" / "site.csv").unlink()
    look = look_at_history(history)
    applied = G0 * site_signal().std(axis=0)
    assert [axis.whole.rms for axis in look.measures.axes[:2]] == pytest.approx(applied, rel=0.25)
    assert any("site.csv" in note for note in look.notes)
