"""Vibration model of a case: random table, harmonics, reference evaluation, warnings."""

import numpy as np
import pytest

from rollsim.kernels.vibration import base_acceleration as compiled_acceleration
from rollsim.model.spectrum import (
    density_at,
    line_amplitudes,
    overall_level,
    spectral_moment,
)
from rollsim.model.vibration import base_acceleration, build_vibration
from rollsim.units import G0

POINTS = np.array([[20.0, 0.01], [80.0, 0.04], [500.0, 0.04], [2000.0, 0.01]])
BREAKPOINTS = "psd = [[20.0, 0.01], [80.0, 0.04], [500.0, 0.04], [2000.0, 0.01]]"
RANDOM = """
[[vibration]]
kind = "psd"
axis = {axis}
{table}
psd_unit = "g2/Hz"
"""
SINE = """
[[vibration]]
kind = "sine"
axis = "z"
frequency_Hz = 50.0
amplitude_g = 2.0
phase_deg = 30.0
"""
EXCITER = """
[[vibration]]
kind = "exciter"
throw_mm = {throw}
throw_is = "{kind}"
speed_rpm = {speed}
phase_deg = 40.0
"""
NO_RAMP = ("duration_s = 2", "duration_s = 2\nramp_s = 0")
LONG_RAMP = ("duration_s = 2", "duration_s = 2\nramp_s = 0.2")


def _random(axis='"y"'):
    """Text of the random source on an axis."""
    return RANDOM.format(axis=axis, table=BREAKPOINTS)


def test_no_vibration(model_case):
    """No samples, no harmonics, zero acceleration."""
    model = build_vibration(model_case(), 2.0)
    assert model.shaking.samples.shape == (0, 6)
    assert model.shaking.harmonic.shape == (0, 7)
    np.testing.assert_array_equal(base_acceleration(model, np.array([0.0, 1.0])), 0.0)


def test_realised_density_in_third_octaves(model_case):
    """Averaged periodograms of 60 s lie within 5 % of the table in every third octave."""
    from scipy.signal import welch

    model = build_vibration(model_case(extra=_random()), 60.0)
    value = model.shaking.samples[:, 1] / G0
    frequency, density = welch(
        value, 1.0 / model.shaking.tracks[0, 2], window="hann", nperseg=2 * 10_000, noverlap=10_000
    )
    centres = 1000.0 * 2.0 ** (np.arange(-15, 3) / 3.0)  # 31 Hz to 1600 Hz
    for centre in centres:
        band = (frequency >= centre * 2 ** (-1 / 6)) & (frequency < centre * 2 ** (1 / 6))
        expected = density_at(POINTS, frequency[band]).mean()
        assert density[band].mean() == pytest.approx(expected, rel=0.05), centre


def test_overall_level(model_case):
    """6.06 g rms of the table and of the summary, only on the axis asked for."""
    model = build_vibration(model_case(extra=_random()), 2.0)
    expected = G0 * overall_level(POINTS)
    np.testing.assert_allclose(model.summary.random_rms, [0.0, expected, 0.0], rtol=1e-9)
    np.testing.assert_array_equal(model.shaking.samples[:, [0, 2, 3, 5]], 0.0)


def test_interpolation_against_the_trigonometric_sum(model_case):
    """Hermite error at random times below 1e-3 of the rms; largest frequency at the band edge."""
    text = _random().replace(BREAKPOINTS, "psd = [[1900.0, 0.01], [2000.0, 0.01]]")
    model = build_vibration(model_case(NO_RAMP, extra=text), 0.2)
    table, interval = model.shaking.samples, model.shaking.tracks[0, 2]
    times = np.random.default_rng(0).uniform(0.0, 0.5, 400)
    lines = np.fft.rfft(table[:, 1]) * 2.0 / len(table)
    omega = 2.0 * np.pi * np.arange(len(lines)) / (len(table) * interval)
    exact = np.real(np.exp(1j * np.outer(times, omega)) @ lines)
    error = base_acceleration(model, times)[:, 1] - exact
    rms = model.summary.random_rms[1]
    assert np.sqrt(np.mean(error**2)) < 3e-4 * rms
    assert np.abs(error).max() < 1e-3 * rms


def test_table_derivative_meets_finite_differences(model_case):
    """The derivative columns belong to the value columns."""
    model = build_vibration(model_case(NO_RAMP, extra=_random()), 0.5)
    rows = np.arange(97, 5000, 97)
    step = 1e-7
    ahead = base_acceleration(model, rows * model.shaking.tracks[0, 2] + step)[:, 1]
    behind = base_acceleration(model, rows * model.shaking.tracks[0, 2] - step)[:, 1]
    scale = model.shaking.samples[:, 4].std()
    np.testing.assert_allclose(
        (ahead - behind) / (2 * step), model.shaking.samples[rows, 4], atol=1e-3 * scale
    )


