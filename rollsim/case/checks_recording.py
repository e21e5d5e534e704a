"""Relations within a source of vibration that replays a recording; the file is read later."""

from __future__ import annotations

from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.lines import Path
from rollsim.case.problems import header, known_text
from rollsim.case.recording import FORMATS, RecordingSource, format_of

_TEXT_KEYS = ("delimiter", "decimal", "header_lines")


def _each(check):
    """The same check for every recording."""

    def check_all(v: Values) -> Iterator[Finding]:
        for path in v.sources():
            if v.blocks[path].model is RecordingSource:
                try:
                    yield from check(v, path)
                except Unknown:
                    continue

    return check_all


def _format(v: Values, path: Path) -> str:
    """Format of the file; raises Unknown where the name does not tell it."""
    found = format_of(v[(*path, "file")], v.find((*path, "format")))
    if found is None:
        raise Unknown(path)
    return found


def _known_format(v: Values, path: Path) -> Iterator[Finding]:
    """The format is given, or the name of the file tells it."""
    if format_of(v[(*path, "file")], v.find((*path, "format"))) is None:
        yield Finding(
            (*path, "file"),
            f"the ending tells no format (known: {', '.join(FORMATS)}): give format = 'text', "
            "'hdf5', 'wav' or 'uff58'",
        )


def _channels(v: Values, path: Path) -> Iterator[Finding]:
    """Channels and axes go in pairs, none twice."""
    channels, axes = v[(*path, "channels")], v[(*path, "axis")]
    if not channels:
        yield Finding((*path, "channels"), "must name at least one channel")
    if len(channels) != len(axes):
        yield Finding(
            (*path, "axis"),
            f"{len(axes)} axes for {len(channels)} channels: give one axis for each channel",
        )
    if len({name.strip("-") for name in axes}) < len(axes):
        yield Finding((*path, "axis"), "names an axis twice")
    if len(set(channels)) < len(channels):
        yield Finding((*path, "channels"), "names a channel twice")


def _planar(v: Values, path: Path) -> Iterator[Finding]:
    """Plane motion takes no vibration along z."""
    if any("z" in name for name in v[(*path, "axis")]) and v["solver.motion"] == "planar":
        yield Finding(
            (*path, "axis"),
            "planar motion takes no vibration along z: give solver.motion = 'spatial' or leave "
            "'z' and its channel out",
        )


def _times(v: Values, path: Path) -> Iterator[Finding]:
    """Text and HDF5 files need a rate or a time column; the others bring their rate."""
    timed = v.given((*path, "time_channel"))
    if _format(v, path) in ("text", "hdf5"):
        if not timed and not v.given((*path, "rate_Hz")):
            yield Finding(path, f"{header(path)} needs 'time_channel' or 'rate_Hz'")
    elif timed:
        yield Finding((*path, "time_channel"), "is for text and HDF5 files; leave it out")
    if not timed and v.given((*path, "time_unit")):
        yield Finding((*path, "time_unit"), "is only used with time_channel")


def _full_scale(v: Values, path: Path) -> Iterator[Finding]:
    """WAV files count in full scales, the others do not."""
    given = v.given((*path, "full_scale"))
    if _format(v, path) == "wav" and not given:
        yield Finding(
            path,
            f"{header(path)} needs 'full_scale': the acceleration, in the unit given, at which the "
            "recorder is at its limit",
        )
    elif _format(v, path) != "wav" and given:
        yield Finding((*path, "full_scale"), "is for WAV files; leave it out")


def _text_keys(v: Values, path: Path) -> Iterator[Finding]:
    """Keys about columns belong to text files."""
    for key in _TEXT_KEYS:
        if v.given((*path, key)) and _format(v, path) != "text":
            yield Finding((*path, key), "is for text files; leave it out")
    if v[(*path, "delimiter")] == "," and v[(*path, "decimal")] == ",":
        yield Finding(
            (*path, "decimal"),
            "a comma cannot separate columns and decimals: export with ';' or tabs",
        )


def _part(v: Values, path: Path) -> Iterator[Finding]:
    """The part to replay has a length, longer than its cross-fade."""
    start, end = v[(*path, "start_s")], v[(*path, "end_s")]
    if end <= start:
        yield Finding((*path, "end_s"), f"must be greater than start_s = {start:g} s")
    elif v[(*path, "repeat")] == "loop" and v[(*path, "cross_fade_s")] > 0.5 * (end - start):
        yield Finding(
            (*path, "cross_fade_s"),
            f"must be at most half of the part to replay, {0.5 * (end - start):g} s",
        )


def _used(key: str, other: str, value: str):
    """Check that a key is given only beside a value of another one."""

    def check(v: Values, path: Path) -> Iterator[Finding]:
        if v.given((*path, key)) and v[(*path, other)] != value:
            yield Finding((*path, key), f"is only used with {other} = {known_text([value])}")

    return check


def _bands(v: Values, path: Path) -> Iterator[Finding]:
    """Something is left between the two filters."""
    high, edge = v[(*path, "high_pass_Hz")], v[(*path, "band_edge_Hz")]
    if high >= edge:
        yield Finding((*path, "high_pass_Hz"), f"must be less than band_edge_Hz = {edge:g} Hz")


CHECKS = tuple(
    _each(check)
    for check in (
        _known_format,
        _channels,
        _planar,
        _times,
        _full_scale,
        _text_keys,
        _part,
        _used("cross_fade_s", "repeat", "loop"),
        _used("after_end", "repeat", "once"),
        _used("fade_out_s", "after_end", "silence"),
        _bands,
    )
)
