"""Cycle counting, S-N curve, mean stress, spectral methods, notch factors, fastener groups."""

import math
from functools import cache, partial

import numpy as np

from rollsim.fatigue.counting import rainflow
from rollsim.fatigue.endurance import (
    endurance_limit,
    finite_life_line,
    size_factor,
    surface_factor,
)
from rollsim.fatigue.mean_stress import equivalent_amplitudes, gerber_factor, goodman_factor
from rollsim.fatigue.sn_curve import SNCurve
from rollsim.fatigue.spectral import (
    METHODS,
    Moments,
    dirlik,
    dirlik_constants,
    moments_of,
    narrow_band,
    tovo_benasciutti,
    wirsching_light,
    wirsching_light_constants,
)
from rollsim.verification.check import Basis, Check, Source, Topic

FIGURE_6 = (-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0)
#: Density of the worked row: (MPa2/Hz, from Hz, to Hz).
BLOCKS = ((4.0, 20.0, 40.0), (1.0, 150.0, 200.0))

ASTM = Source("ASTM E1049-85 (2017), figure 6", Basis.READ)
MEANS = Source(
    "ASTM E1049-85 figure 6 with means, documentation of a time-series library", Basis.READ
)
HAND = Source("0, 2, 1, 3, 0 worked by hand", Basis.READ)
LIBRARY = Source("rainflow counting of an open library, computed now", Basis.ROUTE)
SHIGLEY = Source("Shigley, Mechanical Engineering Design, 11th ed.", Basis.READ)
SHIGLEY_EARLIER = Source("Shigley, earlier edition, solution 6-15", Basis.READ)
SHIGLEY_8 = Source("Shigley, 8th ed., example 6-11", Basis.MEMORY)
IDENTITY = Source("at the safety factor the amplitude is the endurance limit", Basis.CLOSED)
BENDAT = Source(
    "nu/C (sqrt(2) s)^k Gamma(1 + k/2), k = 5, C = 1e15, 100 Hz; Miles, Bendat", Basis.WORKED
)
WIRSCHING = Source("Wirsching and Light 1980, m = 5", Basis.READ)
DIRLIK = Source(
    "Dirlik 1985 and others, on a grid; agrees with an open library; k = 5, C = 1e12", Basis.WORKED
)
SPECTRAL = Source("an open library of spectral fatigue methods, computed now", Basis.ROUTE)


@cache
def _counts(series):
    """Range to number of cycles, and the sorted rows (range, mean) of full and half cycles."""
    cycles = rainflow(np.array(series))
    rows = list(
        zip(cycles.range.tolist(), cycles.mean.tolist(), cycles.count.tolist(), strict=True)
    )
    total = {}
    for size, _, count in rows:
        total[size] = total.get(size, 0.0) + count
    return (
        total,
        sorted(r[:2] for r in rows if r[2] == 1.0),
        sorted(r[:2] for r in rows if r[2] == 0.5),
    )


def _count(series, size):
    """Number of cycles of a range; none counts as 0."""
    return _counts(series)[0].get(size, 0.0)


def _row(kind, number, place):
    """Range or mean of a full (1) or half (2) cycle of figure 6, in rising order."""
    return _counts(FIGURE_6)[kind][number][place]


@cache
def _noise():
    """A random series with a mean that wanders."""
    rng = np.random.default_rng(7)
    return np.cumsum(rng.normal(size=5000)) * 0.3 + rng.normal(size=5000)


def _damage_sum():
    """Sum of count times range^5 by rollsim."""
    cycles = rainflow(_noise())
    return float(np.sum(cycles.count * cycles.range**5))


def _library_sum():
    """The same by a library."""
    import rainflow as library

    return sum(row[2] * row[0] ** 5 for row in library.extract_cycles(_noise()))


def _life(ultimate, fraction, endurance, amplitude):
    """Cycles on the line through f S_u at 1000 and S_e at a million cycles."""
    _, b = finite_life_line(ultimate, fraction, endurance)
    return float(SNCurve(endurance, 1e6, -1.0 / b, np.inf, ultimate).cycles(amplitude))


def _equivalent(law, factor):
    """Equivalent amplitude at the safety factor, kpsi."""
    n = factor(8.38, 8.38, 33.9, 100.0)
    return float(equivalent_amplitudes(n * 8.38, n * 8.38, 100.0, law))


