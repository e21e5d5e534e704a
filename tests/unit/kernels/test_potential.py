"""Without friction, damping and film every force is minus the gradient of the elastic energy.

All velocities and spins are zero. Forces come from the rates, the gradient from central
differences of the energy that the right-hand side reports. Accuracy: 1e-7 of the largest contact
force in the plane and for untilted bodies; with tilts the wrenches leave out terms of second order
in the tilt (axis not normalised), 5e-5 for 0.1 mrad and 3e-4 with 0.7 mrad of misalignment.
"""

import math

import numpy as np
import pytest

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    planar_size,
)

STEP = 2e-9


def _frozen(bench, built, seed, length, tilt, change=None):
    """Conservative model at rest and a disturbed state without velocities."""
    model = bench.conservative(bench.squeezed(built.model, 1.5e-5))
    duty = model.duty
    duty = duty._replace(inner_speed=0.0, force_x=0.0, force_y=0.0, gravity=0.0)
    model = model._replace(duty=duty)
    model = change(model) if change else model
    z = model.count
    state = bench.disturbed(bench.centred(built), z, seed, length=length, speed=0.0, tilt=tilt)
    state[2 * z : 5 * z] = 0.0
    state[cage_offset(z) + 3 : inner_offset(z)] = 0.0
    return model, state


def _energy_slope(bench, model, state, entry, step):
    """Central difference of the elastic energy in one coordinate."""
    values = []
    for sign in (1.0, -1.0):
        moved = state.copy()
        moved[entry] += sign * step
        values.append(bench.evaluate(model, moved)[1][8 * model.count + 6])
    return (values[0] - values[1]) / (2.0 * step)


def _coordinates(model):
    """Of every coordinate: its entry, the entry of its acceleration, its inertia, its lever."""
    z = model.count
    p, c, r = planar_size(z), cage_offset(z), inner_offset(z)
    rows = [(i, i + 2 * z, model.roller.mass, 1.0) for i in range(2 * z)]
    rows += [(c, c + 3, model.cage.mass, 1.0), (c + 1, c + 4, model.cage.mass, 1.0)]
    rows += [(c + 2, c + 5, model.cage.axial, 0.091)]
    rows += [(r, r + 2, model.ring.mass, 1.0), (r + 1, r + 3, model.ring.mass, 1.0)]
    if not model.spatial:
        return rows
    lever = model.ends.half_length
    rows += [(p + j, p + 3 * z + j, model.roller.mass, 1.0) for j in range(z)]
    rows += [(p + z + i, p + 4 * z + i, model.roller.transverse, lever) for i in range(2 * z)]
    tails = ((cage_tail_offset(z), model.cage), (inner_tail_offset(z), model.ring))
    for start, body in tails:
        rows.append((start, start + 3, body.mass, 1.0))
        rows += [(start + i, start + i + 3, body.transverse, 0.091) for i in (1, 2)]
    return rows


def _worst(bench, model, state):
    """Largest difference of force and gradient, as force, over the largest contact force."""
    rates, out = bench.evaluate(model, state)
    worst = 0.0
    for entry, rate, inertia, lever in _coordinates(model):
        slope = _energy_slope(bench, model, state, entry, STEP / lever)
        worst = max(worst, abs(inertia * rates[rate] + slope) / lever)
    return worst / out[: 8 * model.count + 2].max()


def _angled(model):
    """Inclined pocket faces."""
    b = math.radians(10.0)
    return model._replace(pocket=model.pocket._replace(cosine=math.cos(b), sine=math.sin(b)))


def _edged(model):
    """Bars that end below the roller axis, so that it meets their edge."""
    pocket = model.pocket._replace(high=-3e-4)
    return _angled(model._replace(pocket=pocket))


def _wrong_pitch(model):
    """Pitch errors and unlike pockets."""
    shift = 1e-6 * np.sin(np.arange(model.count))
    tables = model.tables._replace(pocket_shift=shift, pocket_extra=2.0 * shift)
    return model._replace(tables=tables)


def _unlike(model):
    """Bars and end rings of unlike stiffness."""
    shares = [1.0 + 0.7 * np.sin(np.arange(2 * model.count) + k) for k in range(2)]
    roots = np.sqrt(shares[0])
    tables = model.tables._replace(bar_share=shares[0], bar_root=roots, end_share=shares[1])
    return model._replace(tables=tables)


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
@pytest.mark.parametrize("change", [None, _angled, _edged, _wrong_pitch, _unlike])
def test_planar_forces_are_the_gradient(bench, guidance, change):
    # Parallel pocket sides would not hold a roller guided cage.
    lean = {"cage__pocket_side_angle_deg": 5.0} if guidance == "roller" else {}
    built = bench.make_built(cage__guidance=guidance, **lean)
    model, state = _frozen(bench, built, 1, 2e-6, 0.0, change)
    assert _worst(bench, model, state) < 1e-7


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring"])
@pytest.mark.parametrize("change", [None, _angled, _edged, _unlike])
@pytest.mark.parametrize(
    ("tilt", "misaligned", "bound"), [(0.0, 0.0, 1e-7), (1e-4, 0.0, 5e-5), (1e-4, 0.5, 3e-4)]
)
def test_spatial_forces_are_the_gradient(bench, guidance, change, tilt, misaligned, bound):
    built = bench.make_built(
        solver__motion="spatial", roller__slices=5, cage__guidance=guidance,
        bearing__misalignment_mrad=[misaligned, -misaligned],
    )  # fmt: skip
    model, state = _frozen(bench, built, 2, 2e-6, tilt, change)
    assert _worst(bench, model, state) < bound
