"""Velocity and displacement of a measured or imposed acceleration, without drift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Motion:
    """Velocity and displacement of an acceleration, and what was removed to get them.

    velocity, displacement: arrays (n,), m/s and m; cut: Hz, below which everything was removed;
    removed_mean: m/s2; valid: slice of the samples free of the edge effects of the filter.
    """

    velocity: np.ndarray
    displacement: np.ndarray
    cut: float
    removed_mean: float
    valid: slice


def drift_free_motion(acceleration, rate, cut):
    """Integrate an acceleration once and twice in the frequency domain, free of drift.

    V = A/(j w), X = -A/w^2, each times the high-pass H(f): 0 up to half the cut, 1 from the cut
    on, a quarter of a sine squared between. The constants of integration, the mean acceleration
    and everything below the cut are removed, because an error of a mean acceleration a grows to
    a t^2/2. The stretch is taken as periodic; where its ends do not match, the jump rings for
    about two periods of the cut at either end, which `valid` leaves out (a quarter of the stretch
    at most).

    Parameters
    ----------
    acceleration : array (n,), m/s2
        Evenly sampled.
    rate : float, Hz
        Samples a second.
    cut : float, Hz
        Lowest frequency that is kept whole, above zero.

    Returns
    -------
    Motion
    """
    signal = np.asarray(acceleration, dtype=float)
    count = len(signal)
    mean = float(signal.mean())
    lines = np.fft.rfft(signal - mean)
    frequency = np.fft.rfftfreq(count, 1.0 / rate)
    share = np.sin(0.5 * np.pi * np.clip(2.0 * frequency / cut - 1.0, 0.0, 1.0)) ** 2
    omega = 2.0 * np.pi * np.where(frequency > 0.0, frequency, 1.0)
    lines *= share
    velocity = np.fft.irfft(lines / (1j * omega), count)
    displacement = np.fft.irfft(-lines / omega**2, count)
    edge = min(round(2.0 * rate / cut), count // 4)
    return Motion(velocity, displacement, float(cut), mean, slice(edge, count - edge))


def motion_from_rest(acceleration, rate):
    """Velocity of a body that starts at rest, by the trapezoidal rule; nothing is removed.

    For shocks, whose velocity change is real.

    Parameters
    ----------
    acceleration : array (n,), m/s2
        Evenly sampled.
    rate : float, Hz
        Samples a second.

    Returns
    -------
    array (n,), m/s

    Examples
    --------
    A half-sine of 1000 m/s2 and 6 ms changes the velocity by 2 A T/pi = 3.8197 m/s.

    >>> time = np.linspace(0.0, 0.006, 2001)
    >>> pulse = 1000.0 * np.sin(np.pi * time / 0.006)
    >>> round(float(motion_from_rest(pulse, 2000 / 0.006)[-1]), 4)
    3.8197
    """
    from scipy.integrate import cumulative_trapezoid

    return cumulative_trapezoid(acceleration, dx=1.0 / rate, initial=0.0)
