"""Rows of the kernels for sines, exciters, sweeps and shocks of a case."""

import math

import numpy as np

from rollsim.case.source_formulas import sweep_length
from rollsim.kernels.shaking_types import (
    HARMONIC_COLUMNS,
    PULSE_COLUMNS,
    SWEEP_COLUMNS,
    PulseShape,
    SweepLaw,
)
from rollsim.units import DEG, G0, HZ_TO_RAD_S, MM, MS, RPM_TO_RAD_S

_AXES = "xyz"
#: Share of its duration in which a trapezoid rises and falls where nothing is given.
TRAPEZOID_SHARE = 0.1
_SHAPES = {
    "half_sine": PulseShape.HALF_SINE,
    "trapezoid": PulseShape.TRAPEZOID,
    "saw_tooth": PulseShape.SAW_TOOTH,
}


def unit_direction(source):
    """Unit vector along which a source with one axis or a direction acts.

    Parameters
    ----------
    source : SineSource, SweepSource, ShockSource or PsdSource
        The source.

    Returns
    -------
    array (3,)
        Direction.
    """
    if source.direction is None:
        return np.eye(3)[_AXES.index(source.axis)]
    direction = np.array(source.direction, dtype=float)
    return direction / np.linalg.norm(direction)


def source_amplitude(source):
    """Amplitude of a source that has one in g or in m/s^2.

    Parameters
    ----------
    source : SineSource, SweepSource or ShockSource
        The source.

    Returns
    -------
    float or None, m/s^2
        None where neither is given.
    """
    if source.amplitude_m_per_s2 is not None:
        return float(source.amplitude_m_per_s2)
    return None if source.amplitude_g is None else G0 * source.amplitude_g


def harmonic_rows(sources):
    """Rows [omega, C, S] of all sines and of exciters with a speed of their own.

    Parameters
    ----------
    sources : iterable
        Sources of the case.

    Returns
    -------
    array (k, 7)
        rad/s and m/s^2.
    """
    rows = []
    for source in sources:
        if source.kind == "sine":
            rows.append(_sine_row(source))
        elif source.kind == "exciter" and not source.locked_to_shaft:
            omega = RPM_TO_RAD_S * source.speed_rpm
            rows.append([omega, *(-(omega**2) * exciter_throw(source))])
    return np.array(rows, dtype=float).reshape(-1, HARMONIC_COLUMNS)


def locked_rows(sources):
    """Rows [ratio, C, S] of the displacement of exciters locked to the inner ring.

    Parameters
    ----------
    sources : iterable
        Sources of the case.

    Returns
    -------
    array (k, 7)
        - and m.
    """
    rows = [
        [source.ratio, *exciter_throw(source)]
        for source in sources
        if source.kind == "exciter" and source.locked_to_shaft
    ]
    return np.array(rows, dtype=float).reshape(-1, HARMONIC_COLUMNS)


def _sine_row(source):
    """a(t) = A sin(omega t + phase) along a direction."""
    amplitude = source_amplitude(source) * unit_direction(source)
    phase = DEG * source.phase_deg
    omega = HZ_TO_RAD_S * source.frequency_Hz
    return [omega, *(amplitude * math.sin(phase)), *(amplitude * math.cos(phase))]


def exciter_throw(source):
    """Displacement of an exciter as C cos(angle) + S sin(angle).

    d = a e1 cos(angle + phase) + b e2 sin(angle + phase), with a along e1 at `angle_deg` from +x
    and b across it: equal for a circle, b = 0 for a line.

    Parameters
    ----------
    source : ExciterSource
        The source.

    Returns
    -------
    array (6,), m
        C (x, y, z), S (x, y, z).
    """
    scale = MM * (0.5 if source.throw_is == "peak_to_peak" else 1.0)
    long = scale * source.throw_mm
    short = {"circle": long, "line": 0.0}.get(source.path)
    if short is None:
        short = scale * source.second_throw_mm
    turn, phase = DEG * (source.angle_deg or 0.0), DEG * source.phase_deg
    along = long * np.array([math.cos(turn), math.sin(turn), 0.0])
    across = short * np.array([-math.sin(turn), math.cos(turn), 0.0])
    c, s = math.cos(phase), math.sin(phase)
    return np.concatenate([along * c + across * s, across * c - along * s])


def sweep_rows(sources, duration):
    """Rows of all sweeps; one way is one row, and the phase runs on from row to row.

    Parameters
    ----------
    sources : iterable
        Sources of the case.
    duration : float, s
        Simulated time; what begins behind it is left out.

    Returns
    -------
    array (k, 11)
        See `Shaking`.
    """
    rows = []
    for source in sources:
        if source.kind == "sweep":
            rows += _one_sweep(source, duration)
    return np.array(rows, dtype=float).reshape(-1, SWEEP_COLUMNS)


