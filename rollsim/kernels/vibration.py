"""Imposed base acceleration at one instant: tracks, sines, sweeps, shocks, locked exciters."""

import math

from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.shaking_types import PulseShape, SweepLaw

_HALF_SINE = int(PulseShape.HALF_SINE)
_TRAPEZOID = int(PulseShape.TRAPEZOID)
_LOG = int(SweepLaw.LOG)


@inline_kernel
def fade_in(time, ramp):
    """Fade-in factor, (1 - cos(pi t / T)) / 2 up to t = T, then 1.

    Parameters
    ----------
    time : float, s
        Time t.
    ramp : float, s
        Length T of the fade-in.

    Returns
    -------
    float
        Factor from 0 to 1.
    """
    if time >= ramp:
        return 1.0
    if time <= 0.0:
        return 0.0
    return 0.5 - 0.5 * math.cos(math.pi * time / ramp)


@inline_kernel
def pulse_shape(x, shape, rise, fall):
    """Shape of a shock over its duration, peak 1.

    Half-sine sin(pi x); trapezoid with straight rise and fall; terminal-peak saw-tooth x, which
    drops to 0 at once. The ideal shapes of IEC 60068-2-27.

    Parameters
    ----------
    x : float
        Time since the start over the duration.
    shape : int
        A `PulseShape`.
    rise : float
        Share of the duration in which a trapezoid rises, above 0.
    fall : float
        Share in which it falls, above 0.

    Returns
    -------
    float
        0 outside 0 <= x < 1.
    """
    if x < 0.0 or x >= 1.0:
        return 0.0
    if shape == _HALF_SINE:
        return math.sin(math.pi * x)
    if shape == _TRAPEZOID:
        return min(1.0, min(x / rise, (1.0 - x) / fall))
    return x


@inline_kernel
def last_start(pulse, time):
    """Number of shocks that have begun at a time, found by halving.

    Parameters
    ----------
    pulse : ndarray (n, 8)
        Rows of `Shaking`.
    time : float, s
        Time.

    Returns
    -------
    int
        Count.
    """
    low, high = 0, pulse.shape[0]
    while low < high:
        middle = (low + high) // 2
        if pulse[middle, 0] <= time:
            low = middle + 1
        else:
            high = middle
    return low


@inline_kernel
def sweep_value(time, row):
    """Acceleration of a sweep along its direction.

    a = min(A, D (2 pi f)^2) sin(phase + 2 pi int f dt); linear f = f0 + (f1 - f0) t/T,
    logarithmic f = f0 (f1/f0)^(t/T), with t counted from the start and T the length. D is the
    amplitude of the displacement of a steady sine of the frequency of the moment. Source of the
    two laws and of the change from displacement to acceleration: IEC 60068-2-6.

    Parameters
    ----------
    time : float, s
        Time.
    row : ndarray (11,)
        Row of `Shaking.sweep`.

    Returns
    -------
    float
        m/s^2; 0 outside the sweep.
    """
    if time < row[0] or time >= row[1]:
        return 0.0
    length, first, last = row[1] - row[0], row[2], row[3]
    since = time - row[0]
    if row[4] == _LOG and first != last:
        rate = math.log(last / first) / length
        grown = math.exp(rate * since)
        frequency = first * grown
        turns = first * (grown - 1.0) / rate
    else:
        slope = (last - first) / length
        frequency = first + slope * since
        turns = (first + 0.5 * slope * since) * since
    omega = 2.0 * math.pi * frequency
    size = min(row[5], row[6] * omega * omega)
    return size * math.sin(2.0 * math.pi * turns + row[10])


