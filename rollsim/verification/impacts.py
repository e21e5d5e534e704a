"""Impacts: restitution, duration and peak force, by formulas and by the contacts of the kernels."""

import math
from functools import cache, partial

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from rollsim.kernels.pocket import bar_planar
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc
from rollsim.model.damping import (
    alpha_from_restitution,
    damping_number,
    delivered_restitution,
    flores_number,
    gonthier_number,
    hunt_crossley_number,
    impact_duration_factor,
    impact_peak_force,
    lankarani_nikravesh_number,
)
from rollsim.verification.bearing import small_bearing
from rollsim.verification.check import Basis, Check, Source, Topic

LINE = 10.0 / 9.0

JOHNSON = Source("Johnson, Contact Mechanics, 1985, eq. 11.23 (2.94)", Basis.MEMORY)
CLOSED = Source("2 sqrt(pi)/(n + 1) Gamma(1/(n + 1))/Gamma(1/(n + 1) + 1/2)", Basis.CLOSED)
MODELS = Source(
    "damping factors of an open contact-model table, exact relation of Marhefka and Orin 1999",
    Basis.WORKED,
)
IMPLICIT = Source("ln((1 + x)/(1 - e x)) = x (1 + e), Marhefka and Orin 1999", Basis.CLOSED)
ENERGY = Source("energy balance", Basis.CLOSED)
EXACT = Source(
    "relation of Marhefka and Orin by bracketing, against a march through one impact", Basis.ROUTE
)
HUNT = Source("Hunt and Crossley 1975: e = 1 - alpha v0 for small damping", Basis.CLOSED)

TABLE = (
    ("I04", "Hunt-Crossley", hunt_crossley_number, 0.9, 0.909016),
    ("I05", "Hunt-Crossley", hunt_crossley_number, 0.7, 0.768000),
    ("I07", "Lankarani-Nikravesh", lankarani_nikravesh_number, 0.9, 0.913177),
    ("I08", "Lankarani-Nikravesh", lankarani_nikravesh_number, 0.7, 0.795973),
    ("I10", "Flores", flores_number, 0.9, 0.893921),
    ("I11", "Flores", flores_number, 0.7, 0.683184),
    ("I13", "Gonthier", gonthier_number, 0.9, 0.876435),
    ("I14", "Gonthier", gonthier_number, 0.7, 0.669581),
)
CONTACTS = ("outer raceway", "inner raceway", "stiff bar", "soft bar")


def exact_restitution(x):
    """e of the implicit relation, by bracketing.

    Parameters
    ----------
    x : float
        (3/2) alpha v0, positive.

    Returns
    -------
    float
        Restitution.
    """
    top = min(1.0, 1.0 / x) * (1.0 - 1e-12)
    return brentq(lambda e: math.log((1 + x) / (1 - e * x)) - x * (1 + e), 1e-9, top)


def bounce(force, mass, speed, depth_scale):
    """Send a mass against a contact force and follow it until it leaves.

    Parameters
    ----------
    force : callable
        Normal force in N of depth in m and rate in m/s.
    mass : float, kg
        Of the body.
    speed : float, m/s
        Of approach.
    depth_scale : float, m
        How deep it goes, roughly.

    Returns
    -------
    tuple of float
        Rebound over approach speed, duration in s, greatest force in N.
    """

    def leaves(_, state):
        """Depth, falling through zero."""
        return state[0]

    leaves.terminal, leaves.direction = True, -1.0
    result = solve_ivp(
        lambda _, s: (s[1], -force(s[0], s[1]) / mass), (0.0, 1.0), (0.0, speed), events=leaves,
        rtol=1e-10, atol=(1e-10 * depth_scale, 1e-10 * speed), max_step=0.05 * depth_scale / speed,
    )  # fmt: skip
    peak = max(force(d, v) for d, v in result.y.T)
    return -result.y[1, -1] / speed, result.t[-1], peak


def _raceway(side, damping):
    """Force of a raceway of the small bearing on a roller that comes straight at it."""
    model = small_bearing().model
    pair = (model.outer if side > 0.0 else model.inner)._replace(damping=damping)
    ring = Disc(0.0, 0.0, 0.0, 0.0, 0.0)

    def force(depth, rate):
        """Normal force at a depth."""
        body = Disc(side * (pair.gap + depth), 0.0, side * rate, 0.0, 0.0)
        return round_planar(body, ring, pair).normal

    return force


