"""A roller rattling in its pocket: the impact pair with a moving frame, by the pocket's contact.

Symmetric motion with two impacts a period, no friction: frame motion A sin(omega t), clearance L,
restitution e. With u the speed of the free body,

    u = (L + 2 A sin(phi)) omega / pi,  cos(phi) = -(u/(A omega)) (1 - e)/(1 + e),

and the relative impact speed is 2 u/(1 + e). For a small clearance an asymmetric motion with two
impacts takes its place.
"""

import math
from functools import cache, partial

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from rollsim.kernels.pocket import bar_planar
from rollsim.model.damping import alpha_from_restitution
from rollsim.verification.bearing import small_bearing
from rollsim.verification.check import Basis, Check, Source, Topic

AMPLITUDE, OMEGA, MASS = 1e-4, 2.0 * math.pi * 100.0, 0.18

MASRI = Source(
    "Masri and Caughey 1966, Bapat and Popplewell 1983, rederived; A = 0.1 mm, 100 Hz",
    Basis.CLOSED,
)
OWN = Source("event-driven simulation made for this check", Basis.OWN)


def _frame(time):
    """Position and velocity of the pocket along the orbit."""
    return AMPLITUDE * math.sin(OMEGA * time), AMPLITUDE * OMEGA * math.cos(OMEGA * time)


def _free_flight(pocket, time, x, v):
    """Time and side at which the roller next meets a bar."""
    step = 1e-5

    def gap(at, side):
        """Distance to the bar."""
        return pocket.half_clearance - side * (x + v * (at - time) - _frame(at)[0])

    now = time + 1e-9
    while now < time + 1.0:
        for side in (1.0, -1.0):
            if gap(now + step, side) < 0.0 <= gap(now, side):
                return brentq(gap, now, now + step, args=(side,), xtol=1e-15), side
        now += step
    raise RuntimeError("the roller meets no bar within a second")


def _contact(pocket, time, x, v, side):
    """Integrate one contact with the kernel's force; time, position and velocity at its end."""

    def pair(at, state):
        """The kernel's contact."""
        place, speed = _frame(at)
        motion = (state[0] - place, pocket.pitch_radius, state[1] - speed, 0.0)
        return bar_planar(motion, 0.0, pocket, side, 0.0, 0.0)

    def leaves(at, state):
        """Penetration, falling through zero."""
        return side * (state[0] - _frame(at)[0]) - pocket.half_clearance

    leaves.terminal, leaves.direction = True, -1.0
    result = solve_ivp(
        lambda at, s: (s[1], pair(at, s).fx / MASS), (time, time + 1e-4), (x, v), events=leaves,
        method="DOP853", rtol=1e-9, atol=(1e-13, 1e-9), first_step=1e-9, max_step=2e-8,
    )  # fmt: skip
    if result.status != 1:
        raise RuntimeError("a contact of the roller does not end")
    return result.t[-1], result.y[0, -1], result.y[1, -1]


@cache
def rattle(ratio, restitution, impacts, v):
    """Let a roller go in the middle of the shaken pocket.

    Parameters
    ----------
    ratio : float
        Clearance over the amplitude of the frame.
    restitution : float
        Of the bars.
    impacts : int
        How many to follow.
    v : float, m/s
        Speed at the start.

    Returns
    -------
    tuple of ndarray
        Times in s and relative speeds in m/s of the impacts.
    """
    pocket = small_bearing().model.pocket._replace(constant=3e14, backing=1e17, film=0.0)
    pocket = pocket._replace(half_clearance=0.5 * ratio * AMPLITUDE)
    time, x = 0.0, 0.0
    times, speeds = [], []
    for _ in range(impacts):
        at, side = _free_flight(pocket, time, x, v)
        x += v * (at - time)
        approach = side * (v - _frame(at)[1])
        struck = pocket._replace(damping=alpha_from_restitution(restitution, approach))
        time, x, v = _contact(struck, at, x, v, side)
        times.append(at)
        speeds.append(approach)
    return np.array(times), np.array(speeds)


def _speed(*arguments):
    """Mean relative speed of the last six impacts in m/s."""
    return rattle(*arguments)[1][-6:].mean()


def _scatter(*arguments):
    """Largest less smallest of the last six speeds in m/s."""
    return np.ptp(rattle(*arguments)[1][-6:])


def _split(place):
    """Shorter or longer part of the period of the asymmetric motion."""
    return sorted(np.diff(rattle(*ASYMMETRIC)[0][-3:]) * OMEGA / (2.0 * math.pi))[place]


FOUR, TEN = (4.0, 0.6, 40, 0.115524), (10.0, 0.8, 90, 0.2100792)
ASYMMETRIC = (2.0, 0.6, 150, 0.08)


def _checks():
    """The rows of this topic."""
    for key, arguments, value in (("I21", FOUR, 0.144405), ("I24", TEN, 0.262599)):
        ratio, e = arguments[:2]
        yield Check(f"{key}a", f"impact speed, clearance {ratio:g} A, e = {e:g}", MASRI, value,
                    1e-4, partial(_speed, *arguments), "m/s")  # fmt: skip
        yield Check(f"{key}b", f"scatter of six impact speeds, clearance {ratio:g} A", MASRI, 0.0,
                    1e-4 * value, partial(_scatter, *arguments), "m/s", absolute=True)  # fmt: skip
    yield Check("I25a", "impact speed, clearance 2 A, e = 0.6, asymmetric", OWN, 0.104165, 1e-3,
                partial(_speed, *ASYMMETRIC), "m/s")  # fmt: skip
    for part, name, value, place in (("b", "shorter", 0.291, 0), ("c", "longer", 0.709, 1)):
        yield Check(f"I25{part}", f"{name} part of the period, clearance 2 A", OWN, value, 1e-3,
                    partial(_split, place), absolute=True)  # fmt: skip


TOPIC = Topic("Roller rattling in its pocket", tuple(_checks()))
