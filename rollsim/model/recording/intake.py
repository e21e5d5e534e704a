"""From a file to samples in m/s^2: read once, cut, every fault of cells and times noted."""

from dataclasses import dataclass

import numpy as np

from rollsim.case.recording import format_of
from rollsim.model.recording.hdf5_file import open_hdf5
from rollsim.model.recording.store import Store
from rollsim.model.recording.text_file import open_text
from rollsim.model.recording.times import TimeCheck, agreed_rate
from rollsim.model.recording.uff_file import open_uff
from rollsim.model.recording.units import IN_SI, check_units
from rollsim.model.recording.wav_file import open_wav

LARGEST_FILE = 20e9
"""Bytes of a recording: a day of three axes at 20 kHz as text would be far beyond."""

LEAST_SAMPLES = 64
"""Samples of the shortest part that can be replayed."""

LARGEST_VALUE = 1e6
"""m/s^2: beyond any sensor for vibration; catches wrong units."""

_OPEN = {"text": open_text, "hdf5": open_hdf5, "wav": open_wav, "uff58": open_uff}
_EVEN_LIKE_TIME = 1e-4
_MOST_COUNTED = 100_000
_NOT_FINITE = "values that are not finite"
_TOO_LARGE = "values out of range"


@dataclass(frozen=True)
class Samples:
    """Samples of a recording, cut to the part that is replayed.

    store: Store with one column a channel, m/s^2; rate: Hz; jitter: largest deviation of a time
    step, in steps (0 without times); place_of: number of a row -> place in the file; found: keys
    of the case that the file answered.
    """

    store: Store
    rate: float
    jitter: float
    place_of: object
    found: dict


def read_samples(path, source, findings):
    """Read a recording; faults go into the findings, the samples into a store.

    Parameters
    ----------
    path : Path
        The file.
    source : RecordingSource
        Keys of the case.
    findings : Findings
        Takes problems and warnings.

    Returns
    -------
    Samples
        The part to replay.

    Raises
    ------
    Unusable
        Where there is nothing to go on with; the findings say why.
    """
    check_file(path, findings)
    contents = _OPEN[format_of(source.file, source.format)](path, source, findings)
    check_units(contents.units, source.unit, findings)
    intake = _Intake(contents, source, findings)
    for times, values in contents.blocks:
        intake.take(times, values)
    return intake.end()


def check_file(path, findings):
    """The file is there, a file, not empty and not too large.

    Parameters
    ----------
    path : Path
        The file.
    findings : Findings
        Takes the problem.
    """
    try:
        if path.is_dir():
            findings.stop("is a folder, not a file")
        size = path.stat().st_size
        if not path.is_file():
            findings.stop("is no plain file")
    except OSError as problem:
        findings.stop(
            f"cannot be read ({problem.strerror or problem}): {path}. A relative path starts at "
            "the folder of the case file"
        )
    if size == 0:
        findings.stop("the file is empty")
    if size > LARGEST_FILE:
        findings.stop(
            f"has {size / 1e9:.1f} GB, at most {LARGEST_FILE / 1e9:.0f} GB are read: cut it into "
            "parts"
        )


