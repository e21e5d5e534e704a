"""Sweeps, shocks, exciters and random sources that cannot be: each mistake in plain words."""

import pytest

from rollsim.case.read import parse_case
from rollsim.case.source_formulas import sweep_length, sweep_periods
from rollsim.errors import CaseError

SWEEP = 'kind = "sweep"\naxis = "x"\nstart_frequency_Hz = 10.0\nend_frequency_Hz = 200.0\n'
SHOCK = 'kind = "shock"\naxis = "x"\nshape = "half_sine"\nduration_ms = 6\nstart_s = 0.5\n'
EXCITER = 'kind = "exciter"\nthrow_mm = 5\nthrow_is = "amplitude"\n'
PSD = 'kind = "psd"\naxis = ["x", "y"]\n'
LEVEL = 'psd_unit = "g2/Hz"\npsd_level = 0.04\npsd_level_at_Hz = 50\n'
TABLE = 'psd_unit = "g2/Hz"\npsd = [[20, 0.01], [80, 0.01]]\n'
SLOPES = "psd_slopes_dB_per_octave = "


def _problems(text):
    """Problems of the good file with one source more."""
    with pytest.raises(CaseError) as caught:
        parse_case(text, name="screen.toml")
    return " | ".join(str(problem) for problem in caught.value.problems)


WRONG = [
    (SWEEP + "amplitude_g = 1", "needs exactly one of 'sweep_s', 'rate_octaves_per_min'"),
    (SWEEP + "sweep_s = 9", "needs an amplitude: one of 'amplitude_g'"),
    (SWEEP + "sweep_s = 9\namplitude_g = 1\namplitude_m_per_s2 = 9", "not both"),
    (SWEEP + "rate_Hz_per_s = 9\namplitude_g = 1", "does not go with law = 'log': give rate_oct"),
    (SWEEP + 'law = "linear"\nrate_octaves_per_min = 9\namplitude_g = 1', "give rate_Hz_per_s"),
    (SWEEP.replace("200.0", "10.0") + "sweep_s = 9\namplitude_g = 1", "use kind = 'sine'"),
    (SWEEP + "sweep_s = 9\namplitude_g = 1\nstart_s = 2", "must lie within the run, below 2 s"),
    (SWEEP + "sweep_s = 0.2\namplitude_g = 1", "is too fast for a sweep: an octave passes in 0.46"),
    (SWEEP.replace("200.0", "4000.0") + "sweep_s = 9\namplitude_g = 1", "vibration up to 4000 Hz"),
    (SWEEP.replace('axis = "x"\n', "") + "sweep_s = 9\namplitude_g = 1", "'axis' or 'direction'"),
    (SHOCK, "needs 'amplitude_g' or 'amplitude_m_per_s2'"),
    (SHOCK + "amplitude_g = 9\nperiod_ms = 5", "is shorter than the pulse, 6 ms"),
    (SHOCK + "amplitude_g = 9\nperiod_ms = 50\nrate_per_s = 3", "give either period_ms or rate"),
    (SHOCK + "amplitude_g = 9\ncount = 3", "is only used with period_ms or rate_per_s"),
    (SHOCK + "amplitude_g = 9\nperiod_ms = 50\nseed = 3", "is only used with rate_per_s"),
    (SHOCK + "amplitude_g = 9\nrise_ms = 1", "is only used with shape = 'trapezoid'"),
    (SHOCK.replace("half_sine", "trapezoid") + "amplitude_g = 9\nrise_ms = 5.5", "take 6.1 ms"),
    (SHOCK.replace("0.5", "0.01") + "amplitude_g = 9", "lies in the fade-in of the vibration"),
    (SHOCK.replace("0.5", "2.5") + "amplitude_g = 9", "must lie within the run, below 2 s"),
    (SHOCK.replace("= 6", "= 0.1") + "amplitude_g = 9", "cannot show vibration up to 10000 Hz"),
    (EXCITER, "needs 'speed_rpm', or locked_to_shaft = true"),
    (EXCITER + "speed_rpm = 900\nlocked_to_shaft = true", "the shaft gives the speed; use ratio"),
    (EXCITER + "locked_to_shaft = true\nratio = 0", "an exciter at rest shakes nothing"),
    (EXCITER + "speed_rpm = 900\nratio = 2", "is only used with locked_to_shaft = true"),
    (EXCITER + 'speed_rpm = 900\npath = "ellipse"', "needs 'second_throw_mm' with path"),
    (EXCITER + 'speed_rpm = 900\npath = "line"', "needs 'angle_deg' with path = 'line'"),
    (EXCITER + "speed_rpm = 900\nangle_deg = 45", "is not used with path = 'circle'"),
    (EXCITER + "speed_rpm = 900\nsecond_throw_mm = 2", "is only used with path = 'ellipse'"),
    (
        EXCITER + 'speed_rpm = 900\npath = "ellipse"\nangle_deg = 0\nsecond_throw_mm = 6',
        "is the short one: at most throw_mm",
    ),
    (PSD + LEVEL, "is only used with psd_slopes_dB_per_octave"),
    (PSD + LEVEL, "needs 'psd' with 'psd_unit', or 'psd_slopes_dB_per_octave' with its level"),
    (PSD + SLOPES + '[[20, 80, 3]]\npsd_unit = "g2/Hz"', "needs 'psd_level' with psd_slopes"),
    (PSD + LEVEL + SLOPES + "[[20, 80, 3], [90, 100, 0]]", "must begin where the last ends, 80 Hz"),
    (PSD + LEVEL + SLOPES + "[[80, 20, 3]]", "must run upwards within 0 to 100000 Hz"),
    (PSD + LEVEL + SLOPES + "[[60, 80, 3]]", "must lie within the pieces, 60 to 80 Hz"),
    (PSD + LEVEL + SLOPES + "[[20, 2000, -40]]", "end the spectrum earlier"),
    (PSD + LEVEL + SLOPES + "[[20, 2000, 300]]", "look at signs and the level"),
    (PSD + LEVEL + SLOPES + "[]", "needs at least one piece"),
    (PSD + TABLE + "coherence = 1.1", "must be 0 to 1"),
    (PSD + TABLE + "coherence = [0.2, 0.3]", "needs one number, or 1 for the pairs of 2 axes"),
    (PSD + TABLE + "phase_deg = 90", "is only used with coherence"),
    (PSD + TABLE + "coherence = 0.5\nkurtosis = 5", "does not go with a kurtosis above 3"),
    (PSD.replace('["x", "y"]', '"x"') + TABLE + "coherence = 0.5", "needs several axes"),
    (
        PSD.replace('"y"]', '"y", "z"]') + TABLE + "coherence = [0.9, 0.9, 0.1]",
        "what is coherent with a third axis is so with each other too",
    ),
    ('kind = "psd"\ndirection = [0, 0, 0]\n' + TABLE, "points nowhere"),
    ('kind = "psd"\ndirection = [0, 0, 1]\n' + TABLE, "planar motion takes no vibration along z"),
    (PSD + TABLE + "direction = [0, 1, 0]", "give either axis or direction, not both"),
]


