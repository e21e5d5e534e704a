"""Bands, lines, motion, statistics: closed forms and sums that must close."""

import numpy as np
import pytest

from rollsim.model.random_response import peak_exceedance, peak_factor
from rollsim.signals.bands import band_centre, band_edges, band_power, bands_over, nominal_centre
from rollsim.signals.lines import find_tones, fit_lines, line_signal
from rollsim.signals.measure import Plan, measure, measure_beside
from rollsim.signals.motion import drift_free_motion
from rollsim.signals.statistics import averaged_density, histogram, statistics

RATE = 5000.0
TIMES = np.arange(20_000) / RATE


def narrow_band(seconds=200.0, rate=4000.0, seed=5):
    """Gaussian signal of rms 1 in a band of 100 Hz +- 2 Hz, from many sines."""
    rng = np.random.default_rng(seed)
    count = int(seconds * rate)
    lines = np.zeros(count // 2 + 1, complex)
    inside = slice(int(98 * seconds), int(102 * seconds) + 1)
    size = inside.stop - inside.start
    lines[inside] = rng.normal(size=size) + 1j * rng.normal(size=size)
    signal = np.fft.irfft(lines, count)
    return signal / signal.std(), rate


def test_bands_follow_each_other_without_gaps():
    numbers = bands_over(3.0, 2100.0)
    edges = band_edges(numbers)
    assert edges[0] <= 3.0 < edges[1] and edges[-2] < 2100.0 <= edges[-1]
    assert edges[1:] / edges[:-1] == pytest.approx(10.0**0.1)
    assert np.sqrt(edges[1:] * edges[:-1]) == pytest.approx(band_centre(numbers))
    nominal = [nominal_centre(n) for n in numbers]
    assert nominal == pytest.approx(band_centre(numbers), rel=0.012)


@pytest.mark.parametrize("count", [20_000, 19_999])
def test_bands_add_up_to_the_whole(count):
    signal = np.random.default_rng(1).normal(2.0, 3.0, count)
    numbers = bands_over(1.0, 2500.0)
    edges = np.concatenate([[0.0], band_edges(numbers)[:-1], [2500.0]])
    assert band_power(signal, RATE, edges).sum() == pytest.approx(np.mean(signal**2), rel=1e-9)


def test_measured_bands_and_the_rest_add_up_to_the_total_rms():
    rng = np.random.default_rng(2)
    signal = rng.normal(0.0, [1.0, 5.0, 0.0], (20_000, 3))
    found = measure(TIMES, signal, Plan(20.0, 1000.0, response=False))
    for axis, values in zip(found.axes, signal.T, strict=True):
        total = np.hypot(np.sqrt(np.sum(axis.band_rms**2)), axis.outside_rms)
        assert total == pytest.approx(values.std(), abs=1e-9)
        assert axis.whole.rms == pytest.approx(values.std(), abs=1e-12)


def test_a_sine_lies_in_its_band():
    signal = 3.0 * np.sin(2.0 * np.pi * 100.0 * TIMES)
    numbers = bands_over(20.0, 500.0)
    power = band_power(signal, RATE, band_edges(numbers))
    assert nominal_centre(numbers[power.argmax()]) == 100.0
    assert power.max() == pytest.approx(4.5, rel=1e-3)


def test_lines_are_taken_apart_from_noise():
    rng = np.random.default_rng(4)
    noise = rng.normal(0.0, 2.0, (20_000, 3))
    cosine, sine = np.array([[45.0, 0.0, 0.0]]), np.array([[0.0, 45.0, 1.0]])
    signal = noise + line_signal(TIMES, [16.17], cosine, sine)
    found = measure(TIMES, signal, Plan(5.0, 500.0, (16.17,), response=False))
    # Scatter of an amplitude: sqrt(2 sigma^2/n) = 0.02.
    assert found.amplitude[0] == pytest.approx([45.0, 45.0, 1.0], abs=0.1)
    assert [axis.rest_rms for axis in found.axes] == pytest.approx(noise.std(axis=0), rel=1e-3)
    # Without the line no band holds more than the noise has there.
    band = found.axes[0].band_rms[int(np.argmin(np.abs(band_centre(found.bands) - 16.17)))]
    assert band < 0.5


def test_lines_that_the_stretch_cannot_tell_apart_are_one():
    found = measure(TIMES, np.zeros((20_000, 3)), Plan(5.0, 500.0, (50.0, 50.1, 0.01, 9e3)))
    assert found.lines.tolist() == [50.0]
    assert fit_lines(TIMES, np.ones((20_000, 1)), [])[0].shape == (0, 1)


def test_circular_throw_has_its_velocity_and_displacement():
    """4.3 mm at 970 rpm: r w^2, r w, r, with an offset and a drift that must not count."""
    omega, radius = 2.0 * np.pi * 970.0 / 60.0, 4.3e-3
    signal = np.column_stack(
        [-radius * omega**2 * np.cos(omega * TIMES) + 0.3, 0.1 * TIMES, 0.0 * TIMES]
    )
    found = measure(TIMES, signal, Plan(10.0, 500.0, (970.0 / 60.0,), response=False))
    x, y, z = found.axes
    assert x.velocity[1] == pytest.approx(radius * omega, rel=2e-3)
    assert x.displacement[1] == pytest.approx(radius, rel=2e-3)
    assert x.velocity[0] == pytest.approx(radius * omega / np.sqrt(2.0), rel=2e-3)
    assert x.removed_mean == pytest.approx(0.3, rel=0.02)
    assert y.displacement[1] < 1e-4 and z.velocity == (0.0, 0.0)
    assert y.end_velocity == pytest.approx(0.05 * TIMES[-1] ** 2, rel=1e-3)


def test_motion_of_a_sine_that_does_not_fit_the_stretch():
    omega = 2.0 * np.pi * 30.4321
    motion = drift_free_motion(np.sin(omega * TIMES), RATE, 5.0)
    kept = motion.valid
    assert np.abs(motion.velocity[kept]).max() == pytest.approx(1.0 / omega, rel=0.02)
    assert np.abs(motion.displacement[kept]).max() == pytest.approx(1.0 / omega**2, rel=0.05)


def test_narrow_band_has_rayleigh_peaks():
    """1.11 % of the peaks of a narrow band lie beyond three rms."""
    signal, rate = narrow_band()
    found = statistics(signal, rate)
    assert found.kurtosis == pytest.approx(3.0, abs=0.3)
    assert found.crossings == pytest.approx(100.0, rel=0.01)
    assert peak_exceedance(3.0, 1.0) == pytest.approx(0.01111, abs=1e-5)
    # 40 000 peaks in groups of some 25: a scatter of about a fifth.
    assert found.high_peaks == pytest.approx(0.01111, rel=0.6)


def test_wide_band_has_the_largest_value_of_davenport():
    """Mean of the largest of 40 pieces of 10 s, either sign: two-sided, so 2 nu T crossings."""
    rng = np.random.default_rng(9)
    count, rate = 1_600_000, 4000.0
    lines = np.zeros(count // 2 + 1, complex)
    inside = slice(int(20 * count / rate), int(500 * count / rate))
    size = inside.stop - inside.start
    lines[inside] = rng.normal(size=size) + 1j * rng.normal(size=size)
    pieces = np.fft.irfft(lines, count).reshape(40, -1)
    found = [statistics(piece, rate) for piece in pieces]
    crossings = np.mean([item.crossings for item in found])
    # Rice: the root of the mean square frequency of a flat band from 20 to 500 Hz.
    assert crossings == pytest.approx(np.sqrt((500**3 - 20**3) / (3.0 * 480.0)), rel=0.01)
    expected = peak_factor(2.0 * crossings * 10.0)
    assert np.mean([item.crest for item in found]) == pytest.approx(expected, rel=0.04)


def test_a_base_at_rest_has_no_ratios():
    found = statistics(np.full(100, 9.81), RATE)
    assert (found.rms, found.peak, found.crossings, found.peaks) == (0.0, 0.0, 0.0, 0)
    assert np.isnan([found.crest, found.kurtosis, found.high_peaks]).all()
    assert histogram(np.zeros(50))[1].sum() == 0.0


def test_histogram_is_a_density():
    signal = np.random.default_rng(6).normal(1.0, 4.0, 200_000)
    edges, density = histogram(signal)
    assert np.sum(density * np.diff(edges)) == pytest.approx(1.0)
    middle = 0.5 * (edges[1:] + edges[:-1])
    normal = np.exp(-0.5 * middle**2) / np.sqrt(2.0 * np.pi)
    assert density == pytest.approx(normal, abs=0.01)


def test_averaged_density_of_white_noise():
    signal = np.random.default_rng(7).normal(0.0, 3.0, 400_000)
    frequency, density = averaged_density(signal, RATE, 10.0)
    assert np.median(density) == pytest.approx(9.0 / (0.5 * RATE), rel=0.02)
    assert frequency[0] > 0.0 and frequency[-1] == pytest.approx(2500.0)


def test_unnamed_tones_are_found_to_a_hundredth_of_a_line():
    rng = np.random.default_rng(12)
    signal = rng.normal(0.0, 1.0, (20_000, 3))
    signal[:, 0] += 5.0 * np.sin(2.0 * np.pi * 23.4567 * TIMES + 0.4)
    signal[:, 1] += 4.0 * np.cos(2.0 * np.pi * 61.03 * TIMES)
    assert sorted(find_tones(TIMES, signal)) == pytest.approx([23.4567, 61.03], abs=0.01 / 4.0)
    assert find_tones(TIMES, rng.normal(size=(20_000, 3))) == []
    assert find_tones(TIMES, np.zeros((20_000, 3))) == []


@pytest.mark.parametrize("count", [1300, 1301, 1302, 1303])
def test_averaged_density_reaches_to_the_end_of_a_short_signal(count):
    """A tone in the last 15 % of 1.3 s: its power is in the density, whatever the samples."""
    rate = 1000.0
    times = np.arange(count) / rate
    signal = np.sin(2.0 * np.pi * 125.0 * times) * (times > 0.85 * times[-1])
    frequency, density = averaged_density(signal, rate, 0.05)
    found = np.sum(density) * (frequency[1] - frequency[0])
    assert found > 0.5 * signal.var()


def test_a_signal_measured_beside_another_is_measured_alike():
    """The same motion at two rates: lines, bands, density and kurtosis agree."""
    generator = np.random.default_rng(5)
    frequency = np.arange(20.0, 150.0, 0.25)
    phase = generator.uniform(0.0, 2.0 * np.pi, (len(frequency), 3))

    def motion(times):
        angle = 2.0 * np.pi * np.outer(times, frequency)
        rough = np.cos(angle) @ np.cos(phase) - np.sin(angle) @ np.sin(phase)
        return rough + 40.0 * np.sin(2.0 * np.pi * 33.3 * times)[:, None]

    fast, slow = np.arange(0.2, 4.2, 1.0 / 5000.0), np.arange(0.2, 4.2, 1e-3)
    one = measure(fast, motion(fast), Plan(20.0, 150.0, (33.3,), response=False))
    other = measure_beside(slow, motion(slow), one)
    np.testing.assert_allclose(np.hypot(other.cosine, other.sine), one.amplitude, rtol=0.01)
    for i, axis in enumerate(one.axes):
        kept = axis.band_rms > 0.1 * axis.rest_rms
        np.testing.assert_allclose(other.band_rms[i][kept], axis.band_rms[kept], rtol=0.02)
        assert other.rest_rms[i] == pytest.approx(axis.rest_rms, rel=0.01)
        assert other.rest_kurtosis[i] == pytest.approx(axis.rest_kurtosis, rel=0.02)
        seen = (axis.frequency > 25.0) & (axis.frequency < 145.0)
        density = np.interp(axis.frequency[seen], other.frequency, other.density[i])
        assert density.mean() == pytest.approx(axis.density[seen].mean(), rel=0.02)
