"""Forces inside the bearing cancel: momentum changes by external forces alone.

Every contact carries load (negative clearances), every body moves and tilts at random. Gravity,
loads, vibration and drag are off, so that nothing external is left but the outer ring and the
prescribed spin of the inner ring.
"""

import numpy as np
import pytest

from rollsim.kernels.bodies import cage_body, inner_body, outer_body, roller_body
from rollsim.kernels.driving import driving_at
from rollsim.kernels.end_contact import end_side
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    ledger_offset,
    planar_size,
)
from rollsim.kernels.planar import planar_rhs
from rollsim.kernels.pocket import tilted_frame
from rollsim.kernels.round_contact import add

# Parallel sides would not hold a roller guided cage.
ROLLER_GUIDED = {"cage__pocket_side_angle_deg": 10}
GUIDES = ("outer_ring", "inner_ring", "roller")


def _unloaded(bench, motion, guidance, **changes):
    """Squeezed model without external forces, and its initial state."""
    more = {"clearance__guidance_um": 400} if guidance != "roller" else ROLLER_GUIDED
    built = bench.make_built(
        solver__motion=motion, cage__guidance=guidance, duty__gravity=False, **more, **changes
    )
    model = bench.squeezed(built.model)
    drag = model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0))
    duty = model.duty._replace(force_x=0.0, force_y=0.0)
    return model._replace(drag=drag, duty=duty), bench.centred(built)


def _mass_times_acceleration(model, rates):
    """Sum of m a over rollers, cage and inner ring, (3,)."""
    z = model.count
    p, c, i = planar_size(z), cage_offset(z), inner_offset(z)
    tails = [rates[offset(z) + 3] for offset in (cage_tail_offset, inner_tail_offset)]
    spatial = rates[p + 3 * z : p + 4 * z].sum(), *tails
    rollers = np.array([rates[2 * z : 3 * z].sum(), rates[3 * z : 4 * z].sum(), spatial[0]])
    cage = np.array([*rates[c + 3 : c + 5], spatial[1]])
    ring = np.array([*rates[i + 2 : i + 4], spatial[2]])
    return model.roller.mass * rollers + model.cage.mass * cage + model.ring.mass * ring


def _momentum_rate_about_z(model, state, rates):
    """Rate of the angular momentum about z: rollers and cage with spin, the ring with its orbit."""
    z = model.count
    c, r = cage_offset(z), inner_offset(z)
    x, y, _, _, _ = (state[i * z : (i + 1) * z] for i in range(5))
    ax, ay, spin = (rates[i * z : (i + 1) * z] for i in (2, 3, 4))
    total = model.roller.mass * np.sum(x * ay - y * ax) + model.roller.axial * spin.sum()
    cage, turn = state[c : c + 2], rates[c + 3 : c + 6]
    total += model.cage.mass * (cage[0] * turn[1] - cage[1] * turn[0]) + model.cage.axial * turn[2]
    ring, push = state[r : r + 2], rates[r + 2 : r + 4]
    return total + model.ring.mass * (ring[0] * push[1] - ring[1] * push[0])


def _spatial_outer_force(raceway_spatial, model, state):
    """Force of the fixed outer ring on rollers (raceway and flanges), summed, and its moment."""
    z = model.count
    outer = outer_body(state, driving_at(0.0, state, model), model)
    force, moment = np.zeros(3), np.zeros(3)
    for j in range(z):
        body = roller_body(j, state, z)
        w = np.hypot(body.x, body.y)
        frame = tilted_frame(body.x / w, body.y / w, outer.ux, outer.uy, 0.0, 0.0)
        total = raceway_spatial(body, outer, model.outer, model.tables, 0)
        turn = (body.x * body.vy - body.y * body.vx) / w**2
        for end in (-1.0, 1.0):
            total = add(total, end_side(body, outer, frame, model.outer_flange, end, turn))
        force += total[:3]
        moment += np.array(total[3:6]) + np.cross([body.x, body.y, body.z], total[:3])
    return force, moment


