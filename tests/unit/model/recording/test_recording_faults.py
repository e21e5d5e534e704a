"""Bad recordings: each is refused in words that name file, channel, place, value and remedy."""

import h5py
import numpy as np
import pytest
from scipy.io import wavfile

from rollsim.errors import CaseError
from rollsim.model.recording import intake
from rollsim.model.recording.findings import RecordingError
from rollsim.model.recording.replay import build_replays, fingerprints
from rollsim.model.recording.told import needed_frequency
from rollsim.model.vibration import build_vibration

TIME = np.arange(200) / 1000.0
WAVE = np.sin(2.0 * np.pi * 37.0 * TIME)
TIMED = {"file": "site.csv", "time_channel": "time"}
RATED = {"file": "site.csv", "rate_Hz": 1000.0}


def rows(head="time,ax", delimiter=",", change=None, time=TIME, wave=WAVE):
    """Lines of a good text file, some of them changed: number from 0 -> line."""
    lines = [f"{t:.4f}{delimiter}{a:.5f}" for t, a in zip(time, wave, strict=True)]
    for place, line in (change or {}).items():
        lines[place] = line
    return "\n".join([head, *lines]) + "\n"


def shifted(place, step):
    """Times with a step at one place."""
    return TIME + step * (np.arange(200) >= place)


