"""From a case to the constants of the kernels: geometry, locks, attributes, assumptions, seeds."""

import json
import math
from collections import Counter

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.kernels.layout import LOCK_NAMES
from rollsim.kernels.types import Guidance
from rollsim.model.build import build_model, derived_attributes
from rollsim.model.pockets import START_SCATTER
from rollsim.model.roller_guidance import roller_guidance_play

#: Left to the evaluation of the cage: the march does not use them.
NOT_OF_THE_MARCH = {
    "cage.closure.circle_diameter_mm",
    "cage.closure.count",
    "cage.closure.pocket_fillet_mm",
    "duty.preview_s",
    "fatigue.land_pressure_MPa",
    "fatigue.notch_factor",
    "fatigue.pocket_pressure_MPa",
}
VIBRATION = """
[[vibration]]
kind = "psd"
axis = ["x", "y", "z"]
psd = [[10.0, 0.01], [1000.0, 0.01]]
psd_unit = "g2/Hz"
"""


def test_geometry_is_that_of_the_case(model_case):
    model = build_model(model_case()).model
    assert (model.count, model.spatial) == (18, 1)
    assert model.pocket.radius == pytest.approx(0.013)
    assert model.pocket.pitch_radius == pytest.approx(0.091)
    assert model.pocket.half_clearance == pytest.approx(150e-6)
    assert model.land.gap == pytest.approx(200e-6)
    assert model.guidance == Guidance.OUTER_RING
    # Middle of the lands: half the pocket and half the mean ring thickness from the middle.
    assert model.land_z == pytest.approx(0.5 * (44.4e-3 + 4.75e-3))


def test_raceways_leave_the_radial_clearance(model_case):
    """Outer radius - inner radius - roller diameter is half the diametral clearance."""
    model = build_model(model_case()).model
    # A roller centre may be as far out as outer.gap and as far in as -inner.gap.
    for place in (model.outer.gap, -model.inner.gap):
        assert abs(place - 0.091) < 60e-6
    assert model.outer.gap + model.inner.gap == pytest.approx(30e-6, rel=1e-6)


def test_speeds_and_loads_are_in_si(model_case):
    built = build_model(model_case())
    duty = built.model.duty
    assert duty.inner_speed == pytest.approx(1200 * math.pi / 30)
    assert (duty.force_x, duty.force_y) == pytest.approx((0.0, -20e3), abs=1e-9)
    assert duty.gravity == pytest.approx(9.80665)
    # Cage speed n_i (1 - D_w/D_pw)/2; the rollers turn the other way.
    ratio = 26.0 / 182.0
    assert built.cage_speed == pytest.approx(0.5 * duty.inner_speed * (1.0 - ratio))
    spin = -0.5 * duty.inner_speed / ratio * (1.0 - ratio**2) + built.cage_speed
    assert built.roller_spin == pytest.approx(spin)


@pytest.mark.parametrize(
    ("direction", "force"), [(0, (20e3, 0)), (180, (-20e3, 0)), (90, (0, 20e3))]
)
def test_load_points_where_the_case_says(model_case, direction, force):
    case = changed_case(model_case(), {"duty.load_direction_deg": float(direction)})
    built = build_model(case)
    assert (built.model.duty.force_x, built.model.duty.force_y) == pytest.approx(force, abs=1e-8)
    towards = built.statics.displacement @ np.array(force) / 20e3
    assert towards > 0.9 * np.linalg.norm(built.statics.displacement) > 20e-6


def test_statics_carry_load_and_rotor_weight(model_case):
    built = build_model(model_case())
    normals = np.column_stack([np.cos(built.azimuths), np.sin(built.azimuths)])
    carried = normals.T @ built.statics.inner_force
    weight = built.model.ring.mass * 9.80665
    assert carried == pytest.approx([0.0, -20e3 - weight], rel=1e-6, abs=0.01)
    centrifugal = built.statics.outer_force - built.statics.inner_force
    expected = built.model.roller.mass * 0.091 * built.cage_speed**2
    assert centrifugal == pytest.approx(expected, rel=1e-3)


def test_a_carrier_adds_its_speed_to_the_centrifugal_force_of_the_rollers(model_case):
    changes = {"duty.carrier_speed_rpm": 300.0, "duty.carrier_radius_mm": 500.0}
    still, turning = build_model(model_case()), build_model(changed_case(model_case(), changes))
    force = [(b.statics.outer_force - b.statics.inner_force)[0] for b in (still, turning)]
    speed = still.cage_speed + 300 * math.pi / 30
    assert force[1] / force[0] == pytest.approx((speed / still.cage_speed) ** 2, rel=1e-6)


