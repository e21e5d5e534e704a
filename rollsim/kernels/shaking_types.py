"""Imposed vibration as the kernels take it."""

from enum import IntEnum
from typing import NamedTuple

import numpy as np


class PulseShape(IntEnum):
    """Codes of the shapes of a shock."""

    HALF_SINE = 0
    TRAPEZOID = 1
    SAW_TOOTH = 2


class SweepLaw(IntEnum):
    """Codes of the ways in which the frequency of a sweep goes with time."""

    LINEAR = 0
    LOG = 1


class Shaking(NamedTuple):
    """Imposed acceleration of the housing: the sum of all sources, faded in over `ramp` [s].

    samples: rows [ax ay az dax day daz], m/s^2 and m/s^3, of all tracks, one behind the other;
    tracks: rows [first sample, number of samples, interval s, start s, loop]; a track with loop 1
    is periodic and acts at all times, one with loop 0 runs once and is zero elsewhere;
    harmonic: rows [omega rad/s, Cx Cy Cz, Sx Sy Sz m/s^2] of C cos(omega t) + S sin(omega t);
    sweep: rows [start s, end s, frequency at the start Hz, at the end Hz, `SweepLaw`,
    largest acceleration m/s^2, largest displacement m (infinity for the one that does not bind),
    direction x y z, phase at the start rad];
    pulse: rows [start s, duration s, `PulseShape`, shares of rise and fall (of a trapezoid),
    peak ax ay az m/s^2], starts rising; longest_pulse [s]: longest duration;
    locked: rows [ratio, Cx Cy Cz, Sx Sy Sz m] of a displacement C cos(ratio theta) + S sin(ratio
    theta) that follows the angle theta of the inner ring;
    corners: times [s] at which the sum bends or jumps, rising.
    Every array may have no rows.
    """

    samples: np.ndarray
    tracks: np.ndarray
    harmonic: np.ndarray
    sweep: np.ndarray
    pulse: np.ndarray
    longest_pulse: float
    locked: np.ndarray
    corners: np.ndarray
    ramp: float


#: Numbers in a row of each array of `Shaking`.
SAMPLE_COLUMNS = 6
TRACK_COLUMNS = 5
HARMONIC_COLUMNS = 7
SWEEP_COLUMNS = 11
PULSE_COLUMNS = 8
