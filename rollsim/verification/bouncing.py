"""Bodies that bounce: a ball on a floor, a ball on a shaking table, a ring on spring and dashpot.

Impacts are those of the raceway contact of the kernels, made stiff, whose damping is set for the
wanted restitution at the speed of each approach; flights between them are those of a free body.
"""

import math
from functools import cache

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

from rollsim.kernels.layout import outer_offset
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc
from rollsim.model.damping import alpha_from_restitution
from rollsim.model.initial import initial_state
from rollsim.verification.bearing import march, problem, small_bearing
from rollsim.verification.check import Basis, Check, Source, Topic

G, MASS = 9.81, 0.18
#: Mass of the outer ring, stiffness of its seat and share of critical damping.
RING, SEAT, ZETA = 6.0, 400e6, 0.2

TEXTBOOK = Source("textbook, sqrt(2 h/g) (1 + e)/(1 - e)", Basis.CLOSED)
TABLE = Source("Holmes 1982; Luck and Mehta 1993: pi g (1 - e)/(A w^2 (1 + e))", Basis.MEMORY)
DASHPOT = Source("textbook, exp(-pi zeta/sqrt(1 - zeta^2))", Basis.CLOSED)


def _impact(approach, restitution):
    """Speed of separation and duration of one impact at a relative speed."""
    pair = small_bearing().model.outer
    pair = pair._replace(
        constant=1e4 * pair.constant, damping=alpha_from_restitution(restitution, approach)
    )
    ring = Disc(0.0, 0.0, 0.0, 0.0, 0.0)

    def motion(_, state):
        """Depth and its rate."""
        body = Disc(pair.gap + state[0], 0.0, state[1], 0.0, 0.0)
        return state[1], -round_planar(body, ring, pair).normal / MASS

    def leaves(_, state):
        """Depth, falling through zero."""
        return state[0]

    leaves.terminal, leaves.direction = True, -1.0
    deepest = (MASS * approach**2 / pair.constant) ** (9.0 / 19.0)
    path = solve_ivp(
        motion, (0.0, 1.0), (0.0, approach), events=leaves, method="DOP853", rtol=1e-9,
        atol=(1e-9 * deepest, 1e-9 * approach), max_step=0.1 * deepest / approach,
    )  # fmt: skip
    return -path.y[1, -1], path.t[-1]


def _bouncing_time():
    """Time in s until a ball that falls from 0.5 m comes to rest, e = 0.8."""
    time, speed = math.sqrt(2.0 * 0.5 / G), math.sqrt(2.0 * G * 0.5)
    for _ in range(40):
        speed, duration = _impact(speed, 0.8)
        time += duration + 2.0 * speed / G
    return time


def _phase_on_a_table():
    """cos(phi) of a ball that meets its table once a period, e = 0.8, A omega^2 = 1.2 g.

    The motion that repeats is found as the fixed point of flight and impact: at this level it is
    not stable any more, so marching on would not stay there.
    """
    omega = 2.0 * math.pi * 20.0
    amplitude, period = 1.2 * G / omega**2, 2.0 * math.pi / omega

    def place(time):
        """Height of the table."""
        return amplitude * math.sin(omega * time)

    def rest(unknown):
        """How far a ball that comes down at a phase and speed is from the table a period later."""
        phase, speed = unknown
        table = amplitude * omega * math.cos(phase)
        leaving, duration = _impact(speed + table, 0.8)
        up, start = leaving + table, phase / omega + duration
        end = phase / omega + period
        flight = end - start
        height = place(start) + up * flight - 0.5 * G * flight**2 - place(end)
        return height / amplitude, (G * flight - up - speed) / (amplitude * omega)

    phase, speed = fsolve(rest, (1.2, 0.5 * G * period), xtol=1e-10)
    if np.max(np.abs(rest((phase, speed)))) > 1e-6:
        raise RuntimeError("no motion that repeats was found")
    return math.cos(phase)


@cache
def _ring_on_its_seat():
    """Restitution of the outer ring on spring and dashpot, by a march of the whole model.

    Its speed as it comes back through the place of rest; spring and dashpot still pull then.
    """
    built = small_bearing(extra=_SEAT)
    model = built.model
    apart = {name: getattr(model, name)._replace(gap=1.0) for name in ("outer", "inner")}
    start, at = initial_state(built), outer_offset(model.count)
    start[at : at + 4] = 0.0, 0.0, 0.01, 0.0
    half = math.pi / math.sqrt(SEAT / RING * (1.0 - ZETA**2))
    free = problem(built, model._replace(**apart, guidance=2), start)
    states, _ = march(free, "dormand_prince", 1.5 * half, half / 2000.0)
    places, speeds = states[:, at], states[:, at + 2]
    back = int(np.flatnonzero((places[:-1] > 0.0) & (places[1:] <= 0.0))[0])
    share = places[back] / (places[back] - places[back + 1])
    return -(speeds[back] + share * (speeds[back + 1] - speeds[back])) / 0.01


_SEAT = (
    ("bearing.seat_stiffness_N_per_um", (1e-6 * SEAT,) * 3),
    ("bearing.outer_mass_kg", RING),
    ("bearing.seat_damping_Ns_per_mm", 2e-3 * ZETA * math.sqrt(SEAT * RING)),
    ("duty.gravity", False),
    ("duty.speed_rpm", 0.0),
    ("duty.radial_load_kN", 0.0),
)

TOPIC = Topic("Bodies that bounce", (
    Check("I17", "restitution, ring on spring and dashpot, zeta 0.2", DASHPOT, 0.526621, 2e-6,
          _ring_on_its_seat, absolute=True),
    Check("I19", "time of a bouncing ball, 0.5 m, e = 0.8", TEXTBOOK, 2.8735, 1e-3, _bouncing_time,
          "s"),
    Check("I20", "cos(phi), ball on a table, e = 0.8, A w^2 = 1.2 g", TABLE, 0.29089, 1e-3,
          _phase_on_a_table),
))  # fmt: skip
