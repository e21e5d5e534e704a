"""Kinds of sources beside plain random vibration: how a look shows them."""

import json
import math

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.case.template import template_text
from rollsim.model.vibration import base_acceleration, build_vibration
from rollsim.report.look import look_at_case, look_at_history
from rollsim.report.look_figures import draw_look
from rollsim.report.look_text import look_dict, look_text


def with_sources(*sources):
    """The template with other sources of vibration."""
    return changed_case(parse_case(template_text()), {"vibration": list(sources)})


def strict(look):
    """The dictionary of a look after a strict round through JSON."""
    return json.loads(json.dumps(look_dict(look), allow_nan=False))


class Applied:
    """What a finished run of a case holds, its channel from the model."""

    def __init__(self, case, seconds, rate=5000.0):
        self.case, self.status = case, "finished"
        self.time = np.arange(1, round(seconds * rate) + 1) / rate
        self.attributes = {"settle_s": 0.2, "environments": "[]", "duration_s": seconds}
        self.settled = slice(round(0.2 * rate), len(self.time))
        self.signal = base_acceleration(build_vibration(case, seconds), self.time)

    def channel(self, name):
        """The one channel that a look needs."""
        assert name == "base_acceleration"
        return self.signal


FLAT = {"kind": "psd", "psd": [[20.0, 4.0], [500.0, 4.0]], "psd_unit": "(m/s2)2/Hz"}


def test_coherence_and_phase_are_found_again():
    source = {**FLAT, "axis": ["x", "y"], "coherence": 0.5, "phase_deg": 90.0}
    look = look_at_case(with_sources(source), 5.0, response=False)
    found = strict(look)["coherence"]["xy"]
    assert (found["asked"], found["phase_asked_deg"]) == (pytest.approx(0.5), pytest.approx(90.0))
    # 2400 lines: a scatter of the coherence of about 0.015.
    assert found["applied"] == pytest.approx(0.5, abs=0.08)
    assert found["phase_applied_deg"] == pytest.approx(90.0, abs=6.0)
    text = " ".join(look_text(look).split())
    assert "coherence of x and y: 0.500 asked" in text


def test_a_direction_shares_its_density_out():
    look = look_at_case(with_sources({**FLAT, "direction": [3.0, 4.0, 0.0]}), 5.0, response=False)
    whole = math.sqrt(4.0 * 480.0)
    assert look.asked_rms == pytest.approx([0.6 * whole, 0.8 * whole, 0.0])
    assert (np.abs(look.ratio[:2] - 1.0) < 5.0 * look.scatter).all()
    found = strict(look)["coherence"]["xy"]
    assert found["asked"] == pytest.approx(1.0) and found["applied"] == pytest.approx(1.0)


def test_kurtosis_is_asked_and_applied():
    look = look_at_case(
        with_sources({**FLAT, "axis": ["x"], "kurtosis": 5.0}), 10.0, response=False
    )
    assert look.asked_kurtosis[0] == pytest.approx(5.0)
    assert look.measures.axes[0].rest_kurtosis == pytest.approx(5.0, rel=0.15)
    assert "kurtosis of the random part along x: 5.00 asked" in " ".join(look_text(look).split())
    two = look_at_case(
        with_sources({**FLAT, "axis": ["x"], "kurtosis": 5.0}, {**FLAT, "axis": ["x"]}),
        2.0,
        response=False,
    )
    # Half the power each: a quarter of the excess.
    assert two.asked_kurtosis[0] == pytest.approx(3.5)


def test_shocks_stand_beside_the_bands():
    """The random part is measured without the shocks; level and shock response hold them."""
    shock = {"kind": "shock", "axis": "y", "shape": "half_sine", "amplitude_m_per_s2": 1000.0,
             "duration_ms": 6.0, "start_s": 0.5}  # fmt: skip
    look = look_at_case(with_sources({**FLAT, "axis": ["y"]}, shock), 2.0)
    y = look.measures.axes[1]
    assert look.measures.start == pytest.approx(0.05)
    assert y.whole.peak > 800.0 and y.whole.kurtosis > 20.0
    assert y.rest_rms == pytest.approx(look.asked_rms[1], rel=0.05)
    (best,) = (look.measures.response_frequency[y.response.argmax()],)
    assert 80.0 < best < 200.0 and y.response.max() == pytest.approx(1650.0, rel=0.25)
    strict(look)


def test_sweeps_and_locked_exciters_are_looked_at(tmp_path):
    sweep = {"kind": "sweep", "axis": "x", "start_frequency_Hz": 10.0, "end_frequency_Hz": 200.0,
             "sweep_s": 2.0, "amplitude_g": 1.0}  # fmt: skip
    locked = {"kind": "exciter", "throw_mm": 1.0, "throw_is": "amplitude", "locked_to_shaft": True}
    for source, peak in ((sweep, 9.80665), (locked, None)):
        look = look_at_case(with_sources(source), 2.0)
        x = look.measures.axes[0]
        assert x.rest_rms < 1e-6 * x.whole.rms
        assert peak is None or x.whole.peak == pytest.approx(peak, rel=0.01)
        text = look_text(look)
        assert source["kind"] in text
        strict(look)
    assert all(path.stat().st_size > 500 for path in draw_look(look, tmp_path))


