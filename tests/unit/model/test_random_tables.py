"""Random sources: slopes, directions, coherence between axes, kurtosis, long runs."""

import tracemalloc

import numpy as np
import pytest
from scipy.signal import coherence, csd, periodogram, welch
from scipy.stats import kurtosis as kurtosis_of_scipy

from rollsim.model.asked import asked_power, asked_sources, asked_tables
from rollsim.model.random_tables import GOLDEN, MOST_SAMPLES, random_sources, track_periods
from rollsim.model.spectrum import density_at, overall_level
from rollsim.model.vibration import base_acceleration, build_vibration, foreseen_summary
from rollsim.units import G0

POINTS = np.array([[20.0, 0.01], [80.0, 0.04], [500.0, 0.04], [2000.0, 0.01]])
LOW = np.array([[20.0, 0.02], [200.0, 0.02]])
TEXT = '\n[[vibration]]\nkind = "psd"\naxis = {axis}\npsd_unit = "g2/Hz"\npsd = {points}\n{more}\n'
NO_RAMP = ("duration_s = 2", "duration_s = 2\nramp_s = 0")


def _text(axis='"y"', points=POINTS, more=""):
    """Text of a random source."""
    return TEXT.format(axis=axis, points=points.tolist(), more=more)


def _signals(model, track=0):
    """Samples (n, 3) in g and their interval of one track."""
    first, count, interval = model.shaking.tracks[track, :3]
    return model.shaking.samples[int(first) : int(first + count), :3] / G0, interval


