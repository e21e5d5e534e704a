"""Sweeps, shocks and exciters of a case against closed forms and independent routes."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.signal import chirp, hilbert

from rollsim.kernels.shaking_types import PulseShape
from rollsim.kernels.vibration import base_acceleration as compiled_acceleration
from rollsim.kernels.vibration import locked_acceleration
from rollsim.model.vibration import base_acceleration, build_vibration
from rollsim.units import G0

NO_RAMP = ("duration_s = 2", "duration_s = 2\nramp_s = 0")
SWEEP = """
[[vibration]]
kind = "sweep"
direction = [0.0, 3.0, 4.0]
start_frequency_Hz = {0}
end_frequency_Hz = {1}
amplitude_m_per_s2 = 10.0
phase_deg = 90.0
"""
SHOCK = """
[[vibration]]
kind = "shock"
axis = "y"
shape = "{0}"
amplitude_g = 30.0
duration_ms = 6.0
start_s = 0.5
"""
EXCITER = """
[[vibration]]
kind = "exciter"
throw_is = "peak_to_peak"
throw_mm = 10.0
phase_deg = 20.0
"""


def _model(model_case, text, duration=2.0, *changes):
    """Vibration of a case without fade-in."""
    return build_vibration(model_case(NO_RAMP, *changes, extra=text), duration)


@pytest.mark.parametrize("law", ["linear", "log"])
@pytest.mark.parametrize(("first", "last"), [(20.0, 160.0), (160.0, 20.0)])
def test_sweep_against_scipy_and_its_frequency_by_the_hilbert_transform(
    model_case, law, first, last
):
    """scipy's chirp of the same law; the derivative of the phase is the frequency of the law."""
    text = SWEEP.format(first, last) + f'law = "{law}"\nsweep_s = 2.0\n'
    model = _model(model_case, text)
    times = np.arange(0.0, 2.0, 1e-4)
    found = base_acceleration(model, times)
    method = "linear" if law == "linear" else "logarithmic"
    expected = 10.0 * chirp(times, first, 2.0, last, method)
    np.testing.assert_allclose(found[:, 1], 0.6 * expected, atol=1e-8)
    np.testing.assert_allclose(found[:, 2], 0.8 * expected, atol=1e-8)
    phase = np.unwrap(np.angle(hilbert(found[:, 1])))
    inside = slice(3000, 17000)
    frequency = np.gradient(phase, times)[inside] / (2.0 * np.pi)
    share = times[inside] / 2.0
    wanted = first + (last - first) * share if law == "linear" else first * (last / first) ** share
    assert np.abs(np.convolve(frequency / wanted, np.ones(500) / 500, "valid") - 1.0).max() < 0.01


def test_sweep_there_and_back_runs_on_in_phase(model_case):
    """Twice up and down: no jump in value, mirrored frequencies, four rows; by octaves a minute."""
    text = SWEEP.format(20.0, 80.0) + "rate_octaves_per_min = 300.0\nand_back = true\nsweeps = 2\n"
    model = _model(model_case, text)
    rows = model.shaking.sweep
    assert model.summary.sweep_count == 4
    np.testing.assert_allclose(rows[:, 0], [0.0, 0.4, 0.8, 1.2])
    np.testing.assert_allclose(rows[:, 2], [20.0, 80.0, 20.0, 80.0])
    times = np.arange(0.0, 1.6, 1e-5)
    values = base_acceleration(model, times[:-1])[:, 1]
    assert np.abs(np.diff(values)).max() < 1.001 * 6.0 * 2.0 * np.pi * 80.0 * 1e-5
    assert np.all(base_acceleration(model, np.array([1.7])) == 0.0)


def test_sweeps_that_begin_behind_the_run_are_left_out(model_case):
    text = SWEEP.format(20.0, 80.0) + "sweep_s = 0.7\nsweeps = 9\nstart_s = 0.5\n"
    assert _model(model_case, text).shaking.sweep[:, 0] == pytest.approx([0.5, 1.2, 1.9])