def _land_force(model, out):
    """Force of the lands on the cage in the plane."""
    z = model.count
    return np.array([out[8 * z + 2 : 8 * z + 4].sum(), out[8 * z + 4 : 8 * z + 6].sum()])


def _planar_outer_force(bench, model, state):
    """Planar force of the outer raceway on the rollers: what is left without any other contact."""
    alone = model._replace(
        inner=model.inner._replace(constant=0.0), guidance=2,
        pocket=model.pocket._replace(constant=1e-30, film=0.0, backing=1e-30),
    )  # fmt: skip
    rates, _ = bench.evaluate(alone, state)
    z = model.count
    return model.roller.mass * np.array([rates[2 * z : 3 * z].sum(), rates[3 * z : 4 * z].sum()])


@pytest.mark.parametrize("guidance", GUIDES)
@pytest.mark.parametrize("seed", [1, 2])
def test_planar_momentum(bench, guidance, seed):
    """Sum of m a equals the force of outer raceway and outer land; ledger holds the moment."""
    model, start = _unloaded(bench, "planar", guidance)
    state = bench.disturbed(start, model.count, seed)
    rates, out = bench.evaluate(model, state)
    z = model.count
    assert np.all(out[: 4 * z] > 0.0)
    assert guidance == "roller" or np.all(out[8 * z : 8 * z + 2] > 0.0)
    external = _planar_outer_force(bench, model, state)
    if guidance == "outer_ring":
        external = external + _land_force(model, out)
    total = _mass_times_acceleration(model, rates)[:2]
    assert total == pytest.approx(external, abs=1e-9 * out[:z].max())
    moment = _momentum_rate_about_z(model, state, rates)
    assert moment == pytest.approx(rates[ledger_offset(z) + 2], abs=1e-11 * out[:z].max())


@pytest.mark.parametrize("guidance", GUIDES)
@pytest.mark.parametrize("tilt", [(0.0, 0.0), (1.0, -0.5)])
def test_spatial_momentum(bench, raceway_spatial, guidance, tilt):
    """As in the plane, with flanges, ends, tilts and a misaligned outer ring."""
    model, start = _unloaded(
        bench, "spatial", guidance, roller__slices=5, bearing__misalignment_mrad=list(tilt)
    )
    state = bench.disturbed(start, model.count, 7)
    rates, out = bench.evaluate(model, state)
    z = model.count
    assert np.all(out[: 2 * z] > 0.0) and np.all(out[6 * z : 8 * z] > 0.0)
    assert np.mean(out[2 * z : 6 * z] > 0.0) > 0.7
    external, _ = _spatial_outer_force(raceway_spatial, model, state)
    total = _mass_times_acceleration(model, rates)
    if guidance == "outer_ring":
        external[:2] += _land_force(model, out)
        # The axial part of the land friction is in no output; it is no more than the friction.
        bound = model.land.traction.friction * out[8 * z : 8 * z + 2].sum()
        assert abs(total[2] - external[2]) <= bound + 1e-3 * np.abs(_land_force(model, out)).max()
        external[2] = total[2]
    assert total == pytest.approx(external, abs=1e-9 * out[:z].max())


@pytest.mark.parametrize("guidance", GUIDES)
def test_spatial_angular_momentum(bench, guidance):
    """About z, without tilts: the rate is the external moment of the ledger."""
    model, start = _unloaded(bench, "spatial", guidance, roller__slices=5)
    state = bench.disturbed(start, model.count, 9, tilt=0.0)
    rates, out = bench.evaluate(model, state)
    z = model.count
    moment = _momentum_rate_about_z(model, state, rates)
    assert moment == pytest.approx(rates[ledger_offset(z) + 2], abs=1e-11 * out[:z].max())


def _moment_on(inertia, body, wx, wy, spin_rate):
    """Moment across the axis on a body, out of its rates by the law of tilting."""
    my = inertia.transverse * wx + inertia.axial * (body.spin * body.wy + spin_rate * body.uy)
    mx = -inertia.transverse * wy + inertia.axial * (body.spin * body.wx + spin_rate * body.ux)
    return mx, my


