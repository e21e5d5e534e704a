"""Friction and damping of the raceways taken implicitly: the equations, the books, the errors."""

import numpy as np
import pytest

from rollsim.kernels.easing import ease_rates, soften_errors
from rollsim.kernels.layout import (
    friction_offset,
    inner_offset,
    inner_turn_offset,
    ledger_offset,
    output_size,
    planar_size,
    resistance_offset,
    state_size,
)
from rollsim.kernels.leapfrog import ROWS
from rollsim.kernels.step import Workspace

STEP = 1e-5
STIFF = {"lubricant__raceway_slip_scale_m_per_s": 0.005}


def _work(bench, **changes):
    """Problem, workspace after the right-hand side at predicted velocities, and a copy of it."""
    problem = bench.make_problem(bench.make_built(**{**STIFF, **changes}))
    model = problem.model
    if model.spatial:
        # Nothing holds the rollers back along the axis or upright.
        model.tables.free[:] = 1.0
    z, size, outputs = model.count, state_size(model.count), output_size(model.count)
    generator = np.random.default_rng(7)
    y = bench.disturbed(problem.start, z, 3)
    work = Workspace(
        y, y.copy(), y.copy(), np.zeros((ROWS, size)),
        *(np.zeros(outputs) for _ in range(4)), 1.0 / problem.scales,
    )  # fmt: skip
    work.k[0], work.start[:] = bench.evaluate(model, y)
    move = generator.uniform(-0.02, 0.02, size)
    work.trial[2 * z : 5 * z] += move[2 * z : 5 * z]
    if model.spatial:
        tail = planar_size(z)
        work.trial[tail + 3 * z : tail + 6 * z] += 0.1 * move[tail + 3 * z : tail + 6 * z]
    work.k[1], work.end[:] = bench.evaluate(model, work.trial)
    return model, work, (work.k[1].copy(), work.end.copy())


def _directions(work, model):
    """Outward and along the orbit, of all rollers, as the kernel takes them."""
    z, pitch = model.count, model.pocket.pitch_radius
    normal = np.array([work.y[:z], work.y[z : 2 * z]]) / pitch
    return normal, np.array([-normal[1], normal[0]])


def test_every_roller_solves_its_implicit_equations(bench, way):
    """a(v1) = a(v*) - J (v1 - v*) with v1 from the trapezoidal rule, J in full by numpy."""
    model, work, (before, out) = _work(bench)
    z, roller, radius = model.count, model.roller, model.outer.arm
    way(ease_rates)(STEP, work, model)
    normal, along = _directions(work, model)
    after = work.y + 0.5 * STEP * (work.k[0] + work.k[1])
    moved, pushed = after - work.trial, work.k[1] - before
    assert out[:z].max() > 100.0 and np.abs(pushed[2 * z : 5 * z]).max() > 1.0
    for j in range(z):
        places = np.array([2 * z + j, 3 * z + j])
        dr, dv = normal[:, j] @ moved[places], along[:, j] @ moved[places]
        dw = radius * moved[4 * z + j]
        go, gi = (out[resistance_offset(z) + k * z + j] for k in range(2))
        damping = 1.5 * (model.outer.damping * out[j] + model.inner.damping * out[z + j])
        force = -go * (dv + dw) - gi * (dv - dw)
        couple = radius * (-go * (dv + dw) + gi * (dv - dw))
        expected = (-damping * dr * normal[:, j] + force * along[:, j]) / roller.mass
        assert pushed[places] == pytest.approx(expected, rel=3e-3, abs=1e-6)
        assert pushed[4 * z + j] == pytest.approx(couple / roller.axial, rel=1e-3, abs=1e-6)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"solver__locked": ["inner_x", "roller_spin"]},
        {"solver__locked": ["roller_x", "inner_y"]},
    ],
)
def test_what_is_added_stands_in_the_books(bench, way, changes):
    """Angular momentum about the bearing axis: rollers and inner ring gain what the ledger says."""
    model, work, (before, _) = _work(bench, **changes)
    z = model.count
    way(ease_rates)(STEP, work, model)
    more = work.k[1] - before
    x, y = work.y[:z], work.y[z : 2 * z]
    turned = model.roller.mass * (x @ more[3 * z : 4 * z] - y @ more[2 * z : 3 * z])
    turned += model.roller.axial * more[4 * z : 5 * z].sum()
    i = inner_offset(z)
    turned += model.ring.mass * (work.y[i] * more[i + 3] - work.y[i + 1] * more[i + 2])
    booked = more[ledger_offset(z) + 2]
    assert abs(booked) > 1e-3
    assert turned == pytest.approx(booked, rel=1e-9)


