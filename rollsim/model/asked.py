"""What the sources of vibration of a case ask for: densities, lines, range of frequencies."""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.model.random_tables import random_sources
from rollsim.model.shaking import imposed_acceleration, make_shaking
from rollsim.model.source_rows import harmonic_rows, locked_rows, pulse_rows, sweep_rows
from rollsim.model.spectrum import (
    SAMPLES_PER_PERIOD,
    cumulative_mean_square,
    density_at,
    spectral_moment,
)
from rollsim.model.vibration import VibrationModel, VibrationSummary, turning_rows
from rollsim.units import HZ_TO_RAD_S

#: Periods of the lowest frequency that a recording should hold (our own choice).
_PERIODS = 4.0
#: Range of a pulse in multiples of one over its duration: below, it acts by its velocity change
#: alone; above, resonators follow it (our own choice).
_PULSE = (0.1, 10.0)


@dataclass(frozen=True)
class AskedSource:
    """One random source: what it asks for.

    table: array (n, 2), Hz and (m/s^2)^2/Hz, gain included; matrix: array (3, 3), complex, shares
    of x, y, z in that density and their cross terms, E[a_i conj(a_j)]; kurtosis.
    """

    table: np.ndarray
    matrix: np.ndarray
    kurtosis: float


def asked_sources(case):
    """What each random source of a case asks for.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of AskedSource
        They are independent of each other, so their densities add up.
    """
    found = []
    for source in random_sources(case):
        between = source.factor @ source.factor.conj().T
        matrix = source.directions.T @ between @ source.directions
        table = source.table * [1.0, source.gain**2]
        found.append(AskedSource(table, matrix, source.kurtosis))
    return found


def asked_tables(sources):
    """Density tables of the random sources along each axis.

    Parameters
    ----------
    sources : list of AskedSource
        See `asked_sources`.

    Returns
    -------
    list of three lists of arrays (n, 2), Hz and (m/s^2)^2/Hz
        x, y and z.
    """
    return [
        [item.table * [1.0, share] for item in sources if (share := item.matrix[i, i].real) > 0.0]
        for i in range(3)
    ]


def asked_cross(sources):
    """Mean products of the axes that the random sources ask for, E[a_i conj(a_j)].

    Parameters
    ----------
    sources : list of AskedSource
        See `asked_sources`.

    Returns
    -------
    array (3, 3), complex, (m/s^2)^2
        Mean squares on the diagonal; the argument of an entry is the phase of i over j.
    """
    return sum(
        (spectral_moment(item.table) * item.matrix for item in sources),
        np.zeros((3, 3), dtype=complex),
    )


def asked_kurtosis(sources):
    """Kurtosis along each axis that the random sources together ask for.

    The fourth cumulants of independent signals add up: k = 3 + sum s^4 (k_s - 3)/(sum s^2)^2.

    Parameters
    ----------
    sources : list of AskedSource
        See `asked_sources`.

    Returns
    -------
    array (3,)
        NaN along an axis without random sources.
    """
    power = np.array([spectral_moment(s.table) * s.matrix.diagonal().real for s in sources])
    power = power.reshape(-1, 3)
    excess = np.array([item.kurtosis - 3.0 for item in sources])
    total = power.sum(axis=0)
    safe = np.where(total > 0.0, total, np.nan)
    return 3.0 + (power**2 * excess[:, None]).sum(axis=0) / safe**2


def asked_power(tables, edges):
    """Mean square that random sources ask for between given frequencies.

    Parameters
    ----------
    tables : list of arrays (n, 2)
        Breakpoints of one axis.
    edges : array (m + 1,), Hz
        Rising.

    Returns
    -------
    array (m,), (m/s^2)^2
    """
    total = np.zeros(len(edges) - 1)
    for table in tables:
        total += np.diff(cumulative_mean_square(table, edges))
    return total


def asked_density(tables, frequencies):
    """Density that random sources ask for at given frequencies.

    Parameters
    ----------
    tables : list of arrays (n, 2)
        Breakpoints of one axis.
    frequencies : array, Hz
        Above zero.

    Returns
    -------
    array, (m/s^2)^2/Hz
    """
    return sum((density_at(table, frequencies) for table in tables), np.zeros(len(frequencies)))


def asked_lines(harmonic):
    """Steady sines that the sources ask for, equal frequencies added with their phases.

    Parameters
    ----------
    harmonic : array (k, 7)
        Rows [omega, Cx, Cy, Cz, Sx, Sy, Sz] of C cos(omega t) + S sin(omega t).

    Returns
    -------
    frequency : array (m,), Hz
        Rising.
    cosine : array (m, 3), m/s^2
    sine : array (m, 3), m/s^2
    """
    size = np.abs(harmonic[:, 0])
    omega = np.unique(size)
    cosine, sine = np.zeros((len(omega), 3)), np.zeros((len(omega), 3))
    for i, value in enumerate(omega):
        rows = harmonic[size == value]
        cosine[i] = rows[:, 1:4].sum(axis=0)
        sine[i] = (np.sign(rows[:, :1]) * rows[:, 4:7]).sum(axis=0)
    return omega / HZ_TO_RAD_S, cosine, sine