TEXTS = {
    "nan": (
        rows(change={7: "0.0070,nan"}),
        TIMED,
        ["site.csv, channel 'ax', line 9: the value nan g cannot be replayed: repair it"],
    ),
    "infinite": (
        rows(change={7: "0.0070,-inf"}),
        TIMED,
        ["channel 'ax', line 9: the value -inf g cannot be replayed"],
    ),
    "word in a cell": (
        rows(change={11: "0.0110,overload"}),
        TIMED,
        ["site.csv, channel 'ax', line 13: 'overload' is no number: repair it, or leave that"],
    ),
    "empty cells": (
        rows(change={place: f"0.{place:04d}," for place in range(20, 30)}),
        TIMED,
        ["channel 'ax', line 22: an empty cell", "7 more of this kind: cells without a number"],
    ),
    "stamps for times": (
        rows(change={n: f"12:00:00.{n:03d},{n % 7}" for n in range(200)}),
        TIMED,
        ["channel 'time', line 2: '12:00:00.000' is no number: times are read as numbers; with"],
    ),
    "line cut off": (
        rows(change={199: "0.19"}),
        TIMED,
        ["site.csv, line 201: 1 columns, 2 expected: the line is cut off"],
    ),
    "gap": (
        rows(time=shifted(50, 0.25)),
        TIMED,
        ["channel 'time', line 52: a gap of 0.251 s before the time 0.3 s", "0.001 s is the usual"],
    ),
    "time goes back": (
        rows(time=shifted(80, -0.05)),
        TIMED,
        ["channel 'time', line 82: the time 0.03 s goes back from 0.079 s: sort the file"],
    ),
    "time in too few digits": (
        rows(time=np.round(TIME, 2)),
        TIMED,
        ["line 3: the time 0 s repeats: sort the file, or, where the times have too few digits"],
    ),
    "wrong rate": (
        rows(),
        {**TIMED, "rate_Hz": 1024.0},
        ["wrong rate: the time column 'time' says 1000 Hz, the case says rate_Hz = 1024"],
    ),
    "wrong rate by half": (
        rows(),
        {**TIMED, "rate_Hz": 2000.0},
        ["wrong rate: the time column 'time' says 1000 Hz, the case says rate_Hz = 2000"],
    ),
    "titles that do not fit": (
        rows("time,ax,ay"),
        TIMED,
        [
            "site.csv, line 1: the line before the numbers has 3 cells, the rows have 2",
            "channel 'ax': no such channel; columns: '1', '2'",
        ],
    ),
    "wrong unit of time": (
        rows("time [ms],ax"),
        TIMED,
        ["channel 'time': the header says ms, the case says time_unit = 's'"],
    ),
    "empty file": ("", TIMED, ["site.csv: the file is empty"]),
    "blank file": ("\n \n\n", TIMED, ["site.csv: the file is empty"]),
    "header only": (
        "made by a logger\ntime,ax\n",
        TIMED,
        ["no rows of numbers follow its 2 first lines; the last of them reads 'time,ax'"],
    ),
    "two time columns": (
        rows("time,time"),
        {**TIMED, "channels": ["2"]},
        ["channel 'time': 2 columns have this name: give time_channel as the number"],
    ),
    "time as channel": (
        rows(),
        {**RATED, "channels": ["time"]},
        ["channel 'time': is a column of times, no acceleration"],
    ),
    "counter as channel": (
        rows("number,ax"),
        {**RATED, "channels": ["number"]},
        ["channel 'number': rises in even steps: a column of times or numbers"],
    ),
    "unknown channel": (
        rows(),
        {**TIMED, "channels": ["az"]},
        ["channel 'az': no such channel; columns: 'time', 'ax'"],
    ),
    "constant": (
        rows(wave=0.0 * TIME + 2.5),
        TIMED,
        ["channel 'ax': is constant (24.5166 m/s2 in all 200 samples): sensor dead"],
    ),
    "velocity": (
        rows("time,ax [mm/s]"),
        TIMED,
        ["the file says mm/s, the case says unit = 'g'; only acceleration can be replayed"],
    ),
    "other unit": (rows("time,ax (m/s²)"), TIMED, ["the file says m/s2, the case says unit = 'g'"]),
    "units in a second line": (
        rows("time,ax\ns,m/s^2"),
        TIMED,
        ["channel 'ax': the file says m/s2, the case says unit = 'g'"],
    ),
    "values beyond any sensor": (
        rows(wave=3e5 * WAVE),
        TIMED,
        ["cannot be replayed: look at unit and channel", "more of this kind: values out of range"],
    ),
    "too few samples": (
        rows(),
        {**TIMED, "end_s": 0.03},
        ["too few samples: 31 in the part to replay, at least 64 are needed"],
    ),
    "part behind the end": (
        rows(),
        {**TIMED, "start_s": 5.0},
        ["nothing lies between start_s = 5 and end_s = None; the file holds 200 samples"],
    ),
    "end behind the end": (
        rows(),
        {**TIMED, "end_s": 60.0},
        ["end_s = 60 s lies behind the end of the recording, 0.2 s"],
    ),
    "commas for columns and decimals": (
        "time,ax\n" + "".join(f"0,{n:04d},1,{n:03d}\n" for n in range(100)),
        TIMED,
        ["the header has 2 columns, the rows have 4: commas seem to separate both"],
    ),
    "utf-16": (rows().encode("utf-16"), TIMED, ["is text in UTF-16: save it as UTF-8"]),
    "binary garbage": (
        np.random.default_rng(0).bytes(5000),
        TIMED,
        ["is no text but binary data: give its format, or export it as text"],
    ),
    "one endless line": (
        b"1 " * 5_000_000,
        RATED | {"channels": ["1"]},
        ["line 1: a line of more"],
    ),
    "band edge too high": (
        rows(),
        {**TIMED, "band_edge_Hz": 450.0},
        ["band_edge_Hz = 450 is beyond what 1000 samples a second hold: at most 400 Hz"],
    ),
    "filter above half the rate": (
        rows(),
        {**TIMED, "high_pass_Hz": 600.0},
        ["high_pass_Hz = 600 is not below half the rate, 500 Hz"],
    ),
    "cross-fade too long": (
        rows(),
        {**TIMED, "repeat": "loop", "cross_fade_s": 0.15},
        ["cross_fade_s takes 150 samples, the part to replay has 200: at most half"],
    ),
    "binary called wav": (
        b"RIFFgarbage" * 9,
        {"file": "site.wav", "full_scale": 1.0, "channels": ["1"]},
        ["site.wav: cannot be read as WAV"],
    ),
    "text called hdf5": (
        rows(),
        {"file": "site.h5", "rate_Hz": 1.0},
        ["site.h5: cannot be read as HDF5"],
    ),
}