def test_a_given_rotor_mass_scales_the_inertia(model_case):
    usual = build_model(model_case()).model.ring
    heavy = build_model(changed_case(model_case(), {"duty.rotor_mass_kg": 10.0 * usual.mass}))
    assert tuple(heavy.model.ring) == pytest.approx(tuple(10.0 * value for value in usual))
    named = [item.key for item in heavy.assumptions]
    assert "duty.rotor_mass_kg" not in named


def test_given_rotor_damping_is_used_and_else_is_two_per_cent(model_case):
    usual = build_model(model_case())
    value = next(a.value for a in usual.assumptions if a.key == "duty.rotor_damping_Ns_per_mm")
    assert usual.model.drag.rotor == pytest.approx(1e3 * value, rel=1e-3)
    given = build_model(changed_case(model_case(), {"duty.rotor_damping_Ns_per_mm": 7.5}))
    assert given.model.drag.rotor == pytest.approx(7500.0)
    assert "duty.rotor_damping_Ns_per_mm" not in [item.key for item in given.assumptions]


def test_rotor_damping_is_two_per_cent_of_critical(model_case):
    """2 * 0.02 * sqrt(k m) with the stiffness found by pressing the static state a little."""
    built = build_model(model_case())
    more = build_model(changed_case(model_case(), {"duty.radial_load_kN": 20.1}))
    pressed = np.linalg.norm(more.statics.displacement - built.statics.displacement)
    stiffness = 100.0 / pressed
    expected = 0.04 * math.sqrt(stiffness * built.model.ring.mass)
    assert built.model.drag.rotor == pytest.approx(expected, rel=0.15)


def test_locks_are_those_of_the_case_and_of_a_single_slice(model_case):
    free = dict(zip(LOCK_NAMES, build_model(model_case()).model.tables.free, strict=True))
    tilts = {"roller_tilt_x", "roller_tilt_y", "inner_tilt_x", "inner_tilt_y"}
    assert {name for name, value in free.items() if value == 0.0} == tilts
    changes = {"roller.slices": 3, "solver.locked": ["cage_angle", "inner_z"]}
    tables = build_model(changed_case(model_case(), changes)).model.tables
    free = dict(zip(LOCK_NAMES, tables.free, strict=True))
    assert {name for name, value in free.items() if value == 0.0} == {"cage_angle", "inner_z"}


def test_every_name_that_a_case_may_lock_is_known_to_the_kernels():
    from rollsim.case.schema_run import DOF_NAMES

    assert set(DOF_NAMES) == set(LOCK_NAMES)


def test_slices_share_the_length(model_case):
    tables = build_model(changed_case(model_case(), {"roller.slices": 5})).model.tables
    assert tables.slice_weight.sum() == pytest.approx(1.0)
    assert tables.slice_z.sum() == pytest.approx(0.0, abs=1e-12)
    assert np.ptp(tables.slice_z) == pytest.approx(0.8 * 0.96 * 44e-3)


def test_attributes_hold_what_an_evaluation_needs(model_case):
    built = build_model(model_case())
    found = derived_attributes(built)
    assert found["pocket_clearance_m"] == pytest.approx(300e-6)
    assert found["guidance_clearance_m"] == pytest.approx(200e-6)
    assert found["pitch_radius_m"] == pytest.approx(0.091)
    assert found["roller_radius_m"] == pytest.approx(0.013)
    assert found["epicyclic_cage_speed_rad_per_s"] == built.cage_speed
    assert (found["motion"], found["guidance"]) == ("spatial", "outer_ring")
    assert found["cage_mass_kg"] == built.model.cage.mass
    listed = json.loads(found["assumptions"])
    assert [item["key"] for item in listed] == [item.key for item in built.assumptions]
    assert set(listed[0]) == {"key", "value", "unit", "why", "effect"}


def test_a_roller_guided_cage_has_the_play_of_its_pockets(model_case):
    case = model_case(
        ('guidance = "outer_ring"', 'guidance = "roller"\npocket_side_angle_deg = 15'),
        ("guidance_um = 400\n", ""),
    )
    built = build_model(case)
    play = derived_attributes(built)["guidance_clearance_m"]
    assert play == roller_guidance_play(built.model.pocket)
    # Its short bars hold the rollers by their edges, later than long ones would by their sides.
    assert 150e-6 / math.sin(math.radians(15.0)) < play < 1e-3
    assert built.model.land_film.squeeze == built.model.land_film.couette == 0.0