def test_sweep_of_a_displacement_has_its_amplitude(model_case):
    """0.35 mm up to the 2 g of the crossover at 37.7 Hz, then 2 g; envelope by Hilbert."""
    text = SWEEP.format(10.0, 200.0).replace("amplitude_m_per_s2 = 10.0", "amplitude_g = 2.0")
    model = _model(model_case, text + "displacement_mm = 0.35\nsweep_s = 10.0\n", 10.0)
    crossing = math.sqrt(2.0 * G0 / 0.35e-3) / (2.0 * math.pi)
    at = 10.0 * math.log(crossing / 10.0) / math.log(20.0)
    assert model.shaking.corners == pytest.approx([at, 10.0])
    times = np.arange(0.0, 10.0, 2e-4)
    envelope = np.abs(hilbert(base_acceleration(model, times)[:, 1])) / 0.6
    frequency = 10.0 * 20.0 ** (times / 10.0)
    expected = np.minimum(2.0 * G0, 0.35e-3 * (2.0 * np.pi * frequency) ** 2)
    inside = (times > 0.5) & (times < 9.5)
    assert np.abs(envelope / expected - 1.0)[inside].max() < 0.08
    assert np.median(np.abs(envelope / expected - 1.0)[inside]) < 0.002


@pytest.mark.parametrize(
    ("shape", "factor"), [("half_sine", 2.0 / math.pi), ("trapezoid", 0.9), ("saw_tooth", 0.5)]
)
def test_velocity_change_of_a_shock(model_case, shape, factor):
    """2 A T/pi, 0.9 A T with a tenth of rise and fall each, A T/2."""
    model = _model(model_case, SHOCK.format(shape))
    corners = [t for t in model.shaking.corners if 0.5 < t < 0.506]
    area, _ = quad(
        lambda t: base_acceleration(model, np.array([t]))[0, 1], 0.5, 0.506 - 1e-12,
        points=corners or None, epsabs=1e-10,
    )  # fmt: skip
    assert area == pytest.approx(factor * 30.0 * G0 * 6e-3, rel=1e-8)
    assert model.summary.shock_count == 1
    assert model.summary.largest_shock == pytest.approx(30.0 * G0)


def test_rise_and_fall_of_a_trapezoid(model_case):
    text = SHOCK.format("trapezoid") + "rise_ms = 1.5\nfall_ms = 3.0\n"
    model = _model(model_case, text)
    assert model.shaking.corners == pytest.approx([0.5, 0.5015, 0.503, 0.506])
    found = base_acceleration(model, np.array([0.50075, 0.502, 0.5045]))[:, 1]
    assert found == pytest.approx([15.0 * G0, 30.0 * G0, 15.0 * G0], rel=1e-6)


def test_train_of_shocks_with_alternating_sense(model_case):
    """Every 50 ms from 0.5 s, four of them, up and down in turn; without a count to the end."""
    text = SHOCK.format("half_sine") + 'period_ms = 50\npolarity = "alternating"\n'
    counted = _model(model_case, text + "count = 4\n").shaking.pulse
    np.testing.assert_allclose(counted[:, 0], [0.5, 0.55, 0.6, 0.65])
    np.testing.assert_allclose(counted[:, 6], 30.0 * G0 * np.array([1, -1, 1, -1]))
    assert _model(model_case, text).summary.shock_count == 30
    down = SHOCK.format("half_sine") + 'polarity = "negative"\n'
    assert _model(model_case, down).shaking.pulse[0, 6] == pytest.approx(-30.0 * G0)


def test_shocks_at_random_times(model_case):
    """Mean rate, exponential waiting times, the seed, and a longer run that goes on alike."""
    text = SHOCK.format("half_sine") + "rate_per_s = 40.0\n"
    times = _model(model_case, text, 200.0).shaking.pulse[:, 0]
    assert times[0] == 0.5 and np.all(np.diff(times) > 0.0) and times[-1] < 200.0
    waits = np.diff(times)
    assert waits.mean() == pytest.approx(1 / 40.0, rel=0.05)
    assert waits.std() == pytest.approx(1 / 40.0, rel=0.05)
    longer = _model(model_case, text, 300.0).shaking.pulse[:, 0]
    np.testing.assert_array_equal(longer[: len(times)], times)
    other = _model(model_case, text, 200.0, ("seed = 11", "seed = 12")).shaking.pulse[:, 0]
    assert not np.isin(times[1:20], other).any()
    own = _model(model_case, text + "seed = 4\ncount = 7\n", 200.0).shaking.pulse[:, 0]
    again = _model(
        model_case, text + "seed = 4\ncount = 7\n", 90.0, ("seed = 11", "seed = 2")
    ).shaking.pulse[:, 0]
    assert len(own) == 7
    np.testing.assert_array_equal(own, again)


