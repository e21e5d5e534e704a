"""Hertz line contact, the stresses under it, and the constants of line contacts."""

import math
from functools import cache, partial

import numpy as np

from rollsim.model.hertz import (
    hertz_half_width,
    hertz_line_pressure,
    hertz_line_stress,
    plane_strain_mises,
)
from rollsim.model.profile import logarithmic_drop
from rollsim.model.stiffness import (
    iso_line_constant,
    lundberg_line_approach,
    palmgren_line_constant,
    reduced_modulus,
    series_constant,
    single_contact_constant,
)
from rollsim.verification.check import Basis, Check, Source, Topic

STEEL = reduced_modulus(206e9, 0.3, 206e9, 0.3)
LINE_LOAD, RADIUS = 100e3, 0.010  # N/m, m: 100 N/mm on a roller of 10 mm radius against a flat
TO_NEWTON_MM = 1e3 ** (-10.0 / 9.0)

JOHNSON = Source(
    "Johnson, Contact Mechanics, 1985, eq. 4.43 to 4.45; steel, E = 206 GPa, nu = 0.3", Basis.WORKED
)
HANDBOOK = Source(
    "Mechanical Engineer's Data Handbook, p. 52; steel, E = 206 GPa, nu = 0.3", Basis.WORKED
)
LUNDBERG = Source("Lundberg and Palmgren 1947 (line contact)", Basis.MEMORY)
JOHNSON_MISES = Source("Johnson, Contact Mechanics, 1985", Basis.MEMORY)
PALMGREN = Source("Palmgren; Harris, Rolling Bearing Analysis", Basis.MEMORY)
ISO = Source("ISO/TS 16281:2008 (DIN 26281)", Basis.READ)
ISO_WORKED = Source("ISO/TS 16281:2008 (DIN 26281)", Basis.WORKED)
BOTH = Source("Palmgren against ISO/TS 16281: their constants differ, known", Basis.WORKED)


@cache
def largest_shear():
    """Largest |t_xz|/p0 under a line contact, its depth and its distance across, both over b."""
    x, z = np.meshgrid(np.linspace(0.5, 1.2, 701), np.linspace(0.2, 0.9, 701))
    shear = np.abs(hertz_line_stress(x, z)[2])
    place = np.unravel_index(np.argmax(shear), shear.shape)
    return shear[place], z[place], x[place]


@cache
def largest_mises():
    """Largest von Mises stress over p0 on the axis, nu = 0.3, and its depth over b."""
    depth = np.linspace(0.1, 2.0, 19001)
    mises = plane_strain_mises(*hertz_line_stress(np.zeros_like(depth), depth), 0.3)
    return mises.max(), depth[np.argmax(mises)]


def _pressure():
    """p0 in MPa by the formula."""
    return 1e-6 * hertz_line_pressure(LINE_LOAD, RADIUS, STEEL)


def _pressure_from_width():
    """p0 = 2 w/(pi b) in MPa, from the width."""
    return 2e-6 * LINE_LOAD / (math.pi * hertz_half_width(LINE_LOAD, RADIUS, STEEL))


def _width():
    """Full width in mm."""
    return 2e3 * hertz_half_width(LINE_LOAD, RADIUS, STEEL)


def _palmgren_over_iso():
    """Two Palmgren contacts in series over the ISO constant."""
    single = palmgren_line_constant(0.012)
    return series_constant(single, single) / iso_line_constant(0.012)


def _iso_coefficient():
    """c of delta = c Q^0.9/l^0.8 per contact, mm and N."""
    return (single_contact_constant(iso_line_constant(1e-3)) * TO_NEWTON_MM) ** -0.9


def _checks():
    """The rows of this topic."""
    steel = "R = 10 mm on a flat, 100 N/mm"
    yield Check("H01a", f"Hertz pressure, {steel}", JOHNSON, 600.237, 1e-6, _pressure, "MPa")
    yield Check("H01b", "Hertz pressure by 2 w/(pi b) from the width", JOHNSON, 600.237, 1e-6,
                _pressure_from_width, "MPa")  # fmt: skip
    yield Check("H02", f"full contact width, {steel}", HANDBOOK, 0.212123, 3e-6, _width, "mm")
    names = (
        "largest alternating shear stress over p0",
        "depth of the largest alternating shear over b",
        "distance across of the largest shear over b",
    )
    values, bounds = (0.25, 0.5, 0.866), (0.0005, 0.002, 0.002)
    for place, part in enumerate("abc"):
        yield Check(f"H04{part}", names[place], LUNDBERG, values[place], bounds[place],
                    partial(_item, largest_shear, place), absolute=True)  # fmt: skip
    names = (
        "largest von Mises stress over p0, nu = 0.3",
        "depth of the largest von Mises stress over b",
    )
    for part, name, expected, place in zip("ab", names, (0.558, 0.704), range(2), strict=True):
        compute = partial(_item, largest_mises, place)
        yield Check(f"H05{part}", name, JOHNSON_MISES, expected, 0.001, compute, absolute=True)
    yield Check("H07", "Palmgren constant of one contact, l = 1 mm", PALMGREN, 80600.0, 0.002,
                lambda: palmgren_line_constant(1e-3) * TO_NEWTON_MM, "N/mm^(10/9)")  # fmt: skip
    yield Check("H10a", "approach by Palmgren, 4000 N on 20 mm, one contact", PALMGREN, 6.10044,
                1e-5, lambda: 1e6 * (4000.0 / palmgren_line_constant(0.020)) ** 0.9,
                "um", absolute=True)  # fmt: skip
    yield Check("H10b", "approach by Lundberg's logarithm, 4000 N on 20 mm", PALMGREN, 6.28375,
                1e-5, lambda: 1e6 * lundberg_line_approach(4000.0, 0.020, STEEL),
                "um", absolute=True)  # fmt: skip
    yield Check("H08", "constant of both contacts together, l = 1 mm", ISO, 35948.0, 1e-12,
                lambda: iso_line_constant(1e-3) * TO_NEWTON_MM, "N/mm^(10/9)")  # fmt: skip
    yield Check("H09b", "c of delta = c Q^0.9/l^0.8 of one contact", ISO_WORKED, 3.97e-5, 0.002,
                _iso_coefficient, "mm, N")  # fmt: skip
    yield Check("H09a", "two Palmgren contacts in series over ISO", BOTH, 1.0378, 0.001,
                _palmgren_over_iso, absolute=True)  # fmt: skip
    yield Check("H11", "logarithmic profile, D = 10, L = 20 mm, at x = 5 mm",
                Source("ISO/TS 16281:2008", Basis.CLOSED), 0.0035 * math.log(4.0 / 3.0), 1e-12,
                lambda: 1e3 * logarithmic_drop(np.array([5e-3]), 0.02, 0.01)[0], "mm")  # fmt: skip


def _item(found, place):
    """One number of a result that several rows share."""
    return found()[place]


TOPIC = Topic("Line contact", tuple(_checks()))
