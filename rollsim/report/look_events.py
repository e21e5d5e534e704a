"""What sweeps and shocks ask for, in words: amplitudes and velocity change."""

from __future__ import annotations

import numpy as np

from rollsim.kernels.shaking_types import PulseShape
from rollsim.report.plain_data import number

_AXES = "xyz"


def event_words(shaking, start: float, end: float) -> tuple[str, ...]:
    """Sweeps and shocks that act within a stretch of time, as the case asks for them.

    Parameters
    ----------
    shaking : Shaking
        Sources as the kernels have them.
    start, end : float, s
        The stretch.

    Returns
    -------
    tuple of str
        Sentences; empty without sweeps and shocks there.
    """
    found = []
    pulses = shaking.pulse
    pulses = pulses[(pulses[:, 0] >= start) & (pulses[:, 0] + pulses[:, 1] <= end)]
    if len(pulses):
        sizes = np.abs(pulses[:, 5:8]).max(axis=0)
        change = (_areas(pulses)[:, None] * pulses[:, 5:8]).sum(axis=0)
        found.append(
            f"Shocks asked: {len(pulses)} within this time, largest {_along(sizes, 'm/s2')};"
            f" velocity change of all together {_along(1e3 * change, 'mm/s')}."
        )
    for row in shaking.sweep:
        if row[0] < end and row[1] > start:
            largest = min(row[5], row[6] * (2.0 * np.pi * max(row[2:4])) ** 2)
            found.append(
                f"Sweep asked: {row[2]:g} to {row[3]:g} Hz from {row[0]:.4g} s to {row[1]:.4g} s,"
                f" largest {_along(largest * np.abs(row[7:10]), 'm/s2')}."
            )
    return tuple(found)


def _areas(pulses) -> np.ndarray:
    """Velocity change of each pulse over its amplitude, s."""
    duration, shape, rise, fall = pulses[:, 1:5].T
    share = np.where(shape == PulseShape.HALF_SINE, 2.0 / np.pi, 0.5)
    return duration * np.where(shape == PulseShape.TRAPEZOID, 1.0 - 0.5 * (rise + fall), share)


def _along(values, unit: str) -> str:
    """Values along the axes that have one."""
    parts = [
        f"{number(value, 4)} {unit} along {name}"
        for name, value in zip(_AXES, values, strict=True)
        if abs(value) > 1e-9 * np.abs(values).max()
    ]
    return ", ".join(parts) or f"0 {unit}"
