"""Shock response spectrum and response to random vibration.

Sources: D. O. Smallwood 1981 (ramp invariant filter, ISO 18431-4); half-sine amplification 1.768 at
f T = 0.81 (textbooks print 1.77); J. W. Miles 1954 and Crandall & Mark 1963 (flat density). Printed
values stand in `rollsim/verification/vibration.py`.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from rollsim.model.random_response import miles_response, white_noise_response
from rollsim.signals.shock_response import (
    resonator_response,
    response_frequencies,
    shock_response,
)


def half_sine(duration, amplitude, samples=1000):
    """Sampled half-sine pulse and its sampling rate."""
    time = np.linspace(0.0, duration, samples + 1)
    return amplitude * np.sin(np.pi * time / duration), samples / duration


def undamped_largest(ratio):
    """Largest response to a half-sine over its amplitude; ratio: f T. Closed form.

    During the pulse x'' + w^2 x = w^2 sin(pi t/T) gives
    (sin(pi t/T) - r sin(w t))/(1 - r^2) with r = pi/(w T) = 1/(2 f T); after it the resonator
    swings with 2 r cos(pi f T)/(1 - r^2).
    """
    r = 0.5 / ratio
    time = np.linspace(0.0, 1.0, 200_001)
    during = (np.sin(np.pi * time) - r * np.sin(2.0 * np.pi * ratio * time)) / (1.0 - r * r)
    after = 2.0 * r * np.cos(np.pi * ratio) / (1.0 - r * r)
    return max(np.abs(during).max(), abs(after))


@pytest.mark.parametrize("ratio", [0.2, 0.35, 0.7, 0.81, 1.2, 1.9, 3.3, 7.1])
def test_undamped_half_sine_against_its_closed_form(ratio):
    pulse, rate = half_sine(0.006, 1000.0, 4000)
    (found,) = shock_response(pulse, rate, [ratio / 0.006], np.inf)
    assert found == pytest.approx(1000.0 * undamped_largest(ratio), rel=2e-4)


def test_spectrum_has_its_two_known_ends():
    """Soft resonators take the velocity change w dv, stiff ones follow the pulse."""
    pulse, rate = half_sine(0.006, 1000.0, 2000)
    low, high = shock_response(pulse, rate, [1.0, 5000.0], np.inf)
    assert low == pytest.approx(2.0 * np.pi * 1.0 * 3.8197, rel=2e-3)
    assert high == pytest.approx(1000.0, rel=0.04)


@pytest.mark.parametrize("quality", [2.0, 10.0, 50.0])
def test_filter_against_an_integrated_oscillator(quality):
    """The equation x'' + (w/Q)(x' - v) + w^2 (x - y) = 0 by a general integrator."""
    rng = np.random.default_rng(3)
    rate, frequency = 2000.0, 70.0
    base = np.cumsum(rng.normal(size=120))
    times = np.arange(len(base)) / rate
    omega = 2.0 * np.pi * frequency

    def rates(t, state):
        """Relative displacement and velocity; the base runs straight between samples."""
        return [state[1], -np.interp(t, times, base) - omega / quality * state[1]
                - omega**2 * state[0]]  # fmt: skip

    done = solve_ivp(rates, (0.0, times[-1]), [0.0, 0.0], "DOP853", times,
                     max_step=1.0 / rate, rtol=1e-10, atol=1e-14)  # fmt: skip
    expected = -(omega / quality) * done.y[1] - omega**2 * done.y[0]
    found = resonator_response(base, rate, frequency, quality)
    # The filter starts one sample before the first, from zero: a straight rise to the first.
    start = resonator_response(np.array([base[0]]), rate, frequency, quality)[0]
    assert abs(start) < 0.06 * abs(base).max()
    shifted = np.concatenate([[0.0], base - base[0]])
    again = resonator_response(shifted, rate, frequency, quality)[1:]
    flat = _step_response(times, frequency, quality) * base[0]
    assert np.abs(again + flat - expected).max() < 2e-5 * np.abs(expected).max()
    assert np.abs(found).max() == pytest.approx(np.abs(expected).max(), rel=0.05)


def _step_response(times, frequency, quality):
    """Absolute acceleration after a step of the base acceleration to one. Closed form."""
    z, w = 0.5 / quality, 2.0 * np.pi * frequency
    d = w * np.sqrt(1.0 - z * z)
    fall = np.exp(-z * w * times)
    return 1.0 - fall * (np.cos(d * times) - z * w / d * np.sin(d * times))


def test_step_response_starts_at_zero_and_passes_one():
    """The closed form used above: at rest first, twice the step at most."""
    times = np.linspace(0.0, 0.02, 20001)
    flat = _step_response(times, 100.0, 1e6)
    assert flat[0] == 0.0
    assert flat.max() == pytest.approx(2.0, rel=1e-4)


def test_random_vibration_against_miles_and_the_exact_response():
    """Flat 0.04 g2/Hz, 100 Hz, Q = 10: Miles 7.93 g, exact 7.966 g; here by simulation."""
    rng = np.random.default_rng(8)
    rate, seconds, density = 4000.0, 400.0, 0.04
    white = rng.normal(0.0, np.sqrt(0.5 * density * rate), int(rate * seconds))
    rms = resonator_response(white, rate, 100.0, 10.0).std()
    # Band width pi f/(2 Q) = 16 Hz: scatter of the rms 1/(2 sqrt(16 * 400)) = 0.6 %.
    assert rms == pytest.approx(white_noise_response(100.0, 10.0, density), rel=0.02)
    assert rms == pytest.approx(miles_response(100.0, 10.0, density), rel=0.025)


def test_random_response_by_quadrature_of_the_filter():
    """Mean square of the response from the filter's own transfer function, by quadrature."""
    from scipy.signal import freqz

    from rollsim.signals.shock_response import response_filter

    rate = 40_000.0
    frequency = np.linspace(0.01, 2000.0, 400_001)
    _, transfer = freqz(*response_filter(100.0, 10.0, rate), worN=frequency, fs=rate)
    power = np.abs(transfer) ** 2 * 0.04
    area = np.sum(0.5 * (power[1:] + power[:-1])) * (frequency[1] - frequency[0])
    # What lies above 2 kHz, (f_n/(Q f))^2, is 1.5e-4 of it.
    assert np.sqrt(area) == pytest.approx(7.96619, rel=3e-4)


def test_largest_undamped_amplification_is_that_of_the_closed_form():
    best = minimize_scalar(lambda r: -undamped_largest(r), bounds=(0.6, 1.1), method="bounded")
    assert -best.fun == pytest.approx(1.768, abs=1e-3)


def test_frequencies_rise_evenly():
    found = response_frequencies(10.0, 1000.0)
    assert found[0] == 10.0 and 900.0 < found[-1] <= 1000.0
    assert np.ptp(np.diff(np.log(found))) < 1e-12