def test_friction_loses_what_it_does_at_the_new_sliding(bench, way):
    """Power of friction G s^2 at v1, and the heat of the ledger with it."""
    model, work, (before, out) = _work(bench)
    z, radius = model.count, model.outer.arm
    way(ease_rates)(STEP, work, model)
    normal, along = _directions(work, model)
    moved = work.y + 0.5 * STEP * (work.k[0] + work.k[1]) - work.trial
    dv = (along * moved[2 * z : 4 * z].reshape(2, z)).sum(axis=0)
    dw, first = radius * moved[4 * z : 5 * z], friction_offset(z)
    loss = 0.0
    for k, more in enumerate((dv + dw, dv - dw)):
        rows = slice(k * z, (k + 1) * z)
        resistance = out[resistance_offset(z) :][rows]
        sliding = out[resistance_offset(z) - 2 * z :][rows]
        old, new = resistance * sliding**2, resistance * (sliding + more) ** 2
        assert work.end[first:][rows] - out[first:][rows] == pytest.approx(new - old, rel=1e-3)
        loss += (new - old).sum()
    # The rest is lost across the raceways: c v^2 of the damping c.
    dr = (normal * moved[2 * z : 4 * z].reshape(2, z)).sum(axis=0)
    speed = (normal * work.trial[2 * z : 4 * z].reshape(2, z)).sum(axis=0)
    i = inner_offset(z) + 2
    for k, (pair, ring) in enumerate(
        ((model.outer, np.zeros(2)), (model.inner, work.trial[i:][:2]))
    ):
        damping = 1.5 * pair.damping * out[k * z : (k + 1) * z]
        old = speed - ring @ normal
        loss += (damping * ((old + dr) ** 2 - old**2)).sum()
    heat = work.k[1, ledger_offset(z) + 1] - before[ledger_offset(z) + 1]
    assert heat == pytest.approx(loss, rel=1e-3)


def test_a_ring_driven_by_torque_feels_the_friction(bench, way):
    changes = {
        "duty__drive": "torque",
        "duty__drive_torque_Nm": 5.0,
        "duty__drive_inertia_kgm2": 0.2,
    }
    model, work, (before, _) = _work(bench, **changes)
    z = model.count
    turn, radius = inner_turn_offset(z) + 1, model.outer.arm
    way(ease_rates)(STEP, work, model)
    more = work.k[1] - before
    _, along = _directions(work, model)
    force = model.roller.mass * (along * more[2 * z : 4 * z].reshape(2, z)).sum(axis=0)
    couple = model.roller.axial * more[4 * z : 5 * z] / radius
    inner = 0.5 * (force - couple)
    moment = -(inner * (model.pocket.pitch_radius - radius)).sum()
    assert model.drive.by_torque
    assert more[turn] == pytest.approx(moment / model.drive.inertia, rel=1e-3)


def test_in_space_axis_and_tilt_feel_the_friction_too(bench, way):
    """Along the axis: m a1 = m a(v*) - G (v1 - v*)."""
    model, work, (before, out) = _work(bench, solver__motion="spatial")
    z, tail = model.count, planar_size(model.count)
    way(ease_rates)(STEP, work, model)
    moved = work.y + 0.5 * STEP * (work.k[0] + work.k[1]) - work.trial
    more = work.k[1] - before
    rows = slice(tail + 3 * z, tail + 4 * z)
    resistance = out[resistance_offset(z) :][: 2 * z].reshape(2, z).sum(axis=0)
    assert np.abs(more[rows]).max() > 1e-3
    assert more[rows] * model.roller.mass == pytest.approx(-resistance * moved[rows], rel=1e-9)
    tilts = slice(tail + 4 * z, tail + 6 * z)
    assert np.abs(more[tilts]).max() > 1e-3
    assert (more[tilts] * moved[tilts]).sum() < 0.0


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_errors_of_what_is_held_weaken(bench, way, motion):
    """Spin: divided by 1 + h G R^2/(2 I); rollers without load keep theirs."""
    model, work, _ = _work(bench, solver__motion=motion)
    z = model.count
    work.k[3] = 1.0
    way(soften_errors)(STEP, work, model)
    resistance = work.end[resistance_offset(z) :][: 2 * z].reshape(2, z).sum(axis=0)
    rate = resistance * model.outer.arm**2 / model.roller.axial
    assert rate.max() * STEP > 0.5
    assert work.k[3, 4 * z : 5 * z] == pytest.approx(1.0 / (1.0 + 0.5 * STEP * rate), rel=1e-12)
    assert work.k[3, : 2 * z] == pytest.approx(1.0)
    if motion == "spatial":
        rows = slice(planar_size(z) + 3 * z, planar_size(z) + 4 * z)
        held = 1.0 / (1.0 + 0.5 * STEP * resistance / model.roller.mass)
        assert work.k[3, rows] == pytest.approx(held, rel=1e-12)
