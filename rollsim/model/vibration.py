"""Imposed vibration of a case as numbers: the arrays of the kernels and what they hold."""

import math
from dataclasses import dataclass, field, replace

import numpy as np

from rollsim.kernels.types import Shaking
from rollsim.model.duty import course_table, duty_course
from rollsim.model.random_tables import (
    SAMPLE_BYTES,
    density_table,
    random_sources,
    random_tracks,
    track_periods,
)
from rollsim.model.recording.replay import build_replays
from rollsim.model.recording.told import needed_frequency, recording_warnings
from rollsim.model.shaking import imposed_acceleration, make_shaking
from rollsim.model.source_rows import harmonic_rows, locked_rows, pulse_rows, sweep_rows
from rollsim.units import RPM_TO_RAD_S

__all__ = ["base_acceleration", "build_vibration", "density_table"]

PERIOD_CAP = 120.0
"""s: longest period of the random table unless asked otherwise."""

TABLE_WARNING = 500.0
"""MB above which the size of the random table is worth a warning."""

_LOW_PERIODS = 10


@dataclass(frozen=True)
class VibrationSummary:
    """What was made of the vibration sources.

    period: s, after which the random part repeats, the longer one of two (0 without one); periods:
    of all random tracks; sample_rate: Hz of the table; lowest_frequency, highest_frequency: Hz of
    the random sources; table_megabytes: MB of all tracks; random_rms, harmonic_rms: arrays (3,),
    m/s^2 of x, y, z, exciters locked to the shaft at its last speed included; sweep_count:
    one-way sweeps; shock_count; largest_shock: m/s^2; warnings: tuple of plain sentences;
    recordings: tuple of RecordingSummary.
    """

    period: float = 0.0
    periods: tuple = ()
    sample_rate: float = 0.0
    lowest_frequency: float = 0.0
    highest_frequency: float = 0.0
    table_megabytes: float = 0.0
    random_rms: np.ndarray = field(default_factory=lambda: np.zeros(3))
    harmonic_rms: np.ndarray = field(default_factory=lambda: np.zeros(3))
    sweep_count: int = 0
    shock_count: int = 0
    largest_shock: float = 0.0
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


def build_vibration(case, duration, period_cap=PERIOD_CAP):
    """Turn the vibration sources of a case into the arrays of the kernels.

    Random sources share their tracks, see `random_tracks`.

    Parameters
    ----------
    case : Case
        The case (vibration, seed, ramp).
    duration : float, s
        Simulated time.
    period_cap : float, s
        Longest period of a random track.

    Returns
    -------
    VibrationModel
        Equal for equal case, duration and cap.
    """
    random = random_sources(case)
    tracks, missed = random_tracks(random, duration, period_cap)
    replays = build_replays(case, duration)
    sources = case.vibration
    shaking = make_shaking(
        [*tracks, *(replay.track() for replay in replays)],
        harmonic_rows(sources),
        sweep_rows(sources, duration),
        pulse_rows(sources, case.case.seed, duration),
        locked_rows(sources),
        case.duty.ramp_s,
    )
    turning = turning_rows(case)
    summary = _summary(random, shaking, turning, shaking.tracks[: len(tracks)])
    summary = replace(summary, warnings=(*_warnings(summary, duration), *missed))
    return VibrationModel(shaking, turning, _with_recordings(summary, replays, case))


def _with_recordings(summary, replays, case):
    """The summary with what there is to say about recordings."""
    recordings = tuple(replay.summary for replay in replays)
    rate, needed = case.output.rate_Hz, needed_frequency(case) if recordings else 0.0
    more = [w for item in recordings for w in recording_warnings(item, rate, needed)]
    return replace(summary, recordings=recordings, warnings=(*summary.warnings, *more))


def turning_rows(case):
    """Rows of time, speed and angle of the inner ring where its speed is prescribed.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    array (k, 3), s, rad/s, rad
    """
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


def _steady_lines(shaking, turning):
    """Harmonics, those of locked exciters at the last speed of the inner ring included."""
    omega = shaking.locked[:, :1] * turning[-1, 1]
    followed = np.hstack([omega, -(omega**2) * shaking.locked[:, 1:]])
    return np.concatenate([shaking.harmonic, followed])


