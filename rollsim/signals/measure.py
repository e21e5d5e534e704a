"""Everything that is told about a shaken base: level, bands, lines, motion, shock response."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.signals.bands import band_edges, band_power, bands_over, cross_power
from rollsim.signals.lines import find_tones, fit_lines, line_signal
from rollsim.signals.motion import drift_free_motion, motion_from_rest
from rollsim.signals.shock_response import FINEST_SHARE, response_frequencies, shock_response
from rollsim.signals.statistics import (
    Statistics,
    averaged_density,
    envelope,
    histogram,
    share_beyond,
    statistics,
)

#: Fewest samples that are measured.
FEWEST_SAMPLES = 32
#: Levels over rms beyond which the time is told.
BEYOND = (1.0, 2.0, 3.0, 4.0)
#: Frequency steps in the width of the lowest band.
_STEPS_IN_BAND = 4.0
#: Periods of the lowest frequency kept by the high-pass that the stretch must hold.
_PERIODS = 4.0
#: Resonators go up to this many times the highest frequency, where they follow the housing.
_WIDEST = 4.0
#: Width of a third-octave band over its centre, G^(1/6) - G^(-1/6).
_BAND_WIDTH = 0.2307


@dataclass(frozen=True)
class Plan:
    """What to look for in a signal.

    lowest, highest: Hz, range of the bands; lines: Hz of steady sines to take apart, rising;
    tones: whether to look for steady sines that nobody named (recordings); quality: Q of the shock
    response; afterwards: the base is at rest after the end (a shock);
    response: whether to work out the shock response, which takes longest.
    """

    lowest: float
    highest: float
    lines: tuple[float, ...] = ()
    tones: bool = False
    quality: float = 10.0
    afterwards: bool = False
    response: bool = True


@dataclass(frozen=True)
class AxisMeasures:
    """Measures along one axis; SI units.

    whole: Statistics of the whole signal, m/s2; band_rms: array (bands,), m/s2, of the rest, which
    is what is left without lines and events; rest_rms: m/s2 of it over all frequencies;
    rest_kurtosis: of it; outside_rms: m/s2 of it outside the bands; frequency, density: Hz and
    (m/s2)2/Hz, averaged, of it; edges, share: histogram of the whole in multiples of its rms;
    beyond: array (4,), share of the time farther than 1, 2, 3, 4 rms from the mean;
    velocity, displacement: (rms, peak), m/s and m, free of drift; removed_mean: m/s2;
    end_velocity: m/s, change of velocity over the stretch by plain integration; response: array,
    m/s2, largest response of the resonators (empty if not asked).
    """

    whole: Statistics
    band_rms: np.ndarray
    rest_rms: float
    rest_kurtosis: float
    outside_rms: float
    frequency: np.ndarray
    density: np.ndarray
    edges: np.ndarray
    share: np.ndarray
    beyond: np.ndarray
    velocity: tuple[float, float]
    displacement: tuple[float, float]
    removed_mean: float
    end_velocity: float
    response: np.ndarray


@dataclass(frozen=True)
class Measures:
    """Measures of a signal of three axes.

    start, end: s; rate: Hz; bands: array (m,) of band numbers; lines: array (k,), Hz; amplitude:
    array (k, 3), m/s2, of each line; cut: Hz, what lies below is not in velocity and
    displacement; axes: AxisMeasures of x, y, z; response_frequency: array, Hz; cross: array (3, 3),
    complex, (m/s2)2, mean products E[a_i conj(a_j)] without lines and events; plan: Plan; course:
    times, least and greatest acceleration in short pieces where there are events, else None.
    """

    start: float
    end: float
    rate: float
    bands: np.ndarray
    lines: np.ndarray
    amplitude: np.ndarray
    cut: float
    axes: tuple[AxisMeasures, ...]
    response_frequency: np.ndarray
    cross: np.ndarray
    plan: Plan
    course: tuple[np.ndarray, np.ndarray, np.ndarray] | None = None


def measure(times, acceleration, plan, events=None):
    """Measure an acceleration.

    Parameters
    ----------
    times : array (n,), s
        Even grid of at least 32 samples.
    acceleration : array (n, 3), m/s2
        x, y and z.
    plan : Plan
        What to look for.
    events : array (n, 3) or None, m/s2
        Known sweeps and shocks in it, taken out of bands and density like the lines.

    Returns
    -------
    Measures
    """
    times = np.asarray(times, dtype=float)
    acceleration = np.asarray(acceleration, dtype=float)
    course = None if events is None else envelope(times, acceleration)
    events = np.zeros((1, 3)) if events is None else events
    span = times[-1] - times[0]
    rate = (len(times) - 1) / span
    lines = resolved_lines(plan.lines, span, rate)
    if plan.tones:
        known = line_signal(times, lines, *fit_lines(times, acceleration - events, lines))
        tones = find_tones(times, acceleration - events - known)
        lines = resolved_lines([*lines, *tones], span, rate)
    cosine, sine = fit_lines(times, acceleration - events, lines)
    rest = acceleration - events - line_signal(times, lines, cosine, sine)
    bands = bands_over(plan.lowest, min(plan.highest, 0.5 * rate))
    cut = max(0.5 * plan.lowest, _PERIODS / span)
    resonators = np.empty(0)
    if plan.response:
        first = plan.lowest if plan.afterwards else max(0.5 * plan.lowest, 2.0 / span)
        last = min(FINEST_SHARE * rate, _WIDEST * plan.highest)
        resonators = response_frequencies(min(first, 0.5 * last), last)
    stretch = _Stretch(times, rate, lines, cut, bands, resonators)
    axes = tuple(
        _axis(stretch, acceleration[:, i], rest[:, i], (cosine[:, i], sine[:, i]), plan)
        for i in range(acceleration.shape[1])
    )
    amplitude = np.hypot(cosine, sine)
    return Measures(
        float(times[0]), float(times[-1]), float(rate), bands, lines, amplitude, float(cut), axes,
        resonators, cross_power(rest, rate, (plan.lowest, plan.highest)), plan, course,
    )  # fmt: skip


@dataclass(frozen=True)
class Bands:
    """A signal that another one should follow, measured as that one was.

    cosine, sine: arrays (k, 3), m/s2, of the lines of the other one; band_rms: array (3, bands),
    m/s2, of the rest, what is left without them; rest_rms, rest_kurtosis: arrays (3,), m/s2 and
    pure, of it; frequency, density: arrays, Hz, and (3, m), (m/s2)2/Hz, averaged, of it.
    """

    cosine: np.ndarray
    sine: np.ndarray
    band_rms: np.ndarray
    rest_rms: np.ndarray
    rest_kurtosis: np.ndarray
    frequency: np.ndarray
    density: np.ndarray


def measure_beside(times, acceleration, measures):
    """Measure the bands and lines of a signal in the way of measures that were made of another.

    Parameters
    ----------
    times : array (n,), s
        Even grid; its rate may be another one.
    acceleration : array (n, 3), m/s2
        x, y and z.
    measures : Measures
        Those of the other signal, over the same stretch of time.

    Returns
    -------
    Bands
    """
    rate = (len(times) - 1) / (times[-1] - times[0])
    lines, edges = measures.lines, band_edges(measures.bands)
    cosine, sine = fit_lines(times, acceleration, lines)
    rest = acceleration - line_signal(times, lines, cosine, sine)
    step = _BAND_WIDTH * edges[0] / _STEPS_IN_BAND
    found = [averaged_density(axis, rate, step) for axis in rest.T]
    kurtosis = [statistics(axis, rate).kurtosis for axis in rest.T]
    return Bands(
        cosine,
        sine,
        np.sqrt([band_power(axis, rate, edges) for axis in rest.T]),
        rest.std(axis=0),
        np.array(kurtosis),
        found[0][0],
        np.array([density for _, density in found]),
    )


@dataclass(frozen=True)
class _Stretch:
    """What all axes share: times, rate, lines, cut, bands, resonators."""

    times: np.ndarray
    rate: float
    lines: np.ndarray
    cut: float
    bands: np.ndarray
    resonators: np.ndarray


def resolved_lines(frequencies, span, rate):
    """Frequencies that a stretch can tell apart: a whole period in it, below half the rate.

    Of two that lie closer together than one over the length of the stretch, the first stands for
    both.

    Parameters
    ----------
    frequencies : iterable of float, Hz
        Any order.
    span : float, s
        Length of the stretch.
    rate : float, Hz
        Samples a second.

    Returns
    -------
    array, Hz
        Rising.

    Examples
    --------
    >>> resolved_lines([16.0, 16.01, 0.1, 3000.0], 2.0, 5000.0).tolist()
    [16.0]
    """
    found = []
    for frequency in sorted(set(frequencies)):
        near = found and (frequency - found[-1]) * span < 1.0
        if frequency * span >= 1.0 and frequency < 0.5 * rate and not near:
            found.append(float(frequency))
    return np.array(found)


def _axis(stretch, whole, rest, line, plan):
    """Measures along one axis; line: cosine and sine amplitudes (k,)."""
    edges = band_edges(stretch.bands)
    power = band_power(rest, stretch.rate, edges)
    rest_power = float(np.var(rest))
    lowest_width = _BAND_WIDTH * edges[0]
    frequency, density = averaged_density(rest, stretch.rate, lowest_width / _STEPS_IN_BAND)
    velocity, displacement, mean = _motion(stretch, whole, line)
    response = shock_response(
        whole, stretch.rate, stretch.resonators, plan.quality, plan.afterwards
    )
    return AxisMeasures(
        statistics(whole, stretch.rate, remove_mean=not plan.afterwards),
        np.sqrt(power),
        float(np.sqrt(rest_power)),
        statistics(rest, stretch.rate).kurtosis,
        float(np.sqrt(max(rest_power - power.sum(), 0.0))),
        frequency,
        density,
        *histogram(whole),
        share_beyond(whole, BEYOND),
        velocity,
        displacement,
        mean,
        float(motion_from_rest(whole, stretch.rate)[-1]),
        response,
    )


def _motion(stretch, whole, line):
    """Rms and peak of velocity and displacement without drift; the lines are integrated exactly."""
    cosine, sine = (amplitude[:, None] for amplitude in line)
    rest = whole - line_signal(stretch.times, stretch.lines, cosine, sine)[:, 0]
    motion = drift_free_motion(rest, stretch.rate, stretch.cut)
    omega = 2.0 * np.pi * stretch.lines
    velocity, displacement = motion.velocity, motion.displacement
    if len(omega):
        w = omega[:, None]
        velocity = velocity + line_signal(stretch.times, stretch.lines, -sine / w, cosine / w)[:, 0]
        shape = line_signal(stretch.times, stretch.lines, -cosine / w**2, -sine / w**2)
        displacement = displacement + shape[:, 0]
    kept = motion.valid
    return _size(velocity[kept]), _size(displacement[kept]), motion.removed_mean


def _size(values):
    """Rms and largest absolute value."""
    return float(np.sqrt(np.mean(values**2))), float(np.abs(values).max())