@pytest.mark.parametrize("name", TEXTS)
def test_a_bad_file_is_refused_in_plain_words(tmp_path, replay_case, name):
    content, keys, expected = TEXTS[name]
    content = content if isinstance(content, bytes) else content.encode()
    (tmp_path / keys["file"]).write_bytes(content)
    with pytest.raises(RecordingError) as refusal:
        build_replays(replay_case(**keys), 0.06)
    for words in expected:
        assert words in str(refusal.value)
    assert refusal.value.exit_code == 2


def test_every_problem_of_every_file_is_told_at_once(tmp_path, replay_case):
    bad = rows(change={7: "0.0070,nan", 9: "0.0090,"}, time=shifted(50, 0.25))
    (tmp_path / "site.csv").write_text(bad, encoding="utf-8")
    with pytest.raises(RecordingError) as refusal:
        build_replays(replay_case(**TIMED), 0.06)
    found = str(refusal.value)
    assert "an empty cell" in found and "a gap of" in found and "value nan g" in found


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda path: None, "cannot be read (No such file or directory)"),
        (lambda path: path.mkdir(), "is a folder, not a file"),
    ],
)
def test_a_missing_file_or_a_folder_is_named(tmp_path, replay_case, make, words):
    make(tmp_path / "site.csv")
    for build in (fingerprints, lambda case: build_replays(case, 0.06)):
        with pytest.raises(RecordingError, match=r"site.csv") as refusal:
            build(replay_case(**TIMED))
        assert words in str(refusal.value)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path, replay_case):
    with open(tmp_path / "site.csv", "wb") as file:
        file.truncate(int(intake.LARGEST_FILE) + 1)  # takes no room on the disk
    with pytest.raises(RecordingError, match=r"has 20.0 GB, at most 20 GB are read"):
        build_replays(replay_case(**TIMED), 0.06)


def test_mixed_units_are_refused(tmp_path, replay_case):
    lines = ["time,ax [g],ay [m/s2]"] + [
        f"{t:.3f},{a:.4f},{a:.3f}" for t, a in zip(TIME, WAVE, strict=True)
    ]
    (tmp_path / "site.csv").write_text("\n".join(lines), encoding="utf-8")
    case = replay_case(**TIMED | {"channels": ["ax", "ay"], "axis": ["x", "y"]})
    with pytest.raises(RecordingError, match=r"mixed units: 'ax' in g, 'ay' in m/s2"):
        build_replays(case, 0.06)


def hdf5(path, **datasets):
    """Write datasets."""
    with h5py.File(path, "w") as file:
        for name, values in datasets.items():
            file[name] = values


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"channels": ["acc/ay"]}, "channel 'acc/ay': no such dataset; datasets of the file:"),
        ({"channels": ["table"]}, "has the shape 200 x 2: name a list of samples, or one column"),
        ({"channels": ["table[3]"]}, "channel 'table[3]': has the shape 200 x 2"),
        ({"channels": ["words"]}, "channel 'words': holds |S1, not real numbers"),
        ({"channels": ["ax", "short"], "axis": ["x", "y"]}, "length: 'ax' 200, 'short' 99"),
        ({"channels": ["unit"]}, "the file says mm/s, the case says unit = 'g'"),
    ],
)
def test_hdf5_without_the_right_datasets_is_refused(tmp_path, replay_case, keys, words):
    path, table = tmp_path / "site.h5", np.column_stack([WAVE, WAVE])
    hdf5(path, ax=WAVE, table=table, words=np.array([b"a"] * 200), short=WAVE[:99], unit=WAVE)
    with h5py.File(path, "a") as file:
        file["unit"].attrs["unit"] = "mm/s"
    with pytest.raises(RecordingError) as refusal:
        build_replays(replay_case(file="site.h5", rate_Hz=1000.0, **keys), 0.06)
    assert words in str(refusal.value)