def _harmonic_rms(harmonic):
    """Rms of the harmonics for x, y, z; equal frequencies add with their phases."""
    square = np.zeros(3)
    for omega in np.unique(np.abs(harmonic[:, 0])):
        rows = harmonic[np.abs(harmonic[:, 0]) == omega]
        cosine = rows[:, 1:4].sum(axis=0)
        sine = (np.sign(rows[:, :1]) * rows[:, 4:7]).sum(axis=0)
        square += 0.5 * (cosine**2 + sine**2)
    return np.sqrt(square)


def _summary(random, shaking, turning, tracks):
    """Describe the model; tracks: rows of `Shaking.tracks` of the random sources."""
    megabytes = shaking.samples.nbytes / 1e6
    pulse = shaking.pulse
    found = VibrationSummary(
        table_megabytes=megabytes,
        harmonic_rms=_harmonic_rms(_steady_lines(shaking, turning)),
        sweep_count=len(shaking.sweep),
        shock_count=len(pulse),
        largest_shock=float(np.linalg.norm(pulse[:, 5:8], axis=1).max(initial=0.0)),
    )
    if not random:
        return found
    periods = tuple(float(row[1] * row[2]) for row in tracks)
    lowest = min(source.table[0, 0] for source in random)
    return replace(
        found,
        period=periods[0],
        periods=periods,
        sample_rate=float(1.0 / tracks[0, 2]),
        lowest_frequency=float(lowest),
        highest_frequency=float(max(source.table[-1, 0] for source in random)),
        random_rms=np.sqrt(sum(_mean_square(shaking.samples, row) for row in tracks)),
    )


def foreseen_summary(case, summary, look, duration, period_cap=PERIOD_CAP):
    """What a run will have, from a summary made for a shorter time.

    Parameters
    ----------
    case : Case
        The case.
    summary : VibrationSummary
        Of the shorter time; its levels are kept.
    look : float, s
        That time.
    duration : float, s
        Of the run.
    period_cap : float, s
        Longest period of a random track.

    Returns
    -------
    VibrationSummary
        With periods, memory, numbers of sweeps and shocks and warnings of the run.
    """
    if duration <= look:
        return summary
    random = random_sources(case)
    found = replace(
        summary,
        sweep_count=len(sweep_rows(case.vibration, duration)),
        shock_count=len(pulse_rows(case.vibration, case.case.seed, duration)),
    )
    if random:
        interval, periods = track_periods(random, duration, period_cap)
        more = SAMPLE_BYTES * (sum(periods) - sum(summary.periods)) / interval / 1e6
        size = summary.table_megabytes + more
        found = replace(found, period=periods[0], periods=periods, table_megabytes=size)
    old = _warnings(summary, look)
    kept = [sentence for sentence in summary.warnings if sentence not in old]
    return replace(found, warnings=(*_warnings(found, duration), *kept))


def _mean_square(samples, row):
    """Mean square of a track for x, y, z."""
    part = samples[int(row[0]) : int(row[0] + row[1]), :3]
    return np.einsum("ij,ij->j", part, part) / len(part)


def _warnings(summary, duration):
    """Plain sentences on a repeating, coarse or large random table."""
    found = []
    if len(summary.periods) == 2:
        first, second = summary.periods
        found.append(
            f"the random vibration of {duration:.6g} s is the sum of two signals with half the "
            f"power each, one repeating every {first:.6g} s, the other every {second:.6g} s: their "
            "sum does not repeat, but each half does"
        )
    lowest = summary.lowest_frequency
    periods = min(summary.periods, default=math.inf) * lowest
    if periods < 0.999 * _LOW_PERIODS and lowest > 0.0:
        found.append(
            f"the period of {min(summary.periods):.6g} s holds only {periods:.2g} periods of the "
            f"lowest frequency, {lowest:.6g} Hz: its density is coarse there"
        )
    if summary.table_megabytes > TABLE_WARNING:
        found.append(f"the random vibration takes {summary.table_megabytes:.0f} MB of memory")
    return found
