"""The film between cage and guiding land: short bearing and concentric land."""

import math
from functools import cache, partial

import numpy as np
from scipy.optimize import brentq

from rollsim.kernels.land_film import land_film, pi_film_integrals
from rollsim.kernels.types import LandFilm
from rollsim.verification.check import Basis, Check, Source, Topic

RADIUS, LENGTH, CLEARANCE = 50e-3, 25e-3, 100e-6
VISCOSITY, SPEED = 20e-3, 3000 * 2.0 * math.pi / 60.0
#: eta R L^3 / c^2, N s
FACTOR = VISCOSITY * RADIUS * LENGTH**3 / CLEARANCE**2
FILM = LandFilm(
    CLEARANCE, 1e-12, FACTOR / CLEARANCE,
    2.0 * math.pi * VISCOSITY * RADIUS**3 * LENGTH / CLEARANCE, math.inf, math.inf,
)  # fmt: skip

OCVIRK = Source("Ocvirk 1953; worked points of a course on rotor vibration", Basis.READ)
FRISWELL = Source("Friswell, Penny, Garvey and Lees 2010, quartic of the static point", Basis.READ)
QUARTIC = Source("roots of the quartic of Friswell 2010 by linear algebra", Basis.ROUTE)
SQUEEZE = Source("C c^3/(eta R L^3) = pi/2, script of a university", Basis.WORKED)
FULL = Source("C c^3/(eta R L^3) = pi without cavitation", Basis.MEMORY)
RAIMONDI = Source(
    "Raimondi and Boyd 1958, finite length, which carries less than a short bearing", Basis.MEMORY
)
PETROFF = Source("Petroff 1883, 2 pi eta Omega R^3 L/c, 20 mPas", Basis.CLOSED)

#: eps, Sommerfeld number S and attitude of L/D = 1/4; share by which S may lie lower.
RAIMONDI_TABLE = (
    ("J07", 0.1, 16.2, 82.31, 0.04), ("J08", 0.2, 7.57, 75.18, 0.04),
    ("J10", 0.6, 1.07, 46.72, 0.08), ("J11", 0.8, 0.261, 31.04, 0.17),
)  # fmt: skip


def steady(eps, film=FILM, speed=SPEED):
    """Load and attitude of a journal that turns and stays where it is.

    Parameters
    ----------
    eps : float
        Eccentricity over the clearance.
    film : LandFilm
        Constants.
    speed : float, rad/s
        Of the journal.

    Returns
    -------
    tuple of float
        N, rad.
    """
    fn, ft, _ = land_film(film, eps * CLEARANCE, 0.0, -0.5 * speed * eps * CLEARANCE)
    return math.hypot(fn, ft), math.atan2(ft, -fn)


@cache
def static_point(load, speed, viscosity):
    """Where a loaded journal runs: eps, attitude in degrees, least film in um.

    Parameters
    ----------
    load : float, N
        On the journal.
    speed : float
        Over 3000 rpm.
    viscosity : float
        Over 20 mPas.

    Returns
    -------
    tuple of float
        Three numbers.
    """
    film = FILM._replace(squeeze=FILM.squeeze * viscosity)
    eps = brentq(lambda e: steady(e, film, SPEED * speed)[0] - load, 0.01, 0.99, xtol=1e-14)
    angle = math.degrees(steady(eps, film, SPEED * speed)[1])
    return eps, angle, 1e6 * CLEARANCE * (1.0 - eps)


def _quartic():
    """eps of 1000 N from the quartic in eps^2."""
    s = 2.0 * RADIUS * SPEED * VISCOSITY * LENGTH**3 / (8.0 * CLEARANCE**2 * 1000.0)
    roots = np.roots(
        [1.0, -4.0, 6.0 - s * s * (16.0 - math.pi**2), -(4.0 + math.pi**2 * s * s), 1.0]
    )
    (real,) = (r.real for r in roots if abs(r.imag) < 1e-9 and 0.0 < r.real < 1.0)
    return math.sqrt(real)


def _finite(eps, ratio):
    """Sommerfeld number and attitude in degrees of the short bearing at a length over diameter."""
    length = 2.0 * RADIUS * ratio
    film = FILM._replace(squeeze=VISCOSITY * RADIUS * length**3 / CLEARANCE**3)
    load, angle = steady(eps, film)
    pressure = load / (2.0 * RADIUS * length)
    number = (RADIUS / CLEARANCE) ** 2 * VISCOSITY * SPEED / (2.0 * math.pi) / pressure
    return number, math.degrees(angle)


def _damping(vn, vt, eps):
    """Squeeze damping over eta R L^3/c^3."""
    fn, ft, _ = land_film(FILM, eps * CLEARANCE, vn, vt)
    return math.hypot(fn, ft) / math.hypot(vn, vt) / FILM.squeeze