def test_truncated_hdf5_is_refused(tmp_path, replay_case):
    path = tmp_path / "site.h5"
    hdf5(path, ax=np.random.default_rng(1).normal(size=20_000))
    path.write_bytes(path.read_bytes()[:80_000])
    with pytest.raises(RecordingError, match=r"cannot be read as HDF5 .* cut off"):
        build_replays(replay_case(file="site.h5", rate_Hz=1000.0), 0.06)


def test_stereo_wav_needs_a_channel_that_is_there(tmp_path, replay_case):
    stereo = (20_000 * np.column_stack([WAVE, -WAVE])).astype(np.int16)
    wavfile.write(tmp_path / "site.wav", 1000, stereo)
    keys = {"file": "site.wav", "full_scale": 10.0}
    with pytest.raises(RecordingError, match=r"channel '3': no such channel; .*: '1', '2'"):
        build_replays(replay_case(**keys, channels=["3"]), 0.06)
    wrong = {**keys, "channels": ["1"], "rate_Hz": 44_100.0}
    with pytest.raises(RecordingError, match=r"the file says 1000 Hz, the case says rate_Hz"):
        build_replays(replay_case(**wrong), 0.06)
    (replay,) = build_replays(replay_case(**keys, channels=["2"]), 0.06)
    assert replay.summary.channels[0].rms == pytest.approx(9.80665 * 6.1035 * 0.7071, rel=0.01)


def test_a_clipped_recording_is_told_but_replayed(tmp_path, replay_case):
    (tmp_path / "site.csv").write_text(rows(wave=np.clip(WAVE, -0.8, 0.8)), encoding="utf-8")
    (replay,) = build_replays(replay_case(**TIMED), 0.06)
    (warning,) = replay.summary.warnings
    assert "channel 'ax', line " in warning and "looks clipped: " in warning
    # two tops in each of the 7.4 periods of 27 samples
    assert replay.summary.channels[0].clipped in (13, 14, 15)


def test_a_slow_wave_in_coarse_digits_is_not_called_clipped(tmp_path, replay_case):
    slow = np.round(np.sin(2.0 * np.pi * 3.0 * TIME), 2)
    (tmp_path / "site.csv").write_text(rows(wave=slow), encoding="utf-8")
    (replay,) = build_replays(replay_case(**TIMED), 0.06)
    assert replay.summary.warnings == ()


@pytest.mark.parametrize(
    ("unit", "wave", "words"),
    [
        ("g", 9.81 + WAVE, "which is gravity in m/s2: is unit = 'm/s2' meant?"),
        ("m/s2", 1.0 + 0.2 * WAVE, "which is gravity in g: is unit = 'g' meant?"),
        ("g", 98.0 * WAVE, "g rms, more than machines on site show (50 g): look at unit"),
    ],
)
def test_a_level_that_speaks_for_another_unit_is_told(tmp_path, replay_case, unit, wave, words):
    (tmp_path / "site.csv").write_text(rows(wave=wave), encoding="utf-8")
    (replay,) = build_replays(replay_case(**TIMED, unit=unit), 0.06)
    assert any(words in warning for warning in replay.summary.warnings)


def test_a_recording_that_ends_below_the_frequencies_of_the_bearing_is_told(tmp_path, replay_case):
    """6 rollers, 1200 rpm: a band edge of 30 Hz is below the rollers passing a raceway."""
    (tmp_path / "site.csv").write_text(rows(), encoding="utf-8")
    for edge, told in ((30.0, True), (400.0, False)):
        case = replay_case(**TIMED, band_edge_Hz=edge)
        found = build_vibration(case, 0.06).summary.warnings
        assert any("nothing above 30 Hz is replayed" in text for text in found) == told
    assert 20.0 * 3.0 < needed_frequency(case) < 20.0 * 6.0


