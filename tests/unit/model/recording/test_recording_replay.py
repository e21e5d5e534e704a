"""What is replayed: the same motion from every format, against independent routes of scipy."""

import importlib.util
import subprocess
import sys

import h5py
import numpy as np
import pytest
from scipy import signal as sps
from scipy.interpolate import CubicHermiteSpline
from scipy.io import wavfile

from rollsim.model.build import build_model, derived_attributes
from rollsim.model.recording import resampling, shaping, store
from rollsim.model.recording.findings import Findings, RecordingError
from rollsim.model.recording.replay import build_replays
from rollsim.model.vibration import base_acceleration, build_vibration
from rollsim.units import G0

RATE = 2000.0
TITLES = ["time", "ax", "ay", "az"]
ALL = {"channels": ["ax", "ay", "az"], "axis": ["x", "y", "z"]}


def at(replay, times):
    """Acceleration that the table stands for, by the cubic of another library."""
    table = replay.table
    spline = CubicHermiteSpline(replay.interval * np.arange(len(table)), table[:, :3], table[:, 3:])
    return spline(times)


def exact(values, times):
    """Trigonometric polynomial through the samples, evaluated term by term."""
    count = len(values)
    lines = np.fft.rfft(values, axis=0) / count
    omega = 2.0 * np.pi * RATE * np.arange(len(lines)) / count
    turning = np.exp(1j * np.outer(times, omega))
    weights = np.full(len(lines), 2.0)
    weights[0] = 1.0
    return np.real((turning * weights) @ lines)


def test_the_table_follows_the_band_limited_signal(write_csv, replay_case, signal):
    """Within 0.1 % of the rms of the true signal between its samples, away from the ends."""
    time = np.arange(len(signal)) / RATE
    write_csv("site.csv", [time, *signal.T], TITLES)
    (replay,) = build_replays(replay_case(file="site.csv", time_channel="time", **ALL), 0.06)
    assert replay.summary.band_edge == pytest.approx(0.4 * RATE)
    assert replay.interval == pytest.approx(1.0 / (10.0 * 0.4 * RATE))
    times = np.linspace(0.3, 1.7, 997)
    expected = G0 * exact(signal - signal.mean(axis=0), times)
    np.testing.assert_allclose(at(replay, times), expected, atol=1e-3 * 2.0 * G0)


def test_derivatives_of_the_table_are_those_of_its_values(write_csv, replay_case, signal):
    write_csv("site.csv", signal.T, None)
    keys = {"channels": ["1", "2", "3"], "axis": ["x", "y", "z"], "rate_Hz": RATE}
    (replay,) = build_replays(replay_case(file="site.csv", **keys), 0.06)
    inner = slice(200, -200)
    slope = sps.savgol_filter(replay.table[:, :3], 7, 6, deriv=1, delta=replay.interval, axis=0)
    size = replay.table[inner, 3:].std()
    np.testing.assert_allclose(replay.table[inner, 3:], slope[inner], atol=2e-3 * size)


def _write(form, folder, write_csv, values):
    """Write the signal in one format; gives the keys of its source."""
    time, columns = np.arange(len(values)) / RATE, list(values.T)
    if form == "wav":
        full = np.abs(values).max()
        wavfile.write(folder / "site.wav", int(RATE), (values / full).astype(np.float32))
        return {"file": "site.wav", "channels": ["1", "2", "3"], "full_scale": float(full)}
    if form == "hdf5":
        with h5py.File(folder / "site.h5", "w") as file:
            file["acc/xy"], file["acc/z"], file["time"] = values[:, :2], values[:, 2], 1e3 * time
        return {
            "file": "site.h5", "channels": ["acc/xy[1]", "acc/xy[2]", "acc/z"],
            "time_channel": "time", "time_unit": "ms",
        }  # fmt: skip
    if form == "uff58":
        _write_uff(folder / "site.uff", values)
        return {"file": "site.uff", "channels": ["1", "7+Y", "3"]}
    delimiter, decimal = {"semicolon": (";", ","), "tab": ("\t", "."), "comma": (",", "."),
                          "space": (" ", ","), "bar": ("|", ".")}[form]  # fmt: skip
    write_csv("site.csv", [time, *columns], TITLES, delimiter, decimal)
    return {"file": "site.csv", "time_channel": "time", "channels": TITLES[1:]}