@pytest.mark.parametrize(("source", "expected"), WRONG)
def test_impossible_source_is_named_in_plain_words(good_text, source, expected):
    assert expected in _problems(f"{good_text}\n[[vibration]]\n{source}\n")


def test_too_many_shocks_need_a_count(good_text):
    text = SHOCK.replace("= 6", "= 0.5").replace("0.5\n", "0.3\n", 1)
    long = good_text.replace("duration_s = 2.0", "duration_s = 20.0")
    source = text + "amplitude_g = 9\nrate_per_s = 9999"
    assert "more than 100000 pulses in the run" in _problems(f"{long}\n[[vibration]]\n{source}\n")


def test_an_exciter_cannot_follow_a_ring_driven_by_a_torque(good_text):
    drive = 'drive = "torque"\ndrive_torque_Nm = 5\ndrive_inertia_kgm2 = 1\n'
    text = good_text.replace("[duty]\n", "[duty]\n" + drive)
    found = _problems(f"{text}\n[[vibration]]\n{EXCITER}locked_to_shaft = true\n")
    assert "needs a speed that is given" in found


def test_a_rate_that_does_not_show_a_fast_locked_exciter(good_text):
    text = good_text + f"\n[output]\nrate_Hz = 4000\n\n[[vibration]]\n{EXCITER}"
    found = _problems(text + "locked_to_shaft = true\nratio = 1000\n")
    assert "samples a second cannot show vibration up to" in found


@pytest.mark.parametrize("law", ["log", "linear"])
def test_periods_in_which_a_sweep_passes_an_octave(law):
    """10 to 160 Hz: four octaves in 8 s are 2 s an octave; 10 Hz of 150 Hz take 8/15 s."""
    assert sweep_periods(law, 160.0, 10.0, 8.0) == pytest.approx(
        20.0 if law == "log" else 10.0 * 8.0 / 15.0
    )
    assert sweep_length(law, 10.0, 160.0, {"rate_Hz_per_s": 15.0}) == 10.0
