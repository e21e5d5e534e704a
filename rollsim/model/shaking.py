"""All sources of imposed vibration in the arrays of the kernels, and their value at many times."""

import math

import numpy as np

from rollsim.kernels.shaking_types import (
    HARMONIC_COLUMNS,
    PULSE_COLUMNS,
    SWEEP_COLUMNS,
    PulseShape,
    Shaking,
    SweepLaw,
)
from rollsim.model.tracks import pack_tracks

#: Times at which the acceleration is worked out together.
BLOCK = 1 << 17


def make_shaking(tracks=(), harmonic=(), sweep=(), pulse=(), locked=(), ramp=0.0):
    """Imposed vibration of the kernels from the rows of its sources.

    Parameters
    ----------
    tracks : iterable of Track
        Sampled accelerations.
    harmonic : sequence of rows
        See `Shaking`; so are the next three. Any of them may be empty.
    sweep : sequence of rows
        Sweeps.
    pulse : sequence of rows
        Shocks, in any order.
    locked : sequence of rows
        Exciters locked to the inner ring.
    ramp : float, s
        Fade-in.

    Returns
    -------
    Shaking
        Arrays in the order that the kernels need.
    """
    samples, rows = pack_tracks(tracks)
    pulses = _rows(pulse, PULSE_COLUMNS)
    pulses = np.ascontiguousarray(pulses[np.argsort(pulses[:, 0], kind="stable")])
    sweeps = _rows(sweep, SWEEP_COLUMNS)
    return Shaking(
        samples=samples,
        tracks=rows,
        harmonic=_rows(harmonic, HARMONIC_COLUMNS),
        sweep=sweeps,
        pulse=pulses,
        longest_pulse=float(pulses[:, 1].max(initial=0.0)),
        locked=_rows(locked, HARMONIC_COLUMNS),
        corners=_corners(rows, sweeps, pulses),
        ramp=float(ramp),
    )


def _rows(values, columns):
    """Contiguous array with a fixed number of columns."""
    array = np.array(values, dtype=float)
    return np.ascontiguousarray(array.reshape(-1, columns))


def _corners(tracks, sweeps, pulses):
    """Times above zero at which something bends or jumps, rising, each once."""
    once = tracks[tracks[:, 4] == 0.0]
    found = [once[:, 3], once[:, 3] + once[:, 2] * (once[:, 1] - 1.0)]
    found += [sweeps[:, 0], sweeps[:, 1], _crossovers(sweeps)]
    start, duration, shape, rise, fall = pulses[:, :5].T
    found += [start, start + duration]
    flat = shape == PulseShape.TRAPEZOID
    found += [(start + rise * duration)[flat], (start + (1.0 - fall) * duration)[flat]]
    times = np.unique(np.concatenate(found))
    return np.ascontiguousarray(times[times > 0.0])


def _crossovers(sweeps):
    """Times at which sweeps change from constant displacement to constant acceleration."""
    found = []
    for row in sweeps:
        start, end, first, last = row[:4]
        if not (math.isfinite(row[5]) and math.isfinite(row[6])):
            continue
        frequency = math.sqrt(row[5] / row[6]) / (2.0 * math.pi)
        if min(first, last) < frequency < max(first, last):
            share = (frequency - first) / (last - first)
            if row[4] == SweepLaw.LOG:
                share = math.log(frequency / first) / math.log(last / first)
            found.append(start + share * (end - start))
    return np.array(found)


def imposed_acceleration(shaking, times, turning=None):
    """Imposed acceleration at many times, the same as that of the kernels, written in numpy.

    Parameters
    ----------
    shaking : Shaking
        Sources.
    times : array (n,), s
        Times; the vibration is zero before time zero.
    turning : array (k, 3) or None, s, rad/s, rad
        Rows of time, speed and angle of the inner ring, the speed straight between them and held
        behind the last; needed where exciters are locked to it.

    Returns
    -------
    array (n, 3), m/s^2
        x, y and z.
    """
    times = np.asarray(times, dtype=float)
    total = np.zeros((len(times), 3))
    # In blocks: what a track needs on the way takes ten times the room of the result.
    for first in range(0, len(times), BLOCK):
        part = slice(first, first + BLOCK)
        total[part] = _imposed(shaking, times[part], turning)
    return total


