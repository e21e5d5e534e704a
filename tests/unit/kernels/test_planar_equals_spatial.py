"""One slice without tilt: the spatial kernel gives the rates and forces of the planar one."""

import numpy as np
import pytest

from rollsim.kernels.layout import (
    cage_offset,
    friction_offset,
    inner_offset,
    output_size,
    planar_size,
)
from rollsim.kernels.rhs import active_size

GUIDES = ("outer_ring", "inner_ring", "roller")


def _pair(bench, guidance, **changes):
    """The same case as planar and as spatial model, and the initial state."""
    changes["cage__guidance"] = guidance
    flat = bench.make_built(**changes)
    deep = bench.make_built(solver__motion="spatial", **changes)
    return flat.model, deep.model, bench.centred(flat)


@pytest.mark.parametrize("guidance", GUIDES)
@pytest.mark.parametrize("loaded", [True, False])
@pytest.mark.parametrize("angle", [0.0, 8.0])
@pytest.mark.parametrize("traction", ["coulomb", "four_parameter", "ehl"])
def test_rates_and_forces_agree(bench, guidance, loaded, angle, traction):
    """All contacts closed, and open ones with films; random motion in the plane."""
    if guidance == "roller":
        angle = max(angle, 4.0)  # parallel sides would not hold the cage
    extra = {"duty__carrier_speed_rpm": 30.0, "duty__carrier_radius_mm": 200.0}
    extra["lubricant__raceway_traction"] = traction
    if traction == "four_parameter":
        extra["lubricant__four_parameter"] = [-0.1, 0.5, 2.5, 0.1]
    vibration = [{"kind": "sine", "axis": "y", "frequency_Hz": 90.0, "amplitude_g": 4.0}]
    flat, deep, start = _pair(
        bench, guidance, cage__pocket_side_angle_deg=angle, vibration=vibration, **extra
    )
    if loaded:
        flat = bench.squeezed(flat)
        keep = {name: getattr(flat, name) for name in ("outer", "inner", "land", "pocket")}
        deep = deep._replace(**keep)
    z = flat.count
    state = bench.disturbed(start, z, 6)
    state[planar_size(z) :] = 0.0
    rates, out = bench.evaluate(flat, state, 0.07)
    more_rates, more_out = bench.evaluate(deep, state, 0.07)
    n = planar_size(z)
    scale = np.abs(rates[:n]).max()
    assert more_rates[:n] == pytest.approx(rates[:n], rel=1e-8, abs=1e-10 * scale)
    same = np.r_[0 : 4 * z, 8 * z : 8 * z + 7]
    assert out[same].max() > 0.0
    assert more_out[same] == pytest.approx(out[same], rel=1e-8, abs=1e-9)
    # Friction powers of all contacts and sliding speeds on the raceways.
    behind = slice(friction_offset(z), output_size(z))
    assert out[behind][: 2 * z].max() > 0.0 or not loaded
    assert more_out[behind] == pytest.approx(out[behind], rel=1e-7, abs=1e-9)
    # Approach speeds count where a contact carries force.
    speeds = np.r_[8 * z + 7 : 10 * z + 7, 12 * z + 7 : 12 * z + 9]
    carries = out[np.r_[2 * z : 4 * z, 8 * z : 8 * z + 2]] > 0.0
    closing = [np.maximum(values[speeds], 0.0)[carries] for values in (more_out, out)]
    assert closing[0] == pytest.approx(closing[1], rel=1e-7)


def test_only_the_plane_is_integrated_by_a_planar_case(bench):
    flat, deep, start = _pair(bench, "outer_ring")
    assert active_size(flat) == planar_size(flat.count)
    assert active_size(deep) == len(start)


def test_locks_hold_their_degrees_of_freedom(bench):
    """Locked entries get no acceleration, the others do."""
    locked = ["cage_x", "roller_spin", "inner_y"]
    model = bench.squeezed(bench.make_built(solver__locked=locked).model)
    z = model.count
    state = bench.disturbed(bench.centred(bench.make_built()), z, 3)
    rates, _ = bench.evaluate(model, state)
    c, i = cage_offset(z), inner_offset(z)
    still = np.r_[4 * z : 5 * z, c, c + 3, i + 1, i + 3]
    assert np.all(rates[still] == 0.0)
    assert np.all(rates[np.r_[2 * z : 4 * z, c + 1, c + 4, i, i + 2]] != 0.0)


def test_roller_counts_that_are_no_multiple_of_four(bench):
    """An odd number of rollers: forces of a symmetric state are alike on all of them."""
    for count in (7, 13):
        built = bench.make_built(roller__count=count, duty__gravity=False, duty__radial_load_kN=0.0)
        _, out = bench.evaluate(bench.squeezed(built.model), bench.centred(built))
        for k in range(4):
            part = out[k * count : (k + 1) * count]
            assert part == pytest.approx(np.full(count, part[0]), rel=1e-6)
            assert part[0] > 0.0
