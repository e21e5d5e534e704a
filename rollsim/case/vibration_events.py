"""[[vibration]] kind = "sweep" and kind = "shock"."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import MEMORY, PRACTICE, Section, Three, assumed, conditional, needed
from rollsim.case.vibration_keys import (
    Axis,
    amplitude_g_key,
    amplitude_key,
    axis_key,
    direction_key,
    phase_key,
)

FREQUENCY = {"gt": 0, "le": 1e5}


class SweepSource(Section):
    """kind = "sweep": a sine whose frequency goes up, down, or up and down.

    With a displacement and an acceleration the smaller one holds at each frequency: constant
    displacement up to the frequency where both are equal, constant acceleration above.
    """

    kind: Literal["sweep"] = needed("kind of source", example="sweep")
    axis: Axis | None = axis_key()
    direction: Three | None = direction_key()
    start_frequency_Hz: float = needed("frequency at the start", "Hz", example=10.0, **FREQUENCY)
    end_frequency_Hz: float = needed(
        "frequency at the end; below that at the start for a sweep downwards",
        "Hz",
        example=500.0,
        **FREQUENCY,
    )
    law: Literal["log", "linear"] = assumed(
        "log",
        "how the frequency goes with time: equal times for octaves, or for Hz",
        why="sweeps of IEC 60068-2-6 are logarithmic; " + MEMORY,
    )
    sweep_s: float | None = conditional(
        "duration of one sweep from start to end",
        "s",
        when="one of sweep_s, rate_octaves_per_min, rate_Hz_per_s",
        example=60.0,
        gt=0,
        le=1e5,
    )
    rate_octaves_per_min: float | None = conditional(
        "speed of a logarithmic sweep",
        "octaves/min",
        when="in place of sweep_s, with law = 'log'",
        example=1.0,
        gt=0,
        le=1e4,
    )
    rate_Hz_per_s: float | None = conditional(
        "speed of a linear sweep",
        "Hz/s",
        when="in place of sweep_s, with law = 'linear'",
        example=5.0,
        gt=0,
        le=1e6,
    )
    and_back: bool = assumed(
        False, "each sweep is followed by one back to the start", why="one way; " + PRACTICE
    )
    sweeps: int = assumed(
        1, "how often it is swept, there and back counted once", why="one sweep", ge=1, le=1000
    )
    start_s: float = assumed(0.0, "time at which it starts", "s", why="at once", ge=0, le=1e5)
    amplitude_g: float | None = amplitude_g_key(2.0)
    amplitude_m_per_s2: float | None = amplitude_key(20.0)
    displacement_mm: float | None = conditional(
        "amplitude of the displacement, half of peak to peak",
        "mm",
        when="in place of an acceleration, or with one as the bound at low frequencies",
        example=0.35,
        gt=0,
        le=1000,
    )
    phase_deg: float = phase_key()


class ShockSource(Section):
    """kind = "shock": one pulse, a train of them, or pulses at random times."""

    kind: Literal["shock"] = needed("kind of source", example="shock")
    axis: Axis | None = axis_key()
    direction: Three | None = direction_key()
    shape: Literal["half_sine", "trapezoid", "saw_tooth"] = needed(
        "shape of the pulse; the saw-tooth rises straight and drops at its peak",
        example="half_sine",
    )
    amplitude_g: float | None = amplitude_g_key(30.0)
    amplitude_m_per_s2: float | None = amplitude_key(300.0)
    duration_ms: float = needed("duration of the pulse", "ms", example=6.0, gt=0, le=1e4)
    rise_ms: float | None = conditional(
        "time in which a trapezoid rises",
        "ms",
        when="with shape = 'trapezoid'; not given: a tenth of the duration",
        example=0.6,
        gt=0,
        le=1e4,
    )
    fall_ms: float | None = conditional(
        "time in which a trapezoid falls",
        "ms",
        when="with shape = 'trapezoid'; not given: a tenth of the duration",
        example=0.6,
        gt=0,
        le=1e4,
    )
    polarity: Literal["positive", "negative", "alternating"] = assumed(
        "positive", "sense along the axis", why="along the axis"
    )
    start_s: float = needed("time of the first pulse", "s", example=0.3, ge=0, le=1e5)
    period_ms: float | None = conditional(
        "time from pulse to pulse in a train",
        "ms",
        when="for a train; neither this nor rate_per_s gives a single pulse",
        example=50.0,
        gt=0,
        le=1e8,
    )
    rate_per_s: float | None = conditional(
        "mean number of pulses a second, at random times independent of each other",
        "1/s",
        when="for random times, in place of period_ms",
        example=2.0,
        gt=0,
        le=1e4,
    )
    count: int | None = conditional(
        "number of pulses",
        when="with period_ms or rate_per_s; not given: as many as begin within the run",
        example=10,
        ge=1,
        le=100000,
    )
    seed: int | None = conditional(
        "seed of the random times",
        when="with rate_per_s; not given: it follows from case.seed and the position of the source",
        example=7,
        ge=0,
        le=2**32 - 1,
    )