def _second_difference(place, times, step=1e-4):
    """Acceleration of a displacement."""
    return (place(times + step) - 2.0 * place(times) + place(times - step)) / step**2


@pytest.mark.parametrize(
    ("keys", "long", "short", "turn"),
    [
        ("", 5e-3, 5e-3, 0.0),
        ('path = "ellipse"\nsecond_throw_mm = 4.0\nangle_deg = 30.0\n', 5e-3, 2e-3, 30.0),
        ('path = "line"\nangle_deg = 135.0\n', 5e-3, 0.0, 135.0),
    ],
)
def test_paths_of_an_exciter_with_a_speed_of_its_own(model_case, keys, long, short, turn):
    """Second differences of the path at 900 rpm; 10 mm from end to end."""
    model = _model(model_case, EXCITER + keys + "speed_rpm = -900\n")
    turn = math.radians(turn)

    def place(times):
        """Displacement."""
        angle = -2.0 * math.pi * 15.0 * times + math.radians(20.0)
        a, b = long * np.cos(angle), short * np.sin(angle)
        x = a * math.cos(turn) - b * math.sin(turn)
        y = a * math.sin(turn) + b * math.cos(turn)
        return np.column_stack([x, y, np.zeros_like(x)])

    times = np.linspace(0.05, 0.3, 40)
    found = base_acceleration(model, times)
    np.testing.assert_allclose(found, _second_difference(place, times), atol=1e-3)


def test_exciter_locked_to_the_shaft_follows_a_speed_table(model_case):
    """Run-up and steady speed, ratio -2: second differences along the angle; kernel alike."""
    table = ("[solver]", "speed_table = [[0.0, 0.0], [0.5, 1200.0]]\n[solver]")
    text = EXCITER + "locked_to_shaft = true\nratio = -2.0\n"
    model = _model(model_case, text, 2.0, table)
    top = 1200.0 * math.pi / 30.0

    def turned(times):
        """Angle of the inner ring."""
        return np.where(times < 0.5, top * times**2, top * (times - 0.25))

    def place(times):
        """Displacement."""
        angle = -2.0 * turned(times) + math.radians(20.0)
        return 5e-3 * np.column_stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)])

    times = np.concatenate([np.linspace(0.05, 0.45, 21), np.linspace(0.55, 0.9, 21)])
    found = base_acceleration(model, times)
    expected = _second_difference(place, times, 2e-5)
    scale = 5e-3 * (2.0 * top) ** 2
    np.testing.assert_allclose(found, expected, atol=2e-5 * scale)
    for time, value in zip(times, found, strict=True):
        speed, rate = (top * time / 0.5, top / 0.5) if time < 0.5 else (top, 0.0)
        angle = float(turned(np.array(time)))
        kernel = locked_acceleration(time, angle, speed, rate, model.shaking)
        assert kernel == pytest.approx(tuple(value), abs=1e-9 * scale)
    assert model.summary.harmonic_rms[:2] == pytest.approx([scale / math.sqrt(2.0)] * 2)


def test_everything_at_once_in_the_kernel_and_in_numpy(model_case):
    """All kinds together: the compiled sum is the reference sum."""
    text = SWEEP.format(20.0, 80.0) + "sweep_s = 1.0\n" + SHOCK.format("saw_tooth")
    text += "rate_per_s = 100\n" + EXCITER + "speed_rpm = 900\n"
    text += '\n[[vibration]]\nkind = "psd"\naxis = ["x", "z"]\npsd_unit = "g2/Hz"\n'
    text += "psd = [[20, 0.01], [200, 0.01]]\nkurtosis = 4.0\n"
    text += (
        '\n[[vibration]]\nkind = "sine"\ndirection = [1, 1, 1]\nfrequency_Hz = 9\namplitude_g = 1\n'
    )
    model = build_vibration(model_case(extra=text), 2.0)
    times = np.random.default_rng(0).uniform(0.0, 2.0, 300)
    found = np.array([compiled_acceleration(time, model.shaking) for time in times])
    np.testing.assert_allclose(found, base_acceleration(model, times), atol=1e-8 * 30.0 * G0)
    assert set(model.shaking.pulse[:, 2]) == {PulseShape.SAW_TOOTH}