def test_same_seed_same_signal(model_case):
    """Equal cases give equal tables bit for bit; another seed gives another one."""
    one = build_vibration(model_case(extra=_random()), 1.0)
    two = build_vibration(model_case(extra=_random()), 1.0)
    np.testing.assert_array_equal(one.shaking.samples, two.shaking.samples)
    other = build_vibration(model_case(("seed = 11", "seed = 12"), extra=_random()), 1.0)
    similarity = np.corrcoef(one.shaking.samples[:, 1], other.shaking.samples[:, 1])[0, 1]
    assert abs(similarity) < 0.05


def test_axes_and_sources_are_independent(model_case):
    """Axes of one source, and two sources, share no phases; a seed given by hand rules."""
    model = build_vibration(model_case(extra=_random('["x", "y", "z"]')), 4.0)
    correlation = np.corrcoef(model.shaking.samples[:, :3].T)
    assert np.abs(correlation[np.triu_indices(3, 1)]).max() < 0.05
    twice = build_vibration(model_case(extra=_random() + _random()), 4.0)
    np.testing.assert_allclose(
        twice.summary.random_rms[1], np.sqrt(2) * G0 * overall_level(POINTS), rtol=0.03
    )
    seeded = _random() + "seed = 5\n"
    equal = build_vibration(model_case(extra=seeded + seeded), 4.0)
    assert equal.summary.random_rms[1] == pytest.approx(2 * G0 * overall_level(POINTS), rel=1e-9)


def test_axis_of_a_list_is_the_same_signal_as_alone(model_case):
    """Adding an axis leaves the signal of the others as it was."""
    alone = build_vibration(model_case(extra=_random()), 1.0)
    both = build_vibration(model_case(extra=_random('["x", "y"]')), 1.0)
    np.testing.assert_array_equal(alone.shaking.samples[:, 1], both.shaking.samples[:, 1])


def test_gain_multiplies_the_acceleration(model_case):
    """Gain 2: the same signal, twice as large."""
    plain = build_vibration(model_case(extra=_random()), 1.0)
    louder = build_vibration(model_case(extra=_random() + "gain = 2.0\n"), 1.0)
    np.testing.assert_allclose(louder.shaking.samples, 2.0 * plain.shaking.samples, rtol=1e-12)


def test_sources_share_the_finest_interval(model_case):
    """A low band and a high band on one table; each keeps its level."""
    low = _random('"x"').replace(BREAKPOINTS, "psd = [[5.0, 0.02], [100.0, 0.02]]")
    model = build_vibration(model_case(extra=low + _random()), 1.0)
    assert model.shaking.tracks[0, 2] == pytest.approx(1.0 / 20e3)
    assert model.summary.period >= 2.0  # ten periods of 5 Hz
    expected = G0 * np.sqrt([0.02 * 95.0, spectral_moment(POINTS), 0.0])
    np.testing.assert_allclose(model.summary.random_rms, expected, rtol=1e-9)


def test_named_environment(model_case):
    """The component qualification spectrum has 14.1 g rms (GSFC-STD-7000A)."""
    text = '\n[[vibration]]\nkind = "psd"\naxis = "z"\nenvironment = "component_qualification"\n'
    model = build_vibration(model_case(extra=text), 1.0)
    assert model.summary.random_rms[2] / G0 == pytest.approx(14.1, rel=0.004)


def test_density_in_si_units(model_case):
    """(m/s2)2/Hz is taken as it is."""
    text = _random().replace("g2/Hz", "(m/s2)2/Hz")
    model = build_vibration(model_case(extra=text), 1.0)
    assert model.summary.random_rms[1] == pytest.approx(overall_level(POINTS), rel=1e-9)


def test_period_and_warnings(model_case):
    """Covers the duration; says so when the cap makes it repeat or coarse."""
    case = model_case(extra=_random())
    assert build_vibration(case, 7.3).summary.period >= 7.3
    assert build_vibration(case, 7.3).summary.warnings == ()
    capped = build_vibration(case, 7.3, period_cap=0.3)
    assert 0.3 <= capped.summary.period < 0.32
    assert "half the power each" in capped.summary.warnings[0]
    assert "lowest frequency" in capped.summary.warnings[1]
    first, second = capped.summary.periods
    assert first / second == pytest.approx(0.5 * (1.0 + np.sqrt(5.0)), rel=1e-12)
    short = build_vibration(case, 0.2, period_cap=0.3)
    assert "lowest frequency" in short.summary.warnings[0]
    times = np.linspace(0.4, 0.6, 50)
    np.testing.assert_allclose(
        base_acceleration(short, times),
        base_acceleration(short, times + short.summary.period),
        atol=1e-7,
    )


def test_large_table_is_announced(model_case, monkeypatch):
    """Above the limit the summary says how many MB the table takes."""
    monkeypatch.setattr("rollsim.model.vibration.TABLE_WARNING", 1.0)
    model = build_vibration(model_case(extra=_random()), 2.0)
    assert model.summary.table_megabytes == pytest.approx(model.shaking.samples.nbytes / 1e6)
    assert any("MB of memory" in text for text in model.summary.warnings)


