"""A recording as the run takes it: table of samples, what it is like, and what to know about it."""

import hashlib
from dataclasses import dataclass

import numpy as np

from rollsim.case.places import named_path
from rollsim.case.recording import format_of
from rollsim.model.recording.diagnosis import diagnose
from rollsim.model.recording.findings import Findings, RecordingError, Unusable
from rollsim.model.recording.intake import check_file, read_samples
from rollsim.model.recording.kept import MOST_ROWS, Kept
from rollsim.model.recording.resampling import EDGE_SHARE, low_pass_taps, resampled, table_grid
from rollsim.model.recording.shaping import close_loop, fade_out, high_pass, on_axes
from rollsim.model.recording.units import check_level
from rollsim.model.tracks import Track

_PIECE = 1 << 22
_SAME = 1e-9
_MOST_KEPT = 3
_kept = {}


@dataclass(frozen=True)
class RecordingSummary:
    """What was read and what was made of it.

    file: as the case names it; format; sha256, size_bytes: of the file; rate: Hz; samples: of the
    part to
    replay; length: s, of the part; jitter: largest deviation of a time step, in steps; channels:
    list of ChannelFacts; band_edge: Hz; table_rate: Hz; table_megabytes; played: s, period of the
    loop, else the length of the part; loop; silence: what follows the end of `once`;
    axis_rms: array (3,), m/s^2, of the table; found: keys of the case that the file answered;
    warnings: tuple of sentences; kept: Kept, what the table should follow.
    """

    file: str
    format: str
    sha256: str
    size_bytes: int
    rate: float
    samples: int
    length: float
    jitter: float
    channels: list
    band_edge: float
    table_rate: float
    table_megabytes: float
    played: float
    loop: bool
    silence: bool
    axis_rms: np.ndarray
    found: dict
    warnings: tuple
    kept: Kept


@dataclass(frozen=True)
class Replay:
    """A recording on the grid of the run.

    table: array (n, 6), rows [ax ay az dax day daz], m/s^2 and m/s^3, maybe mapped from a
    temporary file that vanishes with it; interval: s; loop; summary: RecordingSummary.
    """

    table: np.ndarray
    interval: float
    loop: bool
    summary: RecordingSummary

    def track(self):
        """The recording as one of the tracks of the kernels."""
        values, derivatives = self.table[:, :3], self.table[:, 3:]
        return Track(values, self.interval, 0.0, self.loop, derivatives, self.table)


def recording_sources(case):
    """Sources of a case that replay a recording.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of RecordingSource
        In the order of the file.
    """
    return [source for source in case.vibration if source.kind == "recording"]


def recording_path(case, source):
    """Where the file of a recording lies.

    Parameters
    ----------
    case : Case
        Its name is the path of the case file, from whose folder relative paths start.
    source : RecordingSource
        The source.

    Returns
    -------
    Path
        The file.
    """
    return named_path(case.name, source.file)


def fingerprints(case):
    """SHA-256 of every recording of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    str or None
        Lines of sum and name of the file; None for a case without recordings.

    Raises
    ------
    RecordingError
        Where files cannot be read.
    """
    lines, problems = [], []
    for source in recording_sources(case):
        findings = Findings(source.file)
        try:
            path = recording_path(case, source)
            check_file(path, findings)
            lines.append(f"{_sha256(path)} {source.file}")
        except Unusable:
            problems += findings.all_problems()
        except OSError as problem:
            problems.append(f"{source.file}: cannot be read: {problem.strerror or problem}")
    if problems:
        raise RecordingError(problems)
    return "\n".join(lines) or None


def build_replays(case, duration):
    """Read all recordings of a case; every problem of every file is told at once.

    Parameters
    ----------
    case : Case
        The case.
    duration : float, s
        Simulated time.

    Returns
    -------
    list of Replay
        In the order of the case.

    Raises
    ------
    RecordingError
        With every problem.
    """
    replays, problems = [], []
    for source in recording_sources(case):
        findings = Findings(source.file)
        try:
            replay = _known_replay(recording_path(case, source), source, findings)
            problem = too_short(replay.summary, duration)
            if problem:
                findings.problem(problem)
            replays.append(replay)
        except Unusable:
            pass
        except OSError as problem:
            findings.problem(f"cannot be read: {problem.strerror or problem}")
        problems += findings.all_problems()
    if problems:
        raise RecordingError(problems)
    return replays