def _write_uff(path, values):
    """Three data sets 58 as a hand would write them, single node 7."""
    lines = []
    for number, column in enumerate(values.T, 1):
        head = [
            "    -1", "    58", "response", "NONE", "01-JAN-20 00:00:00", "NONE", "NONE",
            f"    1         0    0         0       NONE         7{number:4d}"
            "       NONE         0   0",
            f"         4{len(column):10d}         1  0.00000E+00  5.00000E-04  0.00000E+00",
            "        17    0    0    0                 NONE                    s",
            "        12    0    0    0         Acceleration                    g",
            "         0    0    0    0                 NONE                 NONE",
            "         0    0    0    0                 NONE                 NONE",
        ]  # fmt: skip
        cells = [f"{value:20.11E}" for value in column]
        rows = ["".join(cells[place : place + 4]) for place in range(0, len(cells), 4)]
        lines += [*head, *rows, "    -1"]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


@pytest.mark.parametrize(
    "form", ["semicolon", "tab", "comma", "space", "bar", "hdf5", "wav", "uff58"]
)
def test_every_format_gives_the_same_motion(tmp_path, write_csv, replay_case, signal, form):
    if form == "uff58":
        pytest.importorskip("pyuff")
    keys = _write(form, tmp_path, write_csv, signal)
    (replay,) = build_replays(replay_case(axis=["x", "y", "z"], **keys), 0.06)
    store_of_signal = store.Store(3)
    store_of_signal.append(G0 * (signal - signal.mean(axis=0)))
    grid = resampling.table_grid(RATE, 800.0)
    taps = resampling.low_pass_taps(RATE, 800.0, grid.up)
    table = resampling.resampled(store_of_signal, len(signal), grid, taps, False, Findings("x"))
    size = 2.0 * G0
    np.testing.assert_allclose(replay.table[:, :3], table.array()[:, :3], atol=2e-7 * size * 10)
    assert replay.summary.channels[1].rms == pytest.approx(G0 * signal[:, 1].std(), rel=1e-6)


@pytest.mark.skipif(importlib.util.find_spec("pyuff") is not None, reason="pyuff is there")
def test_without_the_library_the_extra_is_named(tmp_path, replay_case, signal):
    _write_uff(tmp_path / "site.uff", signal)
    with pytest.raises(RecordingError, match=r"pip install 'rollsim\[recordings\]'"):
        build_replays(replay_case(file="site.uff", channels=["1"]), 0.06)


@pytest.mark.parametrize("scale", [np.int16, np.int32, np.uint8])
def test_wav_integers_count_from_the_full_scale(tmp_path, replay_case, signal, scale):
    wave = signal[:, 0] / 10.0
    zero, full = (128, 128) if scale is np.uint8 else (0, -float(np.iinfo(scale).min))
    wavfile.write(tmp_path / "site.wav", int(RATE), (zero + np.round(full * wave)).astype(scale))
    keys = {"file": "site.wav", "channels": ["1"], "full_scale": 98.0665, "unit": "m/s2"}
    (replay,) = build_replays(replay_case(**keys), 0.06)
    assert replay.summary.channels[0].rms == pytest.approx(G0 * wave.std() * 10.0, rel=2e-3)


def test_measures_are_those_of_scipy(write_csv, replay_case, signal):
    from scipy.stats import kurtosis

    write_csv("site.csv", signal.T + 0.4, TITLES[1:])
    (replay,) = build_replays(replay_case(file="site.csv", rate_Hz=RATE, **ALL), 0.06)
    for facts, column in zip(replay.summary.channels, G0 * (signal.T + 0.4), strict=True):
        assert facts.mean == pytest.approx(column.mean(), rel=1e-6)
        assert facts.rms == pytest.approx(column.std(), rel=1e-6)
        assert facts.kurtosis == pytest.approx(kurtosis(column, fisher=False), rel=1e-6)
        peak = np.abs(column - column.mean()).max()
        assert facts.crest == pytest.approx(peak / column.std(), rel=1e-6)
        assert facts.bandwidth == pytest.approx(495.0, abs=6.0)  # flat up to 500 Hz


