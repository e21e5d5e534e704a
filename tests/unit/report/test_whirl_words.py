"""Whirl in words and as JSON."""

import json
from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.analysis.spectra import KinematicLine, SpectrumPeak
from rollsim.analysis.whirl import whirl
from rollsim.report.whirl_text import line_name, whirl_dict, whirl_text


@pytest.fixture
def backward(plain):
    """Cage that whirls backward at 0.4 of its speed."""
    history = plain.plain_history(samples=8001)
    z = 0.75 * np.exp(-20j * history.time)
    plain.set_orbit(history, z, -20j * z)
    return history


def test_the_words_give_ratio_sense_class_and_its_rule(backward):
    text = " ".join(whirl_text(whirl(backward)).split())
    assert "whirl speed / cage speed -0.400 backward, against the cage" in text
    assert "Class: regular circular" in text
    assert "Rule (own thresholds, calibrated on synthetic orbits)" in text
    assert "eccentricity, mean 0.750 clearances" in text
    assert "radial clearance 200 um" in text
    assert "Lock out rotating machinery" in text


def test_the_strongest_line_of_the_spectrum_is_listed(backward):
    result = whirl(backward)
    lines = whirl_text(result).splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("Full spectrum"))
    frequency = float(lines[first + 2].split()[0])
    assert frequency == pytest.approx(-20.0 / (2.0 * np.pi), abs=result.spectrum.step)


def test_a_cage_at_rest_is_told_without_nan(plain):
    text = whirl_text(whirl(plain.plain_history()))
    assert "undecided (the cage never leaves the centre of its guide)" in text
    assert "no lines" in text
    assert "nan" not in text


def test_the_dictionary_is_strict_json(backward, plain):
    read = json.loads(json.dumps(whirl_dict(whirl(backward)), allow_nan=False))
    assert read["whirl_ratio"] == pytest.approx(-0.4)
    assert read["class"]["name"] == "regular circular"
    assert read["radial_clearance_m"] == 2e-4
    assert len(read["blocks"]["whirl_ratio"]) == 10
    assert read["spectrum"]["kinematic_lines_Hz"]["cage speed"] == pytest.approx(
        50.0 / 6.2832, 1e-4
    )
    quiet = json.loads(json.dumps(whirl_dict(whirl(plain.plain_history())), allow_nan=False))
    assert quiet["whirl_ratio"] is None and quiet["spectrum"]["strongest"] == []


def test_spectrum_peaks_get_the_name_of_the_nearest_line():
    lines = (
        KinematicLine("cage speed", 8.0),
        KinematicLine("inner ring speed", 20.0),
        KinematicLine("exciter", 20.02, imposed=True),
        KinematicLine("sine along x", 30.0, imposed=True, both_senses=True),
    )

    def named(frequency, step=0.5):
        return line_name(SpectrumPeak(frequency, 0.5), lines, step)

    assert named(8.4) == "cage speed"
    assert named(8.6) == ""
    assert named(-20.005) == "inner ring speed, reversed; exciter, reversed"
    assert named(30.2) == named(-30.2) == "sine along x"
    assert named(12.0) == ""
    # A coarse step: both speeds are near, the nearer one counts.
    assert named(15.0, step=7.5) == "inner ring speed; exciter"
    # A step so coarse that the cage speed lies within one step of 0 Hz: a drift is no cage speed.
    assert named(0.0, step=10.0) == "none: slower than one step"
    assert named(0.0, step=0.5) == "none: slower than one step"


def test_a_forced_whirl_is_told_with_its_imposed_line(plain):
    history = plain.plain_history(samples=8001)
    history.case.vibration = (SimpleNamespace(kind="exciter", speed_rpm=-191.0),)
    z = 0.75 * np.exp(-20j * history.time)
    plain.set_orbit(history, z, -20j * z)
    result = whirl(history)
    text = " ".join(whirl_text(result).split())
    assert "Class: forced (whirls with the exciter at -3.183 Hz" in text
    assert "no sign of an unstable cage" in text
    read = whirl_dict(result)["spectrum"]
    assert read["imposed_lines_Hz"] == {"exciter": pytest.approx(-3.183, abs=1e-3)}
    assert "exciter" not in read["kinematic_lines_Hz"]


def test_a_turning_outer_ring_has_its_line_and_moves_the_passing_rollers(plain):
    history = plain.plain_history(samples=8001, cage_speed=-2.8)
    history.attributes |= {"inner_speed_rad_per_s": 0.0, "outer_speed_rad_per_s": -4.9}
    plain.set_orbit(history, 0.6 * np.exp(-2.8j * history.time), np.zeros(8001))
    lines = whirl_dict(whirl(history))["spectrum"]["kinematic_lines_Hz"]
    turn = 2.0 * np.pi
    assert lines == {
        "cage speed": pytest.approx(-2.8 / turn),
        "outer ring speed": pytest.approx(-4.9 / turn),
        "roller passing, outer ring": pytest.approx(6.0 * 2.1 / turn),
        "roller passing, inner ring": pytest.approx(6.0 * 2.8 / turn),
    }


def test_steadiness_forcing_and_sources_are_told(backward):
    result = whirl(backward)
    text = " ".join(whirl_text(result).split())
    assert "the orbit stays what it is over the record" in text
    assert "coherence with the imposed vibration: nothing shakes the housing" in text
    assert f"power in the strongest lines ({len(result.strongest)}): " in text
    assert result.lines_share > 0.99
    assert "Gupta 1991" in text and "no limit belongs to them" in text
    read = whirl_dict(result)
    assert read["polarity"] == "backward"
    assert read["steadiness"]["tested"] is True and read["steadiness"]["changes"] == []
    assert read["coherence"] is None
    assert set(read["mean_position_in_clearances"]) == {
        "fixed to the outer ring",
        "turning with the cage",
    }


def test_a_changing_orbit_is_told_by_parts(plain):
    history = plain.plain_history(samples=20_001)
    whirls = history.time > 8.0
    z = np.where(whirls, 0.9 * np.exp(40j * history.time), -0.9j)
    rng = np.random.default_rng(1)
    z = z + 0.02 * (rng.normal(size=20_001) + 1j * rng.normal(size=20_001))
    plain.set_orbit(history, z, np.where(whirls, 40j * z, 0.0))
    result = whirl(history)
    text = whirl_text(result)
    assert "THE ORBIT CHANGES OVER THE RECORD" in text
    lines = text.splitlines()
    head = next(i for i, line in enumerate(lines) if line.endswith("class"))
    assert lines[head + 1].endswith("seated") and lines[head + 5].endswith("regular circular")
    parts = whirl_dict(result)["steadiness"]["parts"]
    assert [part["class"] for part in parts][::4] == ["seated", "regular circular"]