def test_moments_across_the_axis_cancel(bench, raceway_spatial):
    """Moments about x and y of all bodies, with r x F, equal those of the outer ring.

    The cage is guided by the rollers, so that the outer ring touches rollers only.
    """
    model, start = _unloaded(
        bench, "spatial", "roller", roller__slices=5, bearing__misalignment_mrad=[1.0, 0.4]
    )
    state = bench.disturbed(start, model.count, 11)
    rates, out = bench.evaluate(model, state)
    z = model.count
    p, c, i = planar_size(z), cage_offset(z), inner_offset(z)
    total = np.zeros(3)
    bodies = [
        (roller_body(j, state, z), model.roller,
         [rates[2 * z + j], rates[3 * z + j], rates[p + 3 * z + j]],
         [rates[p + 4 * z + j], rates[p + 5 * z + j], rates[4 * z + j]])
        for j in range(z)
    ]  # fmt: skip
    q, r = cage_tail_offset(z), inner_tail_offset(z)
    cage = cage_body(state, z)
    bodies.append((cage, model.cage, [*rates[c + 3 : c + 5], rates[q + 3]],
                   [rates[q + 4], rates[q + 5], rates[c + 5]]))  # fmt: skip
    ring = inner_body(state, driving_at(0.0, state, model), model)
    bodies.append((ring, model.ring, [*rates[i + 2 : i + 4], rates[r + 3]],
                   [rates[r + 4], rates[r + 5], 0.0]))  # fmt: skip
    for body, inertia, acceleration, (wx, wy, turn) in bodies:
        force = inertia.mass * np.array(acceleration)
        total += np.cross([body.x, body.y, body.z], force)
        total[:2] += _moment_on(inertia, body, wx, wy, turn)
    _, moment = _spatial_outer_force(raceway_spatial, model, state)
    assert total[:2] == pytest.approx(moment[:2], abs=1e-10 * out[:z].max())


def test_external_forces_reach_the_bodies(bench):
    """Gravity, load and vibration: sum of m a grows by M (g - a) + load, ledger by its moment."""
    built = bench.make_built(
        vibration=[{"kind": "sine", "axis": "x", "frequency_Hz": 50.0, "amplitude_g": 3.0}]
    )
    quiet = bench.squeezed(built.model)
    duty = quiet.duty
    off = quiet._replace(duty=duty._replace(force_x=0.0, force_y=0.0, gravity=0.0),
                         shaking=quiet.shaking._replace(harmonic=np.zeros((0, 7))))  # fmt: skip
    state = bench.disturbed(bench.centred(built), quiet.count, 4)
    time = 0.0531
    with_loads, _ = bench.evaluate(quiet, state, time)
    without, _ = bench.evaluate(off, state, time)
    mass = quiet.count * quiet.roller.mass + quiet.cage.mass + quiet.ring.mass
    a = 3.0 * 9.80665 * np.sin(2.0 * np.pi * 50.0 * time)
    change = _mass_times_acceleration(quiet, with_loads) - _mass_times_acceleration(off, without)
    expected = [-mass * a + duty.force_x, -mass * 9.80665 + duty.force_y]
    assert change[:2] == pytest.approx(expected, rel=1e-6)
    moments = [_momentum_rate_about_z(m, state, r) - r[ledger_offset(quiet.count) + 2]
               for m, r in ((quiet, with_loads), (off, without))]  # fmt: skip
    assert moments == pytest.approx([0.0, 0.0], abs=1e-6)


def test_plain_right_hand_side_equals_the_compiled_one(bench):
    model, start = _unloaded(bench, "planar", "outer_ring")
    state = bench.disturbed(start, model.count, 5)
    rates, out = bench.evaluate(model, state)
    plain_rates, plain_out = np.zeros_like(rates), np.zeros_like(out)
    planar_rhs.py_func(0.0, state, plain_rates, plain_out, model)
    assert plain_rates == pytest.approx(rates, rel=1e-9, abs=1e-6)
    assert plain_out == pytest.approx(out, rel=1e-9, abs=1e-9)
