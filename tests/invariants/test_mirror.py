"""Mirror image: everything reflected at the x-z plane moves as the reflected bearing."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.kernels.layout import cage_offset, cage_tail_offset, planar_size
from rollsim.model.initial import initial_state


def _mirrored_index(count):
    """Roller j becomes roller (Z - j) mod Z."""
    return (-np.arange(count)) % count


def _mirrored_state(state, z):
    """y, y velocity, y tilt, spins and the cage angle change sign; rollers are renumbered."""
    other = _mirrored_index(z)
    p, c = planar_size(z), cage_offset(z)
    result = state.copy()
    for k, sign in enumerate((1, -1, 1, -1, -1)):
        result[k * z : (k + 1) * z] = sign * state[k * z : (k + 1) * z][other]
    ring = [1, -1, 1, -1]
    result[c:p] *= [1, -1, -1, 1, -1, -1, *ring, -1, -1, *ring, *ring, 1, 1, -1]
    for k, sign in enumerate((1, 1, -1, 1, 1, -1)):
        at = slice(p + k * z, p + (k + 1) * z)
        result[at] = sign * state[at][other]
    result[cage_tail_offset(z) :] *= [*[1, 1, -1, 1, 1, -1] * 2, 1, 1]
    return result


def _mirrored_output(out, z):
    """Leading and trailing face change places; the y forces of the lands change sign."""
    other = _mirrored_index(z)
    blocks = [out[k * z : (k + 1) * z][other] for k in (0, 1, 3, 2, 4, 5, 6, 7)]
    lands = out[8 * z : 8 * z + 6] * np.array([1, 1, 1, 1, -1, -1])
    return np.concatenate([*blocks, lands, out[8 * z + 6 : 8 * z + 7]])


def _pair(bench, motion, guidance):
    """A case and its mirror image, both as problems of equal tolerance."""
    common = {
        "solver__motion": motion, "cage__guidance": guidance, "roller__slices": 3,
        "cage__pocket_side_angle_deg": 5.0, "duty__rotor_damping_Ns_per_mm": 2.0,
    }  # fmt: skip
    tilted, mirrored = {}, {}
    if motion == "spatial":
        tilted = {"duty__tilting_moment_Nm": [30.0, 10.0], "bearing__misalignment_mrad": [0.2, 0.3]}
        mirrored = {
            "duty__tilting_moment_Nm": [-30.0, 10.0], "bearing__misalignment_mrad": [0.2, -0.3],
        }  # fmt: skip
    left = bench.make_built(
        **common, **tilted, duty__load_direction_deg=-60.0, duty__gravity_direction_deg=-80.0,
        duty__carrier_speed_rpm=20.0, duty__outer_speed_rpm=50.0,
        vibration=[{"kind": "sine", "axis": "y", "frequency_Hz": 90, "amplitude_g": 3}],
    )  # fmt: skip
    right = bench.make_built(
        **common, **mirrored, duty__speed_rpm=-1200.0, duty__load_direction_deg=60.0,
        duty__gravity_direction_deg=80.0, duty__carrier_speed_rpm=-20.0,
        duty__outer_speed_rpm=-50.0,
        vibration=[
            {"kind": "sine", "axis": "y", "frequency_Hz": 90, "amplitude_g": 3, "phase_deg": 180}
        ],
    )  # fmt: skip
    return left, right


@pytest.mark.parametrize("motion", ["planar", "spatial"])
@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
def test_rates_of_the_mirror_image(bench, motion, guidance):
    left, right = _pair(bench, motion, guidance)
    z = left.model.count
    state = bench.disturbed(bench.centred(left), z, 8, length=3e-5)
    if motion == "planar":
        state[planar_size(z) :] = 0.0
    rates, out = bench.evaluate(bench.squeezed(left.model), state, 0.031)
    more, more_out = bench.evaluate(bench.squeezed(right.model), _mirrored_state(state, z), 0.031)
    scale = np.abs(rates).max()
    assert more == pytest.approx(_mirrored_state(rates, z), rel=1e-9, abs=1e-11 * scale)
    used = out[: 8 * z + 7]
    assert more_out[: 8 * z + 7] == pytest.approx(_mirrored_output(used, z), rel=1e-8, abs=1e-7)


@pytest.mark.parametrize("motion", ["planar", "spatial"])
def test_motion_of_the_mirror_image(bench, motion):
    """Marched over 3 ms: the states stay mirror images to 0.2 % of the static deflection.

    The marches differ in rounding, which turns into other step lengths and into errors of the
    size of the solver's; impacts amplify them.
    """
    left, right = _pair(bench, motion, "outer_ring")
    z = left.model.count
    n = planar_size(z) if motion == "planar" else len(bench.centred(left))
    start = initial_state(left)
    one = bench.make_problem(left, tolerance=1e-10, start=start)
    two = bench.make_problem(right, tolerance=1e-10, start=_mirrored_state(start, z))
    two = replace(two, scales=one.scales)
    scales = one.scales[:n] / 1e-10
    first, _ = bench.record(one, 0.003)
    second, _ = bench.record(two, 0.003)
    for a, b in zip(first.states, second.states, strict=True):
        gap = np.abs(_mirrored_state(a, z)[:n] - b[:n]) / scales
        assert gap.max() < 2e-3
    assert np.abs(first.states[-1][: 2 * z] - start[: 2 * z]).max() > 1e-3
