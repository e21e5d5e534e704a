"""Asked against applied vibration: every shipped case and environment, a history, pictures."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.environments import ENVIRONMENTS, READ, RECALLED, SHOCKS
from rollsim.case.read import load_case, parse_case
from rollsim.case.template import template_text
from rollsim.errors import CaseError
from rollsim.model.recording.replay import fingerprints
from rollsim.model.recording.told import summary_data
from rollsim.model.vibration import base_acceleration, build_vibration
from rollsim.report.look import (
    BadLook,
    look_at_case,
    look_at_environment,
    look_at_history,
    look_at_shock,
)
from rollsim.report.look_figures import draw_histogram, draw_look, draw_response, draw_spectrum
from rollsim.report.look_target import environment_list, look_at
from rollsim.report.look_text import look_dict, look_text
from rollsim.signals.bands import nominal_centre
from rollsim.sweep import reproduce

CASES = (
    "bench_random_5g",
    "dewatering_screen_riveted",
    "dewatering_screen_tenon",
    "rail_maintenance_axle_box",
    "tidal_turbine_planet",
)


def with_sources(*sources, **changes):
    """The template with other sources of vibration."""
    changes = {key.replace("__", "."): value for key, value in changes.items()}
    return changed_case(parse_case(template_text()), {"vibration": list(sources), **changes})


def strict(look):
    """The dictionary of a look after a strict round through JSON."""
    return json.loads(json.dumps(look_dict(look), allow_nan=False))


@pytest.mark.parametrize("name", CASES)
def test_every_shipped_case_gets_what_it_asks_for(cases_folder, name):
    look = look_at_case(load_case(cases_folder / f"{name}.toml"), 2.0)
    asked = look.asked_rms > 0.0
    applied = np.array([axis.rest_rms for axis in look.measures.axes])
    assert applied[asked] == pytest.approx(look.asked_rms[asked], rel=0.04)
    assert not applied[~asked].any() or len(look.measures.lines)
    # Five times the usual scatter of a band, for a realisation that is far more even than that.
    found = look.ratio[asked]
    assert (np.abs(found - 1.0) < 5.0 * look.scatter).all()
    text = look_text(look)
    assert "Asked against applied" in text and "licensed engineer" in text
    assert max(map(len, text.splitlines())) <= 110
    assert strict(look)["axes"]["y"]["rms_m_per_s2"] > 0.0


@pytest.mark.parametrize("name", ENVIRONMENTS)
def test_every_environment_is_applied_as_it_stands(name):
    item = ENVIRONMENTS[name]
    look = look_at_environment(item, 2.0, response=False)
    level = item.overall * (9.80665 if item.unit == "g2/Hz" else 1.0)
    assert look.measures.axes[1].whole.rms == pytest.approx(level, rel=0.1)
    assert (np.abs(look.ratio[1] - 1.0) < 5.0 * look.scatter).all()
    text = " ".join(look_text(look).split())
    assert item.basis in text and item.source in text
    assert strict(look)["environments"][0]["basis"] in (READ, RECALLED)


def test_bands_of_the_asked_spectrum_add_up_to_its_overall_level():
    look = look_at_environment(ENVIRONMENTS["computer_board"], 1.0)
    total = math.sqrt(np.sum(look.asked_band[1] ** 2))
    assert total == pytest.approx(look.asked_rms[1], rel=1e-9)
    assert total / 9.80665 == pytest.approx(2.20755, rel=1e-4)
    numbers = [nominal_centre(band) for band in look.measures.bands]
    assert (numbers[0], numbers[-1]) == (5.0, 500.0)


def test_two_random_sources_on_one_axis_add_their_densities():
    flat = {"kind": "psd", "axis": ["x"], "psd": [[10.0, 4.0], [100.0, 4.0]],
            "psd_unit": "(m/s2)2/Hz"}  # fmt: skip
    look = look_at_case(with_sources(flat, {**flat, "gain": 2.0}), 5.0)
    assert look.asked_rms[0] == pytest.approx(math.sqrt(5.0 * 4.0 * 90.0))
    assert look.measures.axes[0].rest_rms == pytest.approx(look.asked_rms[0], rel=0.05)


def test_sines_beside_random_vibration_stand_as_lines():
    """The density shows the random part alone; velocity and displacement hold the throw."""
    sources = (
        {"kind": "exciter", "throw_mm": 4.3, "throw_is": "amplitude", "speed_rpm": -970.0},
        {"kind": "psd", "axis": ["x"], "psd": [[50.0, 0.01], [500.0, 0.01]], "psd_unit": "g2/Hz"},
    )
    look = look_at_case(with_sources(*sources), 3.0)
    omega = 970.0 * 2.0 * math.pi / 60.0
    assert look.measures.lines == pytest.approx([970.0 / 60.0])
    assert look.asked_amplitude[0] == pytest.approx([4.3e-3 * omega**2] * 2 + [0.0], rel=1e-9)
    assert look.measures.amplitude[0, :2] == pytest.approx(look.asked_amplitude[0, :2], rel=0.02)
    x, y, _ = look.measures.axes
    assert x.rest_rms == pytest.approx(look.asked_rms[0], rel=0.04)
    assert y.rest_rms < 1e-6 * y.whole.rms
    assert y.displacement[1] == pytest.approx(4.3e-3, rel=1e-3)
    assert y.velocity[1] == pytest.approx(4.3e-3 * omega, rel=1e-3)
    assert y.whole.kurtosis == pytest.approx(1.5, abs=0.02)
    text = look_text(look)
    assert "Steady sines" in text and "16.167" in text


def test_the_look_is_at_the_very_vibration_of_the_run(cases_folder):
    """Samples of the look are those that the model of the run has at the same times."""
    case = load_case(cases_folder / "rail_maintenance_axle_box.toml")
    look = look_at_case(case, 1.0, response=False)
    model = build_vibration(case, case.duty.duration_s)
    times = look.measures.start + np.arange(round(look.measures.rate)) / look.measures.rate
    signal = base_acceleration(model, times)
    rms = [axis.whole.rms for axis in look.measures.axes]
    assert rms == pytest.approx((signal - signal.mean(axis=0)).std(axis=0), rel=1e-9)


class Applied:
    """What a finished run of a case holds, its channel from the model times a factor."""

    def __init__(self, case, seconds, factor=1.0, rate=5000.0):
        self.case, self.status = case, "finished"
        self.time = np.arange(1, round(seconds * rate) + 1) / rate
        self.attributes = {"settle_s": 0.2, "environments": "[]"}
        self.settled = slice(round(0.2 * rate), len(self.time))
        model = build_vibration(case, seconds)
        self.signal = factor * base_acceleration(model, self.time).astype(np.float32)

    def channel(self, name):
        """The one channel that a look needs."""
        assert name == "base_acceleration"
        return self.signal


def test_a_history_shows_what_the_case_asked_for(cases_folder):
    case = load_case(cases_folder / "dewatering_screen_riveted.toml")
    look = look_at_history(Applied(case, 3.0))
    applied = np.array([axis.rest_rms for axis in look.measures.axes])
    assert applied == pytest.approx(look.asked_rms, rel=0.04)
    assert look.measures.amplitude[0, :2] == pytest.approx(look.asked_amplitude[0, :2], rel=0.03)
    assert (np.abs(look.ratio - 1.0) < 5.0 * look.scatter).all()
    assert any("shows bands up to 2500 Hz" in note for note in look.notes)


def test_a_history_that_was_shaken_less_is_found_out(cases_folder):
    case = load_case(cases_folder / "bench_random_5g.toml")
    full, less = (look_at_history(Applied(case, 1.5, factor)) for factor in (1.0, 0.8))
    assert less.ratio[:2] == pytest.approx(0.8 * full.ratio[:2], rel=1e-4)
    assert less.measures.axes[0].rest_rms == pytest.approx(0.8 * less.asked_rms[0], rel=0.03)


def test_peaks_between_the_samples_of_a_history_are_found(cases_folder):
    """A sine of 2 kHz in 5 kHz of samples: peak, crest and crossings as in the finer model."""
    source = {"kind": "sine", "axis": "x", "frequency_Hz": 1999.0, "amplitude_m_per_s2": 20.0}
    look = look_at_history(Applied(with_sources(source), 0.6))
    x = look.measures.axes[0].whole
    assert x.peak == pytest.approx(20.0, rel=0.05)
    assert x.rms == pytest.approx(20.0 / math.sqrt(2.0), rel=1e-3)
    assert x.crossings == pytest.approx(1999.0, rel=0.01)


def test_a_case_without_vibration_stands_still(tmp_path):
    look = look_at_case(with_sources(), 0.5)
    assert [axis.whole.rms for axis in look.measures.axes] == [0.0, 0.0, 0.0]
    assert "stands still" in look_text(look)
    strict(look)
    assert all(path.stat().st_size > 500 for path in draw_look(look, tmp_path))


def test_named_shock_is_the_one_of_the_worked_example():
    """16.5 g near 80 Hz for Q = 10 (text read), velocity change 2 A T/pi."""
    look = look_at_shock(SHOCKS["half_sine_10g_10ms"])
    y = look.measures.axes[1]
    assert y.response.max() / 9.80665 == pytest.approx(16.5, rel=0.01)
    best = look.measures.response_frequency[y.response.argmax()]
    assert best == pytest.approx(80.0, rel=0.06)
    assert y.end_velocity == pytest.approx(2.0 * 98.0665 * 0.01 / math.pi, rel=1e-5)
    assert y.whole.peak == pytest.approx(98.0665, rel=1e-5)
    assert READ in " ".join(look_text(look).split())


def test_pictures_have_captions_with_the_flag(tmp_path):
    look = look_at_environment(ENVIRONMENTS["railway_bogie_vertical"], 2.0)
    for draw in (draw_spectrum, draw_histogram, draw_response):
        picture = draw(look, tmp_path / draw.__name__)
        assert picture.path.stat().st_size > 10_000
        assert picture.caption.startswith("railway_bogie_vertical.")
        assert RECALLED in picture.caption and "IEC 61373:2010" in picture.caption


def test_spectrum_tells_asked_from_applied(tmp_path):
    look = look_at_environment(ENVIRONMENTS["computer_board"], 2.0)
    caption = draw_spectrum(look, tmp_path / "s.svg").caption
    assert "Dashed: asked" in caption and "applied over asked rms: y" in caption
    text = (tmp_path / "s.svg").read_text()
    assert text.count("<path") > 50


def test_list_names_every_environment_with_its_flag():
    text, found = environment_list()
    for item in (*ENVIRONMENTS.values(), *SHOCKS.values()):
        assert item.name in text
        assert " ".join(item.flag.split()) in " ".join(text.split())
    assert len(found["environments"]) == len(ENVIRONMENTS)
    json.dumps(found, allow_nan=False)


OWN = """\
[environment.deck]
psd = [[10.0, 0.02], [200.0, 0.02]]
psd_unit = "g2/Hz"
source = "record of the upper deck"
basis = "measured"
"""


def test_environment_of_a_file_is_looked_at_and_listed(tmp_path):
    (tmp_path / "own.toml").write_text(OWN)
    look = look_at("deck", 2.0, tmp_path / "own.toml")
    assert look.measures.axes[1].whole.rms == pytest.approx(9.80665 * math.sqrt(3.8), rel=0.05)
    assert "record of the upper deck; measured" in look_text(look)
    assert "deck" in environment_list(tmp_path / "own.toml")[0]


@pytest.mark.parametrize(
    ("target", "duration", "words"),
    [
        ("computer_bord", None, "did you mean 'computer_board'"),
        ("nothing at all", None, "--list"),
        ("own.toml", None, "--environments"),
        ("computer_board", 1e-4, "longer --duration"),
        ("six.h5", 1.0, "leave --duration out"),
    ],
)
def test_what_cannot_be_looked_at_is_told(tmp_path, monkeypatch, target, duration, words):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "own.toml").write_text(OWN)
    with pytest.raises(BadLook) as caught:
        look_at(target, duration)
    assert words in str(caught.value)
    assert caught.value.exit_code == 2


def test_problems_of_a_file_of_environments_are_told(tmp_path):
    (tmp_path / "own.toml").write_text(OWN.replace("0.02], [200", "-0.02], [200"))
    with pytest.raises(CaseError, match="line 2"):
        look_at("deck", None, tmp_path / "own.toml")


def test_long_looks_are_cut_and_say_so(monkeypatch):
    monkeypatch.setattr("rollsim.report.look.MOST_SAMPLES", 4000)
    look = look_at_environment(ENVIRONMENTS["computer_board"], 5.0)
    assert any("cut to 0.8 s" in note for note in look.notes)


def test_asked_density_of_nothing_gives_no_ratio():
    look = look_at_environment(ENVIRONMENTS["computer_board"], 1.0)
    assert np.isnan(look.ratio[0]).all() and np.isfinite(look.ratio[1]).all()
    louder = replace(look, asked_band=2.0 * look.asked_band)
    assert louder.ratio[1] == pytest.approx(0.5 * look.ratio[1])


def test_a_recording_is_held_against_its_own_samples(cases_folder):
    """Asked: the samples of the file; the screen near 970 rpm stands as a line of both."""
    look = look_at_case(load_case(cases_folder / "dewatering_screen_recording.toml"))
    assert look.measures.lines == pytest.approx([970.0 / 60.0], abs=0.05)
    assert look.measures.amplitude[0, :2] == pytest.approx([44.37, 44.37], rel=0.03)
    assert look.measures.amplitude == pytest.approx(look.asked_amplitude, rel=0.01)
    inside = nominal_centre(look.measures.bands[-1]) == 400.0
    assert inside and look.ratio[:, :-1] == pytest.approx(1.0, abs=0.01)
    assert look.ratio[:, -1] == pytest.approx(1.0, abs=0.05)  # the band of the band edge
    text = " ".join(look_text(look).split())
    assert "what is in the samples of the recording" in text
    assert "Asked against applied, rms" in text
    found = strict(look)
    assert found["axes"]["x"]["random_rms_asked_m_per_s2"] > 0.0
    assert len(found["recorded"]["frequency_Hz"]) == len(found["recorded"]["x_m2_per_s4_per_Hz"])


def test_asked_of_a_recording_is_that_of_the_file(cases_folder):
    """By hand from the file: columns turned by the mounting angle, rms of the stretch."""
    path = cases_folder / "dewatering_screen_recording.csv"
    rows = np.loadtxt(path, delimiter=";", skiprows=1)
    raw = 9.80665 * (rows[:, 1:4] - rows[:, 1:4].mean(axis=0))
    c, s = math.cos(math.radians(30.0)), math.sin(math.radians(30.0))
    x = c * raw[:, 0] - s * raw[:, 1]
    look = look_at_case(load_case(cases_folder / "dewatering_screen_recording.toml"))
    whole = look.asked_rms[0] ** 2 + 0.5 * look.asked_amplitude[0, 0] ** 2
    # The high-pass at 2 Hz takes a little, the stretch leaves the first 50 ms out.
    assert math.sqrt(whole) == pytest.approx(x[50:].std(), rel=0.01)


def test_a_history_is_held_against_its_recording(cases_folder, tmp_path):
    """The right one shows no fault, one shaken less does, one without its file says so."""
    case = load_case(cases_folder / "dewatering_screen_recording.toml")
    for factor, folder in ((1.0, cases_folder), (0.8, cases_folder), (1.0, tmp_path)):
        history = Applied(case, 3.0, factor)
        summary = build_vibration(case, 3.0).summary.recordings
        history.path = tmp_path / "run.h5"
        history.environments = []
        history.attributes |= dict.fromkeys(reproduce._NEEDED, "") | {
            "recordings": json.dumps([summary_data(item) for item in summary]),
            "recordings_sha256": fingerprints(case),
            "case_folder": str(folder),
            "case_text": case.text,
            "duration_s": 3.0,
            "settle_s": 0.2,
        }
        look = look_at_history(history)
        if folder is tmp_path:
            assert look.recorded is None and np.isnan(look.ratio).all()
            assert any("not there as it was" in note for note in look.notes)
        else:
            assert look.ratio[:, :-1] == pytest.approx(factor, abs=0.04)


def test_more_than_is_kept_of_a_recording_is_not_compared(cases_folder, monkeypatch):
    monkeypatch.setattr("rollsim.model.recording.replay.MOST_ROWS", 1000)
    monkeypatch.setattr("rollsim.model.recording.replay._kept", {})
    case = load_case(cases_folder / "dewatering_screen_recording.toml")
    look = look_at_case(case, response=False)
    assert look.recorded is None
    assert any("look at 0.949 s or less" in note for note in look.notes)
    short = look_at_case(case, 0.9, response=False)
    assert short.recorded is not None
    # Bands begin where the look holds four periods, not where the whole recording does.
    assert nominal_centre(short.measures.bands[0]) == pytest.approx(4.0 / 0.9, rel=0.2)


def test_an_exciter_on_the_shaft_is_a_line_with_its_amplitude():
    """Throw 4 mm, path a circle, at the speed of the shaft: r omega^2, asked and applied."""
    source = {"kind": "exciter", "throw_mm": 4.0, "throw_is": "amplitude", "locked_to_shaft": True}
    case = with_sources(source)
    omega = case.duty.speed_rpm * 2.0 * math.pi / 60.0
    look = look_at_case(case, 2.0, response=False)
    assert look.measures.lines == pytest.approx([omega / (2.0 * math.pi)])
    assert look.asked_amplitude[0, :2] == pytest.approx(4e-3 * omega**2, rel=1e-9)
    assert look.measures.amplitude[0, :2] == pytest.approx(4e-3 * omega**2, rel=1e-6)
