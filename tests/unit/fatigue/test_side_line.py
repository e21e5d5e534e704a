"""The spectral side line against rainflow counting of the same stress."""

import numpy as np
import pytest

from rollsim.fatigue.side_line import side_line, straight_damage
from rollsim.fatigue.sn_curve import SNCurve

CURVE = SNCurve(100e6, 1e6, 5.0, 9.0, 400e6)
RATE = 5000.0


def gaussian(seed=4, length=100_000):
    """Gaussian stress of 20 MPa rms in two bands, with a mean."""
    rng = np.random.default_rng(seed)
    frequency = np.fft.rfftfreq(length, 1.0 / RATE)
    shape = 2.0 * ((frequency > 20) & (frequency < 40)) + ((frequency > 150) & (frequency < 200))
    noise = rng.normal(size=len(frequency)) + 1j * rng.normal(size=len(frequency))
    stress = np.fft.irfft(noise * shape, length)
    return 20e6 * stress / stress.std() + 30e6


def test_gaussian_stress_has_nearly_the_same_damage_by_both_ways():
    found = side_line(gaussian(), 1.0 / RATE, CURVE)
    assert found.looks_gaussian and found.reason.startswith("The stress is near")
    assert found.rms == pytest.approx(20e6, rel=1e-6)
    assert found.kurtosis == pytest.approx(3.0, abs=0.1)
    assert found.crest == pytest.approx(found.gaussian_crest, rel=0.25)
    ratios = found.ratios
    assert ratios["Dirlik"] == pytest.approx(1.0, abs=0.12)
    assert ratios["Tovo and Benasciutti"] == pytest.approx(1.0, abs=0.12)
    assert 1.3 < ratios["narrow band"] < 2.2
    assert ratios["Dirlik"] < ratios["Wirsching and Light"] < ratios["narrow band"]


def test_impacts_are_called_no_gaussian_stress():
    rng = np.random.default_rng(2)
    pulses = np.zeros(20_000)
    pulses[::250] = rng.exponential(100e6, 80)
    found = side_line(pulses, 1.0 / RATE, CURVE)
    assert found.kurtosis > 50 and not found.looks_gaussian
    assert "NOT GAUSSIAN" in found.reason and "impacts" in found.reason
    # The same energy spread evenly misses the rare strong ones by orders of ten.
    assert max(found.ratios.values()) < 0.05


def test_a_sine_is_called_a_sine():
    sine = 50e6 * np.sin(2 * np.pi * 50.0 * np.arange(20_000) / RATE)
    found = side_line(sine, 1.0 / RATE, CURVE)
    assert found.kurtosis == pytest.approx(1.5, rel=1e-3) and "nearer to a sine" in found.reason
    # 50 cycles a second of half the strength at the knee, on the slope carried on.
    assert found.rainflow_per_h == pytest.approx(50.0 * 3600.0 * 0.5**5 / 1e6, rel=0.01)


def test_knee_and_mean_do_not_count():
    low = np.tile([0.0, 20e6], 50)
    assert straight_damage(low, CURVE) == pytest.approx(straight_damage(low + 90e6, CURVE))
    assert straight_damage(low, CURVE) == pytest.approx(49.5 * 0.1**5 / 1e6)


def test_edges():
    assert side_line(np.full(200, 5e6), 1e-3, CURVE) is None
    assert side_line(np.arange(20.0), 1e-3, CURVE) is None
