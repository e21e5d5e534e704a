"""Coherence of the orbit with the imposed vibration, frames and waterfall, on known signals."""

import numpy as np
import pytest

from rollsim.analysis.coherence import coherence_with
from rollsim.analysis.spectra import FullSpectrum, share_near
from rollsim.analysis.whirl import whirl

RATE = 1000.0


@pytest.fixture(scope="module")
def noise():
    """Accelerations of three axes, 20 s."""
    return np.random.default_rng(5).normal(size=(20_000, 3))


def test_a_linear_relation_is_fully_coherent(noise):
    z = noise[:, 0] + 0.5j * np.roll(noise[:, 1], 1) - 0.2 * noise[:, 2]
    found = coherence_with(z, noise, RATE, 8.0)
    assert found.share > 0.97
    assert found.inputs == ("x", "y", "z")


def test_unrelated_noise_shows_chance_alone(noise):
    other = np.random.default_rng(6).normal(size=(2, 20_000))
    found = coherence_with(other[0] + 1j * other[1], noise, RATE, 8.0)
    # Multiple coherence of q inputs over n averages is q/n on the average.
    raw = np.nanmean(found.value)
    assert raw == pytest.approx(found.chance, rel=0.15)
    assert found.share < 0.02


def test_half_the_power_coherent_gives_half(noise):
    other = np.random.default_rng(7).normal(size=20_000)
    found = coherence_with(noise[:, 0] + other + 0j, noise[:, :1], RATE, 8.0)
    assert found.share == pytest.approx(0.5, abs=0.04)


def test_equal_inputs_count_once_and_a_still_base_has_no_coherence(noise):
    both = np.column_stack([noise[:, 0], 0.5 * noise[:, 0], 0.0 * noise[:, 0]])
    found = coherence_with(noise[:, 0] + 0j, both, RATE, 8.0)
    assert found.share > 0.97 and found.inputs == ("x", "y")
    assert coherence_with(noise[:, 0] + 0j, 0.0 * both, RATE, 8.0) is None


def test_a_short_record_does_not_tell(noise):
    found = coherence_with(noise[:40, 0] + 0j, noise[:40], RATE, 8.0)
    assert np.isnan(found.share)


def test_the_power_of_a_line_is_told_without_the_noise_around_it():
    frequency = np.arange(-50.0, 51.0)
    density = np.ones(101)
    density[frequency == 20.0] = 31.0
    spectrum = FullSpectrum(frequency, density, 1.0, 8)
    assert share_near(spectrum, [20.0]) == pytest.approx(30.0 / 131.0)
    assert share_near(spectrum, [20.0, 20.5]) == pytest.approx(30.0 / 131.0)
    assert share_near(spectrum, [-20.0]) == 0.0
    assert np.isnan(share_near(spectrum, []))


def test_a_spot_of_the_cage_that_rubs_stays_in_the_frame_of_the_cage(plain):
    history = plain.plain_history(samples=8001)
    z = 0.8 * np.exp(1j * (50.0 * history.time + 0.5))
    plain.set_orbit(history, z, 50j * z)
    history.channels["cage_angle"] = 50.0 * history.time
    rest, cage = whirl(history).frames
    assert (rest.name, cage.name) == ("fixed to the outer ring", "turning with the cage")
    assert abs(rest.mean) < 0.02
    assert cage.mean == pytest.approx(0.8 * np.exp(0.5j), abs=1e-6)
    assert cage.share.max() == pytest.approx(100.0)
    assert rest.share.sum() == pytest.approx(100.0)


def test_a_turning_guide_has_a_frame_of_its_own(plain):
    history = plain.plain_history(samples=8001, guidance="inner_ring")
    z = 0.5 * np.exp(120j * history.time)
    plain.set_orbit(history, z, 120j * z)
    rest, ring, _ = whirl(history).frames
    assert rest.name == "fixed to the housing" and ring.name == "turning with the inner ring"
    assert ring.mean == pytest.approx(0.5, abs=1e-6)


def test_the_waterfall_follows_a_ramp(plain):
    history = plain.plain_history(samples=20_001)
    speed = np.linspace(40.0, 120.0, 20_001)
    history.channels["inner_speed"] = speed
    history.channels["cage_speed"] = speed / 2.4
    angle = np.cumsum(speed) * 1e-3
    z = 0.6 * np.exp(-0.5j * angle)
    plain.set_orbit(history, z, -0.5j * speed * z)
    found = whirl(history).waterfall
    assert found.ring == "inner" and found.ramp
    middle = 0.5 * (found.edges[:-1] + found.edges[1:])
    top = middle[found.density.argmax(axis=1)]
    step = found.edges[1] - found.edges[0]
    np.testing.assert_allclose(top, -0.5 * found.speed / (2.0 * np.pi), atol=2.0 * step)


def test_a_constant_speed_is_no_ramp_and_a_short_record_has_no_waterfall(plain):
    history = plain.plain_history(samples=8001)
    plain.set_orbit(history, 0.6 * np.exp(20j * history.time), np.zeros(8001))
    found = whirl(history).waterfall
    assert not found.ramp
    assert whirl(plain.plain_history(samples=40)).waterfall is None