class _Intake:
    """Takes blocks of a file, cuts and checks them."""

    def __init__(self, contents, source, findings):
        """Begin with an empty store."""
        self.contents = contents
        self.source = source
        self.findings = findings
        self.store = Store(len(source.channels))
        self.times = TimeCheck(source.time_channel, source.rate_Hz, findings)
        self.told = contents.rate
        self.rows = 0
        self.begin = None
        self.kept_from = None
        self.scale = contents.scale * IN_SI[source.unit]

    def take(self, times, values):
        """Cut one block and keep what belongs to the part to replay."""
        first = self.rows
        self.rows += len(values)
        since = self._since(first, times, values)
        end = np.inf if self.source.end_s is None else self.source.end_s
        inside = np.flatnonzero(~((since < self.source.start_s) | (since > end)))
        if not len(inside):
            return
        low, high = inside[0], inside[-1] + 1
        if self.kept_from is None:
            self.kept_from = first + int(low)
            self._look_for_times(values[low:high])
        if times is not None:
            self.times.take(
                times[low:high], lambda place: self.contents.place(first + low + int(place))
            )
        with np.errstate(over="ignore", invalid="ignore"):  # such values are refused below
            scaled = self.scale * values[low:high]
        self._keep(scaled, first + low)

    def _since(self, first, times, values):
        """Time since the first sample of the file, s."""
        if times is not None:
            if self.begin is None and np.any(np.isfinite(times)):
                self.begin = float(times[np.isfinite(times)][0])
            return times - (self.begin or 0.0)
        rate = self.source.rate_Hz or self.told
        return (first + np.arange(len(values))) / rate

    def _keep(self, values, first):
        """Check the values of a block and store them."""
        wrong = ~np.isfinite(values)
        large = ~wrong & (np.abs(values) > LARGEST_VALUE)
        for mask, sort in ((wrong, _NOT_FINITE), (large, _TOO_LARGE)):
            if np.any(mask):
                self._tell(values, mask, first, sort)
        self.store.append(np.where(wrong | large, 0.0, values))

    def _tell(self, values, mask, first, sort):
        """Name the values that cannot be replayed, channel by channel."""
        for row, column in zip(*np.nonzero(mask), strict=True):
            if self.findings.count(sort) > _MOST_COUNTED:
                return
            value = values[row, column] / IN_SI[self.source.unit]
            advice = (
                "repair it, or leave that part out with start_s and end_s"
                if sort == _NOT_FINITE
                else "look at unit and channel"
            )
            self.findings.problem(
                f"the value {value:.6g} {self.source.unit} cannot be replayed: {advice}",
                self.source.channels[column],
                self.contents.place(first + int(row)),
                sort,
            )

    def _look_for_times(self, values):
        """A channel that rises in even steps is a column of times, no acceleration."""
        for name, column in zip(self.source.channels, values.T, strict=True):
            steps = np.diff(column)
            if len(steps) >= 8 and np.all(steps > 0.0):
                mean = float(np.mean(steps))
                if np.max(np.abs(steps - mean)) < _EVEN_LIKE_TIME * mean:
                    self.findings.problem(
                        "rises in even steps: a column of times or numbers, no acceleration", name
                    )

    def end(self):
        """The samples, after the last block."""
        findings, source = self.findings, self.source
        rate = agreed_rate(source.rate_Hz, self._told_rate(), self._teller(), findings)
        if not self.store.rows:
            length = f"{self.rows} samples"
            if rate:
                length += f" or {self.rows / rate:.6g} s"
            findings.stop(
                f"nothing lies between start_s = {source.start_s:g} and end_s = "
                f"{source.end_s}; the file holds {length}"
                if self.rows
                else "it holds no samples"
            )
        if self.store.rows < LEAST_SAMPLES:
            findings.problem(
                f"too few samples: {self.store.rows} in the part to replay, at least "
                f"{LEAST_SAMPLES} are needed"
            )
        self._check_end(rate)
        kept = self.kept_from
        return Samples(
            self.store,
            rate,
            self.times.jitter,
            lambda row: self.contents.place(kept + int(row)),
            self.contents.found,
        )

    def _told_rate(self):
        """Rate that the file tells."""
        return self.told if self.source.time_channel is None else self.times.rate()

    def _teller(self):
        """What in the file tells the rate."""
        name = self.source.time_channel
        return "the file" if name is None else f"the time column '{name}'"

    def _check_end(self, rate):
        """The end of the part lies within the recording."""
        end = self.source.end_s
        if end is None or not rate:
            return
        length = (self.kept_from + self.store.rows) / rate
        if end > length + 1.5 / rate:
            self.findings.problem(
                f"end_s = {end:g} s lies behind the end of the recording, {length:.6g} s"
            )