def test_no_assumption_is_named_twice(model_case):
    for extra in ("", VIBRATION):
        keys = Counter(item.key for item in build_model(model_case(extra=extra)).assumptions)
        assert [key for key, number in keys.items() if number > 1] == []


def test_every_computed_value_that_the_march_uses_is_in_the_ledger(model_case):
    built = build_model(model_case(extra=VIBRATION))
    open_keys = {item.key for item in built.assumptions if item.value is None}
    assert open_keys <= NOT_OF_THE_MARCH | {"vibration[1].seed"}
    values = {item.key: item.value for item in built.assumptions}
    model = built.model
    assert values["cage.mass_kg"] == pytest.approx(model.cage.mass, abs=1e-4)
    assert values["duty.rotor_mass_kg"] == pytest.approx(model.ring.mass, abs=1e-3)
    assert values["roller.effective_length_mm"] == pytest.approx(42.24)
    assert values["cage.bar_stiffness_N_per_um"] == pytest.approx(1e-6 * model.pocket.backing)
    assert values["cage.end_stiffness_N_per_um"] == pytest.approx(2e-6 * model.ends.stiffness)
    assert values["bearing.flange_height_mm"] == pytest.approx(3.9)


def test_drive_and_mounts_that_are_not_given_are_listed(model_case):
    keys = ("duty.shaft_stiffness_N_per_um", "bearing.seat_stiffness_N_per_um")
    torque = ("duty.drive_resistance_Nms", "duty.start_speed_rpm")
    tilt = "duty.shaft_tilt_stiffness_Nm_per_mrad"
    plain = changed_case(model_case(), {"solver.motion": "planar"})
    planar = {a.key: a.value for a in build_model(plain).assumptions}
    assert [planar[key] for key in keys] == ["rigid", "rigid"]
    assert planar.keys().isdisjoint({*torque, tilt})
    changes = {
        "duty.drive": "torque", "duty.drive_torque_Nm": 5.0, "duty.drive_inertia_kgm2": 0.1,
        "duty.rotor_mass_kg": 20.0, keys[0]: 100.0, "solver.motion": "spatial",
    }  # fmt: skip
    found = {a.key: a.value for a in build_model(changed_case(plain, changes)).assumptions}
    assert [found[key] for key in torque] == [0.0, plain.duty.speed_rpm]
    assert found[tilt] == 0.0 and found[keys[1]] == "rigid" and keys[0] not in found
    changes |= {torque[0]: 0.1, torque[1]: 10.0, tilt: 50.0}
    found = {a.key for a in build_model(changed_case(plain, changes)).assumptions}
    assert found.isdisjoint({*torque, tilt})


def test_given_values_are_no_assumptions(model_case):
    changes = {"cage.mass_kg": 1.0, "cage.bar_stiffness_N_per_um": 300.0}
    built = build_model(changed_case(model_case(), changes))
    assert built.model.cage.mass == pytest.approx(1.0)
    assert built.model.pocket.backing == pytest.approx(300e6)
    assert set(changes).isdisjoint(item.key for item in built.assumptions)


def test_start_scatter_follows_the_seed_and_stays_in_the_pockets(model_case):
    case = model_case()
    azimuths = [build_model(case, seed=seed).azimuths for seed in (11, 11, 12)]
    assert np.array_equal(azimuths[0], azimuths[1])
    assert not np.array_equal(azimuths[0], azimuths[2])
    assert np.array_equal(build_model(case).azimuths, azimuths[0])
    even = 2.0 * np.pi * np.arange(18) / 18
    play = 0.091 * np.abs(azimuths[0] - even)
    assert 0.1 * START_SCATTER * 150e-6 < play.max() <= START_SCATTER * 150e-6


def test_vibration_follows_the_seed_of_the_case_and_a_seed_of_its_own_stays(model_case):
    case = model_case(extra=VIBRATION)
    own = model_case(extra=VIBRATION + "seed = 5\n")

    def table(case, seed):
        return build_model(changed_case(case, {"case.seed": seed}), 0.2).model.shaking.samples

    assert np.array_equal(table(case, 1), table(case, 1))
    assert not np.allclose(table(case, 1), table(case, 2))
    assert np.array_equal(table(own, 1), table(own, 2))


def test_without_vibration_the_table_is_empty(model_case):
    built = build_model(model_case())
    assert built.model.shaking.samples.shape == (0, 6)
    assert built.model.shaking.harmonic.shape == (0, 7)
    assert built.vibration.period == 0.0