def _one_sweep(source, duration):
    """Rows of one source."""
    first, last = source.start_frequency_Hz, source.end_frequency_Hz
    keys = ("sweep_s", "rate_octaves_per_min", "rate_Hz_per_s")
    given = {key: getattr(source, key) for key in keys if getattr(source, key) is not None}
    length = sweep_length(source.law, first, last, given)
    acceleration = source_amplitude(source)
    acceleration = math.inf if acceleration is None else acceleration
    displacement = math.inf if source.displacement_mm is None else MM * source.displacement_mm
    law = SweepLaw[source.law.upper()]
    start, phase, rows = source.start_s, DEG * source.phase_deg, []
    way = [(first, last), (last, first)] if source.and_back else [(first, last)]
    for f0, f1 in way * source.sweeps:
        if start >= duration:
            break
        speed = (start, start + length, f0, f1, law)
        rows.append([*speed, acceleration, displacement, *unit_direction(source), phase])
        start += length
        # The phase is reduced to one turn, so that it stays exact after many sweeps.
        phase = (phase + 2.0 * math.pi * sweep_turns(law, f0, f1, length)) % (2.0 * math.pi)
    return rows


def sweep_turns(law, first, last, length):
    """Number of periods of a sweep, int f dt.

    (f0 + f1) T/2 for a linear one, T (f1 - f0)/ln(f1/f0) for a logarithmic one.

    Parameters
    ----------
    law : SweepLaw
        How the frequency goes.
    first : float, Hz
        f0.
    last : float, Hz
        f1.
    length : float, s
        T.

    Returns
    -------
    float
        Periods.

    Examples
    --------
    >>> sweep_turns(SweepLaw.LINEAR, 10.0, 30.0, 2.0)
    40.0
    """
    if law == SweepLaw.LINEAR:
        return 0.5 * (first + last) * length
    return length * (last - first) / math.log(last / first)


def pulse_rows(sources, case_seed, duration):
    """Rows of all shocks that begin within the run.

    Parameters
    ----------
    sources : iterable
        Sources of the case.
    case_seed : int
        Seed of the case.
    duration : float, s
        Simulated time.

    Returns
    -------
    array (n, 8)
        See `Shaking`.
    """
    blocks = [np.empty((0, PULSE_COLUMNS))]
    for position, source in enumerate(sources):
        if source.kind == "shock":
            times = _shock_times(source, position, case_seed, duration)
            blocks.append(_shocks(source, times))
    return np.concatenate(blocks)


def _shock_times(source, position, case_seed, duration):
    """Times of the pulses of one source, array (n,)."""
    span = duration - source.start_s
    if span <= 0.0:
        return np.empty(0)
    if source.period_ms is not None:
        period = MS * source.period_ms
        fitting = math.ceil(span / period)
        count = fitting if source.count is None else min(source.count, fitting)
        return source.start_s + period * np.arange(count)
    if source.rate_per_s is None:
        return np.array([source.start_s])
    seed = (
        np.random.SeedSequence(case_seed, spawn_key=(position, 0))
        if source.seed is None
        else np.random.SeedSequence(source.seed)
    )
    return _random_times(source, np.random.Generator(np.random.PCG64(seed)), span)


def _random_times(source, generator, span):
    """Poisson process: the first pulse at the start, then independent exponential waiting times.

    Drawn in pieces of fixed size, so that a longer run has the same pulses and more.
    """
    times, last = [np.zeros(1)], 0.0
    most = math.inf if source.count is None else source.count
    while last < span and sum(map(len, times)) < most:
        times.append(last + np.cumsum(generator.exponential(1.0 / source.rate_per_s, 256)))
        last = times[-1][-1]
    found = np.concatenate(times)
    found = found[found < span]
    return source.start_s + (found if source.count is None else found[: source.count])


def _shocks(source, times):
    """Rows of one source at given times."""
    length = MS * source.duration_ms
    rise, fall = (
        TRAPEZOID_SHARE if value is None else value / source.duration_ms
        for value in (source.rise_ms, source.fall_ms)
    )
    peak = source_amplitude(source) * unit_direction(source)
    sign = {"positive": 1.0, "negative": -1.0}.get(source.polarity)
    signs = (-1.0) ** np.arange(len(times)) if sign is None else np.full(len(times), sign)
    rows = np.empty((len(times), PULSE_COLUMNS))
    rows[:, 0], rows[:, 1], rows[:, 2] = times, length, _SHAPES[source.shape]
    rows[:, 3], rows[:, 4] = rise, fall
    rows[:, 5:] = np.outer(signs, peak)
    return rows
