"""Random vibration of a case as periodic tracks."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.environments import points_in_si
from rollsim.case.source_formulas import coherence_matrix, slope_points
from rollsim.kernels.shaking_types import SAMPLE_COLUMNS
from rollsim.model.kurtosis import with_kurtosis
from rollsim.model.source_rows import unit_direction
from rollsim.model.spectrum import (
    SAMPLES_PER_PERIOD,
    line_amplitudes,
    lines_to_signal,
    random_lines,
)
from rollsim.model.tracks import Track

#: Most samples of all random tracks together: 130 MB, so that a run of any length stays below
#: 500 MB with everything else that a process holds.
MOST_SAMPLES = 2_700_000
#: Bytes of one sample: values and derivatives of three axes.
SAMPLE_BYTES = 48
#: Ratio of the periods of two tracks: of all numbers the one that fractions come least near to.
GOLDEN = 0.5 * (1.0 + math.sqrt(5.0))
#: A kurtosis missed by more than this share is told.
KURTOSIS_SHARE = 0.02
_LOW_PERIODS = 10
#: Groups of lines whose level is set together: ratio of their ends, and fewest lines.
_GROUP = 2.0 ** (1.0 / 24.0)
_LEAST_LINES = 16
_AXES = "xyz"


@dataclass(frozen=True)
class RandomSource:
    """One random source: what it needs to become a signal.

    number: its place among all sources, from 1; table: breakpoints in Hz and (m/s^2)^2/Hz without
    gain; gain: factor on the acceleration; directions: array (m, 3), unit vectors; seeds: m lists
    (entropy, spawn key); kurtosis; factor: array (m, m), lower triangle L with L L^H the
    normalised cross spectra.
    """

    number: int
    table: np.ndarray
    gain: float
    directions: np.ndarray
    seeds: tuple
    kurtosis: float
    factor: np.ndarray


def random_sources(case):
    """Random sources of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of RandomSource
        In the order of the case.
    """
    found = []
    for position, source in enumerate(case.vibration):
        if source.kind != "psd":
            continue
        if source.direction is None:
            numbers = [_AXES.index(name) for name in source.axis]
            directions = np.eye(3)[numbers]
        else:
            numbers, directions = [3], unit_direction(source)[None, :]
        seeds = tuple(_seed(source, case.case.seed, position, number) for number in numbers)
        found.append(
            RandomSource(
                position + 1,
                density_table(source, case.environments),
                source.gain,
                directions,
                seeds,
                source.kurtosis,
                _factor(source, len(numbers)),
            )
        )
    return found


def density_table(source, environments):
    """Breakpoints of a random source without its gain.

    Parameters
    ----------
    source : PsdSource
        The source.
    environments : mapping
        Name -> Environment.

    Returns
    -------
    array (n, 2), Hz and (m/s^2)^2/Hz
    """
    if source.environment is not None:
        return np.array(environments[source.environment].points_si, dtype=float)
    points = source.psd
    if points is None:
        level, at = source.psd_level, source.psd_level_at_Hz
        points = slope_points(source.psd_slopes_dB_per_octave, level, at)
    return np.array(points_in_si(points, source.psd_unit), dtype=float)


def _seed(source, case_seed, position, number):
    """Seed of one signal: independent for every source and axis, the same in every run."""
    if source.seed is not None:
        return source.seed, (number,)
    return case_seed, (position, number)


def _factor(source, count):
    """Lower triangle L of the normalised cross spectra, S = L L^H."""
    if source.coherence is None:
        return np.eye(count)
    return semidefinite_cholesky(
        coherence_matrix(count, source.coherence, source.phase_deg or (0.0,))
    )


def semidefinite_cholesky(matrix):
    """Cholesky factor of a matrix that may be singular (fully coherent signals).

    Parameters
    ----------
    matrix : array (n, n), complex
        Hermitian, no negative eigenvalue.

    Returns
    -------
    array (n, n), complex
        Lower triangle L with L L^H the matrix; a column without pivot is zero.

    Examples
    --------
    >>> semidefinite_cholesky(np.ones((2, 2))).real
    array([[1., 0.],
           [1., 0.]])
    """
    count = len(matrix)
    factor = np.zeros((count, count), dtype=complex)
    for j in range(count):
        rest = matrix[j:, j] - factor[j:, :j] @ factor[j, :j].conj()
        pivot = rest[0].real
        if pivot > 1e-12:
            factor[j:, j] = rest / math.sqrt(pivot)
    return factor


def track_periods(sources, duration, cap):
    """Interval and periods of the tracks.

    One track that covers the run and ten periods of the lowest frequency; where the run is longer
    than the cap or the memory allow, two whose periods are in the golden ratio. Periods are raised
    a little to numbers of samples that the FFT handles fast.

    Parameters
    ----------
    sources : list of RandomSource
        Not empty.
    duration : float, s
        Simulated time.
    cap : float, s
        Longest period.

    Returns
    -------
    interval : float, s
        At least ten samples in a period of the highest frequency.
    periods : tuple of 1 or 2 float, s
        Periods.
    """
    lowest = min(source.table[0, 0] for source in sources)
    highest = max(source.table[-1, 0] for source in sources)
    interval = float(1.0 / (SAMPLES_PER_PERIOD * highest))
    most = min(cap, MOST_SAMPLES * interval)
    if duration <= most:
        wanted = min(max(duration, _LOW_PERIODS / lowest), most)
        return interval, (interval * _fast_count(wanted, interval),)
    longest = min(cap, MOST_SAMPLES * interval / (1.0 + 1.0 / GOLDEN))
    longest = interval * _fast_count(longest, interval)
    return interval, (longest, longest / GOLDEN)


def random_tracks(sources, duration, cap):
    """Sum of all random sources as one or two periodic tracks, and what was not reached.

    Two tracks have half the power each. Their sum never repeats; each of them does.

    Parameters
    ----------
    sources : list of RandomSource
        May be empty.
    duration : float, s
        Simulated time.
    cap : float, s
        Longest period.

    Returns
    -------
    tracks : list of Track
        Loops.
    warnings : list of str
        Plain sentences.
    """
    if not sources:
        return [], []
    interval, periods = track_periods(sources, duration, cap)
    tracks, warnings = [], _repeated(sources)
    counts = [_fast_count(period, interval) for period in periods]
    # Filled where it stays: a second copy of the samples would double the memory of long runs.
    whole, first = np.zeros((sum(counts), SAMPLE_COLUMNS)), 0
    for part, (period, count) in enumerate(zip(periods, counts, strict=True)):
        # The second period keeps its ratio to the first exactly: its samples stand a little closer.
        step = interval if part == 0 else period / count
        room = whole[first : first + count]
        warnings += _fill(room, sources, step, (part, len(periods)))
        tracks.append(Track(room[:, :3], step, derivatives=room[:, 3:], packed=room, whole=whole))
        first += count
    return tracks, warnings


def _fill(room, sources, interval, part):
    """Fill a track; returns what its signals missed; part: number of the track and of all."""
    values, rates, count, missed = room[:, :3], room[:, 3:], len(room), []
    share = 1.0 / math.sqrt(part[1])
    for source in sources:
        amplitudes = share * source.gain * line_amplitudes(source.table, count, interval)
        # Two independent halves have half the excess of each.
        target = 3.0 + part[1] * (source.kurtosis - 3.0)
        for lines, direction in zip(
            _lines(source, amplitudes, part[0]), source.directions, strict=True
        ):
            if source.kurtosis > 3.0:
                lines, reached = with_kurtosis(lines, count, target)
                if abs(reached / target - 1.0) > KURTOSIS_SHARE:
                    missed.append(_kurtosis_warning(source, reached, part[1]))
            for axis in np.flatnonzero(direction):
                value, rate = lines_to_signal(lines, count, interval)
                values[:, axis] += direction[axis] * value
                rates[:, axis] += direction[axis] * rate
    return missed


def _repeated(sources):
    """Sentences on signals that two sources share, though their densities count as independent."""
    found, known = [], {}
    for source in sources:
        same = [known[seed] for seed in source.seeds if seed in known]
        if same:
            found.append(
                f"[[vibration]] numbers {same[0]} and {source.number} have the same seed and so "
                "the same signal: they add up in full, not as independent ones; give one of them "
                "another seed"
            )
        for seed in source.seeds:
            known.setdefault(seed, source.number)
    return found


def _kurtosis_warning(source, reached, parts):
    """Sentence on a kurtosis that a band so narrow or a table so short cannot have."""
    reached = 3.0 + (reached - 3.0) / parts
    return (
        f"[[vibration]] number {source.number} has a kurtosis of {reached:.3g} in place of "
        f"{source.kurtosis:g}: its band is too narrow, or the run too short, to set it"
    )


def _lines(source, amplitudes, part):
    """Lines of the signals of one source, one after the other (arrays of complex numbers)."""
    entropies = [
        np.random.SeedSequence(entropy, spawn_key=key if part == 0 else (*key, part))
        for entropy, key in source.seeds
    ]
    generators = [np.random.Generator(np.random.PCG64(entropy)) for entropy in entropies]
    if np.array_equal(source.factor, np.eye(len(generators))):
        yield from (random_lines(amplitudes, generator) for generator in generators)
        return
    plain = [random_lines(amplitudes, generator) for generator in generators]
    for i, row in enumerate(source.factor):
        if np.count_nonzero(row) == 1 and row[i] == 1.0:
            yield plain[i]
        else:
            mixed = sum(row[j] * plain[j] for j in np.flatnonzero(row))
            yield level_in_groups(mixed, amplitudes)


def level_in_groups(lines, amplitudes):
    """Lines scaled so that each group of neighbours has the mean square of its amplitudes.

    Lines of mixed phases differ in size at random: without this the level of a third-octave band
    would scatter by several percent. A group spans a twenty-fourth of an octave and 16 lines at
    least (our own choice); one factor for all its lines leaves coherence and phase to it.

    Parameters
    ----------
    lines : array (m,), complex
        Lines of one signal, zero where the amplitudes are.
    amplitudes : array (m,)
        What they should have on average.

    Returns
    -------
    array (m,), complex

    Examples
    --------
    >>> level_in_groups(np.array([3.0, 0.0, 4.0j]), np.array([2.0, 2.0, 2.0 * 2.0**0.5])).real
    array([2.4, 0. , 0. ])
    """
    starts = [0]
    while (after := max(starts[-1] + _LEAST_LINES, math.ceil(_GROUP * starts[-1]))) < len(lines):
        starts.append(after)
    found = np.add.reduceat(np.square(lines.real) + np.square(lines.imag), starts)
    wanted = np.add.reduceat(np.square(amplitudes), starts)
    factor = np.sqrt(np.divide(wanted, found, out=np.ones_like(found), where=found > 0.0))
    return lines * np.repeat(factor, np.diff([*starts, len(lines)]))


def _fast_count(period, interval):
    """Smallest even number of samples that covers a period and that the FFT handles fast."""
    from scipy.fft import next_fast_len

    count = math.ceil(period / interval * (1.0 - 1e-12))
    return 2 * next_fast_len((count + 1) // 2, real=True)
