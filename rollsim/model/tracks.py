"""Sampled accelerations: random tables and recordings as the kernels take them."""

from dataclasses import dataclass

import numpy as np

from rollsim.kernels.shaking_types import SAMPLE_COLUMNS, TRACK_COLUMNS
from rollsim.model.recording.store import roomy_array


@dataclass(frozen=True)
class Track:
    """A sampled acceleration of the housing.

    values: array (n, 3), m/s^2 of x, y, z, n at least 2; interval: s between samples; start: s,
    time of the first sample; loop: periodic with period n * interval and acting at all times, else
    it runs once, from the first to the last sample, and is zero elsewhere; derivatives: array
    (n, 3), m/s^3, or None for those that `track_derivatives` finds; packed: array (n, 6), values
    and derivatives side by side, where they lie like this already (recordings, which may be large
    and mapped from a file; random tables), else None; whole: array in which the packed parts of
    several tracks stand one behind the other already, else None.

    Between samples the kernels follow a cubic with the derivatives given here: ten samples in a
    period of the highest frequency keep the error at 3e-4 of the rms.
    """

    values: np.ndarray
    interval: float
    start: float = 0.0
    loop: bool = True
    derivatives: np.ndarray | None = None
    packed: np.ndarray | None = None
    whole: np.ndarray | None = None

    @property
    def length(self):
        """Period of a loop, else time from the first to the last sample, s."""
        return self.interval * (len(self.values) - (0 if self.loop else 1))


def track_derivatives(values, interval, loop):
    """Derivative in time of a sampled signal at its samples.

    Periodic: exact for the trigonometric polynomial through the samples, by the discrete Fourier
    transform (the component of half the sampling rate, whose slope is zero at its samples, left
    out). Once: slope of the cubic spline through the samples, which needs no end condition
    (not-a-knot).

    Parameters
    ----------
    values : array (n, 3)
        Samples.
    interval : float, s
        Time between them.
    loop : bool
        Periodic.

    Returns
    -------
    array (n, 3)
        Unit of the values per second.

    Examples
    --------
    >>> times = 0.01 * np.arange(100)
    >>> values = np.column_stack([np.sin(2.0 * np.pi * times)] * 3)
    >>> round(float(track_derivatives(values, 0.01, True)[0, 0] / (2.0 * np.pi)), 9)
    1.0
    """
    if not loop:
        from scipy.interpolate import CubicSpline

        times = interval * np.arange(len(values))
        return CubicSpline(times, values)(times, 1)
    from scipy.fft import irfft, rfft

    count = len(values)
    result = np.empty_like(values, dtype=float)
    omega = 2j * np.pi * np.arange(count // 2 + 1) / (count * interval)
    if count % 2 == 0:
        omega[-1] = 0.0
    for axis in range(values.shape[1]):
        result[:, axis] = irfft(omega * rfft(values[:, axis]), count)
    return result


def pack_tracks(tracks):
    """Arrays `samples` and `tracks` of the kernels.

    Parameters
    ----------
    tracks : iterable of Track
        Any number, none included.

    Returns
    -------
    samples : ndarray (n, 6)
        Values and derivatives, one track behind the other.
    rows : ndarray (k, 5)
        First sample, number of samples, interval, start, loop.
    """
    tracks = list(tracks)
    count = sum(len(track.values) for track in tracks)
    samples = _as_they_lie(tracks, count)
    filled = samples is not None
    if not filled:
        samples = roomy_array(count, SAMPLE_COLUMNS)
    rows, first = np.empty((len(tracks), TRACK_COLUMNS)), 0
    for row, track in zip(rows, tracks, strict=True):
        part = samples[first : first + len(track.values)]
        row[:] = first, len(part), track.interval, track.start, track.loop
        first += len(part)
        if filled:
            continue
        part[:, :3] = track.values
        part[:, 3:] = (
            track_derivatives(part[:, :3], track.interval, track.loop)
            if track.derivatives is None
            else track.derivatives
        )
    return samples, rows


def _as_they_lie(tracks, count):
    """The array that holds all tracks one behind the other already; None without one."""
    if len(tracks) == 1:
        return tracks[0].packed
    whole = tracks[0].whole if tracks else None
    if whole is None or len(whole) != count or any(track.whole is not whole for track in tracks):
        return None
    return whole
