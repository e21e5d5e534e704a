"""Load distribution over the rollers, load rating and minimum load."""

from functools import cache, partial

import numpy as np

from rollsim.model.load_rating import dynamic_load_rating, minimum_load, roller_rating_factor
from rollsim.model.statics import (
    StaticContacts,
    sjovall_axial_integral,
    sjovall_radial_integral,
    static_equilibrium,
)
from rollsim.model.stiffness import (
    iso_line_constant,
    palmgren_line_constant,
    single_contact_constant,
)
from rollsim.verification.check import Basis, Check, Source, Topic

LINE, POINT = 10.0 / 9.0, 1.5

REPORT = Source("bearing maker's technical report, eq. 4 and 5 (Stribeck 1901)", Basis.READ)
SJOVALL = Source("Sjovall 1933, as in Harris, Rolling Bearing Analysis, table 7.1", Basis.MEMORY)
OWN = Source(
    "independent solution of the equilibrium; 14 rollers: inputs of Harris, clearance 40.6 um",
    Basis.OWN,
)
LIMIT = Source("Stribeck and Sjovall, continuous limit 4.08 F/Z", Basis.WORKED)
IDENTITY = Source("equilibrium", Basis.CLOSED)
ISO_281 = Source("ISO 281:2007, factor f_c of radial roller bearings", Basis.MEMORY)
RULE = Source("rule of thumb of bearing makers", Basis.READ)

#: Zone parameter, J_r of line and point contact. The table was made with n near 1.1 for lines.
SJOVALL_TABLE = (
    ("L06", 0.2, 0.1737, 0.1590), ("L07", 0.3, 0.2055, 0.1892), ("L09", 0.5, 0.2453, 0.2288),
    ("L10", 0.6, 0.2568, 0.2416), ("L12", 0.8, 0.2658, 0.2559), ("L13", 0.9, 0.2628, 0.2576),
    ("L15", 1.25, 0.2078, 0.2289), ("L16", 1.67, 0.1589, 0.1871), ("L18", 5.0, 0.0544, 0.0711),
)  # fmt: skip
#: D_we cos(alpha)/D_pw and f_c.
RATING_TABLE = {
    0.01: 52.1, 0.02: 60.8, 0.03: 66.5, 0.04: 70.7, 0.05: 74.1, 0.06: 76.9, 0.07: 79.2, 0.08: 81.2,
    0.09: 82.8, 0.10: 84.2, 0.12: 86.4, 0.14: 87.7, 0.16: 88.5, 0.18: 88.8, 0.20: 88.7, 0.22: 88.2,
    0.24: 87.5, 0.26: 86.4, 0.28: 85.2, 0.30: 83.8,
}  # fmt: skip


def _azimuths(count, first=0.0):
    """Even spacing from a first roller."""
    return first + 2.0 * np.pi * np.arange(count) / count


@cache
def _fourteen(law):
    """14 rollers of 9.6 mm, 4450 N, 40.6 um diametral clearance."""
    if law == "palmgren":
        single = palmgren_line_constant(9.6e-3)
    else:
        single = single_contact_constant(iso_line_constant(9.6e-3))
    return static_equilibrium(StaticContacts(single, single, 40.6e-6), _azimuths(14), [4450, 0])


@cache
def _sixteen(first):
    """16 rollers of 14 mm, 10 kN, no clearance."""
    single = single_contact_constant(iso_line_constant(14e-3))
    return static_equilibrium(StaticContacts(single, single, 0.0), _azimuths(16, first), [1e4, 0])


def _load(law, roller):
    """Load of a roller in N."""
    return _fourteen(law).inner_force[roller]


def _shift(law):
    """Displacement of the ring in um."""
    return 1e6 * _fourteen(law).displacement[0]


def _axial_over_radial(exponent):
    """F_a/(F_r tan alpha) at a load zone of one half."""
    return sjovall_axial_integral(0.5, exponent) / sjovall_radial_integral(0.5, exponent)