def block_moments():
    """Moments of the two blocks in closed form.

    Returns
    -------
    Moments
        MPa and Hz.
    """
    return Moments(
        *(
            sum(g * (b ** (j + 1) - a ** (j + 1)) / (j + 1) for g, a, b in BLOCKS)
            for j in (0, 1, 2, 4)
        )
    )


@cache
def _grid():
    """Frequencies and density of the two blocks."""
    frequency = np.arange(0.0, 400.0, 0.25)
    return frequency, sum(g * ((frequency >= a) & (frequency < b)) for g, a, b in BLOCKS)


def _library_rate(name):
    """Damage per second of the library."""
    import FLife

    frequency, density = _grid()
    data = FLife.SpectralData(input={"PSD": density, "f": frequency}, T=1, fs=4000)
    more = {"method": "method 2"} if name == "TovoBenasciutti" else {}
    return 1.0 / getattr(FLife, name)(data).get_life(1e12, 5.0, **more)


def _rate(method):
    """Damage per second of a method on the same grid."""
    return method(moments_of(*_grid()), 5.0, 1e12)


def _counting():
    """Rows of rainflow counting."""
    parts = zip("abcde", (3.0, 4.0, 6.0, 8.0, 9.0), (0.5, 1.5, 0.5, 1.0, 0.5), strict=True)
    for part, size, count in parts:
        yield Check(f"F01{part}", f"cycles of range {size:g}", ASTM, count, 0.0,
                    partial(_count, FIGURE_6, size))  # fmt: skip
    yield Check("F01f", "cycles of any other range", ASTM, 0.0, 0.0,
                lambda: sum(_counts(FIGURE_6)[0].values())
                - sum(_count(FIGURE_6, r) for r in (3.0, 4.0, 6.0, 8.0, 9.0)),
                absolute=True)  # fmt: skip
    yield Check("F02a", "range of the only full cycle", MEANS, 4.0, 0.0, partial(_row, 1, 0, 0))
    yield Check("F02b", "mean of the only full cycle", MEANS, 1.0, 0.0, partial(_row, 1, 0, 1))
    halves = ((3.0, -0.5), (4.0, -1.0), (6.0, 1.0), (8.0, 0.0), (8.0, 1.0), (9.0, 0.5))
    for number, (part, (size, mean)) in enumerate(zip("cdefgh", halves, strict=True)):
        yield Check(f"F02{part}", f"mean of the half cycle of range {size:g}", MEANS, mean, 0.0,
                    partial(_row, 2, number, 1), absolute=True)  # fmt: skip
    for part, size in (("a", 1.0), ("b", 3.0)):
        yield Check(f"F03{part}", f"cycles of range {size:g}", HAND, 1.0, 0.0,
                    partial(_count, (0.0, 2.0, 1.0, 3.0, 0.0), size))  # fmt: skip
    yield Check("F31", "sum of count times range^5, 5000 random values", LIBRARY, _library_sum,
                1e-9, _damage_sum, needs="rainflow")  # fmt: skip


def _strength():
    """Rows of endurance, S-N line and mean stress."""
    book = "solution 6-1"
    yield Check("F04a", f"{book}: k_a, ground, S_u = 1020 MPa", SHIGLEY, 0.868, 5e-4,
                partial(surface_factor, 1020.0, "ground"), absolute=True)  # fmt: skip
    yield Check("F04b", f"{book}: k_b, d = 10 mm", SHIGLEY, 0.969, 5e-4,
                partial(size_factor, 10.0), absolute=True)  # fmt: skip
    yield Check("F04c", f"{book}: endurance limit", SHIGLEY, 429.0, 0.5,
                partial(endurance_limit, 1020.0, "ground", 10.0), "MPa",
                absolute=True)  # fmt: skip
    for part, place, value, tolerance, unit in (
        ("a", 0, 161.4, 0.05, "kpsi"), ("b", 1, -0.0716, 5e-5, "-"),
    ):  # fmt: skip
        yield Check(f"F05{part}", f"solution 6-3: {'ab'[place]} of the S-N line", SHIGLEY, value,
                    tolerance, partial(lambda k: finite_life_line(120.0, 0.82, 60.0)[k], place),
                    unit, absolute=True)  # fmt: skip
    yield Check("F05c", "solution 6-3: life at 70 kpsi", SHIGLEY, 117000.0, 8e-3,
                partial(_life, 120.0, 0.82, 60.0, 70.0), "cycles")  # fmt: skip
    for part, place, value, tolerance, unit in (
        ("a", 0, 891.0, 0.5, "MPa"), ("b", 1, -0.084828, 5e-7, "-"),
    ):  # fmt: skip
        yield Check(f"F07{part}", f"{'ab'[place]} of the S-N line, S_u = 551 MPa", SHIGLEY_EARLIER,
                    value, tolerance,
                    partial(lambda k: finite_life_line(551.0, 0.9, 276.0)[k], place),
                    unit, absolute=True)  # fmt: skip
    yield Check("F07c", "life at 358.5 MPa, S_u = 551 MPa", SHIGLEY_EARLIER, 45800.0, 4e-3,
                partial(_life, 551.0, 0.9, 276.0, 358.5), "cycles")  # fmt: skip
    stresses = (8.38, 8.38, 33.9, 100.0)
    for part, name, factor, value, tolerance in (
        ("a", "Gerber", gerber_factor, 3.66, 0.01), ("b", "Goodman", goodman_factor, 3.02, 0.005),
    ):  # fmt: skip
        yield Check(f"F08{part}", f"safety factor of {name}", SHIGLEY_8, value, tolerance,
                    partial(factor, *stresses), absolute=True)  # fmt: skip
    for part, law, factor in (("c", "gerber", gerber_factor), ("d", "goodman", goodman_factor)):
        yield Check(f"F08{part}", f"equivalent amplitude at that factor, {law}", IDENTITY, 33.9,
                    1e-6, partial(_equivalent, law, factor), "kpsi")  # fmt: skip