def _third_octaves(signal, interval, points):
    """Greatest deviation of the averaged density from the table over the third octaves inside."""
    length = round(1.0 / interval)
    frequency, density = welch(signal, 1.0 / interval, "hann", length, length // 2)
    worst = 0.0
    centres = 1000.0 * 2.0 ** (np.arange(-24, 7) / 3.0)
    for centre in centres:
        low, high = centre * 2 ** (-1 / 6), centre * 2 ** (1 / 6)
        if low < 1.3 * points[0, 0] or high > points[-1, 0] / 1.05:
            continue
        band = (frequency >= low) & (frequency < high)
        expected = density_at(points, frequency[band]).mean()
        worst = max(worst, abs(density[band].mean() / expected - 1.0))
    assert worst > 0.0
    return worst


@pytest.mark.parametrize("wanted", [4.0, 6.0])
def test_kurtosis_is_met_and_the_density_kept(model_case, wanted):
    """60 s: kurtosis within 5 % (scipy), density within 5 % a third octave, rms exactly."""
    more = f"kurtosis = {wanted}"
    model = build_vibration(model_case(extra=_text(points=LOW, more=more)), 60.0)
    values, interval = _signals(model)
    assert kurtosis_of_scipy(values[:, 1], fisher=False) == pytest.approx(wanted, rel=0.05)
    assert values[:, 1].std() == pytest.approx(overall_level(LOW), rel=1e-9)
    assert _third_octaves(values[:, 1], interval, LOW) < 0.05
    assert model.summary.warnings == ()
    # symmetric, and as derivative columns say
    assert abs(np.mean(values[:, 1] ** 3)) < 0.2 * values[:, 1].std() ** 3
    slope = np.gradient(values[:, 1], interval)
    assert np.corrcoef(slope, model.shaking.samples[:, 4])[0, 1] > 0.9


def test_a_kurtosis_out_of_reach_is_told(model_case):
    """A band of a few lines cannot have high and rare peaks: the warning names what it has."""
    narrow = np.array([[100.0, 0.02], [102.0, 0.02]])
    text = _text(points=narrow, more="kurtosis = 10.0")
    found = build_vibration(model_case(extra=text), 1.0).summary.warnings
    assert any("has a kurtosis of" in sentence for sentence in found)


def test_gaussian_signal_has_kurtosis_three(model_case):
    values, interval = _signals(build_vibration(model_case(extra=_text(points=LOW)), 60.0))
    assert kurtosis_of_scipy(values[:, 1], fisher=False) == pytest.approx(3.0, rel=0.03)
    assert _third_octaves(values[:, 1], interval, LOW) < 0.05


@pytest.mark.parametrize(("share", "phase"), [(0.0, 0.0), (0.5, 0.0), (0.8, 60.0), (1.0, -90.0)])
def test_coherence_and_phase_between_two_axes(model_case, share, phase):
    """Against scipy: coherence over the band, phase of the cross spectrum, both densities."""
    more = f"coherence = {share}\nphase_deg = {phase}"
    model = build_vibration(model_case(extra=_text('["x", "z"]', LOW, more)), 60.0)
    values, interval = _signals(model)
    x, z = values[:, 0], values[:, 2]
    length = round(1.0 / interval)
    f, found = coherence(x, z, 1.0 / interval, nperseg=length)
    band = (f > 25.0) & (f < 190.0)
    assert found[band].mean() == pytest.approx(share, abs=0.03)
    _, cross = csd(x, z, 1.0 / interval, nperseg=length)
    if share > 0.0:
        angle = np.degrees(np.angle(cross[band].sum()))
        assert angle == pytest.approx(phase, abs=3.0)
    for signal in (x, z):
        assert signal.std() == pytest.approx(overall_level(LOW), rel=1e-9)
        assert _third_octaves(signal, interval, LOW) < 0.05
    np.testing.assert_array_equal(values[:, 1], 0.0)


def test_coherence_of_three_axes_by_pairs(model_case):
    """x-y 0.6, x-z 0.3, y-z 0.1: each pair as asked."""
    more = "coherence = [0.6, 0.3, 0.1]\nphase_deg = [30.0, 0.0, 45.0]"
    model = build_vibration(model_case(extra=_text('["x", "y", "z"]', LOW, more)), 60.0)
    values, interval = _signals(model)
    length = round(1.0 / interval)
    for (i, j), share in (((0, 1), 0.6), ((0, 2), 0.3), ((1, 2), 0.1)):
        f, found = coherence(values[:, i], values[:, j], 1.0 / interval, nperseg=length)
        assert found[(f > 25.0) & (f < 190.0)].mean() == pytest.approx(share, abs=0.03)


def test_density_of_coherent_axes_over_sixty_seconds(model_case):
    """Each third octave from 20 Hz, 277 lines in the lowest: within 5 %, on all three axes."""
    more = "coherence = [0.5, 0.3, 0.2]\nphase_deg = 40.0"
    text = _text('["x", "y", "z"]', more=more)
    for seed in (11, 12, 13):
        model = build_vibration(model_case(("seed = 11", f"seed = {seed}"), extra=text), 60.0)
        values, interval = _signals(model)
        frequency, density = periodogram(values, 1.0 / interval, "boxcar", detrend=False, axis=0)
        for low in 20.0 * 2.0 ** (np.arange(20) / 3.0):
            high = min(low * 2.0 ** (1.0 / 3.0), 2000.0)
            band = (frequency >= low) & (frequency < high)
            expected = density_at(POINTS, frequency[band]).mean()
            np.testing.assert_allclose(density[band].mean(axis=0), expected, rtol=0.05)


def test_the_first_axis_is_the_same_with_and_without_coherence(model_case):
    """Coherence changes the later axes only; 0 leaves all of them as they are."""
    plain = build_vibration(model_case(extra=_text('["x", "y"]')), 1.0).shaking.samples
    none = build_vibration(model_case(extra=_text('["x", "y"]', more="coherence = 0")), 1.0)
    some = build_vibration(model_case(extra=_text('["x", "y"]', more="coherence = 0.5")), 1.0)
    np.testing.assert_array_equal(none.shaking.samples, plain)
    np.testing.assert_array_equal(some.shaking.samples[:, 0], plain[:, 0])
    assert np.corrcoef(some.shaking.samples[:, 1], plain[:, 1])[0, 1] < 0.9


def test_direction_is_one_signal_along_it(model_case):
    """[3, 0, -4]: shares 0.6 and -0.8 of one signal of the whole level."""
    text = _text().replace('axis = "y"', "direction = [3.0, 0.0, -4.0]")
    values, _ = _signals(build_vibration(model_case(extra=text), 2.0))
    level = overall_level(POINTS)
    assert values.std(axis=0) == pytest.approx([0.6 * level, 0.0, 0.8 * level], rel=1e-9)
    np.testing.assert_allclose(values[:, 2], -4.0 / 3.0 * values[:, 0], atol=1e-9)
    tables = asked_tables(asked_sources(model_case(extra=text)))
    asked = [np.sqrt(asked_power(table, np.array([1.0, 5000.0]))[0]) / G0 for table in tables]
    assert asked == pytest.approx([0.6 * level, 0.0, 0.8 * level], rel=1e-9)


def test_slopes_make_the_table_that_they_say(model_case):
    """3 dB an octave is the factor 10^0.3: equal to the breakpoints written out."""
    rows = [[5.0, 0.04 * 10 ** (-0.6)], [20.0, 0.04], [80.0, 0.04], [160.0, 0.04 * 10 ** (-0.9)]]
    slopes = (
        '\n[[vibration]]\nkind = "psd"\naxis = "y"\npsd_unit = "g2/Hz"\npsd_level = 0.04\n'
        "psd_level_at_Hz = 33\n"
        "psd_slopes_dB_per_octave = [[5, 20, 3], [20, 80, 0], [80, 160, -9]]\n"
    )
    found = random_sources(model_case(extra=slopes))[0].table
    expected = random_sources(model_case(extra=_text(points=np.array(rows))))[0].table
    np.testing.assert_allclose(found, expected, rtol=1e-12)


def test_run_shorter_than_the_cap_has_one_track_and_a_longer_one_two(model_case):
    sources = random_sources(model_case(extra=_text()))
    assert track_periods(sources, 60.0, 120.0) == (1 / 20e3, (60.0,))
    interval, periods = track_periods(sources, 3600.0, 120.0)
    longest = MOST_SAMPLES * interval / (1.0 + 1.0 / GOLDEN)
    assert interval == 1 / 20e3 and periods == pytest.approx((longest, longest / GOLDEN), rel=0.03)
    assert track_periods(sources, 200.0, 60.0)[1] == pytest.approx((60.0, 60.0 / GOLDEN), rel=0.03)
    text = "\n[output]\nrate_Hz = 50000\n" + _text(points=10.0 * POINTS)
    fine = random_sources(model_case(extra=text))
    interval, periods = track_periods(fine, 3600.0, 120.0)
    assert sum(periods) / interval <= 1.03 * MOST_SAMPLES


def test_one_hour_of_three_axes_needs_little_memory(model_case):
    """3600 s at 20 kHz would be 3456 MB; the two tracks hold less than 135 MB."""
    sources = random_sources(model_case(extra=_text('["x", "y", "z"]')))
    interval, periods = track_periods(sources, 3600.0, 120.0)
    rows = sum(periods) / interval
    assert 3600.0 / interval * 48 > 3.4e9
    assert rows * 48 < 135e6


@pytest.mark.long
def test_measured_memory_of_one_hour(model_case):
    """Peak of everything made on the way: below 300 MB."""
    case = model_case(extra=_text('["x", "y", "z"]'))
    tracemalloc.start()
    model = build_vibration(case, 3600.0)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert model.summary.table_megabytes < 135.0
    assert peak < 300e6


def test_sum_of_two_tracks_keeps_the_density_and_does_not_repeat(model_case):
    """60 s from tracks of 7 s and 4.3 s: density, level; a period later only half is the same."""
    case = model_case(NO_RAMP, extra=_text(points=LOW))
    model = build_vibration(case, 60.0, period_cap=7.0)
    times = np.arange(0.0, 60.0, 1.0 / 2000.0)
    values = base_acceleration(model, times)[:, 1] / G0
    assert model.summary.random_rms[1] == pytest.approx(G0 * overall_level(LOW), rel=1e-9)
    assert values.std() == pytest.approx(overall_level(LOW), rel=0.03)
    first, second = model.summary.periods
    for period in (first, second):
        later = base_acceleration(model, times + period)[:, 1] / G0
        assert np.corrcoef(values, later)[0, 1] == pytest.approx(0.5, abs=0.1)
    assert abs(_third_octaves(values, 1.0 / 2000.0, LOW)) < 0.1
    whole = build_vibration(case, 60.0)
    assert len(whole.shaking.tracks) == 1


def test_kurtosis_of_two_tracks(model_case):
    """Each half has twice the excess, so that the sum has what was asked."""
    case = model_case(NO_RAMP, extra=_text(points=LOW, more="kurtosis = 4.0"))
    model = build_vibration(case, 400.0, period_cap=60.0)
    halves = [kurtosis_of_scipy(_signals(model, i)[0][:, 1], fisher=False) for i in (0, 1)]
    assert halves == pytest.approx([5.0, 5.0], rel=0.01)
    values = base_acceleration(model, np.arange(0.0, 400.0, 1.0 / 1000.0))[:, 1]
    assert kurtosis_of_scipy(values, fisher=False) == pytest.approx(4.0, rel=0.05)


def test_no_seam_and_no_dependence_on_how_it_is_read(model_case):
    """Across the end of the period value and slope run on; pieces give the bits of the whole."""
    model = build_vibration(model_case(NO_RAMP, extra=_text()), 1.0)
    period = model.summary.period
    times = period + np.linspace(-3e-4, 3e-4, 121)
    values = base_acceleration(model, times)[:, 1]
    jumps = np.abs(np.diff(values, 3))
    assert jumps[55:65].max() < 5.0 * np.median(jumps)
    parts = np.concatenate([base_acceleration(model, part) for part in np.split(times, 11)])
    np.testing.assert_array_equal(parts[:, 1], values)


def test_interpolation_error_at_the_band_edge(model_case):
    """A narrow band at the top: below 0.1 % of the rms against the sum of its lines."""
    edge = np.array([[1990.0, 0.01], [2000.0, 0.01]])
    model = build_vibration(model_case(NO_RAMP, extra=_text(points=edge)), 1.0)
    values, interval = _signals(model)
    lines = np.fft.rfft(values[:, 1]) * 2.0 / len(values)
    kept = np.flatnonzero(np.abs(lines) > 1e-9)
    times = np.random.default_rng(3).uniform(0.0, 1.0, 4000)
    omega = 2.0 * np.pi * kept / (len(values) * interval)
    exact = np.real(np.exp(1j * np.outer(times, omega)) @ lines[kept])
    error = base_acceleration(model, times)[:, 1] / G0 - exact
    assert np.sqrt(np.mean(error**2)) < 1e-3 * values[:, 1].std()


def test_a_check_foresees_what_the_run_will_have(model_case):
    """From a look of 1 s: periods, memory, warnings and shocks of the whole run."""
    shocks = (
        '\n[[vibration]]\nkind = "shock"\naxis = "y"\nshape = "half_sine"\namplitude_g = 5\n'
        "duration_ms = 9\nstart_s = 0.5\nperiod_ms = 100\n"
    )
    case = model_case(extra=_text(points=LOW) + shocks)
    short = build_vibration(case, 1.0).summary
    found = foreseen_summary(case, short, 1.0, 20.0, 7.0)
    whole = build_vibration(case, 20.0, 7.0).summary
    assert found.shock_count == whole.shock_count == 195
    assert found.periods == pytest.approx(whole.periods, rel=1e-3)
    assert found.table_megabytes == pytest.approx(whole.table_megabytes, rel=0.03)
    assert len(found.warnings) == len(whole.warnings) == 1
    assert "half the power each" in found.warnings[0]
    assert foreseen_summary(case, short, 1.0, 1.0) is short


@pytest.mark.parametrize(
    ("first", "second", "same"), [('"y"', '"y"', True), ('"x"', '"y"', False), ('"y"', None, False)]
)
def test_sources_with_one_signal_are_told(model_case, first, second, same):
    """Equal seed and axis: twice the acceleration of one, and a warning; else sqrt(2) at most."""
    seeded = _text(axis=second or first, points=LOW, more="seed = 9" if second else "")
    extra = _text(axis=first, points=LOW, more="seed = 9") + seeded
    model = build_vibration(model_case(extra=extra), 2.0)
    values, _ = _signals(model)
    twice = values[:, 1].std() == pytest.approx(2.0 * overall_level(LOW), rel=1e-9)
    assert twice == same
    found = [text for text in model.summary.warnings if "1 and 2 have the same seed" in text]
    assert len(found) == same