def _integrals():
    """Rows of the load distribution integrals."""
    for key, name, exponent, printed in (
        ("L01", "line", LINE, 4.08),
        ("L02", "point", POINT, 4.37),
    ):
        yield Check(key, f"Q_max Z/F_r without clearance, {name} contact", REPORT, printed, 0.002,
                    partial(lambda n: 1.0 / sjovall_radial_integral(0.5, n), exponent))  # fmt: skip
    for key, name, exponent, printed, tolerance in (
        ("L03", "line", LINE, 1.26, 3e-3), ("L04", "point", POINT, 1.216, 1e-3),
    ):  # fmt: skip
        yield Check(key, f"F_a/(F_r tan alpha) at zone 0.5, {name} contact", REPORT, printed,
                    tolerance, partial(_axial_over_radial, exponent))  # fmt: skip
    for key, zone, *printed in SJOVALL_TABLE:
        for part, name, exponent, value in zip(
            "ab", ("line", "point"), (LINE, POINT), printed, strict=True
        ):
            tolerance = 0.012 if zone == 5.0 else 0.006
            yield Check(f"{key}{part}", f"J_r at zone {zone:g}, {name} contact", SJOVALL, value,
                        tolerance, partial(sjovall_radial_integral, zone, exponent))  # fmt: skip


def _bearings():
    """Rows of whole bearings."""
    pal, iso = "palmgren", "iso"
    rows = (
        ("L19a", "largest load, 14 rollers, 4450 N, Palmgren", 1964.7, 5e-4, pal, 0),
        ("L19b", "load of the roller beside it, Palmgren", 1379.2, 5e-4, pal, 1),
        ("L20b", "largest load, 14 rollers, 4450 N, ISO", 1956.3, 5e-5, iso, 0),
        ("L20c", "load of the roller beside it, ISO", 1383.9, 5e-5, iso, 1),
    )
    for key, what, value, tolerance, law, roller in rows:
        yield Check(key, what, OWN, value, tolerance, partial(_load, law, roller), "N")
    yield Check("L19d", "load of the third and fourth roller, Palmgren", OWN, 0.0, 1e-9,
                lambda: _fourteen(pal).inner_force[2:4].max(), "N", absolute=True)  # fmt: skip
    for key, law, value in (("L19c", pal, 31.875), ("L20d", iso, 32.222)):
        yield Check(key, f"displacement of the ring, {law.upper() if law == iso else 'Palmgren'}",
                    OWN, value, 0.001, partial(_shift, law), "um", absolute=True)  # fmt: skip
    yield Check("L20a", "sum of Q cos(psi), 14 rollers, 4450 N, ISO", IDENTITY, 4450.0, 1e-9,
                lambda: _fourteen(iso).inner_force @ np.cos(_azimuths(14)), "N")  # fmt: skip
    yield Check("L21a", "largest load, 16 rollers, 10 kN, no clearance", LIMIT, 2548.12, 0.012,
                lambda: _sixteen(0.0).inner_force.max(), "N")  # fmt: skip
    for force, shift, first, *values, place in (
        ("L21b", "L21d", 0.0, 2552.6, 11.201, "one under the load"),
        ("L21c", "L21e", np.pi / 16, 2499.1, 11.205, "the load between two"),
    ):
        yield Check(force, f"largest load, 16 rollers, {place}", OWN, values[0], 0.05,
                    partial(lambda at: _sixteen(at).inner_force.max(), first),
                    "N", absolute=True)  # fmt: skip
        yield Check(shift, f"displacement, 16 rollers, {place}", OWN, values[1], 0.001,
                    partial(lambda at: 1e6 * _sixteen(at).displacement[0], first),
                    "um", absolute=True)  # fmt: skip


def _ratings():
    """Rows of load rating and minimum load."""
    for ratio, value in RATING_TABLE.items():
        yield Check(f"R{round(100 * ratio):02d}", f"f_c at D/D_pw = {ratio:.2f}", ISO_281, value,
                    0.11, partial(roller_rating_factor, ratio), absolute=True)  # fmt: skip
    expected = 1.1e-3 * 88.7 * 30.0 ** (7 / 9) * 14**0.75 * 20.0 ** (29 / 27)
    yield Check("R40", "dynamic rating C, 14 rollers 20 x 30, D_pw = 100 mm", ISO_281, expected,
                1e-3, lambda: 1e-3 * dynamic_load_rating(14, 0.020, 0.030, 0.100),
                "kN")  # fmt: skip
    yield Check("C02a", "minimum load of a roller bearing, C = 100 kN", RULE, 2.0, 1e-12,
                lambda: 1e-3 * minimum_load(100e3), "kN")  # fmt: skip
    yield Check("C02b", "minimum load of a ball bearing, C = 100 kN", RULE, 1.0, 1e-12,
                lambda: 1e-3 * minimum_load(100e3, 0.01), "kN")  # fmt: skip


TOPICS = (
    Topic("Load distribution", (*_integrals(), *_bearings())),
    Topic("Load rating and minimum load", tuple(_ratings())),
)