def test_jitter_is_told_but_replayed(tmp_path, replay_case):
    moved = TIME + 2e-4 * (np.arange(200) % 2)
    (tmp_path / "site.csv").write_text(rows(time=moved), encoding="utf-8")
    (replay,) = build_replays(replay_case(**TIMED), 0.06)
    assert "steps of time deviate by up to" in replay.summary.warnings[0]


def test_a_run_longer_than_the_recording_is_refused_with_both_lengths(tmp_path, replay_case):
    (tmp_path / "site.csv").write_text(rows(), encoding="utf-8")
    with pytest.raises(RecordingError, match=r"the run takes 0.3 s, the part to replay only 0.2 s"):
        build_replays(replay_case(**TIMED), 0.3)
    build_replays(replay_case(**TIMED), 0.2)
    build_replays(replay_case(**TIMED, after_end="silence"), 0.3)
    build_replays(replay_case(**TIMED, repeat="loop", cross_fade_s=0.02), 0.3)


CASES = {
    "missing unit": ({"unit": None}, "needs 'unit' (unit of the samples): one of 'g', 'mg'"),
    "unknown unit": ({"unit": "gal"}, "unit = 'gal': must be one of 'g', 'mg', 'm/s2'"),
    "unknown axis": ({"axis": ["u"]}, "axis = ['u']: must be a list of any of 'x', 'y', 'z'"),
    "axis twice": ({"channels": ["a", "b"], "axis": ["x", "-x"]}, "names an axis twice"),
    "too few axes": ({"channels": ["a", "b"]}, "1 axes for 2 channels"),
    "channel twice": ({"channels": ["a", "a"], "axis": ["x", "y"]}, "names a channel twice"),
    "no rate": ({}, "needs 'time_channel' or 'rate_Hz'"),
    "unknown ending": ({"file": "site.xyz"}, "the ending tells no format"),
    "wav without scale": ({"file": "site.wav"}, "needs 'full_scale'"),
    "scale without wav": ({"rate_Hz": 9.0, "full_scale": 1.0}, "is for WAV files"),
    "time in wav": (
        {"file": "a.wav", "full_scale": 1.0, "time_channel": "t"},
        "time_channel = 't': is for text and HDF5 files",
    ),
    "end before start": (
        {"rate_Hz": 9.0, "start_s": 2.0, "end_s": 1.0},
        "must be greater than start_s = 2 s",
    ),
    "fade without loop": ({"rate_Hz": 9.0, "cross_fade_s": 1.0}, "only used with repeat = 'loop'"),
    "crossed filters": (
        {"rate_Hz": 9.0, "high_pass_Hz": 3.0, "band_edge_Hz": 2.0},
        "must be less than band_edge_Hz = 2 Hz",
    ),
    "z in the plane": ({"rate_Hz": 9.0, "axis": ["-z"], "motion": "planar"}, "along z: give"),
}


@pytest.mark.parametrize("name", CASES)
def test_a_wrong_source_is_refused_with_its_line(replay_case, name):
    keys, words = CASES[name]
    keys = {"file": "site.csv", **keys}
    if keys.get("unit", "") is None:
        keys["unit"] = "KEEP OUT"
    with pytest.raises(CaseError) as refusal:
        if keys.get("unit") == "KEEP OUT":
            _without_unit(replay_case)
        replay_case(**keys)
    assert words in str(refusal.value)
    assert "line" in str(refusal.value)


def _without_unit(replay_case):
    """Parse a source that states no unit."""
    from rollsim.case.read import parse_case

    text = replay_case(file="site.csv", rate_Hz=1000.0).text.replace('unit = "g"\n', "")
    parse_case(text, "case.toml")
