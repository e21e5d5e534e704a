"""Relations within the vibration sources, and between them and the output."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.lines import Path
from rollsim.case.problems import header, known_text, nearest
from rollsim.case.vibration import (
    ExciterSource,
    PsdSource,
    ShockSource,
    SineSource,
    SweepSource,
)

# Samples need more than twice the highest frequency to show it (sampling theorem).
LEAST_RATE = 2.0
# Far beyond any vibration test: the limits catch slips and keep numbers finite.
TOP_FREQUENCY = 1e5
TOP_DENSITY = 1e9


def each(model: type, check: Callable[[Values, Path], Iterator[Finding]]):
    """The same check for every source of one kind.

    Parameters
    ----------
    model : type
        Section of the kind.
    check : function
        Takes the values and the path of a source.

    Returns
    -------
    function
        Takes the values.
    """

    def check_all(v: Values) -> Iterator[Finding]:
        for path in v.sources():
            if v.blocks[path].model is model:
                try:
                    yield from check(v, path)
                except Unknown:
                    continue

    return check_all


SPECTRA = ("psd", "psd_slopes_dB_per_octave", "environment")


def _one_spectrum(v: Values, path: Path) -> Iterator[Finding]:
    """A random source has exactly one of table, slopes, and name of an environment."""
    given = [key for key in SPECTRA if v.given((*path, key))]
    if not given:
        yield Finding(
            path,
            f"{header(path)} needs 'psd' with 'psd_unit', or 'psd_slopes_dB_per_octave' with its "
            "level, or 'environment'",
        )
    for key in given[1:]:
        yield Finding((*path, key), f"give either {given[0]} or {key}, not both in one source")


def _unit(v: Values, path: Path) -> Iterator[Finding]:
    """A table has a unit; a named environment brings its own."""
    tables = [key for key in SPECTRA[:2] if v.given((*path, key))]
    has_unit = v.given((*path, "psd_unit"))
    if tables and not has_unit:
        yield Finding(
            (*path, tables[0]),
            "unit of the density is missing: give psd_unit = 'g2/Hz' or psd_unit = '(m/s2)2/Hz'",
        )
    elif has_unit and not tables:
        yield Finding((*path, "psd_unit"), "is only used with psd; an environment has its own unit")


def _environment(v: Values, path: Path) -> Iterator[Finding]:
    """A named environment exists."""
    name = v[(*path, "environment")]
    if name not in v.environments:
        yield Finding(
            (*path, "environment"),
            f"unknown environment; known: {known_text(v.environments)}",
            nearest(name, v.environments),
        )


def check_points(v: Values, path: Path) -> Iterator[Finding]:
    """A table of a spectrum has at least two points, rising frequencies, positive values.

    Parameters
    ----------
    v : Values
        The valid values.
    path : tuple
        Path of the table that holds `psd`.

    Yields
    ------
    Finding
        One for each bad row.
    """
    points = v[(*path, "psd")]
    if len(points) < 2:
        yield Finding((*path, "psd"), "needs at least two points [frequency in Hz, density]")
    for row, (frequency, density) in enumerate(points):
        where = (*path, "psd", row)
        if not 0 < frequency <= TOP_FREQUENCY:
            text = f"frequency must be greater than 0, at most {TOP_FREQUENCY:g} Hz"
            yield Finding(where, _row_text(points[row], text))
        elif row and frequency <= points[row - 1][0]:
            text = f"frequencies must rise; the row before stands at {points[row - 1][0]:g} Hz"
            yield Finding(where, _row_text(points[row], text))
        if not 0 < density <= TOP_DENSITY:
            text = f"density must be greater than 0, at most {TOP_DENSITY:g}"
            yield Finding(where, _row_text(points[row], text))


def _row_text(row: list[float], text: str) -> str:
    """Message about one row of the table, the row in front."""
    return f"row [{row[0]:g}, {row[1]:g}] of the spectrum: {text}"


def _axis_twice(v: Values, path: Path) -> Iterator[Finding]:
    """No axis is named twice, and there is one."""
    axes = v[(*path, "axis")]
    if not axes:
        yield Finding((*path, "axis"), "must name at least one of 'x', 'y', 'z'")
    elif len(set(axes)) < len(axes):
        yield Finding((*path, "axis"), "names an axis twice")


def _one_direction(v: Values, path: Path) -> Iterator[Finding]:
    """A source has an axis or a direction, and the direction points somewhere."""
    has_axis, has_direction = v.given((*path, "axis")), v.given((*path, "direction"))
    if has_axis and has_direction:
        yield Finding((*path, "direction"), "give either axis or direction, not both")
    elif not has_axis and not has_direction:
        yield Finding(path, f"{header(path)} needs 'axis' or 'direction'")
    elif has_direction and not any(v[(*path, "direction")]):
        yield Finding((*path, "direction"), "points nowhere: give [x, y, z] with one that is not 0")


def _planar(v: Values, path: Path) -> Iterator[Finding]:
    """Plane motion takes no vibration along z."""
    key = "axis" if v.given((*path, "axis")) else "direction"
    value = v[(*path, key)]
    along = "z" in value if key == "axis" else value[2] != 0
    if along and v["solver.motion"] == "planar":
        leave = "leave 'z' out" if key == "axis" else "0 for its third number"
        yield Finding(
            (*path, key),
            f"planar motion takes no vibration along z: give solver.motion = 'spatial' or {leave}",
        )


def _one_amplitude(v: Values, path: Path) -> Iterator[Finding]:
    """A sine or a shock has exactly one amplitude."""
    given = [key for key in ("amplitude_g", "amplitude_m_per_s2") if v.given((*path, key))]
    if not given:
        yield Finding(path, f"{header(path)} needs 'amplitude_g' or 'amplitude_m_per_s2'")
    elif len(given) == 2:
        yield Finding(
            (*path, "amplitude_m_per_s2"), "give either amplitude_g or amplitude_m_per_s2, not both"
        )


def top_frequency(v: Values, path: Path) -> float:
    """Highest frequency of one source in Hz.

    Parameters
    ----------
    v : Values
        The valid values.
    path : tuple
        Path of the source.

    Returns
    -------
    float
        Frequency in Hz.
    """
    model = v.blocks[path].model
    if model is SineSource:
        return v[(*path, "frequency_Hz")]
    if model is SweepSource:
        return max(v[(*path, "start_frequency_Hz")], v[(*path, "end_frequency_Hz")])
    if model is ShockSource:
        return 1e3 / v[(*path, "duration_ms")]
    if model is ExciterSource:
        return _exciter_frequency(v, path)
    if v.given((*path, "psd")):
        return max(frequency for frequency, _ in v[(*path, "psd")])
    if v.given((*path, "psd_slopes_dB_per_octave")):
        return max(row[1] for row in v[(*path, "psd_slopes_dB_per_octave")])
    name = v[(*path, "environment")]
    known = v.environments.get(name)
    if known is None:
        raise Unknown(name)
    return known.points[-1][0]


def _exciter_frequency(v: Values, path: Path) -> float:
    """Highest frequency of an exciter in Hz."""
    if v[(*path, "locked_to_shaft")]:
        table = v.find("duty.speed_table")
        speeds = [v["duty.speed_rpm"], *(row[1] for row in table or ())]
        return abs(v[(*path, "ratio")]) * max(abs(speed) for speed in speeds) / 60.0
    return abs(v[(*path, "speed_rpm")]) / 60.0


def _rate(v: Values) -> Iterator[Finding]:
    """The samples of the history can show the vibration."""
    tops = {}
    for path in v.sources():
        try:
            tops[path] = top_frequency(v, path)
        except (Unknown, ValueError):  # no points at all
            continue
    rate = v["output.rate_Hz"]
    if tops and rate < LEAST_RATE * max(tops.values()):
        key = "output.rate_Hz" if v.given("output.rate_Hz") else "output"
        path = max(tops, key=tops.get)
        yield Finding(
            key,
            f"{rate:g} samples a second cannot show vibration up to {tops[path]:g} Hz "
            f"({header(path)}, {v.blocks[path].raw['kind']}): give output.rate_Hz of at least "
            f"{LEAST_RATE * tops[path]:g} Hz",
        )


DIRECTED = (PsdSource, SineSource, SweepSource, ShockSource)
CHECKS = (
    *(
        each(PsdSource, check)
        for check in (_one_spectrum, _unit, _environment, check_points, _axis_twice)
    ),
    *(each(model, check) for model in DIRECTED for check in (_one_direction, _planar)),
    *(each(model, _one_amplitude) for model in (SineSource, ShockSource)),
    _rate,
)
