"""Imposed vibration of a case as numbers: sampled tracks, harmonics."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim.case.environments import points_in_si
from rollsim.kernels.types import Shaking
from rollsim.model.duty import course_table, duty_course
from rollsim.model.recording.replay import build_replays
from rollsim.model.recording.told import recording_warnings
from rollsim.model.shaking import imposed_acceleration, make_shaking
from rollsim.model.spectrum import SAMPLES_PER_PERIOD, line_amplitudes, random_phase_signal
from rollsim.model.tracks import Track
from rollsim.units import DEG, G0, HZ_TO_RAD_S, MM, RPM_TO_RAD_S

PERIOD_CAP = 120.0
"""s: longest period of the random table unless asked otherwise."""

TABLE_WARNING = 500.0
"""MB above which the size of the random table is worth a warning."""

_LOW_PERIODS = 10
_AXES = "xyz"


@dataclass(frozen=True)
class VibrationSummary:
    """What was made of the vibration sources.

    period: s, after which the random part repeats (0 without one); sample_rate: Hz of the table;
    lowest_frequency, highest_frequency: Hz of the random sources; table_megabytes: MB;
    random_rms, harmonic_rms: arrays (3,), m/s^2 of x, y, z; warnings: tuple of plain sentences;
    recordings: tuple of RecordingSummary.
    """

    period: float
    sample_rate: float
    lowest_frequency: float
    highest_frequency: float
    table_megabytes: float
    random_rms: np.ndarray
    harmonic_rms: np.ndarray
    warnings: tuple = ()
    recordings: tuple = ()


@dataclass(frozen=True)
class VibrationModel:
    """Base acceleration of the housing.

    shaking: Shaking, the arrays of the kernels; turning: array (k, 3), rows of time, speed and
    angle of the inner ring where its speed is prescribed (s, rad/s, rad); summary:
    VibrationSummary.
    """

    shaking: Shaking
    turning: np.ndarray
    summary: VibrationSummary


@dataclass(frozen=True)
class _RandomSignal:
    """One random signal to make: axis 0..2, density table in SI, factor, seed sequence."""

    axis: int
    table: np.ndarray
    gain: float
    seed: np.random.SeedSequence


def build_vibration(case, duration, period_cap=PERIOD_CAP):
    """Turn the vibration sources of a case into a random table and harmonics.

    Random signals share one table, sampled ten times in a period of the highest frequency. Its
    period covers the duration and ten periods of the lowest frequency, up to a cap.

    Parameters
    ----------
    case : Case
        The case (vibration, seed, ramp).
    duration : float, s
        Simulated time.
    period_cap : float, s
        Longest period of the random table.

    Returns
    -------
    VibrationModel
        Equal for equal case, duration and cap.
    """
    signals = _random_signals(case)
    harmonic = _harmonics(case.vibration)
    tracks = []
    if signals:
        tracks = [_random_track(signals, min(_wanted_period(signals, duration), period_cap))]
    replays = build_replays(case, duration)
    tracks += [replay.track() for replay in replays]
    shaking = make_shaking(tracks, harmonic, ramp=case.duty.ramp_s)
    summary = _with_recordings(_summary(signals, shaking, duration), replays, case)
    return VibrationModel(shaking, _turning(case), summary)


def _with_recordings(summary, replays, case):
    """The summary with what there is to say about recordings."""
    recordings = tuple(replay.summary for replay in replays)
    more = [w for item in recordings for w in recording_warnings(item, case.output.rate_Hz)]
    return replace(summary, recordings=recordings, warnings=(*summary.warnings, *more))


def _turning(case):
    """Rows of time, speed and angle of the inner ring where its speed is prescribed."""
    table = course_table(duty_course(case), "inner")[:, :3]
    return table if len(table) else np.array([[0.0, RPM_TO_RAD_S * case.duty.speed_rpm, 0.0]])


def base_acceleration(model, times):
    """Base acceleration at given times, all sources, faded in over the ramp.

    Parameters
    ----------
    model : VibrationModel
        The vibration.
    times : array (n,), s
        Times; the vibration is zero before time zero.

    Returns
    -------
    array (n, 3), m/s^2
        x, y and z.
    """
    return imposed_acceleration(model.shaking, times, model.turning)


def _random_signals(case):
    """List the independent random signals of a case, one an axis of each source."""
    signals = []
    for position, source in enumerate(case.vibration):
        if source.kind != "psd":
            continue
        table = density_table(source, case.environments)
        for name in source.axis:
            axis = _AXES.index(name)
            seed = _seed(source, case.case.seed, position, axis)
            signals.append(_RandomSignal(axis, table, source.gain, seed))
    return signals


def density_table(source, environments):
    """Breakpoints of a random source without its gain.

    Parameters
    ----------
    source : PsdSource
        The source.
    environments : mapping
        Name -> Environment.

    Returns
    -------
    array (n, 2), Hz and (m/s^2)^2/Hz
    """
    if source.environment is not None:
        return np.array(environments[source.environment].points_si, dtype=float)
    return np.array(points_in_si(source.psd, source.psd_unit), dtype=float)


def _seed(source, case_seed, position, axis):
    """Seed of one signal: independent for every source and axis, the same in every run."""
    if source.seed is not None:
        return np.random.SeedSequence(source.seed, spawn_key=(axis,))
    return np.random.SeedSequence(case_seed, spawn_key=(position, axis))


def _wanted_period(signals, duration):
    """Period that covers the duration and the lowest frequency ten times, s."""
    lowest = min(signal.table[0, 0] for signal in signals)
    return max(duration, _LOW_PERIODS / lowest)


def _random_track(signals, period):
    """Sum of all random signals as one periodic track."""
    highest = max(signal.table[-1, 0] for signal in signals)
    interval = float(1.0 / (SAMPLES_PER_PERIOD * highest))
    count = _fast_even_length(math.ceil(period / interval))
    values, rates = np.zeros((count, 3)), np.zeros((count, 3))
    for signal in signals:
        generator = np.random.Generator(np.random.PCG64(signal.seed))
        amplitudes = signal.gain * line_amplitudes(signal.table, count, interval)
        value, rate = random_phase_signal(amplitudes, count, interval, generator)
        values[:, signal.axis] += value
        rates[:, signal.axis] += rate
    return Track(values, interval, derivatives=rates)


def _fast_even_length(count):
    """Smallest even length not below a count that the FFT handles fast."""
    from scipy.fft import next_fast_len

    return 2 * next_fast_len((count + 1) // 2, real=True)


def _harmonics(sources):
    """Rows [omega, C, S] of all sines and exciters, array (k, 7)."""
    rows = []
    for source in sources:
        if source.kind == "sine":
            rows.append(_sine_row(source))
        elif source.kind == "exciter":
            rows.append(_exciter_row(source))
    return np.array(rows, dtype=float).reshape(-1, 7)


def _sine_row(source):
    """a(t) = A sin(omega t + phase) along one axis."""
    given = source.amplitude_m_per_s2
    amplitude = G0 * source.amplitude_g if given is None else given
    phase = DEG * source.phase_deg
    row = np.zeros(7)
    row[0] = HZ_TO_RAD_S * source.frequency_Hz
    axis = _AXES.index(source.axis)
    row[1 + axis] = amplitude * math.sin(phase)
    row[4 + axis] = amplitude * math.cos(phase)
    return row


def _exciter_row(source):
    """Circular motion r (cos, sin)(omega t + phase) in x-y: acceleration -r omega^2 (cos, sin)."""
    omega = RPM_TO_RAD_S * source.speed_rpm
    radius = MM * source.throw_mm * (0.5 if source.throw_is == "peak_to_peak" else 1.0)
    phase = DEG * source.phase_deg
    size = -radius * omega**2
    c, s = size * math.cos(phase), size * math.sin(phase)
    return np.array([omega, c, s, 0.0, -s, c, 0.0])


def _harmonic_rms(harmonic):
    """Rms of the harmonics for x, y, z; equal frequencies add with their phases."""
    square = np.zeros(3)
    for omega in np.unique(np.abs(harmonic[:, 0])):
        rows = harmonic[np.abs(harmonic[:, 0]) == omega]
        cosine = rows[:, 1:4].sum(axis=0)
        sine = (np.sign(rows[:, :1]) * rows[:, 4:7]).sum(axis=0)
        square += 0.5 * (cosine**2 + sine**2)
    return np.sqrt(square)


def _summary(signals, shaking, duration):
    """Describe the model and collect what the user should know about it."""
    megabytes, harmonic_rms = shaking.samples.nbytes / 1e6, _harmonic_rms(shaking.harmonic)
    if not signals:
        return VibrationSummary(0.0, 0.0, 0.0, 0.0, megabytes, np.zeros(3), harmonic_rms)
    lowest = min(signal.table[0, 0] for signal in signals)
    highest = max(signal.table[-1, 0] for signal in signals)
    count, interval = shaking.tracks[0, 1:3]
    period = count * interval
    return VibrationSummary(
        period=float(period),
        sample_rate=float(1.0 / interval),
        lowest_frequency=float(lowest),
        highest_frequency=float(highest),
        table_megabytes=megabytes,
        random_rms=np.sqrt(np.mean(shaking.samples[: int(count), :3] ** 2, axis=0)),
        harmonic_rms=harmonic_rms,
        warnings=_warnings(period, duration, lowest, megabytes),
    )


def _warnings(period, duration, lowest, megabytes):
    """Plain sentences on a repeating, coarse or large random table."""
    found = []
    if duration > period:
        found.append(f"the random vibration repeats every {period:.6g} s: {duration:.6g} s are run")
    if period * lowest < 0.999 * _LOW_PERIODS:
        found.append(
            f"the period of {period:.6g} s holds only {period * lowest:.2g} periods of the lowest "
            f"frequency, {lowest:.6g} Hz: its density is coarse there"
        )
    if megabytes > TABLE_WARNING:
        found.append(f"the random vibration takes {megabytes:.0f} MB of memory")
    return tuple(found)