def test_sine(model_case):
    """2 g at 50 Hz with 30 degrees: A sin(omega t + phase)."""
    model = build_vibration(model_case(NO_RAMP, extra=SINE), 2.0)
    times = np.linspace(0.0, 0.1, 77)
    expected = 2.0 * G0 * np.sin(2 * np.pi * 50.0 * times + np.pi / 6)
    np.testing.assert_allclose(base_acceleration(model, times)[:, 2], expected, atol=1e-9)
    assert model.summary.harmonic_rms[2] == pytest.approx(2.0 * G0 / np.sqrt(2.0))


def test_sine_in_si_units(model_case):
    """Amplitude in m/s2."""
    text = SINE.replace("amplitude_g = 2.0", "amplitude_m_per_s2 = 7.0")
    model = build_vibration(model_case(NO_RAMP, extra=text), 2.0)
    assert model.summary.harmonic_rms[2] == pytest.approx(7.0 / np.sqrt(2.0))


@pytest.mark.parametrize("speed", [756.0, -756.0])
def test_exciter_is_the_second_derivative_of_a_circle(model_case, speed):
    """r = 8.1 mm at 756 rpm (worked example of a vibrating screen: 5.18 g), both senses."""
    text = EXCITER.format(throw=8.1, kind="amplitude", speed=speed)
    model = build_vibration(model_case(NO_RAMP, extra=text), 2.0)
    omega = speed * 2 * np.pi / 60

    def place(times):
        """Displacement of the housing, m."""
        angle = omega * times + np.deg2rad(40.0)
        return 8.1e-3 * np.column_stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)])

    times, step = np.linspace(0.05, 0.3, 40), 1e-4
    second = (place(times + step) - 2 * place(times) + place(times - step)) / step**2
    found = base_acceleration(model, times)
    np.testing.assert_allclose(found, second, atol=1e-3)
    np.testing.assert_allclose(np.hypot(found[:, 0], found[:, 1]) / 9.81, 5.18, rtol=0.002)


def test_exciter_peak_to_peak_is_twice_the_amplitude(model_case):
    """A circle of 16.2 mm diameter is one of 8.1 mm radius."""
    radius = EXCITER.format(throw=8.1, kind="amplitude", speed=756.0)
    diameter = EXCITER.format(throw=16.2, kind="peak_to_peak", speed=756.0)
    one = build_vibration(model_case(extra=radius), 2.0)
    two = build_vibration(model_case(extra=diameter), 2.0)
    np.testing.assert_allclose(one.shaking.harmonic, two.shaking.harmonic, rtol=1e-12)


def test_opposed_exciters_leave_a_straight_line(model_case):
    """Two equal circles turning against each other cancel across the line of their phase."""
    text = EXCITER.format(throw=3.0, kind="amplitude", speed=900.0)
    text += EXCITER.format(throw=3.0, kind="amplitude", speed=-900.0)
    model = build_vibration(model_case(NO_RAMP, extra=text.replace("40.0", "0.0")), 2.0)
    size = 2.0 * 3e-3 * (2 * np.pi * 15.0) ** 2
    np.testing.assert_allclose(
        model.summary.harmonic_rms, [size / np.sqrt(2.0), 0.0, 0.0], atol=1e-9 * size
    )


def test_fade_in_multiplies_the_acceleration(model_case):
    """Factor (1 - cos(pi t/ramp))/2 of the same signal without fade-in; zero before the start."""
    times = np.array([-0.1, 0.0, 0.05, 0.1, 0.2, 0.7])
    plain = build_vibration(model_case(NO_RAMP, extra=_random() + SINE), 2.0)
    faded = build_vibration(model_case(LONG_RAMP, extra=_random() + SINE), 2.0)
    factor = np.array([0.0, 0.0, 0.5 - 0.5 * np.sqrt(0.5), 0.5, 1.0, 1.0])
    expected = base_acceleration(plain, times) * factor[:, None]
    np.testing.assert_allclose(base_acceleration(faded, times), expected, atol=1e-9)


def test_lines_carry_the_density_between_their_edges():
    """A coarse grid keeps the whole mean square of the table."""
    amplitudes = line_amplitudes(POINTS, 2000, 1.0 / 20e3)  # 10 Hz lines
    assert 0.5 * np.sum(amplitudes**2) == pytest.approx(spectral_moment(POINTS), rel=1e-12)


def test_compiled_and_reference_evaluation_agree(model_case):
    """The kernel of the march reads table, harmonics and fade-in as the reference does."""
    text = _random('["x", "y", "z"]') + SINE + EXCITER.format(throw=2, kind="amplitude", speed=-600)
    model = build_vibration(model_case(LONG_RAMP, extra=text), 0.5)
    times = np.random.default_rng(2).uniform(0.0, 3.0 * model.summary.period, 200)
    found = np.array([compiled_acceleration(time, model.shaking) for time in times])
    scale = np.abs(found).max()
    np.testing.assert_allclose(found, base_acceleration(model, times), atol=1e-9 * scale)
