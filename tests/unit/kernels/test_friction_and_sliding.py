"""Friction powers and sliding speeds in the contact output."""

import numpy as np
import pytest

from rollsim.kernels.layout import (
    force_count,
    friction_offset,
    ledger_offset,
    output_size,
    sliding_offset,
)


def _only_friction(bench, model):
    """The model with the friction of its contacts as the one source of heat."""
    bare = bench.conservative(model)
    names = ("outer", "inner", "land", "pocket", "ends", "outer_flange", "inner_flange")
    kept = {
        name: getattr(bare, name)._replace(traction=getattr(model, name).traction) for name in names
    }
    return bare._replace(**kept)


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring"])
@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_friction_powers_add_up_to_the_heat(bench, motion, guidance):
    """With friction alone the heat rate of the ledger is the sum of the listed powers.

    Without tilt: an end contact of tilted bodies books a little heat of another kind.
    """
    built = bench.make_built(
        solver__motion=motion, cage__guidance=guidance, duty__radial_load_kN=20.0
    )
    model = bench.squeezed(_only_friction(bench, built.model))
    state = bench.disturbed(bench.centred(built), model.count, 4, tilt=0.0)
    rates, out = bench.evaluate(model, state)
    z = model.count
    powers = out[friction_offset(z) : sliding_offset(z)]
    assert len(powers) == force_count(z)
    carries = out[: force_count(z)] > 0.0
    assert np.all(powers[carries] > 0.0)
    assert np.all(powers[~carries] == 0.0)
    assert carries.sum() == (8 * z + 2 if motion == "spatial" else 4 * z + 2)
    assert powers.sum() == pytest.approx(rates[ledger_offset(z) + 1], rel=1e-9)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_sliding_speed_of_a_roller_that_spins_too_fast(bench, motion):
    """Rolling gives no sliding; a spin of 10 rad/s more moves both surfaces by R times that.

    The surface that touches the outer ring runs with the orbit, the other against it.
    """
    built = bench.make_built(solver__motion=motion, duty__radial_load_kN=0.0, duty__gravity=False)
    # Locks play no part: forces and speeds are those of one instant.
    model = bench.squeezed(built.model)
    z = model.count
    state = bench.centred(built)
    radius, pitch, speed = 0.013, 0.091, model.duty.inner_speed
    # Pure rolling on both raceways about a ring at rest outside.
    orbit = 0.5 * speed * (1.0 - radius / pitch)
    spin = -orbit * pitch / radius
    angle = 2.0 * np.pi * np.arange(z) / z
    state[2 * z : 3 * z] = -orbit * pitch * np.sin(angle)
    state[3 * z : 4 * z] = orbit * pitch * np.cos(angle)
    distance = np.hypot(state[:z], state[z : 2 * z])
    state[:z] *= pitch / distance
    state[z : 2 * z] *= pitch / distance
    state[4 * z : 5 * z] = spin
    f, s = friction_offset(z), sliding_offset(z)
    _, out = bench.evaluate(model, state)
    assert np.all(out[: 2 * z] > 0.0)
    # The clearance leaves the raceways a few hundredths of a millimetre from pure rolling.
    assert out[s : s + 2 * z] == pytest.approx(np.zeros(2 * z), abs=2e-3 * abs(spin) * radius)
    rolling = out[s : s + 2 * z].copy()
    state[4 * z : 5 * z] += 10.0
    _, out = bench.evaluate(model, state)
    expected = np.repeat([10.0 * radius, -10.0 * radius], z)
    assert out[s : s + 2 * z] - rolling == pytest.approx(expected, rel=1e-3)
    # Power of sliding = friction force times speed, and friction is at most mu N.
    traction = model.outer.traction
    speeds = np.abs(out[s : s + 2 * z])
    share = speeds / np.hypot(speeds, traction.slip_scale)
    expected = traction.friction * share * out[: 2 * z] * speeds
    assert out[f : f + 2 * z] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_nothing_is_left_from_an_earlier_evaluation(bench, motion):
    """Outputs of contacts that no longer touch are zero, whatever stood there before."""
    built = bench.make_built(solver__motion=motion)
    model = built.model
    z = model.count
    state = bench.disturbed(bench.centred(built), z, 5)
    rates, out = np.zeros(len(state)), np.full(output_size(z), 7.0)
    used = slice(friction_offset(z), output_size(z))
    if motion == "planar":
        # Rollers do not move axially: entries of their ends are never touched.
        flanges = slice(friction_offset(z) + 4 * z, friction_offset(z) + 8 * z)
        out[flanges] = 0.0
    bench.rhs(0.0, state, rates, out, model)
    _, fresh = bench.evaluate(model, state)
    assert out[used] == pytest.approx(fresh[used], abs=0.0)
    open_ones = fresh[: force_count(z)] == 0.0
    assert open_ones.any()
    assert np.all(fresh[friction_offset(z) : sliding_offset(z)][open_ones] == 0.0)
