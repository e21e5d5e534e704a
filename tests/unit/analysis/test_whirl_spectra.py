"""Two-sided spectrum: scale, sense, Parseval, lines."""

import numpy as np
import pytest

from rollsim.analysis.spectra import (
    circulation,
    full_spectrum,
    kinematic_lines,
    section_length,
    strongest_peaks,
)
from rollsim.model.kinematics import characteristic_frequencies

RATE = 2000.0


def noise(samples, seed=1):
    rng = np.random.default_rng(seed)
    return rng.normal(size=samples) + 1j * rng.normal(size=samples)


@pytest.mark.parametrize("samples", [1000, 1001])
def test_parseval_exactly_for_one_section_without_taper(samples):
    z = noise(samples) + 0.3 - 2.0j
    spectrum = full_spectrum(z, RATE, window="boxcar")
    assert spectrum.averages == 1
    assert spectrum.power == pytest.approx(np.mean(np.abs(z) ** 2), rel=1e-12)


def test_parseval_within_the_scatter_for_the_averaged_spectrum():
    z = noise(200_000)
    spectrum = full_spectrum(z, RATE, section=1024)
    assert spectrum.averages == 389
    assert spectrum.power == pytest.approx(np.mean(np.abs(z) ** 2), rel=0.01)
    # White noise of power 2 spread over 2000 Hz.
    assert np.median(spectrum.density) == pytest.approx(2.0 / RATE, rel=0.02)


@pytest.mark.parametrize("frequency", [40.0, -40.0])
def test_the_sense_of_rotation_shows_as_the_sign(frequency):
    time = np.arange(4000) / RATE
    spectrum = full_spectrum(0.5 * np.exp(2j * np.pi * frequency * time), RATE)
    assert spectrum.frequency[spectrum.density.argmax()] == pytest.approx(frequency)
    assert np.all(np.diff(spectrum.frequency) > 0.0)
    peak = strongest_peaks(spectrum, 3)
    assert len(peak) == 1
    assert peak[0].frequency == pytest.approx(frequency)
    assert peak[0].share == pytest.approx(1.0, abs=1e-6)


def test_strongest_peaks_are_sorted_and_share_the_power():
    time = np.arange(8000) / RATE
    z = 2.0 * np.exp(2j * np.pi * 30.0 * time) + np.exp(-2j * np.pi * 100.0 * time)
    found = strongest_peaks(full_spectrum(z, RATE), 5)
    assert [round(peak.frequency) for peak in found] == [30, -100]
    assert [peak.share for peak in found] == pytest.approx([0.8, 0.2], abs=1e-6)


@pytest.mark.parametrize("samples", [1200, 1201])
def test_circulation_is_antisymmetric_and_zero_on_a_line(samples):
    z = noise(samples)
    assert circulation(np.conj(z)) == pytest.approx(-circulation(z))
    assert circulation(z.real * (0.6 + 0.8j)) == pytest.approx(0.0, abs=1e-12)
    assert np.isnan(circulation(np.full(samples, 0.25 + 0.5j)))


def test_sections_resolve_the_cage_speed_where_the_run_is_long_enough():
    assert section_length(1_000_000, 5000.0, 8.0) == 12_500
    assert section_length(20_000, 5000.0, 8.0) == 4444  # 8 averages
    assert section_length(9000, 5000.0, 8.0) == 2500  # a quarter of the cage speed
    assert section_length(3000, 5000.0, 8.0) == 1500  # 3 averages, not fewer
    assert section_length(1_000_000, 5000.0, 0.0) <= 1_000_000


def lines_of(*hertz):
    """Lines by name for cage, inner and outer ring speeds in Hz, 18 rollers."""
    cage, *rings = (2.0 * np.pi * value for value in hertz)
    return {line.name: line.frequency for line in kinematic_lines(cage, rings, 18)}


def test_kinematic_lines_carry_the_sense_of_rotation():
    assert list(lines_of(-8.0, -20.0, 0.0).values()) == pytest.approx([-8.0, -20.0, -144.0, -216.0])


def test_lines_of_a_turning_outer_ring_agree_with_the_bearing_kinematics():
    # Planet bearing: the inner ring stands, rollers of 40 mm on 280 mm; speeds in Hz.
    inner, outer = 0.0, -46.8 / 60.0
    found = characteristic_frequencies((inner, 2.0 * np.pi * outer), 18, 0.04, 0.28)
    lines = lines_of(-found.cage, inner, outer)
    assert "inner ring speed" not in lines
    assert lines["outer ring speed"] == pytest.approx(-found.outer)
    assert lines["roller passing, outer ring"] == pytest.approx(found.outer_pass)
    assert lines["roller passing, inner ring"] == pytest.approx(found.inner_pass)


def test_what_stands_still_has_no_line():
    # Rings that turn against each other so that the cage stands.
    assert list(lines_of(0.0, 20.0, -15.0)) == [
        "inner ring speed",
        "outer ring speed",
        "roller passing, outer ring",
        "roller passing, inner ring",
    ]
    assert lines_of(0.0, 0.0, 0.0) == {}
