"""The compiled march: conservation, a known motion, and scipy on the same equations of motion."""

from functools import cache, partial

import numpy as np
from scipy.integrate import solve_ivp

from rollsim.kernels.layout import cage_offset, output_size, planar_size
from rollsim.kernels.rhs import rhs
from rollsim.model.initial import initial_state
from rollsim.simulation.balance import energy_book
from rollsim.verification.bearing import (
    TIGHT,
    march,
    problem,
    small_bearing,
    without_losses,
)
from rollsim.verification.check import Basis, Check, Source, Topic

SPEED = 400.0  # of the turning frame, rad/s
SPAN, INTERVAL = 2e-3, 1e-4  # s
SOLVERS = (("a", "leapfrog", 0.05), ("b", "dormand_prince", 1e-6))  # um of free motion
MOTIONS = ("planar", "spatial")

BALANCE = Source("conservation of energy", Basis.CLOSED)
STRAIGHT = Source(
    "bodies that touch nothing: x(t) = R(-Omega t) (x0 + (v0 + Omega x x0) t)", Basis.CLOSED
)
SCIPY = Source(
    "scipy's DOP853 at 1e-10 on the same equations, 18 rollers, 20 kN, knocked, 2 ms; a march at "
    "1e-9 (distance), or as in a case (forces)",
    Basis.ROUTE,
)


def _problem(model, start, tolerance=TIGHT):
    """Initial value problem of the small bearing with constants that may be changed."""
    return problem(small_bearing(MOTIONS[int(model.spatial)]), model, start, tolerance)


def _knocked(motion="planar"):
    """Start of the bearing with rollers and cage knocked, so that pockets are struck at once."""
    built = small_bearing(motion)
    z, start = built.model.count, initial_state(built)
    generator = np.random.default_rng(11)
    start[2 * z : 4 * z] += generator.uniform(-0.3, 0.3, 2 * z)
    start[cage_offset(z) + 3 : cage_offset(z) + 5] += 0.1
    if motion == "spatial":  # along the axis, m/s, and in tilt and skew, rad/s
        tail = planar_size(z) + 3 * z
        start[tail : tail + 3 * z] += generator.uniform(-0.3, 0.3, 3 * z)
    return start


@cache
def _energy_drift(solver):
    """Largest change of the energy sum over the energy that the pockets and raceways trade."""
    model = without_losses(small_bearing().model)
    states, outputs = march(_problem(model, _knocked()), solver, 10.0 * SPAN, INTERVAL)
    book = energy_book(model, states, outputs)
    return np.ptp(book["sum"]) / np.ptp(book["elastic"])


@cache
def _free_error(solver):
    """Largest distance from the exact places of rollers that touch nothing, um."""
    model = without_losses(small_bearing().model)
    duty = model.duty._replace(
        carrier_speed=SPEED, gravity=0.0, force_x=0.0, force_y=0.0, carrier_radius=0.0
    )
    model = model._replace(
        outer=model.outer._replace(gap=1e3), inner=model.inner._replace(gap=1e3),
        land=model.land._replace(gap=1e3), duty=duty,
        pocket=model.pocket._replace(half_clearance=1e3),
    )  # fmt: skip
    start = initial_state(small_bearing())
    states, _ = march(_problem(model, start), solver, 0.01, 1e-3)
    z = model.count
    x, y, vx, vy = (start[i * z : (i + 1) * z] for i in range(4))
    px, py = x + (vx - SPEED * y) * 0.01, y + (vy + SPEED * x) * 0.01
    c, s = np.cos(SPEED * 0.01), np.sin(SPEED * 0.01)
    exact = np.concatenate([c * px + s * py, -s * px + c * py])
    return 1e6 * np.abs(states[-1, : 2 * z] - exact).max()


@cache
def _by_scipy(motion):
    """Positions of the rollers at the end and forces at the samples, by DOP853."""
    model, start = small_bearing(motion).model, _knocked(motion)
    given = _problem(model, start)
    n = given.active
    result = solve_ivp(
        given.function(), (0.0, SPAN), start[:n], method="DOP853", max_step=2e-6,
        rtol=1e-10, atol=0.1 * np.minimum(given.scales[:n], 1e30),
        t_eval=INTERVAL * np.arange(1, round(SPAN / INTERVAL) + 1),
    )  # fmt: skip
    if not result.success:
        raise RuntimeError(result.message)
    forces = [_forces(model, start, y) for y in result.y.T]
    return result.y[: 2 * model.count, -1], np.array(forces)


def _forces(model, start, active):
    """Contact output at a state of scipy."""
    state, out = start.copy(), np.zeros(output_size(model.count))
    state[: len(active)] = active
    rhs(0.0, state, np.zeros_like(state), out, model)
    return out


@cache
def _ours(motion, solver, tolerance=TIGHT):
    """The same by a compiled march."""
    model = small_bearing(motion).model
    given = _problem(model, _knocked(motion), tolerance)
    states, outputs = march(given, solver, SPAN, INTERVAL)
    return states[-1, : 2 * model.count], outputs


def _distance(motion, solver):
    """Largest difference of the places of the rollers, um."""
    return 1e6 * np.abs(_ours(motion, solver)[0] - _by_scipy(motion)[0]).max()


def _forces_of(outputs, kind):
    """Rms and greatest of the forces of raceways (0) or pocket bars (1) at the samples, N."""
    z = small_bearing().model.count
    part = outputs[:, (slice(0, 2 * z), slice(2 * z, 4 * z))[kind]]
    return np.sqrt(np.mean(part**2)), part.max()


def _reference(motion, kind, place):
    """Rms (0) or greatest (1) force by DOP853, N."""
    return _forces_of(_by_scipy(motion)[1], kind)[place]


def _as_in_a_case(motion, kind, place):
    """The same by the default method at the tolerance of a case that gives none, N."""
    solver = small_bearing(motion).case.solver
    return _forces_of(_ours(motion, solver.name, solver.tolerance)[1], kind)[place]


def _conserved():
    """Rows with an exact answer."""
    for part, solver, _ in SOLVERS:
        yield Check(f"M01{part}", f"drift of energy over what is traded, {solver}", BALANCE, 0.0,
                    1e-4, partial(_energy_drift, solver), absolute=True)  # fmt: skip
    for part, solver, bound in SOLVERS:
        yield Check(f"M02{part}", f"error of free rollers after 0.36 m, {solver}", STRAIGHT, 0.0,
                    bound, partial(_free_error, solver), "um", absolute=True)  # fmt: skip


def _against_scipy():
    """Rows of the small bearing with its losses, knocked, over 2 ms."""
    for number, motion in enumerate(MOTIONS):
        for part, solver, _ in SOLVERS:
            yield Check(f"M{number}3{part}", f"{motion}: distance of the rollers, {solver}", SCIPY,
                        0.0, 0.01, partial(_distance, motion, solver), "um",
                        absolute=True)  # fmt: skip
        for kind, name in enumerate(("raceway", "pocket")):
            for place, (part, what) in enumerate((("a", "rms of"), ("b", "largest of the"))):
                yield Check(f"M{number}{4 + kind}{part}",
                            f"{motion}: {what} {name} forces", SCIPY,
                            partial(_reference, motion, kind, place), 0.01,
                            partial(_as_in_a_case, motion, kind, place), "N")  # fmt: skip


TOPIC = Topic("The march through time", (*_conserved(), *_against_scipy()))
