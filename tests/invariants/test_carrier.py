"""Turning carrier: the Jacobi integral, and the same motion seen from the ground."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    outer_offset,
    outer_tail_offset,
    planar_size,
    shaft_offset,
)
from rollsim.simulation.balance import cage_mass_centre, energy_book, kinetic_energy

RPM = 900.0
OMEGA = RPM * math.pi / 30.0
SPATIAL = {"solver__motion": "spatial", "roller__slices": 5}


def _pairs(z, spatial):
    """Entries of all vectors of a state: x, y of places, and of their rates."""
    c = cage_offset(z)
    ends = [inner_offset(z), outer_offset(z), shaft_offset(z)]
    places = [*((j, z + j) for j in range(z)), (c, c + 1), *((e, e + 1) for e in ends)]
    rates = [*((2 * z + j, 3 * z + j) for j in range(z)), (c + 3, c + 4)]
    rates += [(e + 2, e + 3) for e in ends]
    if spatial:
        p = planar_size(z)
        tails = [cage_tail_offset(z), inner_tail_offset(z)]
        places += [(p + z + j, p + 2 * z + j) for j in range(z)]
        places += [(t + 1, t + 2) for t in tails]
        rates += [(p + 4 * z + j, p + 5 * z + j) for j in range(z)]
        rates += [(t + 4, t + 5) for t in tails]
    return np.array(places), np.array(rates)


def _from_the_ground(state, time, z, spatial):
    """State of the carrier frame as it looks from the ground; the frames agree at time zero."""
    result = state.copy()
    places, rates = _pairs(z, spatial)
    x, y = state[places[:, 0]], state[places[:, 1]]
    vx = state[rates[:, 0]] - OMEGA * y
    vy = state[rates[:, 1]] + OMEGA * x
    cosine, sine = math.cos(OMEGA * time), math.sin(OMEGA * time)
    result[places[:, 0]], result[places[:, 1]] = cosine * x - sine * y, sine * x + cosine * y
    result[rates[:, 0]], result[rates[:, 1]] = cosine * vx - sine * vy, sine * vx + cosine * vy
    c, turn = cage_offset(z), inner_turn_offset(z)
    result[4 * z : 5 * z] += OMEGA
    for angle, speed in ((c + 2, c + 5), (turn, turn + 1)):
        result[angle] += OMEGA * time
        result[speed] += OMEGA
    return result


def _undragged(model):
    """No resistance against the housing, which turns in one of the two."""
    names = ("roller_force", "roller_spin", "cage_spin", "rotor", "rotor_tilt")
    return model._replace(drag=model.drag._replace(**dict.fromkeys(names, 0.0)))


def _frames(bench, motion, **changes):
    """The same bearing in the frame of the carrier and on the ground."""
    space = SPATIAL if motion == "spatial" else {}
    common = {
        "duty__radial_load_kN": 0.0, "duty__rotating_load_kN": 15.0, "cage__imbalance_gmm": 500.0,
        **space, **changes,
    }  # fmt: skip
    seen = bench.make_built(**common, duty__carrier_speed_rpm=RPM)
    turning = {"duty__speed_rpm": 1200.0 + RPM, "duty__outer_speed_rpm": RPM}
    return seen, bench.make_built(**common | turning)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
@pytest.mark.parametrize("law", ["coulomb", "ehl"])
def test_forces_and_accelerations_are_the_same_from_the_ground(bench, motion, guidance, law):
    """a' = a + 2 Omega x v + Omega x (Omega x r) for places and tilts; all else is equal."""
    seen, ground = _frames(bench, motion, cage__guidance=guidance, lubricant__raceway_traction=law)
    z, spatial = seen.model.count, motion == "spatial"
    state = bench.disturbed(bench.centred(seen), z, 5, length=3e-6, speed=0.03, tilt=3e-4)
    models = [bench.squeezed(_undragged(built.model)) for built in (seen, ground)]
    rates, out = bench.evaluate(models[0], state)
    there, there_out = bench.evaluate(models[1], _from_the_ground(state, 0.0, z, spatial))
    force = out[: 8 * z].max()
    assert there_out[: 8 * z + 2] == pytest.approx(out[: 8 * z + 2], abs=1e-10 * force)
    places, speeds = _pairs(z, spatial)
    x, y = (places[:, axis] for axis in (0, 1))
    vx, vy = (speeds[:, axis] for axis in (0, 1))
    rates[vx] -= 2.0 * OMEGA * state[vy] + OMEGA**2 * state[x]
    rates[vy] += 2.0 * OMEGA * state[vx] - OMEGA**2 * state[y]
    spins = np.r_[4 * z : 5 * z, cage_offset(z) + 5]
    axial = np.r_[planar_size(z) + 3 * z : planar_size(z) + 4 * z] if spatial else spins
    for part in (vx, vy, spins, axial):
        bound = 1e-8 * np.abs(rates[part]).max()
        assert there[part] == pytest.approx(rates[part], rel=1e-8, abs=bound)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_the_same_motion_from_the_ground(bench, motion):
    """Marched over 1.5 ms with films, friction, gravity and tilts: the same to 1 % of the scales.

    Contacts amplify the errors of the solver from 1e-4 of the scales to what is seen here.
    """
    seen, ground = _frames(bench, motion)
    z, spatial = seen.model.count, motion == "spatial"
    start = bench.disturbed(bench.centred(seen), z, 5, length=1e-6, speed=5e-3, tilt=3e-5)
    one = bench.make_problem(seen, tolerance=1e-9, change=_undragged, start=start)
    moved = _from_the_ground(start, 0.0, z, spatial)
    two = bench.make_problem(ground, tolerance=1e-9, change=_undragged, start=moved)
    two = replace(two, scales=one.scales)
    first, _ = bench.record(one, 0.0015, interval=5e-4)
    second, _ = bench.record(two, 0.0015, interval=5e-4)
    n = one.active if motion == "planar" else outer_tail_offset(z)
    scale = one.scales[:n] / 1e-9
    for time, here, there in zip(first.times, first.states, second.states, strict=True):
        gap = np.abs(_from_the_ground(here, time, z, spatial)[:n] - there[:n]) / scale
        assert gap[np.isfinite(scale)].max() < 1e-2
    fallen = np.abs(first.states[-1][: 2 * z] - start[: 2 * z]) / scale[: 2 * z]
    assert fallen.min() > 1.0


