"""Steady states with a known answer: epicyclic rolling, static load distribution, free fall."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset, inner_offset
from rollsim.model.initial import initial_state
from rollsim.model.kinematics import (
    diameter_ratio,
    epicyclic_cage_speed,
    epicyclic_roller_spin,
)
from rollsim.model.statics import StaticContacts, static_equilibrium


def _rolling(bench, outer_rpm, motion):
    """Preloaded bearing without load, gravity and drag but with high traction."""
    built = bench.make_built(
        solver__motion=motion, clearance__radial_um=-60.0, duty__radial_load_kN=0.0,
        duty__gravity=False, duty__outer_speed_rpm=outer_rpm, lubricant__raceway_friction=0.1,
        lubricant__raceway_slip_scale_m_per_s=0.01, lubricant__pocket_friction=0.0,
        lubricant__land_film="none", duty__rotor_damping_Ns_per_mm=2.0,
    )  # fmt: skip
    none = dict.fromkeys(("roller_force", "roller_spin", "cage_spin"), 0.0)
    start = initial_state(built)
    z = built.model.count
    # Everything starts off the epicyclic speeds and has to find them.
    start[2 * z : 4 * z] *= 0.97
    start[4 * z : 5 * z] *= 1.05
    start[cage_offset(z) + 5] *= 0.97
    change = lambda model: model._replace(drag=model.drag._replace(**none))  # noqa: E731
    return built, bench.make_problem(built, tolerance=1e-6, change=change, start=start)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
@pytest.mark.parametrize("outer_rpm", [0.0, -500.0])
def test_rollers_and_cage_find_the_epicyclic_speeds(bench, outer_rpm, motion):
    """Orbit and spin of every roller within 1e-6, the mean speed of the cage within 1e-3.

    The cage floats within its pockets and comes to the speed of the rollers more slowly than they
    to theirs.
    """
    built, problem = _rolling(bench, outer_rpm, motion)
    samples, _ = bench.record(problem, 0.06, interval=1e-4)
    z = built.model.count
    inner, outer = built.model.duty.inner_speed, built.model.duty.outer_speed
    cage = epicyclic_cage_speed(inner, outer, diameter_ratio(0.026, 0.182))
    spin = epicyclic_roller_spin(inner, outer, 0.026, 0.182)
    late = samples.states[samples.times > 0.03]
    x, y, vx, vy, turn = (late[:, i * z : (i + 1) * z] for i in range(5))
    orbit = ((x * vy - y * vx) / (x**2 + y**2)).mean(axis=0)
    assert orbit == pytest.approx(np.full(z, cage), rel=1e-6)
    assert turn.mean(axis=0) == pytest.approx(np.full(z, spin), rel=1e-6)
    assert late[:, cage_offset(z) + 5].mean() == pytest.approx(cage, rel=1e-3)


@pytest.mark.parametrize("motion", ["planar", pytest.param("spatial", marks=pytest.mark.long)])
@pytest.mark.parametrize("outer_rpm", [0.0, -500.0])
def test_cage_settles_at_the_epicyclic_speed(bench, outer_rpm, motion):
    """After 0.12 s, no drag and high traction: the speed of the cage within 1e-4."""
    built, problem = _rolling(bench, outer_rpm, motion)
    samples, _ = bench.record(problem, 0.15, interval=1e-4)
    duty = built.model.duty
    cage = epicyclic_cage_speed(duty.inner_speed, duty.outer_speed, diameter_ratio(0.026, 0.182))
    c = cage_offset(built.model.count)
    assert samples.states[10, c + 5] != pytest.approx(cage, rel=5e-3)
    late = samples.states[samples.times > 0.12]
    assert late[:, c + 5] == pytest.approx(np.full(len(late), cage), rel=1e-4)
    assert late[:, c + 5].mean() == pytest.approx(cage, rel=5e-5)


def _settled(bench, motion, clearance, **changes):
    """Standing bearing under load, marched from a disturbed start until it rests."""
    built = bench.make_built(
        solver__motion=motion, clearance__radial_um=clearance, duty__speed_rpm=0.0,
        duty__gravity=False, **changes,
    )  # fmt: skip
    start = initial_state(built)
    z = built.model.count
    start[inner_offset(z) : inner_offset(z) + 2] += [4e-6, 6e-6]
    samples, _ = bench.record(bench.make_problem(built, tolerance=1e-5, start=start), 0.15)
    return built, samples


@pytest.mark.parametrize(
    ("motion", "slices", "clearance"),
    [("planar", 1, 60.0), ("planar", 1, -20.0), ("spatial", 5, 60.0)],
)
def test_settled_load_distribution_is_the_static_one(bench, motion, slices, clearance):
    """Inner forces and ring displacement within 1 % of the static equilibrium."""
    built, samples = _settled(bench, motion, clearance, roller__slices=slices)
    z = built.model.count
    statics, model = built.statics, built.model
    forces = samples.outputs[-1, z : 2 * z]
    assert forces.max() > 3000.0
    assert forces == pytest.approx(statics.inner_force, abs=0.01 * statics.inner_force.max())
    ring = samples.states[-1, inner_offset(z) : inner_offset(z) + 2]
    assert ring == pytest.approx(statics.displacement, abs=0.01 * np.hypot(*statics.displacement))
    azimuths = np.arctan2(samples.states[-1, z : 2 * z], samples.states[-1, :z])
    pull = [np.sum(forces * np.cos(azimuths)), np.sum(forces * np.sin(azimuths))]
    assert pull == pytest.approx([model.duty.force_x, model.duty.force_y], abs=20.0)


def test_turning_bearing_follows_the_static_distribution(bench):
    """Slowly turning: raceway forces against the static equilibrium at the present azimuths."""
    built = bench.make_built(duty__speed_rpm=60.0, duty__gravity=False)
    model = built.model
    z = model.count
    samples, _ = bench.record(bench.make_problem(built, tolerance=1e-5), 0.2)
    x, y = samples.states[-1, :z], samples.states[-1, z : 2 * z]
    contacts = StaticContacts(
        model.outer.constant, model.inner.constant, 60e-6,
        model.roller.mass * 0.091 * built.cage_speed**2,
    )  # fmt: skip
    load = np.array([model.duty.force_x, model.duty.force_y])
    expected = static_equilibrium(contacts, np.arctan2(y, x), load)
    for got, force in ((0, expected.outer_force), (1, expected.inner_force)):
        forces = samples.outputs[-1, got * z : (got + 1) * z]
        assert forces == pytest.approx(force, abs=0.01 * force.max())
    turned = samples.states[-1, cage_offset(z) + 2]
    assert turned == pytest.approx(0.2 * built.cage_speed, rel=0.02)


def test_start_is_at_rest(bench):
    """Initial state: rollers between the raceways in balance, accelerations near zero."""
    built = bench.make_built(duty__gravity=False)
    z = built.model.count
    rates, out = bench.evaluate(built.model, initial_state(built))
    ring = built.model.ring.mass * np.hypot(*rates[inner_offset(z) + 2 : inner_offset(z) + 4])
    assert ring < 0.01 * 20e3
    assert out[:z] == pytest.approx(built.statics.outer_force, rel=0.02, abs=5.0)
    assert out[z : 2 * z] == pytest.approx(built.statics.inner_force, rel=0.02, abs=5.0)


def test_free_fall_of_an_empty_bearing(bench):
    """Nothing touches: every body falls with gravity in a straight line."""
    built = bench.make_built(duty__speed_rpm=1e-6, duty__radial_load_kN=0.0)
    model = bench.conservative(built.model)
    far = model._replace(
        outer=model.outer._replace(gap=1.0), inner=model.inner._replace(gap=1.0),
        land=model.land._replace(gap=1.0), pocket=model.pocket._replace(half_clearance=1.0),
    )  # fmt: skip
    problem = replace(bench.make_problem(built), model=far, start=bench.centred(built))
    samples, _ = bench.record(problem, 0.02)
    z = model.count
    fall = samples.states[-1] - problem.start
    drop = -0.5 * 9.80665 * 0.02**2
    places = [*range(z, 2 * z), cage_offset(z) + 1, inner_offset(z) + 1]
    assert fall[places] == pytest.approx(np.full(len(places), drop), rel=1e-6)
