"""From channels to the axes of the bearing: sign, mounting angle, mean, filter, loop."""

import math

import numpy as np

from rollsim.model.recording.store import BLOCK, Store
from rollsim.units import DEG

HIGH_PASS_ORDER = 2
"""Order of the Butterworth filter; forth and back it acts as one of twice the order."""

_FEWEST_PERIODS = 3.0
_OPPOSITE = -0.3


def axis_matrix(axes, angle, gain):
    """Matrix from channels to the axes of the bearing.

    The sensor's axes x_s, y_s stand at the angle phi from those of the bearing:
    a_x = cos(phi) a_xs - sin(phi) a_ys, a_y = sin(phi) a_xs + cos(phi) a_ys, a_z = a_zs.

    Parameters
    ----------
    axes : sequence of str
        Direction of each channel in the axes of the sensor, "x" or "-x" and so on.
    angle : float, rad
        phi, counter-clockwise seen from +z.
    gain : float
        Factor on everything.

    Returns
    -------
    array (channels, 3)
        Rows of samples times this matrix are rows of ax, ay, az.

    >>> print(axis_matrix(["-y"], 0.0, 2.0) + 0.0)
    [[ 0. -2.  0.]]
    """
    c, s = math.cos(angle), math.sin(angle)
    turned = {"x": (c, s, 0.0), "y": (-s, c, 0.0), "z": (0.0, 0.0, 1.0)}
    rows = [np.array(turned[axis[-1]]) * (-1.0 if axis[0] == "-" else 1.0) for axis in axes]
    return gain * np.array(rows)


def on_axes(samples, facts, source):
    """Samples on the axes of the bearing, means taken away where the case asks for it.

    Parameters
    ----------
    samples : Samples
        Channels.
    facts : list of ChannelFacts
        Their means.
    source : RecordingSource
        axis, mounting_angle_deg, gain, remove_mean.

    Returns
    -------
    Store
        Three columns, m/s^2.
    """
    matrix = axis_matrix(source.axis, DEG * source.mounting_angle_deg, source.gain)
    mean = np.array([item.mean for item in facts]) if source.remove_mean else 0.0
    result = Store(3)
    for _, block in samples.store.blocks():
        result.append((block - mean) @ matrix)
    return result


def high_pass(store, rate, corner, findings):
    """Zero-phase high-pass filter: forth and back, in place.

    Butterworth of second order, run in both directions with the ends continued by their point
    reflection, as scipy.signal.sosfiltfilt does; done block by block.

    Parameters
    ----------
    store : Store
        Samples; overwritten.
    rate : float
        Hz.
    corner : float
        Corner frequency, Hz.
    findings : Findings
        Takes problems and warnings.
    """
    from scipy.signal import butter, sosfilt_zi

    if corner >= 0.5 * rate:
        findings.stop(f"high_pass_Hz = {corner:g} is not below half the rate, {0.5 * rate:g} Hz")
    if store.rows < _FEWEST_PERIODS * rate / corner:
        findings.warn(
            f"the part to replay, {store.rows / rate:.4g} s, is shorter than three periods of "
            f"high_pass_Hz = {corner:g}: its ends are distorted"
        )
    sos = butter(HIGH_PASS_ORDER, corner, "highpass", fs=rate, output="sos")
    pad = _padding(sos)
    if store.rows <= pad:
        findings.stop(f"{store.rows} samples are too few for the filter, which needs {pad + 1}")
    head, tail = store.read(0, pad + 1), store.read(store.rows - pad - 1, store.rows)
    before = 2.0 * head[0] - head[:0:-1]
    after = 2.0 * tail[-1] - tail[-2::-1]
    zi = sosfilt_zi(sos)[:, :, None]
    after = _pass(store, sos, zi * before[0], before, after, range(0, store.rows, BLOCK))
    _pass_back(store, sos, zi, after)


def _padding(sos):
    """Samples of the continued ends, as scipy's filter takes them."""
    taps = 2 * len(sos) + 1
    taps -= min(int((sos[:, 2] == 0).sum()), int((sos[:, 5] == 0).sum()))
    return 3 * taps