def too_short(summary, duration):
    """Whether a run is longer than a recording that is played once without leave for silence.

    Parameters
    ----------
    summary : RecordingSummary
        The recording.
    duration : float, s
        Simulated time.

    Returns
    -------
    str or None
        What is wrong and what to do; None where it is long enough.
    """
    if summary.loop or summary.silence or duration <= summary.played * (1.0 + _SAME):
        return None
    return (
        f"the run takes {duration:.6g} s, the part to replay only {summary.played:.6g} s: run "
        "shorter, give repeat = 'loop', or after_end = 'silence'"
    )


def refuse_short(summaries, duration):
    """Refuse a case whose recordings are shorter than its run.

    Parameters
    ----------
    summaries : sequence of RecordingSummary
        The recordings.
    duration : float, s
        Simulated time.

    Raises
    ------
    RecordingError
        With both lengths.
    """
    problems = [(item.file, too_short(item, duration)) for item in summaries]
    problems = [f"{file}: {problem}" for file, problem in problems if problem]
    if problems:
        raise RecordingError(problems)


def _known_replay(path, source, findings):
    """A recording that was read already in this process, or a new one.

    A check builds the model of its case several times; reading takes minutes for long files.
    """
    key = (str(path.resolve()), _stamp(path), source)
    if key not in _kept:
        replay = _replay(path, source, findings)
        if findings.problems:
            return replay
        while len(_kept) >= _MOST_KEPT:
            del _kept[next(iter(_kept))]
        _kept[key] = replay
    return _kept[key]


def _replay(path, source, findings):
    """One recording; raises Unusable where the findings say why it cannot be replayed."""
    before = _stamp(path)
    samples = read_samples(path, source, findings)
    if _stamp(path) != before:
        findings.stop("the file changed while it was read: start again when it is complete")
    if samples.rate is None:
        findings.go_on_only_if_sound()
        findings.stop("its rate is not known: give rate_Hz")
    facts = diagnose(samples, source.channels, findings)
    check_level(facts, source.unit, findings)
    edge = source.band_edge_Hz or EDGE_SHARE * samples.rate
    if edge > EDGE_SHARE * samples.rate * (1.0 + 1e-9):
        findings.problem(
            f"band_edge_Hz = {edge:g} is beyond what {samples.rate:.6g} samples a second hold: at "
            f"most {EDGE_SHARE * samples.rate:.6g} Hz (0.4 times the rate)"
        )
    findings.go_on_only_if_sound()
    axes = on_axes(samples, facts, source)
    rows, rate = axes.rows, samples.rate
    samples.store.close()
    if source.high_pass_Hz is not None:
        high_pass(axes, rate, source.high_pass_Hz, findings)
    loop, silence = source.repeat == "loop", source.after_end == "silence"
    grid, used = table_grid(rate, edge), rows
    if loop:
        fade = max(round(rate * source.cross_fade_s), 2)
        used = close_loop(axes, fade, grid.down, findings)
    elif silence:
        fade_out(axes, round(rate * source.fade_out_s))
    kept = Kept(axes.read(0, min(used, MOST_ROWS)), rate, used, loop)
    table = resampled(axes, used, grid, low_pass_taps(rate, edge, grid.up), loop, findings)
    axes.close()
    summary = _summary(path, source, findings, (samples, facts, rows), (table, grid, edge, kept))
    return Replay(table.array(), grid.interval, loop, summary)


def _summary(path, source, findings, read, made):
    """Everything worth telling about one recording."""
    samples, facts, rows = read
    table, grid, edge, kept = made
    square = sum(np.sum(block[:, :3] ** 2, axis=0) for _, block in table.blocks())
    loop = source.repeat == "loop"
    return RecordingSummary(
        file=source.file,
        format=format_of(source.file, source.format),
        sha256=_sha256(path),
        size_bytes=path.stat().st_size,
        rate=samples.rate,
        samples=rows,
        length=rows / samples.rate,
        jitter=samples.jitter,
        channels=facts,
        band_edge=edge,
        table_rate=1.0 / grid.interval,
        table_megabytes=8e-6 * table.rows * table.columns,
        played=kept.rows / kept.rate,
        loop=loop,
        silence=source.after_end == "silence" and not loop,
        axis_rms=np.sqrt(square / table.rows),
        found=samples.found,
        warnings=tuple(findings.warnings),
        kept=kept,
    )


def _stamp(path):
    """Size and time of the last change of a file; None where it cannot be told."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns


def _sha256(path):
    """SHA-256 of a file."""
    digest = hashlib.sha256()
    with open(path, "rb") as file:
        while piece := file.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()