@pytest.mark.parametrize(
    ("shape", "area"), [("half_sine", 2.0 / math.pi), ("trapezoid", 0.9), ("saw_tooth", 0.5)]
)
def test_asked_of_shocks_is_what_is_applied(shape, area):
    """Three pulses of 90 m/s2 and 5 ms: peak, and the velocity change by their closed form."""
    shock = {"kind": "shock", "axis": "y", "shape": shape, "amplitude_m_per_s2": 90.0,
             "duration_ms": 5.0, "start_s": 0.4, "period_ms": 100.0, "count": 3}  # fmt: skip
    look = look_at_case(with_sources(shock), 1.0, response=False)
    (words,) = look.events
    assert words.startswith("Shocks asked: 3 within this time, largest 90.00 m/s2 along y; ")
    told = float(words.split("together ")[1].split()[0])
    assert told == pytest.approx(3e3 * 90.0 * 5e-3 * area, rel=1e-3)
    assert 1e3 * look.measures.axes[1].end_velocity == pytest.approx(told, rel=0.02)
    assert "Shocks asked: 3" in look_text(look)


def test_asked_of_a_sweep_is_told():
    """0.1 mm up to where it is 20 m/s2: 71 Hz; at 200 Hz the acceleration holds."""
    sweep = {"kind": "sweep", "axis": "x", "start_frequency_Hz": 20.0, "end_frequency_Hz": 200.0,
             "sweep_s": 1.5, "amplitude_m_per_s2": 20.0, "displacement_mm": 0.1}  # fmt: skip
    look = look_at_case(with_sources(sweep), 2.0, response=False)
    (words,) = look.events
    assert words == "Sweep asked: 20 to 200 Hz from 0 s to 1.5 s, largest 20.00 m/s2 along x."
    assert look.measures.axes[0].whole.peak == pytest.approx(20.0, rel=0.01)


def test_shocks_alone_are_drawn_in_time_and_not_as_a_spectrum(tmp_path):
    shock = {"kind": "shock", "axis": "y", "shape": "half_sine", "amplitude_m_per_s2": 90.0,
             "duration_ms": 5.0, "start_s": 0.4}  # fmt: skip
    names = {}
    for key, sources in (("alone", [shock]), ("both", [shock, {**FLAT, "axis": ["y"]}])):
        look = look_at_case(with_sources(*sources), 1.0)
        (tmp_path / key).mkdir()
        names[key] = [path.stem for path in draw_look(look, tmp_path / key)]
        times, lowest, highest = look.measures.course
        assert len(times) <= 1200 and (lowest <= highest).all()
        assert highest[:, 1].max() == look.measures.axes[1].whole.peak or key == "both"
    assert names["alone"] == ["vibration_course", "vibration_histogram", "shock_response"]
    assert names["both"][:2] == ["vibration_spectrum", "vibration_course"]


def test_a_history_with_a_shock_is_compared_without_it():
    shock = {"kind": "shock", "axis": "y", "shape": "half_sine", "amplitude_m_per_s2": 1000.0,
             "duration_ms": 6.0, "start_s": 0.5}  # fmt: skip
    look = look_at_history(Applied(with_sources({**FLAT, "axis": ["y"]}, shock), 1.5))
    y = look.measures.axes[1]
    assert y.rest_rms == pytest.approx(look.asked_rms[1], rel=0.06)
    assert y.whole.peak > 800.0


def test_a_shock_beside_a_sine_leaves_the_sine_whole():
    """The look begins behind the fade-in, which would take from a sine; a shock alone from rest."""
    sine = {"kind": "sine", "axis": "x", "frequency_Hz": 200.0, "amplitude_m_per_s2": 8.0}
    shock = {"kind": "shock", "axis": "y", "shape": "half_sine", "amplitude_m_per_s2": 90.0}
    shock |= {"duration_ms": 5.0, "start_s": 0.4}
    look = look_at_case(with_sources(sine, shock), 1.0, response=False)
    assert look.measures.amplitude[0, 0] == pytest.approx(8.0, rel=1e-4)
    assert look.measures.axes[0].rest_rms < 1e-9
    assert "third-octave bands" not in look_text(look)
    kept = Applied(with_sources(sine), 1.0)
    kept.signal = kept.signal.astype(np.float32)
    assert "third-octave bands" not in look_text(look_at_history(kept))
    assert look.measures.axes[1].whole.peak == pytest.approx(90.0, rel=0.02)
    assert look_at_case(with_sources(shock), 1.0, response=False).measures.start == 0.0


def test_what_a_short_look_leaves_out_is_said():
    """Two periods of the cut would be half of this stretch; a quarter of it is left out."""
    sine = {"kind": "sine", "axis": "x", "frequency_Hz": 2.0, "amplitude_m_per_s2": 8.0}
    look = look_at_case(with_sources(sine), 1.0, response=False)
    m = look.measures
    assert 2.0 / m.cut > 0.45
    assert "and 0.250 s at either end are left out" in " ".join(look_text(look).split())