@inline_kernel
def track_sum(time, samples, tracks):
    """Sum of all tracks by cubic Hermite interpolation.

    Parameters
    ----------
    time : float, s
        Time.
    samples : ndarray (n, 6)
        Values and derivatives.
    tracks : ndarray (k, 5)
        Where each track stands and when it runs.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    ax = ay = az = 0.0
    for n in range(tracks.shape[0]):
        first, rows, interval = int(tracks[n, 0]), int(tracks[n, 1]), tracks[n, 2]
        position = (time - tracks[n, 3]) / interval
        cell = math.floor(position)
        s = position - cell
        if tracks[n, 4] == 0.0:
            i = int(cell)
            if i < 0 or i > rows - 2:
                continue
            k = i + 1
        else:
            # Remainder in floating point: a division of integers costs as much as ten contacts.
            # Rounding may leave it one period beside.
            i = int(cell - rows * math.floor(cell / rows))
            if i < 0:
                i += rows
            elif i >= rows:
                i -= rows
            k = i + 1
            if k == rows:
                k = 0
        i += first
        k += first
        r = 1.0 - s
        p0 = (1.0 + 2.0 * s) * r * r
        p1 = s * s * (3.0 - 2.0 * s)
        m0 = s * r * r * interval
        m1 = -s * s * r * interval
        ax += p0 * samples[i, 0] + p1 * samples[k, 0] + m0 * samples[i, 3] + m1 * samples[k, 3]
        ay += p0 * samples[i, 1] + p1 * samples[k, 1] + m0 * samples[i, 4] + m1 * samples[k, 4]
        az += p0 * samples[i, 2] + p1 * samples[k, 2] + m0 * samples[i, 5] + m1 * samples[k, 5]
    return ax, ay, az


@inline_kernel
def pulse_sum(time, pulse, longest):
    """Sum of all shocks that act at a time.

    Parameters
    ----------
    time : float, s
        Time.
    pulse : ndarray (n, 8)
        Rows of `Shaking`.
    longest : float, s
        Longest duration: how far back a shock can have begun that still acts.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    ax = ay = az = 0.0
    n = last_start(pulse, time) - 1
    while n >= 0 and time - pulse[n, 0] < longest:
        x = (time - pulse[n, 0]) / pulse[n, 1]
        size = pulse_shape(x, int(pulse[n, 2]), pulse[n, 3], pulse[n, 4])
        ax += size * pulse[n, 5]
        ay += size * pulse[n, 6]
        az += size * pulse[n, 7]
        n -= 1
    return ax, ay, az


@kernel
def base_acceleration(time, shaking):
    """Imposed acceleration of the housing without what follows the angle of the inner ring.

    Parameters
    ----------
    time : float, s
        Time.
    shaking : Shaking
        Sources.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    ax, ay, az = track_sum(time, shaking.samples, shaking.tracks)
    harmonic = shaking.harmonic
    for n in range(harmonic.shape[0]):
        c = math.cos(harmonic[n, 0] * time)
        s = math.sin(harmonic[n, 0] * time)
        ax += harmonic[n, 1] * c + harmonic[n, 4] * s
        ay += harmonic[n, 2] * c + harmonic[n, 5] * s
        az += harmonic[n, 3] * c + harmonic[n, 6] * s
    sweep = shaking.sweep
    for n in range(sweep.shape[0]):
        value = sweep_value(time, sweep[n])
        ax += value * sweep[n, 7]
        ay += value * sweep[n, 8]
        az += value * sweep[n, 9]
    if shaking.pulse.shape[0]:
        px, py, pz = pulse_sum(time, shaking.pulse, shaking.longest_pulse)
        ax += px
        ay += py
        az += pz
    factor = fade_in(time, shaking.ramp)
    return factor * ax, factor * ay, factor * az


@kernel
def locked_acceleration(time, angle, speed, rate, shaking):
    """Acceleration of the exciters that follow the angle of the inner ring.

    d = C cos(k theta) + S sin(k theta) twice differentiated:
    a = k alpha (S cos - C sin) - k^2 omega^2 (C cos + S sin)

    Parameters
    ----------
    time : float, s
        Time, for the fade-in.
    angle : float, rad
        Angle theta of the inner ring.
    speed : float, rad/s
        Its speed omega.
    rate : float, rad/s^2
        Its acceleration alpha.
    shaking : Shaking
        Sources.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    locked = shaking.locked
    ax = ay = az = 0.0
    for n in range(locked.shape[0]):
        ratio = locked[n, 0]
        c = math.cos(ratio * angle)
        s = math.sin(ratio * angle)
        along = -ratio * ratio * speed * speed
        across = ratio * rate
        p, q = along * c - across * s, along * s + across * c
        ax += p * locked[n, 1] + q * locked[n, 4]
        ay += p * locked[n, 2] + q * locked[n, 5]
        az += p * locked[n, 3] + q * locked[n, 6]
    factor = fade_in(time, shaking.ramp)
    return factor * ax, factor * ay, factor * az