def _full_film():
    """The same of a film that does not cavitate: the half that carries and the one opposite."""
    return pi_film_integrals(1e-9, 0.0, 1.0)[0] + pi_film_integrals(1e-9, 0.0, -1.0)[0]


def _points():
    """Rows of static points."""
    yield Check("J01a", "W c^2/(eta Omega R L^3) at eps = 0.5", OCVIRK, 0.750381, 5e-7,
                lambda: steady(0.5)[0] / (FACTOR * SPEED), absolute=True)  # fmt: skip
    yield Check("J01b", "attitude at eps = 0.5", OCVIRK, 53.6802, 5e-5,
                lambda: math.degrees(steady(0.5)[1]), "deg", absolute=True)  # fmt: skip
    half = (0.559668, 49.3086, 44.0332)
    points = (
        ("J02", "1000 N, 3000 rpm, 20 mPas", (1000.0, 1.0, 1.0), (0.675788, 40.585, 32.4212)),
        ("J03", "half the load", (500.0, 1.0, 1.0), half),
        ("J03", "twice the speed", (1000.0, 2.0, 1.0), half),
        ("J03", "twice the viscosity", (1000.0, 1.0, 2.0), half),
    )
    parts = (("eps", "-", 1e-6), ("attitude", "deg", 1e-4), ("least film", "um", 1e-4))
    letters = iter("abcabcdefghi")
    for key, inputs, arguments, values in points:
        for k, (what, unit, tolerance) in enumerate(parts):
            compute = partial(lambda where, place: static_point(*where)[place], arguments, k)
            yield Check(key + next(letters), f"{what}, {inputs}", OCVIRK, values[k], tolerance,
                        compute, unit, absolute=True)  # fmt: skip
    yield Check("J04a", "eps, 1000 N, 3000 rpm, 20 mPas", FRISWELL, 0.675788, 5e-7,
                lambda: static_point(1000.0, 1.0, 1.0)[0], absolute=True)  # fmt: skip
    yield Check("J04b", "eps, 1000 N, 3000 rpm, 20 mPas, all digits", QUARTIC, _quartic, 1e-9,
                lambda: static_point(1000.0, 1.0, 1.0)[0])  # fmt: skip


def _losses():
    """Rows of damping, finite length and torque."""
    for part, vn, vt, eps in (("a", 1e-3, 0.0, 0.0), ("b", 0.6e-3, -0.8e-3, 1e-7)):
        where = "centred" if eps == 0.0 else "oblique, just off centre"
        yield Check(f"J06{part}", f"squeeze damping, {where}", SQUEEZE, 1.5708, 5e-5,
                    partial(_damping, vn, vt, eps), absolute=True)  # fmt: skip
    yield Check("J06c", "squeeze damping of a full film, both halves", FULL, 3.14159, 6e-6,
                _full_film, absolute=True)  # fmt: skip
    for key, eps, number, attitude, share in RAIMONDI_TABLE:
        yield Check(f"{key}a", f"Sommerfeld number, L/D = 1/4, eps = {eps:g}", RAIMONDI, number,
                    share, partial(lambda e: _finite(e, 0.25)[0], eps))  # fmt: skip
        yield Check(f"{key}b", f"attitude, L/D = 1/4, eps = {eps:g}", RAIMONDI, attitude, 0.6,
                    partial(lambda e: _finite(e, 0.25)[1], eps), "deg", absolute=True)  # fmt: skip
    cases = (("a", "1/4", 0.25, 1.07, 0.94), ("b", "1/2", 0.5, 0.319, 0.79),
             ("c", "1", 1.0, 0.121, 0.52))  # fmt: skip
    for part, name, ratio, table, share in cases:
        yield Check(f"J13{part}", f"S short over S finite, L/D = {name}, eps = 0.6", RAIMONDI,
                    share, 0.02, partial(lambda r, s: _finite(0.6, r)[0] / s, ratio, table),
                    absolute=True)  # fmt: skip
    yield Check("J14a", "torque at 314.16 rad/s, R 50, L 25 mm, c 100 um", PETROFF, 1.2337, 5e-5,
                lambda: 314.16 * land_film(FILM, 0.0, 0.0, 0.0)[2], "N m",
                absolute=True)  # fmt: skip
    yield Check("J14b", "torque at eps = 0.6 over that of a centred land", PETROFF, 1.25, 1e-12,
                lambda: land_film(FILM, 0.6 * CLEARANCE, 0.0, 0.0)[2]
                / land_film(FILM, 0.0, 0.0, 0.0)[2])  # fmt: skip


TOPIC = Topic("Film at the guiding land", (*_points(), *_losses()))
