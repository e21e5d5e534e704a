"""Relations within sweeps, shocks, exciters and the finer keys of random vibration."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rollsim.case.checks import Finding, Values
from rollsim.case.checks_vibration import TOP_DENSITY, TOP_FREQUENCY, each
from rollsim.case.lines import Path
from rollsim.case.problems import header
from rollsim.case.source_formulas import (
    coherence_matrix,
    slope_points,
    sweep_length,
    sweep_periods,
)
from rollsim.case.vibration import ExciterSource, PsdSource, ShockSource, SweepSource

#: A slope may take the density down to this share of the greatest one; below it is a mistake.
LEAST_SHARE = 1e-9
#: Shocks in one source at random times: the memory and the time to find them stay small.
MOST_SHOCKS = 100_000
#: Periods of the frequency of the moment in which a sweep may pass an octave, or its own span.
LEAST_PERIODS = 2.0


def _slopes(v: Values, path: Path) -> Iterator[Finding]:
    """Pieces of slope join, carry a level, and run to sensible densities."""
    key = (*path, "psd_slopes_dB_per_octave")
    has_slopes = v.given(key)
    for name in ("psd_level", "psd_level_at_Hz"):
        if has_slopes and not v.given((*path, name)):
            yield Finding(path, f"{header(path)} needs '{name}' with psd_slopes_dB_per_octave")
        elif v.given((*path, name)) and not has_slopes:
            yield Finding((*path, name), "is only used with psd_slopes_dB_per_octave")
    pieces = v[key]
    if not pieces:
        yield Finding(key, "needs at least one piece [from Hz, to Hz, slope in dB per octave]")
        return
    bad = False
    for row, (low, high, _) in enumerate(pieces):
        where, text = (*key, row), f"piece [{', '.join(f'{x:g}' for x in pieces[row])}]: "
        if not 0 < low < high <= TOP_FREQUENCY:
            bad = True
            message = f"must run upwards within 0 to {TOP_FREQUENCY:g} Hz"
            yield Finding(where, text + message)
        elif row and low != pieces[row - 1][1]:
            bad = True
            yield Finding(
                where, text + f"must begin where the last ends, {pieces[row - 1][1]:g} Hz"
            )
    if bad:
        return
    at, level = v[(*path, "psd_level_at_Hz")], v[(*path, "psd_level")]
    if not pieces[0][0] <= at <= pieces[-1][1]:
        span = f"{pieces[0][0]:g} to {pieces[-1][1]:g} Hz"
        yield Finding((*path, "psd_level_at_Hz"), f"must lie within the pieces, {span}")
        return
    yield from _slope_levels(key, slope_points(pieces, level, at))


def _slope_levels(key: Path, points: list[tuple[float, float]]) -> Iterator[Finding]:
    """Densities at the ends of the pieces."""
    top, largest = max(points, key=lambda point: point[1])
    if largest > TOP_DENSITY:
        text = f"at most {TOP_DENSITY:g}: look at signs and the level"
        yield Finding(key, f"reaches a density of {largest:.3g} at {top:g} Hz; {text}")
        return
    for frequency, density in points:
        if density < LEAST_SHARE * largest:
            text = f"{density / largest:.1g} of its greatest: end the spectrum earlier"
            yield Finding(key, f"falls at {frequency:g} Hz to {text}")
            return


def _list(value) -> list[float]:
    """A number or list as list."""
    return list(value) if isinstance(value, list | tuple) else [value]


def _coherence(v: Values, path: Path) -> Iterator[Finding]:
    """Coherences fit the axes and each other."""
    coherence, phase = (*path, "coherence"), (*path, "phase_deg")
    if v.given(phase) and not v.given(coherence):
        yield Finding(phase, "is only used with coherence")
    values = _list(v[coherence])
    axes = v.find((*path, "axis")) or ()
    pairs = len(axes) * (len(axes) - 1) // 2 if not isinstance(axes, str) else 0
    if not pairs:
        yield Finding(coherence, "needs several axes in one source: give axis as a list")
        return
    bad = False
    for key in (coherence, phase):
        given = _list(v[key]) if v.given(key) else [0.0]
        if len(given) not in (1, pairs):
            bad = True
            yield Finding(key, f"needs one number, or {pairs} for the pairs of {len(axes)} axes")
    if any(not 0.0 <= value <= 1.0 for value in values):
        yield Finding(coherence, "must be 0 to 1")
    elif not bad:
        phases = _list(v[phase]) if v.given(phase) else [0.0]
        least = np.linalg.eigvalsh(coherence_matrix(len(axes), values, phases))[0]
        if least < -1e-9:
            text = "what is coherent with a third axis is so with each other too: "
            yield Finding(coherence, f"cannot hold at once with these phases; {text}lower one")
    if v.given((*path, "kurtosis")) and v[(*path, "kurtosis")] > 3 and any(values):
        text = "shaping the peaks of each axis would spoil it: give one of both"
        yield Finding(coherence, f"does not go with a kurtosis above 3; {text}")


SPEEDS = {"sweep_s": None, "rate_octaves_per_min": "log", "rate_Hz_per_s": "linear"}


def _sweep(v: Values, path: Path) -> Iterator[Finding]:
    """A sweep has one speed that fits its law, moves, begins within the run, is slow enough."""
    given = [key for key in SPEEDS if v.given((*path, key))]
    law = v[(*path, "law")]
    if len(given) != 1:
        yield Finding(path, f"{header(path)} needs exactly one of {_quoted(SPEEDS)}")
        return
    if SPEEDS[given[0]] not in (None, law):
        right = "rate_octaves_per_min" if law == "log" else "rate_Hz_per_s"
        yield Finding((*path, given[0]), f"does not go with law = '{law}': give {right} or sweep_s")
        return
    first, last = v[(*path, "start_frequency_Hz")], v[(*path, "end_frequency_Hz")]
    if first == last:
        text = "is that at the start: nothing is swept; use kind = 'sine'"
        yield Finding((*path, "end_frequency_Hz"), text)
        return
    start, duration = v[(*path, "start_s")], v["duty.duration_s"]
    if start >= duration:
        yield Finding((*path, "start_s"), f"must lie within the run, below {duration:g} s")
    length = sweep_length(law, first, last, {given[0]: v[(*path, given[0])]})
    periods = sweep_periods(law, first, last, length)
    if periods < LEAST_PERIODS:
        need = length * LEAST_PERIODS / periods
        text = f"an octave passes in {periods:.2g} periods; let one sweep last {need:.3g} s or more"
        yield Finding((*path, given[0]), f"is too fast for a sweep: {text}")


def _quoted(names) -> str:
    """Names in quotes."""
    return ", ".join(f"'{name}'" for name in names)


def _sweep_amplitude(v: Values, path: Path) -> Iterator[Finding]:
    """A sweep has a displacement, an acceleration, or both; not two accelerations."""
    keys = ("amplitude_g", "amplitude_m_per_s2")
    given = [key for key in keys if v.given((*path, key))]
    if not given and not v.given((*path, "displacement_mm")):
        names = _quoted((*keys, "displacement_mm"))
        yield Finding(path, f"{header(path)} needs an amplitude: one of {names}")
    elif len(given) == 2:
        text = "give either amplitude_g or amplitude_m_per_s2, not both"
        yield Finding((*path, "amplitude_m_per_s2"), text)


def _shock_times(v: Values, path: Path) -> Iterator[Finding]:
    """A train or random times, not both; within the run; not one into the other."""
    start, length = v[(*path, "start_s")], v[(*path, "duration_ms")]
    duration = v["duty.duration_s"]
    if start >= duration:
        yield Finding((*path, "start_s"), f"must lie within the run, below {duration:g} s")
    train, random = v.given((*path, "period_ms")), v.given((*path, "rate_per_s"))
    if train and random:
        yield Finding((*path, "rate_per_s"), "give either period_ms or rate_per_s, not both")
    for name, used, with_what in (
        ("count", train or random, "period_ms or rate_per_s"),
        ("seed", random, "rate_per_s"),
    ):
        if v.given((*path, name)) and not used:
            yield Finding((*path, name), f"is only used with {with_what}")
    if train and v[(*path, "period_ms")] < length:
        text = f"is shorter than the pulse, {length:g} ms: the pulses would run into each other"
        yield Finding((*path, "period_ms"), text)
    rate = v.find((*path, "rate_per_s")) if random else None
    if train:
        rate = 1e3 / v[(*path, "period_ms")]
    count = v.find((*path, "count"))
    if rate and count is None and rate * (duration - start) > MOST_SHOCKS:
        key = "period_ms" if train else "rate_per_s"
        yield Finding(
            (*path, key), f"gives more than {MOST_SHOCKS} pulses in the run: give a count"
        )


def _shock_shape(v: Values, path: Path) -> Iterator[Finding]:
    """Rise and fall belong to a trapezoid and leave room for each other."""
    length, total, given = v[(*path, "duration_ms")], 0.0, []
    for key in ("rise_ms", "fall_ms"):
        has = v.given((*path, key))
        if has and v[(*path, "shape")] != "trapezoid":
            yield Finding((*path, key), "is only used with shape = 'trapezoid'")
            return
        given += [key] * has
        total += v[(*path, key)] if has else 0.1 * length
    if given and total > length * (1.0 + 1e-12):
        text = f"rise and fall take {total:g} ms together, more than the pulse of {length:g} ms"
        yield Finding((*path, given[-1]), text)


def _shock_ramp(v: Values, path: Path) -> Iterator[Finding]:
    """The first shock comes behind the fade-in, which would take from it."""
    ramp, start = v["duty.ramp_s"], v[(*path, "start_s")]
    if start < ramp and start < v["duty.duration_s"]:
        text = f"lies in the fade-in of the vibration: give {ramp:g} s or more, or a shorter ramp_s"
        yield Finding((*path, "start_s"), text)


def _exciter_speed(v: Values, path: Path) -> Iterator[Finding]:
    """An exciter has a speed of its own or follows the shaft, and it turns."""
    locked, has_speed = v[(*path, "locked_to_shaft")], v.given((*path, "speed_rpm"))
    if locked and has_speed:
        text = "is not used with locked_to_shaft = true: the shaft gives the speed; use ratio"
        yield Finding((*path, "speed_rpm"), text)
    elif not locked and not has_speed:
        yield Finding(path, f"{header(path)} needs 'speed_rpm', or locked_to_shaft = true")
    elif has_speed and v[(*path, "speed_rpm")] == 0:
        yield Finding((*path, "speed_rpm"), "must not be 0: an exciter at rest shakes nothing")
    if locked and v[(*path, "ratio")] == 0:
        yield Finding((*path, "ratio"), "must not be 0: an exciter at rest shakes nothing")
    if not locked and v.given((*path, "ratio")):
        yield Finding((*path, "ratio"), "is only used with locked_to_shaft = true")
    if locked and v["duty.drive"] == "torque":
        text = (
            "needs a speed that is given: with drive = 'torque' the acceleration of the ring "
            "follows from the motion; give speed_rpm here, or drive = 'speed'"
        )
        yield Finding((*path, "locked_to_shaft"), text)


def _exciter_path(v: Values, path: Path) -> Iterator[Finding]:
    """Angle and second throw belong to their paths."""
    form = v[(*path, "path")]
    has_second, has_angle = v.given((*path, "second_throw_mm")), v.given((*path, "angle_deg"))
    if form == "ellipse" and not has_second:
        yield Finding(path, f"{header(path)} needs 'second_throw_mm' with path = 'ellipse'")
    elif has_second and form != "ellipse":
        yield Finding((*path, "second_throw_mm"), "is only used with path = 'ellipse'")
    elif has_second and v[(*path, "second_throw_mm")] > v[(*path, "throw_mm")]:
        text = "is the short one: at most throw_mm; turn the ellipse with angle_deg"
        yield Finding((*path, "second_throw_mm"), text)
    if form != "circle" and not has_angle:
        yield Finding(path, f"{header(path)} needs 'angle_deg' with path = '{form}'")
    elif has_angle and form == "circle":
        yield Finding((*path, "angle_deg"), "is not used with path = 'circle': use phase_deg")


CHECKS = (
    *(each(PsdSource, check) for check in (_slopes, _coherence)),
    *(each(SweepSource, check) for check in (_sweep, _sweep_amplitude)),
    *(each(ShockSource, check) for check in (_shock_times, _shock_shape, _shock_ramp)),
    *(each(ExciterSource, check) for check in (_exciter_speed, _exciter_path)),
)
