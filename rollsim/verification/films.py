"""Films of line contacts, friction in them, viscosity of oils."""

import math
from functools import partial

import numpy as np
from scipy.optimize import minimize_scalar

from rollsim.kernels.traction import four_parameter, friction_over_slip, grip
from rollsim.kernels.types import OilFilm, Traction, TractionLaw
from rollsim.model.film_formulas import (
    DOWSON_HIGGINSON,
    PAN_HAMROCK,
    PAN_HAMROCK_LEAST,
    LubricatedContact,
    kernel_film,
)
from rollsim.model.stiffness import reduced_modulus
from rollsim.model.viscosity import density_at, index_limits, viscosity_at, viscosity_index
from rollsim.verification.check import Basis, Check, Source, Topic

# d_i = 64, d_o = 96, d = 16, l = 16 mm, 524 rad/s, 10.8 kN on nine rollers.
SPEED, LOAD = 10.061, 4800.0
INNER = LubricatedContact(6.4e-3, 16e-3, 2.28e11, 0.01, 2.2e-8)
OUTER = LubricatedContact(9.6e-3, 16e-3, 2.28e11, 0.01, 2.2e-8)
#: A contact for friction at full slip: R = 10, L = 20 mm, 50 mPas, film of 8 m/s.
SLIDING = LubricatedContact(10e-3, 20e-3, 2.28e11, 0.05, 1.8e-8)
LIMIT, SLOPE = 3e6, 0.06
#: A four-constant traction curve; its peak lies at 1/C - A/B = 1.3 m/s.
CURVE = (-0.03, 0.1, 1.0, 0.03)

HAMROCK = Source("Hamrock and Dowson 1981, NASA RP-1255, roller bearing example", Basis.MEMORY)
LONG = Source(
    "Hamrock and Dowson 1981; film of a long ellipse, which leaks: up to a fourth below a line",
    Basis.MEMORY,
)
PAN = Source("Pan and Hamrock 1989, central over least film", Basis.WORKED)
DOWSON = Source("Dowson 1968, exponent 0.70 of the speed", Basis.CLOSED)
KRAGELSKII = Source("four-constant law of Kragelskii type, as in Gupta 1984", Basis.CLOSED)
SUMMED = Source("limiting shear stress of Lee and Hamrock 1990, full slip", Basis.ROUTE)
D2270 = Source("ASTM D2270, worked examples and table", Basis.MEMORY)
D341 = Source("ISO 3448: the grade is the viscosity at 40 degrees C (ASTM D341)", Basis.CLOSED)


def _film(law, contact):
    """Film of the roller bearing example in um."""
    return 1e6 * contact.radius * law.thickness(contact.groups(SPEED, LOAD))


def _film_ratio(contact, speed, load):
    """Central over least film."""
    groups = contact.groups(speed, load)
    return PAN_HAMROCK.thickness(groups) / PAN_HAMROCK_LEAST.thickness(groups)


def _doubled():
    """Film at 10 m/s over that at 5 m/s."""
    single, double = (DOWSON_HIGGINSON.thickness(INNER.groups(u, LOAD)) for u in (5.0, 10.0))
    return double / single


def _peak_slip():
    """Slip at the peak of the traction curve, by search."""
    found = minimize_scalar(
        lambda slip: -four_parameter(slip, *CURVE), bounds=(0.1, 5.0), method="bounded",
        options={"xatol": 1e-9},
    )  # fmt: skip
    return found.x


def _full_slip(load):
    """Friction coefficient of the kernel at full slip on surfaces without asperities."""
    given = OilFilm(by_roughness=1e15, limit=LIMIT, limit_slope=SLOPE, least_scale=1e-9)
    oil = kernel_film(SLIDING, DOWSON_HIGGINSON, 1.0, given)
    law = Traction(int(TractionLaw.EHL), 0.1, 0.1, 0.0, 0.0, 0.0, 0.0, oil)
    return 1e6 * friction_over_slip(1e6, law, grip(load, 8.0, law))


def _summed_limit(load):
    """The same: limiting stress at the local Hertz pressure, summed over the contact."""
    half = math.sqrt(8.0 * load / SLIDING.length * SLIDING.radius / (math.pi * SLIDING.modulus))
    highest = 2.0 * load / (math.pi * half * SLIDING.length)
    angle = (np.arange(20000) + 0.5) / 20000 * math.pi
    stress = LIMIT + SLOPE * highest * np.sin(angle)
    return np.sum(stress * half * SLIDING.length * np.sin(angle)) * math.pi / 20000 / load