def _bar(damping, backing, constant=None):
    """Force of a pocket bar without film on a roller that comes straight at it."""
    pocket = small_bearing().model.pocket._replace(damping=damping, film=0.0, backing=backing)
    if constant:
        pocket = pocket._replace(constant=constant)

    def force(depth, rate):
        """Normal force at a depth."""
        motion = (pocket.half_clearance + depth, pocket.pitch_radius, rate, 0.0)
        return bar_planar(motion, 0.0, pocket, 1.0, 0.0, 0.0).normal

    return force


def _force(contact, damping):
    """Force law of a named contact."""
    if "raceway" in contact:
        return _raceway(1.0 if "outer" in contact else -1.0, damping)
    return _bar(damping, 1e14 if "stiff" in contact else 1e6)


def _rebound(contact, damping, speed):
    """Restitution of a named contact for a roller of 0.18 kg."""
    return bounce(_force(contact, damping), 0.18, speed, 1e-5)[0]


def _wanted(restitution):
    """Restitution that the outer raceway gives where it is asked for."""
    return _rebound("outer raceway", alpha_from_restitution(restitution, 0.25), 0.25)


@cache
def _undamped():
    """Duration over d*/v of an undamped impact on the outer raceway."""
    constant, speed = small_bearing().model.outer.constant, 0.2
    deepest = ((LINE + 1.0) * 0.18 * speed**2 / (2.0 * constant)) ** (1.0 / (LINE + 1.0))
    return bounce(_raceway(1.0, 0.0), 0.18, speed, deepest)[1] * speed / deepest


def _formulas():
    """Rows of formulas."""
    for key, name, exponent, value, source in (
        ("I01", "3/2 (point)", 1.5, 2.943, JOHNSON), ("I03", "3/2 (point)", 1.5, 2.94328, CLOSED),
        ("I02a", "1", 1.0, math.pi, CLOSED),
        ("I02b", "10/9 (line)", LINE, 3.09049, CLOSED),
    ):  # fmt: skip
        tolerance = 2e-4 if source is JOHNSON else 2e-6
        yield Check(key, f"duration factor T v/d*, exponent {name}", source, value, tolerance,
                    partial(impact_duration_factor, exponent))  # fmt: skip
    for key, name, model, target, value in TABLE:
        yield Check(key, f"restitution delivered for {target:g}, {name}", MODELS, value, 1e-6,
                    partial(lambda law, e: delivered_restitution(law(e)), model, target),
                    absolute=True)  # fmt: skip
    numbers = ((0.9, 0.16648), (0.7, 0.63483), (0.5, 1.43275), (0.3, 3.08708))
    for part, (target, value) in zip("abcd", numbers, strict=True):
        yield Check(f"I16{part}", f"exact damping number for e = {target:g}", IMPLICIT, value,
                    5e-6, partial(damping_number, target), absolute=True)  # fmt: skip
    yield Check("I22a", "peak by formula, 0.1 kg, 0.1 m/s, 2e8 N/m^(10/9)", ENERGY, 231.994,
                1e-5, lambda: impact_peak_force(0.1, 0.1, 2e8, LINE), "N")  # fmt: skip


def _contacts():
    """Rows in which a body meets a contact of the kernels."""
    yield Check("I22b", "peak of that impact by a march, pocket bar", ENERGY, 231.994, 2e-4,
                lambda: bounce(_bar(0.0, 1e14, 2e8), 0.1, 0.1, 1e-6)[2], "N")  # fmt: skip
    yield Check(
        "I02c", "T v/d* of an impact on the outer raceway", CLOSED, 3.09049, 1e-4, _undamped
    )
    for part, target in zip("efgh", (0.9, 0.7, 0.5, 0.3), strict=True):
        yield Check(f"I16{part}", f"restitution of the outer raceway for e = {target:g}", IMPLICIT,
                    target, 1e-5, partial(_wanted, target), absolute=True)  # fmt: skip
    for number, (damping, speed) in enumerate(((0.2, 0.3), (4.0, 0.5)), 1):
        for part, contact in zip("abcd", CONTACTS, strict=True):
            yield Check(f"I3{number}{part}",
                        f"restitution, {contact}, alpha {damping:g} s/m, {speed:g} m/s", EXACT,
                        partial(exact_restitution, 1.5 * damping * speed), 1e-5,
                        partial(_rebound, contact, damping, speed), absolute=True)  # fmt: skip
    yield Check("I33", "(1 - e)/(alpha v0) of the raceway, alpha v0 = 0.005", HUNT, 1.0, 0.01,
                lambda: (1.0 - _rebound("outer raceway", 0.05, 0.1)) / 0.005)  # fmt: skip


TOPIC = Topic("Impacts", (*_formulas(), *_contacts()))