def _pass(store, sos, state, before, after, starts):
    """Run the filter forth; returns what it makes of the continuation at the end."""
    from scipy.signal import sosfilt

    _, state = sosfilt(sos, before, axis=0, zi=state)
    for first in starts:
        block, state = sosfilt(sos, store.read(first, first + BLOCK), axis=0, zi=state)
        store.write(first, block)
    after, _ = sosfilt(sos, after, axis=0, zi=state)
    return after


def _pass_back(store, sos, zi, after):
    """Run the filter back, from the end of the continuation to the first sample."""
    from scipy.signal import sosfilt

    _, state = sosfilt(sos, after[::-1], axis=0, zi=zi * after[-1])
    for first in reversed(range(0, store.rows, BLOCK)):
        block = store.read(first, first + BLOCK)[::-1]
        block, state = sosfilt(sos, block, axis=0, zi=state)
        store.write(first, block[::-1])


def cross_fade_gains(count, likeness):
    """Gains of the two parts of a cross-fade that keep the level.

    g_in = w / n, g_out = (1 - w) / n with w = (1 - cos(pi u)) / 2 rising from 0 to 1 and
    n = sqrt(w^2 + (1 - w)^2 + 2 w (1 - w) r): the mean square stays where both parts have the
    same one and the correlation r. Common practice, no source.

    Parameters
    ----------
    count : int
        Samples of the fade.
    likeness : float
        Correlation r of the two parts; taken as 0 where it is negative.

    Returns
    -------
    rising : array (count,)
        g_in, 0 at the first sample.
    falling : array (count,)
        g_out, 1 at the first sample.

    >>> [round(float(g[2]), 4) for g in cross_fade_gains(4, 0.0)]
    [0.7071, 0.7071]
    >>> [round(float(g[2]), 4) for g in cross_fade_gains(4, 1.0)]
    [0.5, 0.5]
    """
    w = 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / count)
    size = np.sqrt(w**2 + (1.0 - w) ** 2 + 2.0 * w * (1.0 - w) * max(likeness, 0.0))
    return w / size, (1.0 - w) / size


def close_loop(store, count, multiple, findings):
    """Fade the end of the samples over into their start; returns the length of the loop.

    The first `count` samples become the faded sum of themselves and of the last ones; the loop
    ends where those begin, so that its last sample is followed by its natural next one.

    Parameters
    ----------
    store : Store
        Samples; the start is overwritten.
    count : int
        Samples of the fade.
    multiple : int
        The loop becomes a multiple of this number of samples long; what is left over is not used.
    findings : Findings
        Takes problems and warnings.

    Returns
    -------
    int
        Samples of the loop.
    """
    length = (store.rows - count) // multiple * multiple
    if length < count:
        findings.stop(
            f"cross_fade_s takes {count} samples, the part to replay has {store.rows}: at most "
            "half of it"
        )
    start, end = store.read(0, count), store.read(length, length + count)
    power = math.sqrt(float(np.sum(start**2) * np.sum(end**2)))
    likeness = float(np.sum(start * end)) / power if power > 0.0 else 0.0
    if likeness < _OPPOSITE:
        findings.warn(
            f"start and end of the loop run against each other (correlation {likeness:.2f}): the "
            "level drops in the cross-fade; move end_s by half a period of the strongest vibration"
        )
    rising, falling = cross_fade_gains(count, likeness)
    store.write(0, rising[:, None] * start + falling[:, None] * end)
    return length


def fade_out(store, count):
    """Fade the last samples to zero, by (1 + cos(pi u)) / 2.

    Parameters
    ----------
    store : Store
        Samples; the end is overwritten.
    count : int
        Samples of the fade; all of them at most.
    """
    count = min(count, store.rows)
    if count < 2:
        return
    gains = 0.5 + 0.5 * np.cos(np.pi * np.arange(count) / (count - 1.0))
    first = store.rows - count
    store.write(first, gains[:, None] * store.read(first, store.rows))
