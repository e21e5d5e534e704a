"""Bodies that bounce: a ball on a floor, a ball on a shaking table, a mass on spring and dashpot.

P. J. Holmes, The dynamics of repeated impacts with a sinusoidally vibrating table, J. Sound and
Vibration 84 (1982), and Luck and Mehta, Phys. Rev. E 48 (1993), for the table (values from memory).
Time of a bouncing ball and restitution of a linear spring with a dashpot: textbook closed forms.

Impacts are those of the raceway contact of the kernels, made stiff, whose damping is set for the
wanted restitution at the speed of each approach; flights between them are those of a free body.
"""

import importlib.util
import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

from rollsim.kernels.layout import outer_offset
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc
from rollsim.model.damping import alpha_from_restitution

G = 9.81
MASS = 0.18


@pytest.fixture(scope="module")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_holmes", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def raceway(bench):
    """Outer raceway, ten thousand times as stiff as steel: a contact takes microseconds."""
    pair = bench.make_built().model.outer
    return pair._replace(constant=1e4 * pair.constant)


def _impact(raceway, approach, restitution):
    """Speed of separation and duration of one impact at a relative speed."""
    pair = raceway._replace(damping=alpha_from_restitution(restitution, approach))
    ring = Disc(0.0, 0.0, 0.0, 0.0, 0.0)

    def motion(_, state):
        body = Disc(pair.gap + state[0], 0.0, state[1], 0.0, 0.0)
        return state[1], -round_planar(body, ring, pair).normal / MASS

    def leaves(_, state):
        return state[0]

    leaves.terminal, leaves.direction = True, -1.0
    deepest = (MASS * approach**2 / pair.constant) ** (9.0 / 19.0)
    path = solve_ivp(
        motion, (0.0, 1.0), (0.0, approach), events=leaves, method="DOP853", rtol=1e-9,
        atol=(1e-9 * deepest, 1e-9 * approach), max_step=0.1 * deepest / approach,
    )  # fmt: skip
    return -path.y[1, -1], path.t[-1]


def test_total_time_of_a_bouncing_ball(raceway):
    """0.5 m, e = 0.8: sqrt(2 h/g) (1 + e)/(1 - e) = 2.8735 s."""
    time, speed = math.sqrt(2.0 * 0.5 / G), math.sqrt(2.0 * G * 0.5)
    for _ in range(40):
        speed, duration = _impact(raceway, speed, 0.8)
        time += duration + 2.0 * speed / G
    assert time == pytest.approx(2.8735, rel=1e-3)


def test_phase_of_a_ball_that_meets_its_table_once_a_period(raceway):
    """e = 0.8, A omega^2 = 1.2 g: cos(phi) = pi g (1 - e)/(A omega^2 (1 + e)) = 0.29089.

    The motion that repeats is found as the fixed point of flight and impact: at this level it is
    not stable any more, so marching on would not stay there.
    """
    omega = 2.0 * math.pi * 20.0
    amplitude, period = 1.2 * G / omega**2, 2.0 * math.pi / omega

    def place(time):
        return amplitude * math.sin(omega * time)

    def rest(unknown):
        """How far a ball that comes down at a phase and speed is from the table a period later."""
        phase, speed = unknown
        table = amplitude * omega * math.cos(phase)
        leaving, duration = _impact(raceway, speed + table, 0.8)
        up, start = leaving + table, phase / omega + duration
        end = phase / omega + period
        flight = end - start
        height = place(start) + up * flight - 0.5 * G * flight**2 - place(end)
        return height / amplitude, (G * flight - up - speed) / (amplitude * omega)

    phase, _ = fsolve(rest, (1.2, 0.5 * G * period), xtol=1e-10)
    assert np.max(np.abs(rest((phase, _)))) < 1e-6
    assert math.cos(phase) == pytest.approx(0.29089, rel=1e-3)


def test_restitution_of_a_linear_spring_with_a_dashpot(bench):
    """zeta = 0.2: e = exp(-pi zeta/sqrt(1 - zeta^2)) = 0.526621, here of a ring on its seat.

    Its speed as it comes back through the place of rest; spring and dashpot still pull then.
    """
    damping = 2.0 * 0.2 * math.sqrt(400e6 * 6.0)
    built = bench.make_built(
        bearing__seat_stiffness_N_per_um=[400.0, 400.0, 400.0], bearing__outer_mass_kg=6.0,
        bearing__seat_damping_Ns_per_mm=1e-3 * damping, duty__gravity=False, duty__speed_rpm=0.0,
        duty__radial_load_kN=0.0,
    )  # fmt: skip
    start, at = bench.centred(built), outer_offset(built.model.count)
    start[at + 2] = 0.01
    apart = {name: getattr(built.model, name)._replace(gap=1.0) for name in ("outer", "inner")}
    problem = bench.make_problem(
        built, tolerance=1e-9, start=start,
        change=lambda model: model._replace(**apart, guidance=2),
    )  # fmt: skip
    half = math.pi / math.sqrt(400e6 / 6.0 * (1.0 - 0.2**2))
    samples, _ = bench.record(problem, 1.5 * half, interval=half / 2000.0)
    places, speeds = samples.states[:, at], samples.states[:, at + 2]
    back = int(np.flatnonzero((places[:-1] > 0.0) & (places[1:] <= 0.0))[0])
    share = places[back] / (places[back] - places[back + 1])
    rebound = speeds[back] + share * (speeds[back + 1] - speeds[back])
    assert -rebound / 0.01 == pytest.approx(0.526621, abs=2e-6)