def _films():
    """Rows of films and of friction in them."""
    groups = (("a", "speed parameter U", 6.895e-11, lambda: INNER.groups(SPEED, LOAD).speed),
              ("b", "material parameter G", 5016.0, lambda: INNER.groups(SPEED, LOAD).material),
              ("c", "load parameter W over R^2", 5.14e-4,
               lambda: INNER.groups(SPEED, LOAD).load * INNER.length / INNER.radius))  # fmt: skip
    for part, what, value, compute in groups:
        yield Check(f"E01{part}", f"{what}, inner raceway", HAMROCK, value, 3e-3, compute)
    yield Check("E01d", "effective modulus E' of steel, E = 207.48 GPa", HAMROCK, 228.0, 1e-4,
                lambda: 2e-9 * reduced_modulus(207.48e9, 0.3, 207.48e9, 0.3), "GPa")  # fmt: skip
    for key, place, contact, film in (("a", "inner", INNER, 0.32), ("c", "outer", OUTER, 0.42)):
        yield Check(f"E02{key}", f"film of Dowson and Higginson, {place} raceway", LONG, film, 0.3,
                    partial(_film, DOWSON_HIGGINSON, contact), "um")  # fmt: skip
        other = {"a": "b", "c": "d"}[key]
        yield Check(f"E02{other}", f"least film of Pan and Hamrock, {place} raceway", LONG, film,
                    0.3, partial(_film, PAN_HAMROCK_LEAST, contact), "um")  # fmt: skip
    cases = (("a", OUTER, 10.0, 1500.0), ("b", INNER, 5.0, 500.0), ("c", OUTER, 2.0, 800.0),
             ("d", INNER, SPEED, LOAD))  # fmt: skip
    for part, contact, speed, load in cases:
        place = "inner" if contact is INNER else "outer"
        yield Check(f"E04{part}", f"h_c/h_min, {place} raceway, {speed:g} m/s, {load:g} N", PAN,
                    1.25, 0.15, partial(_film_ratio, contact, speed, load))  # fmt: skip
    yield Check("E05", "film at twice the speed", DOWSON, 2.0**0.7, 1e-12, _doubled)
    yield Check("E07a", "slip at the peak of the curve, by search", KRAGELSKII, 1.3, 1e-5,
                _peak_slip, "m/s")  # fmt: skip
    peak = 0.1 * math.exp(-1.3) + 0.03
    yield Check("E07b", "traction coefficient there, B/C exp(A C/B - 1) + D", KRAGELSKII, peak,
                1e-12, lambda: four_parameter(1.3, *CURVE))  # fmt: skip
    for part, load in (("a", 100.0), ("b", 1000.0), ("c", 10000.0)):
        yield Check(f"E08{part}", f"friction at full slip, {load:g} N on 20 mm", SUMMED,
                    partial(_summed_limit, load), 1e-3, partial(_full_slip, load))  # fmt: skip


def _oils():
    """Rows of viscosity."""
    for part, cold, hot, value in (("a", 73.30, 8.86, 92.0), ("b", 22.83, 5.05, 156.0)):
        yield Check(f"O01{part}", f"viscosity index, {cold:g} and {hot:g} mm2/s", D2270, value,
                    0.5, partial(viscosity_index, cold, hot), absolute=True)  # fmt: skip
    table = ((2.0, 7.994, 6.394), (5.0, 40.23, 28.49), (10.0, 147.7, 82.87), (20.0, 493.2, 229.5),
             (15.0, 296.5, 149.7), (30.0, 1023.0, 421.7))  # fmt: skip
    for hot, zero, hundred in sorted(table):
        for part, name, value in (("a", "L (index 0)", zero), ("b", "H (index 100)", hundred)):
            yield Check(f"O{round(hot):02d}{part}",
                        f"{name} at 40 degrees, {hot:g} mm2/s at 100", D2270, value, 1.2e-3,
                        partial(lambda y, k: index_limits(y)[k], hot, "ab".index(part)),
                        "mm2/s")  # fmt: skip
    yield Check("O40", "grade 220 with 18.7 mm2/s at 100 degrees, at 40", D341, 220.0, 1e-12,
                lambda: viscosity_at(40.0, 220.0, 18.7), "mm2/s")  # fmt: skip
    yield Check("O41", "density of 880 kg/m3 at 100 degrees",
                Source("common practice for mineral oils", Basis.MEMORY), 831.4, 0.1,
                lambda: density_at(100.0, 880.0), "kg/m3", absolute=True)  # fmt: skip


TOPICS = (
    Topic("Films of line contacts", tuple(_films())),
    Topic("Viscosity of oils", tuple(_oils())),
)