def _imposed(shaking, times, turning):
    """Acceleration of all sources at the times of one block."""
    total = np.zeros((len(times), 3))
    for row in shaking.tracks:
        _add_track(total, times, shaking.samples, row)
    for row in shaking.harmonic:
        angle = row[0] * times
        total += np.outer(np.cos(angle), row[1:4]) + np.outer(np.sin(angle), row[4:7])
    for row in shaking.sweep:
        total += np.outer(_sweep(times, row), row[7:10])
    order = np.argsort(times, kind="stable") if len(shaking.pulse) else None
    for row in shaking.pulse:
        _add_pulse(total, times, order, row)
    for row in shaking.locked:
        total += _locked(times, row, turning)
    return total * _fade_in(times, shaking.ramp)[:, None]


def _add_track(total, times, samples, row):
    """Cubic Hermite interpolation of one track."""
    first, count, interval = int(row[0]), int(row[1]), row[2]
    place = (times - row[3]) / interval
    cell = np.floor(place).astype(np.int64)
    if row[4] == 0.0:
        inside = (cell >= 0) & (cell <= count - 2)
        left = right = cell[inside]
        right = right + 1
    else:
        inside = np.ones(len(times), dtype=bool)
        left, right = cell % count, (cell + 1) % count
    s = (place[inside] - cell[inside])[:, None]
    p, q = samples[first + left], samples[first + right]
    value = (1.0 + 2.0 * s) * (1.0 - s) ** 2 * p[:, :3] + s**2 * (3.0 - 2.0 * s) * q[:, :3]
    slope = s * (1.0 - s) ** 2 * p[:, 3:] - s**2 * (1.0 - s) * q[:, 3:]
    total[inside] += value + interval * slope


def _sweep(times, row):
    """Acceleration of one sweep along its direction."""
    start, end, first, last, law, acceleration, displacement = row[:7]
    length = end - start
    since = np.clip(times - start, 0.0, length)
    if law == SweepLaw.LOG and first != last:
        frequency = first * (last / first) ** (since / length)
        turns = (frequency - first) * length / math.log(last / first)
    else:
        frequency = first + (last - first) * since / length
        turns = 0.5 * (first + frequency) * since
    size = np.minimum(acceleration, displacement * (2.0 * np.pi * frequency) ** 2)
    inside = (times >= start) & (times < end)
    return np.where(inside, size * np.sin(2.0 * np.pi * turns + row[10]), 0.0)


def _add_pulse(total, times, order, row):
    """One shock; order: that in which the times rise."""
    start, duration, shape, rise, fall = row[:5]
    first, last = np.searchsorted(times, (start, start + duration), sorter=order)
    acting = order[first:last]
    x = (times[acting] - start) / duration
    if shape == PulseShape.HALF_SINE:
        size = np.sin(np.pi * x)
    elif shape == PulseShape.TRAPEZOID:
        size = np.interp(x, [0.0, rise, 1.0 - fall, 1.0], [0.0, 1.0, 1.0, 0.0])
    else:
        size = x
    total[acting] += np.outer(size, row[5:8])


def _locked(times, row, turning):
    """One exciter locked to the inner ring."""
    speeds = np.interp(times, turning[:, 0], turning[:, 1])
    place = np.clip(np.searchsorted(turning[:, 0], times, side="right") - 1, 0, None)
    angle = turning[place, 2] + 0.5 * (times - turning[place, 0]) * (turning[place, 1] + speeds)
    slopes = np.append(np.diff(turning[:, 1]) / np.diff(turning[:, 0]), 0.0)
    ratio = row[0]
    c, s = np.cos(ratio * angle), np.sin(ratio * angle)
    along, across = -((ratio * speeds) ** 2), ratio * slopes[place]
    return np.outer(along * c - across * s, row[1:4]) + np.outer(along * s + across * c, row[4:7])


def _fade_in(times, ramp):
    """Factor (1 - cos(pi t/ramp))/2 from 0 to 1."""
    if ramp <= 0.0:
        return np.where(times < 0.0, 0.0, 1.0)
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(times / ramp, 0.0, 1.0))