def steady_shaft(turning):
    """Whether the inner ring turns at one speed, so that what is locked to it is a steady sine.

    Parameters
    ----------
    turning : array (k, 3), s, rad/s, rad
        Rows of time, speed and angle.

    Returns
    -------
    bool
    """
    return bool(turning[0, 1] != 0.0 and np.ptp(turning[:, 1]) == 0.0)


def steady_model(model):
    """The same vibration with exciters on a shaft of one speed among the steady sines.

    Parameters
    ----------
    model : VibrationModel
        The vibration.

    Returns
    -------
    VibrationModel
        As it is where there are none, or where the speed of the shaft changes.
    """
    locked, turning = model.shaking.locked, model.turning
    if not len(locked) or not steady_shaft(turning):
        return model
    ratio, cosine, sine = locked[:, :1], locked[:, 1:4], locked[:, 4:7]
    time, speed, angle = turning[0]
    omega, phase = ratio * speed, ratio * (angle - speed * time)
    c, s = np.cos(phase), np.sin(phase)
    size = -(omega**2) * np.hstack([c * cosine + s * sine, c * sine - s * cosine])
    harmonic = np.concatenate([model.shaking.harmonic, np.hstack([omega, size])])
    return replace(model, shaking=model.shaking._replace(harmonic=harmonic, locked=locked[:0]))


def frequency_range(model):
    """Lowest and highest frequency of imposed vibration.

    Parameters
    ----------
    model : VibrationModel
        The vibration.

    Returns
    -------
    tuple of two floats, Hz
        None where nothing is imposed.
    """
    found = [span for span in _ranges(model) if span[1] > 0.0]
    if not found:
        return None
    return float(min(low for low, _ in found)), float(max(high for _, high in found))


def recorded_range(span, records):
    """Range of frequencies of sources and of recordings that a run replayed.

    Parameters
    ----------
    span : tuple of two floats or None, Hz
        That of the other sources.
    records : list of dict
        As the attribute "recordings" of a history holds them.

    Returns
    -------
    tuple of two floats or None, Hz
        None where there is neither.
    """
    found = [(_PERIODS / item["played_s"], item["band_edge_Hz"]) for item in records]
    found += [span] if span else []
    if not found:
        return None
    return float(min(low for low, _ in found)), float(max(high for _, high in found))


def _ranges(model):
    """Range of each source in the arrays of the kernels."""
    shaking, summary = model.shaking, model.summary
    yield summary.lowest_frequency, summary.highest_frequency
    for row in shaking.tracks[len(summary.periods) :]:
        yield _PERIODS / (row[1] * row[2]), 1.0 / (SAMPLES_PER_PERIOD * row[2])
    for row in shaking.harmonic:
        yield (abs(row[0]) / HZ_TO_RAD_S,) * 2
    for row in shaking.sweep:
        yield min(row[2:4]), max(row[2:4])
    for row in shaking.pulse:
        yield _PULSE[0] / row[1], _PULSE[1] / row[1]
    for row in shaking.locked:
        speeds = np.abs(row[0] * model.turning[:, 1]) / HZ_TO_RAD_S
        turning = speeds[speeds > 0.0]
        if turning.size:
            yield turning.min(), turning.max()


def known_model(case, duration):
    """Sines, sweeps, shocks and exciters of a case: what needs no random signal and no file.

    Parameters
    ----------
    case : Case
        The case.
    duration : float, s
        Simulated time.

    Returns
    -------
    VibrationModel
        Its summary holds the range of the random sources and nothing else.
    """
    sources = case.vibration
    shaking = make_shaking(
        (),
        harmonic_rows(sources),
        sweep_rows(sources, duration),
        pulse_rows(sources, case.case.seed, duration),
        locked_rows(sources),
        case.duty.ramp_s,
    )
    tables = [item.table for item in random_sources(case)]
    summary = VibrationSummary(
        lowest_frequency=float(min((table[0, 0] for table in tables), default=0.0)),
        highest_frequency=float(max((table[-1, 0] for table in tables), default=0.0)),
    )
    return VibrationModel(shaking, turning_rows(case), summary)


def events(model, times):
    """Sweeps, shocks and exciters locked to the shaft alone: what is neither random nor steady.

    Parameters
    ----------
    model : VibrationModel
        The vibration.
    times : array (n,), s
        Times.

    Returns
    -------
    array (n, 3) or None, m/s^2
        None where there are none.
    """
    shaking = model.shaking
    if not (len(shaking.sweep) or len(shaking.pulse) or len(shaking.locked)):
        return None
    alone = shaking._replace(tracks=shaking.tracks[:0], harmonic=shaking.harmonic[:0])
    return imposed_acceleration(alone, times, model.turning)