def test_sign_gain_and_mounting_angle(write_csv, replay_case, signal):
    """A sensor turned by 90 degrees measures the bearing's y with its x axis."""
    write_csv("site.csv", signal.T, TITLES[1:])
    keys = {"file": "site.csv", "rate_Hz": RATE}
    (plain,) = build_replays(replay_case(**keys, **ALL), 0.06)
    turned = {"channels": ["ax", "ay", "az"], "axis": ["x", "-y", "-z"], "gain": 3.0}
    (other,) = build_replays(replay_case(**keys, **turned, mounting_angle_deg=90.0), 0.06)
    x, y, z = plain.table[:, :3].T
    np.testing.assert_allclose(other.table[:, :3].T, [3.0 * y, 3.0 * x, -3.0 * z], atol=1e-9)
    part = {"channels": ["ax"], "axis": ["x"], "mounting_angle_deg": 30.0}
    (third,) = build_replays(replay_case(**keys, **part), 0.06)
    c, s = np.cos(np.pi / 6), np.sin(np.pi / 6)
    np.testing.assert_allclose(third.table[:, :3].T, [c * x, s * x, 0.0 * x], atol=1e-9)


def test_a_part_is_cut_by_time(write_csv, replay_case, signal):
    time = 5.0 + np.arange(len(signal)) / RATE
    write_csv("site.csv", [time, *signal.T], TITLES)
    keys = {"start_s": 0.5, "end_s": 1.25, "remove_mean": False}
    case = replay_case(file="site.csv", time_channel="time", **ALL, **keys)
    (replay,) = build_replays(case, 0.06)
    assert replay.summary.samples == 1501
    np.testing.assert_allclose(
        replay.table[400:5604:4, :3], G0 * signal[1100:2401], atol=1e-3 * 2.0 * G0
    )


LOGGERS = {
    "remarks, names, units": ("Logger 7\nSite: north\n# x;y\nax;ay;az\ng;g;g\n", ";", 5),
    "stamps and words": ("when,state,ax [g],ay [g],az [g]\n", ",", 1),
    "no header, blanks": ("", " ", 0),
    "quotes and closing delimiters": ('"ax";"ay";"az";\n', ";", 1),
    "remark sign before the names": ("# ax\tay\taz\n", "\t", 1),
}


@pytest.mark.parametrize("name", LOGGERS)
def test_files_of_loggers_are_understood(tmp_path, replay_case, signal, name):
    head, delimiter, header = LOGGERS[name]
    lines = []
    for number, row in enumerate(signal):
        cells = [f"{value:.9f}" for value in row]
        if name == "stamps and words":
            cells = [f"2024-03-01 12:{number // 60:02d}:{number % 60:02d}", "ok", *cells]
        closing = ";" if "closing" in name else ""
        lines.append(delimiter.join(cells) + closing)
    text = head + "\r\n".join(lines)
    (tmp_path / "site.txt").write_bytes(text.encode("latin-1"))
    channels = ["ax", "ay", "az"] if head else ["1", "2", "3"]
    case = replay_case(file="site.txt", rate_Hz=RATE, channels=channels, axis=["x", "y", "z"])
    (replay,) = build_replays(case, 0.06)
    found = replay.summary.found
    assert found["header_lines"] == header and replay.summary.samples == len(signal)
    assert [item.rms for item in replay.summary.channels] == pytest.approx(
        G0 * signal.std(axis=0), rel=1e-6
    )


def test_a_large_recording_beside_other_sources_is_packed_in_a_file(
    write_csv, replay_case, signal, monkeypatch, tmp_path
):
    from rollsim.model.tracks import Track, pack_tracks

    monkeypatch.setattr(store, "LARGEST_ARRAY", 1000.0)
    write_csv("site.csv", signal.T, TITLES[1:])
    (replay,) = build_replays(replay_case(file="site.csv", rate_Hz=RATE, **ALL), 0.06)
    other = Track(np.ones((5, 3)), 0.1, derivatives=np.zeros((5, 3)))
    samples, rows = pack_tracks([other, replay.track()])
    assert isinstance(samples.base, np.memmap) and type(samples) is np.ndarray
    np.testing.assert_array_equal(samples[5:], replay.table)
    assert rows[1].tolist() == [5, len(replay.table), replay.interval, 0, 0]
    alone, _ = pack_tracks([replay.track()])
    assert alone is replay.table