def _jacobi(bench, motion, tolerance, **changes):
    """Jacobi integral, T + U - sum m Omega^2 r^2/2 and that of the tilts; its last part; the book.

    Nothing is lost: no friction, damping, film and drag.
    """
    space = SPATIAL if motion == "spatial" else {}
    built = bench.make_built(
        duty__gravity=False, duty__radial_load_kN=10.0, duty__carrier_speed_rpm=RPM,
        cage__imbalance_gmm=500.0, **space, **changes,
    )  # fmt: skip
    z = built.model.count
    start = bench.disturbed(bench.centred(built), z, 7, length=3e-6, speed=0.03, tilt=2e-5)
    if changes:
        start[_tilts(z)] = 0.0
    problem = bench.make_problem(built, tolerance=tolerance, change=bench.conservative, start=start)
    samples, _ = bench.record(problem, 0.006, interval=2e-5)
    model, s = problem.model, samples.states
    i = inner_offset(z)
    x, y, _, _ = cage_mass_centre(model, s)
    square = model.roller.mass * np.sum(s[:, : 2 * z] ** 2, axis=1)
    square += model.cage.mass * (x**2 + y**2)
    square += model.ring.mass * np.sum(s[:, i : i + 2] ** 2, axis=1)
    potential = -0.5 * OMEGA**2 * square - model.duty.force_x * s[:, i]
    potential -= model.duty.force_y * s[:, i + 1]
    if motion == "spatial":
        potential += _potential_of_tilts(model, s)
    book = energy_book(model, s, samples.outputs)
    return kinetic_energy(model, s) + book["elastic"] + potential, potential, book


def _potential_of_tilts(model, s):
    """Centrifugal part of the Jacobi integral of tilted bodies."""
    z = model.count
    p = planar_size(z)
    tilts = np.sum(s[:, p + z : p + 3 * z].reshape(-1, 2, z) ** 2, axis=1)
    weight = OMEGA * model.roller.transverse - (s[:, 4 * z : 5 * z] + OMEGA) * model.roller.axial
    potential = -0.5 * OMEGA * np.sum(weight * tilts, axis=1)
    speeds = (s[:, cage_offset(z) + 5], model.duty.inner_speed)
    tails = (cage_tail_offset(z), inner_tail_offset(z))
    for t, body, spin in zip(tails, (model.cage, model.ring), speeds, strict=True):
        weight = OMEGA * body.transverse - (spin + OMEGA) * body.axial
        potential -= 0.5 * OMEGA * weight * np.sum(s[:, t + 1 : t + 3] ** 2, axis=1)
    return potential


def _tilts(z):
    """Entries of a state that hold tilts and their rates."""
    p = planar_size(z)
    tails = (cage_tail_offset(z), inner_tail_offset(z))
    rings = [t + k for t in tails for k in (1, 2, 4, 5)]
    return np.r_[p + z : p + 3 * z, p + 4 * z : p + 6 * z, rings].astype(int)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_jacobi_integral_without_losses(bench, motion):
    """Constant when nothing is lost.

    In space the contacts of tilted bodies book terms of second order as heat and drive.
    """
    total, potential, book = _jacobi(bench, motion, 1e-8)
    exchanged = np.abs(np.diff(book["elastic"])).sum()
    assert np.ptp(book["sum"]) < 1e-4 * exchanged
    assert np.ptp(potential) > 1e-2 * exchanged
    assert np.ptp(total) < (1e-3 if motion == "spatial" else 2e-5) * exchanged


@pytest.mark.parametrize("tolerance", [1e-6, 1e-8, 1e-10])
@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_jacobi_integral_is_kept_to_the_tolerance(bench, motion, tolerance):
    """Its drift over its size goes down with the tolerance of the solver: 20 to 70 times that.

    In space with the tilts locked, which leave out terms of second order.
    """
    tilts = [f"{body}_tilt_{axis}" for body in ("roller", "cage", "inner") for axis in "xy"]
    locks = {"solver__locked": tilts} if motion == "spatial" else {}
    total, _, _ = _jacobi(bench, motion, tolerance, **locks)
    assert np.ptp(total) < 100.0 * tolerance * np.abs(total).max()