def _spectral():
    """Rows of spectral methods."""
    moments = Moments(400.0, 400.0 * 100.0, 400.0 * 100.0**2, 400.0 * 100.0**4)
    for part, (name, method) in zip("abcd", METHODS.items(), strict=True):
        yield Check(f"F09{part}", f"narrow band of 20 MPa rms by {name}", BENDAT,
                    6.01591e-06, 1e-6, partial(method, moments, 5.0, 1e15), "1/s")  # fmt: skip
    for part, place, value in (("a", 0, 0.761), ("b", 1, 5.612)):
        yield Check(f"F12{part}", f"constant {'ac'[place]} of Wirsching and Light", WIRSCHING,
                    value, 1e-9, partial(lambda k: wirsching_light_constants(5.0)[k], place),
                    absolute=True)  # fmt: skip
    yield Check("F10a", "rms of two blocks (20-40 Hz, 150-200 Hz)", DIRLIK, 11.4016, 5e-4,
                lambda: math.sqrt(block_moments().m0), "MPa", absolute=True)  # fmt: skip
    yield Check("F10b", "irregularity of two blocks", DIRLIK, 0.6411, 5e-5,
                lambda: block_moments().irregularity, absolute=True)  # fmt: skip
    yield Check("F10c", "D1 + D2 + D3 of two blocks", DIRLIK, 1.0, 1e-12,
                lambda: sum(dirlik_constants(block_moments())[:3]))  # fmt: skip
    for part, name, place, value in zip(
        "defgh", ("D1", "D2", "D3", "Q", "R"), range(5), (0.1164, 0.5391, 0.3445, 0.1455, 0.525),
        strict=True,
    ):  # fmt: skip
        yield Check(f"F10{part}", f"{name} of two blocks", DIRLIK, value, 1e-4,
                    partial(lambda k: dirlik_constants(block_moments())[k], place),
                    absolute=True)  # fmt: skip
    methods = (("i", "narrow band", narrow_band, 4.0390e-04, "Narrowband"),
               ("j", "Wirsching and Light", wirsching_light, 3.0739e-04, "WirschingLight"),
               ("k", "Tovo and Benasciutti", tovo_benasciutti, 2.2990e-04, "TovoBenasciutti"),
               ("l", "Dirlik", dirlik, 2.3063e-04, "Dirlik"))  # fmt: skip
    for part, name, method, value, _ in methods:
        yield Check(f"F10{part}", f"damage per second, {name}", DIRLIK, value,
                    4e-4, partial(lambda law: law(block_moments(), 5.0, 1e12), method),
                    "1/s")  # fmt: skip
    for part, name, method, _, other in methods:
        yield Check(f"F32{'abcd'['ijkl'.index(part)]}", f"damage, blocks on a grid, {name}",
                    SPECTRAL, partial(_library_rate, other), 1e-9, partial(_rate, method), "1/s",
                    needs="FLife")  # fmt: skip


TOPICS = (
    Topic("Rainflow counting", tuple(_counting())),
    Topic("Endurance, S-N line, mean stress", tuple(_strength())),
    Topic("Spectral fatigue methods", tuple(_spectral())),
)