MEASURE_MEMORY = """
import resource, sys
import numpy, scipy.signal, scipy.io.wavfile
from rollsim.case.read import load_case
from rollsim.model.recording.replay import build_replays
case = load_case(sys.argv[1])
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
(replay,) = build_replays(case, 1.0)
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(before / 1024, after / 1024, replay.table.nbytes / 1e6)
"""


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="counts memory in the units of Linux")
def test_memory_does_not_grow_with_the_recording(tmp_path, replay_case):
    """Ten minutes of three axes at 20 kHz: a table of 0.6 GB in less than 250 MB of memory."""
    wave = np.random.default_rng(2).normal(0.0, 3000.0, (200_000, 3)).astype(np.int16)
    wavfile.write(tmp_path / "site.wav", 20_000, np.tile(wave, (60, 1)))
    keys = {"channels": ["1", "2", "3"], "axis": ["x", "y", "z"], "full_scale": 50.0}
    more = {"band_edge_Hz": 2000.0, "high_pass_Hz": 1.0, "repeat": "loop"}
    case = replay_case(file="site.wav", **keys, **more)
    (tmp_path / "case.toml").write_text(case.text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", MEASURE_MEMORY, str(tmp_path / "case.toml")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    before, after, table = map(float, done.stdout.split())
    assert table > 500.0
    assert after - before < 250.0


def test_high_pass_in_blocks_is_that_of_scipy(signal, monkeypatch):
    monkeypatch.setattr(shaping, "BLOCK", 700)
    held = store.Store(3)
    held.append(signal + 1.0)
    shaping.high_pass(held, RATE, 5.0, Findings("x"))
    sos = sps.butter(2, 5.0, "highpass", fs=RATE, output="sos")
    expected = sps.sosfiltfilt(sos, signal + 1.0, axis=0)
    np.testing.assert_allclose(held.array(), expected, atol=1e-12)


@pytest.mark.parametrize("loop", [False, True])
@pytest.mark.parametrize("edge", [800.0, 150.0, 37.0, 200.0])
def test_resampling_in_blocks_is_that_in_one(signal, monkeypatch, loop, edge):
    held = store.Store(3)
    held.append(signal)
    grid = resampling.table_grid(RATE, edge)
    assert grid.interval == pytest.approx(0.1 / edge, rel=0.006) and grid.interval <= 0.1 / edge
    rows = len(signal) // grid.down * grid.down
    arguments = (rows, grid, resampling.low_pass_taps(RATE, edge, grid.up), loop, Findings("x"))
    whole = resampling.resampled(held, *arguments).array()
    monkeypatch.setattr(resampling, "BLOCK", 500)
    parts = resampling.resampled(held, *arguments).array()
    np.testing.assert_allclose(parts, whole, atol=1e-9 * np.abs(whole).max())
    # Energy above the edge is gone, that below is kept: by the spectrum of the original.
    power = np.abs(np.fft.rfft(signal, axis=0)) ** 2
    kept = np.fft.rfftfreq(len(signal), 1.0 / RATE) < 1.1 * edge
    share = whole[:, :3].var() / signal.var()
    assert share == pytest.approx(power[kept].sum() / power.sum(), rel=0.1)


@pytest.mark.parametrize("rows", [1, 5000])
def test_a_large_store_lives_in_a_file_that_vanishes(tmp_path, monkeypatch, rows):
    monkeypatch.setattr(store, "IN_MEMORY", 1000.0)
    monkeypatch.setattr(store.tempfile, "tempdir", str(tmp_path))
    held = store.Store(6)
    values = np.arange(6.0 * rows).reshape(rows, 6)
    held.append(values)
    array = held.array()
    np.testing.assert_array_equal(array, values)
    assert type(array) is np.ndarray and array.flags.writeable and array.flags.c_contiguous
    assert list(tmp_path.iterdir()) == []


def test_the_seam_of_a_loop_is_no_event(write_csv, replay_case, signal):
    """At the seam neither jump nor level differ from elsewhere, and the period is as told."""
    time = np.arange(len(signal)) / RATE
    write_csv("site.csv", [time, *signal.T], TITLES)
    keys = {"file": "site.csv", "time_channel": "time", "repeat": "loop", "cross_fade_s": 0.25}
    case = replay_case(**keys, **ALL)
    model = build_vibration(case, 20.0)
    period = model.summary.recordings[0].played
    assert period == pytest.approx(2.0 - 0.25)
    times = np.arange(0.5, 0.5 + 3.0 * period, 1e-4)
    values = base_acceleration(model, times)
    np.testing.assert_allclose(base_acceleration(model, times + period), values, atol=1e-6)
    phase = np.minimum(times % period, period - times % period)
    near, far = phase < 2e-3, phase > 0.3
    for measure in (np.diff(values, axis=0, prepend=values[:1]), np.gradient(values, axis=0)):
        assert np.abs(measure[near]).max() < 1.05 * np.abs(measure[far]).max()
    fading = times % period < 0.25
    assert values[fading].std() == pytest.approx(values[~fading].std(), rel=0.1)


def test_the_start_of_a_loop_is_what_followed_its_end(signal):
    held = store.Store(3)
    held.append(signal)
    length = shaping.close_loop(held, 400, 7, Findings("x"))
    assert length % 7 == 0 and len(signal) - 400 - length < 7
    np.testing.assert_allclose(held.read(0, 1)[0], signal[length])
    np.testing.assert_allclose(held.read(length - 1, length)[0], signal[length - 1])
    np.testing.assert_allclose(held.read(400, 401)[0], signal[400])


def test_silence_follows_a_recording_that_is_over(write_csv, replay_case, signal):
    write_csv("site.csv", signal.T, TITLES[1:])
    keys = {"file": "site.csv", "rate_Hz": RATE, "after_end": "silence", "fade_out_s": 0.2}
    model = build_vibration(replay_case(**keys, **ALL), 5.0)
    values = base_acceleration(model, np.array([1.0, 1.79, 1.95, 1.999, 2.001, 3.0]))
    assert np.all(values[-2:] == 0.0)
    assert np.abs(values[3]).max() < 1e-2 * 2.0 * G0 < np.abs(values[1]).max()


def test_the_attributes_tell_what_was_replayed(write_csv, replay_case, signal):
    import hashlib
    import json

    path = write_csv("site.csv", signal.T, TITLES[1:])
    built = build_model(replay_case(file="site.csv", rate_Hz=RATE, **ALL), 0.06)
    (told,) = json.loads(derived_attributes(built)["recordings"])
    assert told["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (told["size_bytes"], told["samples"]) == (path.stat().st_size, 4000)
    keys = {item.key: item.value for item in built.assumptions}
    assert keys["vibration[1].delimiter"] == "," and keys["vibration[1].band_edge_Hz"] == 800.0
    assert "vibration[1].full_scale" not in keys and "vibration[1].cross_fade_s" not in keys


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("form", ["semicolon", "tab", "hdf5", "wav"])
def test_a_damaged_file_is_replayed_or_refused_never_more(
    tmp_path, write_csv, replay_case, signal, form
):
    """Sixty files with random bytes changed, put in or lost: finite tables or plain words."""
    keys = _write(form, tmp_path, write_csv, signal[:300])
    path, dice = tmp_path / keys["file"], np.random.default_rng(9)
    whole, refused = path.read_bytes(), 0
    case = replay_case(axis=["x", "y", "z"], **keys)
    for _ in range(60):
        raw = bytearray(whole)
        for place in dice.integers(0, len(raw) - 50, dice.integers(1, 8)):
            damage = dice.integers(3)
            if damage == 0:
                raw[place] = dice.integers(256)
            elif damage == 1:
                raw[place:place] = bytes(dice.integers(32, 127, 5).tolist())
            else:
                del raw[place : place + dice.integers(1, 40)]
        path.write_bytes(raw)
        try:
            (replay,) = build_replays(case, 0.01)
            assert np.all(np.isfinite(replay.table))
        except RecordingError as refusal:
            refused += 1
            assert keys["file"] in str(refusal)
    assert refused > 0
