"""Published vibration environments, by name, each with source, basis and level.

Those of a user come from a file of their own (`environment_file.py`). A spectrum is a table of
breakpoints joined by straight lines in log-log. Between breakpoints S(f) = S1 (f/f1)^b, so the
mean square is the sum of integrals of a power law.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rollsim.units import G0, G2_PER_HZ

READ = "standard text read"
RECALLED = "from memory, confirm against the standard before use"
MEASURED = "measured"
Point = tuple[float, float]


@dataclass(frozen=True)
class Environment:
    """One published spectrum.

    Fields: name; title; points (frequency in Hz, density in `unit`); unit ("g2/Hz" or
    "(m/s2)2/Hz"); overall (published overall level: g rms or m/s2 rms; None where a user gives
    none); source; basis (the flag: whether the text was read, the numbers come from memory, or
    were measured); note.
    """

    name: str
    title: str
    points: tuple[Point, ...]
    unit: str
    overall: float | None
    source: str
    basis: str
    note: str = ""

    @property
    def flag(self) -> str:
        """Source, basis and note in one line, to be shown wherever the environment is used."""
        return "; ".join(part for part in (self.source, self.basis, self.note) if part)

    @property
    def overall_unit(self) -> str:
        """Unit of the overall level."""
        return "g rms" if self.unit == "g2/Hz" else "m/s2 rms"

    @property
    def points_si(self) -> tuple[Point, ...]:
        """Breakpoints with the density in (m/s2)2/Hz."""
        return points_in_si(self.points, self.unit)

    def rms(self) -> float:
        """Overall level of the breakpoints, in `overall_unit`.

        Returns
        -------
        float
            Root mean square by log-log integration.
        """
        return overall_level(self.points)


def points_in_si(points: Sequence[Point], unit: str) -> tuple[Point, ...]:
    """Breakpoints with the density in SI.

    Parameters
    ----------
    points : sequence of (float, float)
        Frequency in Hz and density in `unit`.
    unit : str
        "g2/Hz" or "(m/s2)2/Hz".

    Returns
    -------
    tuple of (float, float)
        Frequency in Hz and density in (m/s2)2/Hz.
    """
    factor = G2_PER_HZ if unit == "g2/Hz" else 1.0
    return tuple((frequency, density * factor) for frequency, density in points)


def overall_level(points: Sequence[Point]) -> float:
    """Root mean square of a spectrum with straight lines in log-log.

    rms^2 = sum of S1 f1 ((f2/f1)^(b+1) - 1) / (b + 1), b = ln(S2/S1) / ln(f2/f1), and
    S1 f1 ln(f2/f1) for b = -1. Valid for rising positive frequencies and positive densities.
    Source: closed form of the integral of a power law.

    Parameters
    ----------
    points : sequence of (float, float)
        Frequency in Hz, density in u2/Hz.

    Returns
    -------
    float
        Overall level in u rms.

    Examples
    --------
    >>> overall_level([(10.0, 1.0), (26.0, 1.0)])
    4.0
    """
    return math.sqrt(sum(_area(*pair) for pair in pairwise(points)))


def _area(first: Point, second: Point) -> float:
    """Mean square between two breakpoints."""
    (f1, s1), (f2, s2) = first, second
    stretch = math.log(f2 / f1)
    power = math.log(s2 / s1) / stretch + 1.0
    if abs(power * stretch) < 1e-9:
        return s1 * f1 * stretch
    return s1 * f1 * math.expm1(power * stretch) / power


@dataclass(frozen=True)
class PublishedShock:
    """One published half-sine pulse.

    Fields: name; title; amplitude (m/s2); duration (s); source; basis; note.
    """

    name: str
    title: str
    amplitude: float
    duration: float
    source: str
    basis: str
    note: str = ""

    @property
    def flag(self) -> str:
        """Source, basis and note in one line, to be shown wherever the shock is used."""
        return "; ".join(part for part in (self.source, self.basis, self.note) if part)

    @property
    def velocity_change(self) -> float:
        """Velocity change of the pulse in m/s, 2 A T/pi (integral of a half-sine)."""
        return 2.0 * self.amplitude * self.duration / math.pi


def used_environments(case) -> tuple[Environment, ...]:
    """Named environments that the sources of a case use, each once.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple of Environment
        In the order of the sources.
    """
    names = [getattr(source, "environment", None) for source in case.vibration]
    return tuple(case.environments[name] for name in dict.fromkeys(names) if name is not None)


def _axle(axis: str, density: float, overall: float) -> Environment:
    """Railway axle: flat 20-100 Hz, +9 dB/octave (f^3) below, -6 dB/octave (f^-2) above."""
    points = ((10.0, density / 8), (20.0, density), (100.0, density), (500.0, density / 25))
    return Environment(
        f"railway_axle_{axis}",
        f"railway, axle mounted (category 3), functional, {axis}",
        points,
        "(m/s2)2/Hz",
        overall,
        "IEC 61373:2010, table 1 and figure 4",
        RECALLED,
        "the remembered overall levels of all three axes agree with the remembered densities",
    )


def _bogie(axis: str, density: float, overall: float) -> Environment:
    """Railway bogie: flat 10-100 Hz, +9 dB/octave (f^3) from 5 Hz, -6 dB/octave to 250 Hz."""
    points = ((5.0, density / 8), (10.0, density), (100.0, density), (250.0, density / 6.25))
    return Environment(
        f"railway_bogie_{axis}",
        f"railway, bogie mounted (category 2), functional, {axis}",
        points,
        "(m/s2)2/Hz",
        overall,
        "IEC 61373:2010",
        RECALLED,
        "the rise from 5 to 10 Hz is inferred: it reproduces the remembered overall levels",
    )


_PART_READ = "overall level read, breakpoints from memory"
_QUALIFICATION = ((20.0, 0.026), (50.0, 0.16), (800.0, 0.16), (2000.0, 0.026))

_ALL = (
    Environment(
        "component_qualification",
        "spacecraft component, qualification",
        _QUALIFICATION,
        "g2/Hz",
        14.1,
        "GSFC-STD-7000A, table 2.4-3",
        READ,
    ),
    Environment(
        "component_acceptance",
        "spacecraft component, acceptance (3 dB below qualification)",
        tuple((f, s / 2) for f, s in _QUALIFICATION),
        "g2/Hz",
        10.0,
        "GSFC-STD-7000A",
        READ,
    ),
    Environment(
        "minimum_workmanship",
        "component, minimum workmanship",
        ((20.0, 0.01), (80.0, 0.04), (500.0, 0.04), (2000.0, 0.01)),
        "g2/Hz",
        6.8,
        "NASA-STD-7001, table 1",
        RECALLED,
        _PART_READ,
    ),
    Environment(
        "rideshare_payload",
        "payload sharing a launch",
        (
            (20.0, 0.01),
            (50.0, 0.015),
            (700.0, 0.015),
            (800.0, 0.03),
            (925.0, 0.03),
            (2000.0, 0.00644),
        ),
        "g2/Hz",
        5.57,
        "rideshare guide of a launch provider, 2022, table 3-7",
        READ,
    ),
    Environment(
        "computer_board",
        "computer board, random test",
        ((5.0, 0.001), (20.0, 0.01), (500.0, 0.01)),
        "g2/Hz",
        2.2,
        "thermal and mechanical design guide of a processor",
        READ,
    ),
    Environment(
        "highway_truck_vertical",
        "truck on US highways, vertical",
        ((10.0, 0.015), (40.0, 0.015), (500.0, 0.00015)),
        "g2/Hz",
        1.04,
        "MIL-STD-810G, method 514",
        RECALLED,
    ),
    Environment(
        "highway_truck_transverse",
        "truck on US highways, transverse",
        (
            (10.0, 0.00013),
            (20.0, 0.00065),
            (30.0, 0.00065),
            (78.0, 0.00002),
            (79.0, 0.00019),
            (120.0, 0.00019),
            (500.0, 0.00001),
        ),
        "g2/Hz",
        0.2,
        "MIL-STD-810G, method 514",
        RECALLED,
        _PART_READ,
    ),
    Environment(
        "highway_truck_longitudinal",
        "truck on US highways, longitudinal",
        (
            (10.0, 0.0065),
            (20.0, 0.0065),
            (120.0, 0.0002),
            (121.0, 0.003),
            (200.0, 0.003),
            (240.0, 0.0015),
            (340.0, 0.00003),
            (500.0, 0.00015),
        ),
        "g2/Hz",
        0.74,
        "MIL-STD-810G, method 514",
        RECALLED,
    ),
    Environment(
        "stress_screening",
        "electronics, stress screening",
        ((20.0, 0.01), (80.0, 0.04), (350.0, 0.04), (2000.0, 0.007)),
        "g2/Hz",
        6.06,
        "NAVMAT P-9492",
        RECALLED,
    ),
    _axle("vertical", 8.74, 38.0),
    _axle("transverse", 7.0, 34.0),
    _axle("longitudinal", 1.751, 17.0),
    _bogie("vertical", 0.1901, 5.4),
    _bogie("transverse", 0.1441, 4.7),
    _bogie("longitudinal", 0.0414, 2.5),
)
_SHOCKS = (
    PublishedShock(
        "railway_axle_box_shock",
        "railway, axle mounted (category 3), half-sine 1000 m/s2, 6 ms",
        1000.0,
        6e-3,
        "IEC 61373:2010",
        RECALLED,
    ),
    PublishedShock(
        "railway_bogie_shock",
        "railway, bogie mounted (category 2), half-sine 300 m/s2, 18 ms",
        300.0,
        18e-3,
        "IEC 61373:2010",
        RECALLED,
    ),
    PublishedShock(
        "half_sine_10g_10ms",
        "half-sine 10 g, 10 ms",
        10.0 * G0,
        10e-3,
        "worked example of a shock response spectrum",
        READ,
        "printed there: largest response 16.5 g near 80 Hz for Q = 10",
    ),
)
#: name -> PublishedShock
SHOCKS: dict[str, PublishedShock] = {item.name: item for item in _SHOCKS}
#: name -> Environment
ENVIRONMENTS: dict[str, Environment] = {item.name: item for item in _ALL}
