"""Imposed vibration of a case as numbers: one periodic random table and a list of harmonics."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.environments import points_in_si
from rollsim.model.spectrum import SAMPLES_PER_PERIOD, line_amplitudes, random_phase_signal
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
    random_rms, harmonic_rms: arrays (3,), m/s^2 of x, y, z; warnings: tuple of plain sentences.
    """

    period: float
    sample_rate: float
    lowest_frequency: float
    highest_frequency: float
    table_megabytes: float
    random_rms: np.ndarray
    harmonic_rms: np.ndarray
    warnings: tuple = ()


@dataclass(frozen=True)
class VibrationModel:
    """Base acceleration of the housing.

    random_table: array (n, 6), rows [ax, ay, az, dax/dt, day/dt, daz/dt] in m/s^2 and m/s^3, one
    period, (1, 6) zeros without random sources; sample_interval: s between rows; harmonic: array
    (k, 7), rows [omega, Cx, Cy, Cz, Sx, Sy, Sz] of C cos(omega t) + S sin(omega t), rad/s and
    m/s^2; ramp: s of the fade-in; summary: VibrationSummary.
    """

    random_table: np.ndarray
    sample_interval: float
    harmonic: np.ndarray
    ramp: float
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
    if signals:
        table, interval = _random_table(signals, min(_wanted_period(signals, duration), period_cap))
    else:
        table, interval = np.zeros((1, 6)), 1.0
    summary = _summary(signals, table, interval, harmonic, duration)
    return VibrationModel(table, interval, harmonic, case.duty.ramp_s, summary)


def base_acceleration(model, times):
    """Base acceleration at given times: periodic cubic Hermite of the table plus harmonics.

    Parameters
    ----------
    model : VibrationModel
        The vibration.
    times : array (n,), s
        Times; the vibration is zero before time zero and faded in over the ramp.

    Returns
    -------
    array (n, 3), m/s^2
        x, y and z.
    """
    times = np.asarray(times, dtype=float)
    total = _hermite(model, times)
    for row in model.harmonic:
        angle = row[0] * times
        total += np.outer(np.cos(angle), row[1:4]) + np.outer(np.sin(angle), row[4:7])
    return total * _fade_in(times, model.ramp)[:, None]


def _hermite(model, times):
    """Random part at given times, array (n, 3)."""
    table, interval = model.random_table, model.sample_interval
    if len(table) == 1:
        return np.zeros((len(times), 3))
    place = times / interval
    cell = np.floor(place)
    s = (place - cell)[:, None]
    left = table[cell.astype(np.int64) % len(table)]
    right = table[(cell.astype(np.int64) + 1) % len(table)]
    value = (1.0 + 2.0 * s) * (1.0 - s) ** 2 * left[:, :3] + s**2 * (3.0 - 2.0 * s) * right[:, :3]
    slope = s * (1.0 - s) ** 2 * left[:, 3:] - s**2 * (1.0 - s) * right[:, 3:]
    return value + interval * slope


def _fade_in(times, ramp):
    """Factor (1 - cos(pi t/ramp))/2 from 0 to 1."""
    if ramp <= 0.0:
        return np.where(times < 0.0, 0.0, 1.0)
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(times / ramp, 0.0, 1.0))


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


def _random_table(signals, period):
    """Sum all random signals on one table; returns it and its interval."""
    highest = max(signal.table[-1, 0] for signal in signals)
    interval = float(1.0 / (SAMPLES_PER_PERIOD * highest))
    count = _fast_even_length(math.ceil(period / interval))
    table = np.zeros((count, 6))
    for signal in signals:
        generator = np.random.Generator(np.random.PCG64(signal.seed))
        amplitudes = signal.gain * line_amplitudes(signal.table, count, interval)
        value, rate = random_phase_signal(amplitudes, count, interval, generator)
        table[:, signal.axis] += value
        table[:, signal.axis + 3] += rate
    return table, interval


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


def _summary(signals, table, interval, harmonic, duration):
    """Describe the model and collect what the user should know about it."""
    if not signals:
        return VibrationSummary(
            0.0, 0.0, 0.0, 0.0, table.nbytes / 1e6, np.zeros(3), _harmonic_rms(harmonic)
        )
    lowest = min(signal.table[0, 0] for signal in signals)
    highest = max(signal.table[-1, 0] for signal in signals)
    period = len(table) * interval
    return VibrationSummary(
        period=period,
        sample_rate=1.0 / interval,
        lowest_frequency=float(lowest),
        highest_frequency=float(highest),
        table_megabytes=table.nbytes / 1e6,
        random_rms=np.sqrt(np.mean(table[:, :3] ** 2, axis=0)),
        harmonic_rms=_harmonic_rms(harmonic),
        warnings=_warnings(period, duration, lowest, table.nbytes / 1e6),
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
