"""Every kind of bearing, motion and drive that a case can ask for runs and stays sound."""

import numpy as np
import pytest

from rollsim.simulation.marches import SOLVERS

SHORT = {"duty__duration_s": 0.03}
SPATIAL = {**SHORT, "solver__motion": "spatial", "roller__slices": 3}
# Flanges that take up an axial load towards the cover.
HELD = {"bearing__flanges": ["outer_base", "outer_cover", "inner_base"]}
# Slanting pocket sides hold the cage radially where no land does.
ROLLER_GUIDED = {"cage__guidance": "roller", "cage__pocket_side_angle_deg": 15}

# fmt: off
VARIANTS = {
    "inner guided": {
        "cage__guidance": "inner_ring",
        "cage__outer_diameter_mm": 186,
        "cage__inner_diameter_mm": 166,
    },
    "roller guided": ROLLER_GUIDED,
    "counter rotation": {"duty__outer_speed_rpm": -800},
    "outer ring alone": {"duty__speed_rpm": 0, "duty__outer_speed_rpm": 900},
    "backward": {"duty__speed_rpm": -1200},
    "standstill": {"duty__speed_rpm": 0},
    "carrier": {"duty__carrier_speed_rpm": 60, "duty__carrier_radius_mm": 400},
    "no gravity": {"duty__gravity": False},
    "no load": {"duty__radial_load_kN": 0},
    "sideways load": {"duty__load_direction_deg": 30},
    "angled pocket": {"cage__pocket_side_angle_deg": 5},
    "pockets of a worn cage": {
        "cage__pocket_pitch_tolerance_um": 80,
        "cage__pocket_clearance_tolerance_um": 50,
        "cage__pocket_extra_clearance_um": [[1, 100]],
    },
    "four parameter": {
        "lubricant__raceway_traction": "four_parameter",
        "lubricant__four_parameter": [-0.1, 0.5, 2.5, 0.1],
    },
    "dry": {"lubricant__oil_fraction": 0},
    "flooded": {"lubricant__oil_fraction": 1},
    "three rollers": {"roller__count": 3},
    "eighteen rollers": {"roller__count": 18},
    "start from rest": {"duty__speed_table": [[0, 0], [0.02, 1200]]},
    "both rings in time": {
        "duty__speed_table": [[0, 1200], [0.02, 600]],
        "duty__outer_speed_table": [[0, 0], [0.01, -300]],
        "duty__load_table": [[0, 20, -90, 0], [0.01, 5, -60, 0]],
    },
    "run down": {
        "duty__drive": "torque", "duty__drive_torque_Nm": 0, "duty__drive_inertia_kgm2": 0.1,
        "duty__drive_resistance_Nms": 2.0,
    },
    "seat, shaft and imbalance": {
        "bearing__seat_stiffness_N_per_um": [500, 500, 200], "duty__rotor_mass_kg": 30,
        "duty__shaft_stiffness_N_per_um": 200, "cage__imbalance_gmm": 200,
    },
    "spatial": SPATIAL,
    "spatial one slice": {**SPATIAL, "roller__slices": 1},
    "spatial logarithmic": {**SPATIAL, "roller__profile": "logarithmic", "roller__slices": 7},
    "spatial crowned": {**SPATIAL, "roller__profile": "crowned", "roller__crown_radius_m": 40},
    "spatial axial load": {**SPATIAL, **HELD, "duty__axial_load_kN": 0.5},
    "spatial misaligned": {**SPATIAL, "bearing__misalignment_mrad": [0.3, -0.2]},
    "spatial moment": {**SPATIAL, "duty__tilting_moment_Nm": [20, 0]},
    "spatial mounts": {
        **SPATIAL, **HELD, "bearing__seat_stiffness_N_per_um": [500, 500, 200],
        "duty__shaft_tilt_stiffness_Nm_per_mrad": 100, "duty__carrier_speed_rpm": 100,
        "duty__load_table": [[0, 20, -90, 0.2], [0.01, 5, -60, 0.5]],
    },
    "spatial roller guided": {**SPATIAL, **ROLLER_GUIDED},
}
# fmt: on


@pytest.mark.parametrize("name", VARIANTS)
def test_variant_runs_and_stays_inside_the_bearing(six_rollers, run_case, name):
    history = run_case(six_rollers(**{**SHORT, **VARIANTS[name]}))
    assert history.status == "finished"
    for group in ("history", "peak"):
        for channel in history.names(group):
            assert np.all(np.isfinite(history.window(channel, 0, np.inf, group))), channel
    radius = np.linalg.norm(history.channel("roller_position")[:, :, :2], axis=2)
    assert np.all(np.abs(radius - 0.091) < 1e-3)
    # The cage stays within its guide, or within the pockets where the rollers guide it.
    eccentricity = np.linalg.norm(history.channel("cage_position")[:, :2], axis=1)
    assert eccentricity.max() < (1e-3 if "roller guided" in name else 0.5e-3)
    pockets = 2.0 * np.pi * np.arange(history.roller_count) / history.roller_count
    place = history.channel("roller_azimuth") - history.channel("cage_angle")[:, None] - pockets
    assert np.abs(place).max() < (0.02 if "roller guided" in name else 0.01)


def _spin_and_speed(history):
    """Mean spin of the rollers and mean cage speed at the end, rad/s."""
    late = slice(len(history.time) // 2, None)
    return history.channel("roller_spin_speed")[late].mean(), history.channel("cage_speed")[
        late
    ].mean()


@pytest.mark.parametrize("name", ["counter rotation", "outer ring alone", "backward"])
def test_cage_and_rollers_turn_as_the_rings_make_them(six_rollers, run_case, name):
    history = run_case(six_rollers(**{**SHORT, **VARIANTS[name]}))
    spin, speed = _spin_and_speed(history)
    found = history.attributes
    assert spin == pytest.approx(found["epicyclic_roller_spin_rad_per_s"], rel=0.05)
    # The difference of two ring speeds may be small: slip counts against the rings.
    slip = 0.01 * max(abs(found["inner_speed_rad_per_s"]), abs(found["outer_speed_rad_per_s"]))
    assert speed == pytest.approx(found["epicyclic_cage_speed_rad_per_s"], abs=slip)


def test_speeds_of_the_rings_stand_in_the_history(six_rollers, run_case):
    """Prescribed ones as in their tables; a run-down falls exponentially."""
    turn = np.pi / 30.0
    history = run_case(six_rollers(**{**SHORT, **VARIANTS["both rings in time"]}), "both.h5")
    time = np.asarray(history.time)
    inner = np.interp(time, [0, 0.02], [1200, 600]) * turn
    assert history.channel("inner_speed") == pytest.approx(inner, rel=1e-6)
    outer = np.interp(time, [0, 0.01], [0, -300]) * turn
    assert history.channel("outer_speed") == pytest.approx(outer, abs=1e-5)
    assert np.diff(history.channel("inner_angle")) / np.diff(time) == pytest.approx(
        0.5 * (inner[1:] + inner[:-1]), rel=1e-3
    )
    history = run_case(six_rollers(**{**SHORT, **VARIANTS["run down"]}), "down.h5")
    speed = np.asarray(history.channel("inner_speed"))
    # 2 N m s against 0.1 kg m2, the ring of 0.015 kg m2, and rollers and cage that roll along.
    rate = np.log(speed[0] / speed[-1]) / np.ptp(np.asarray(history.time))
    assert np.all(np.diff(speed) < 0.0)
    assert 2.0 / 0.14 < rate < 2.0 / 0.11


def test_a_seat_and_a_shaft_show_in_the_history(six_rollers, run_case):
    history = run_case(six_rollers(**{**SHORT, **VARIANTS["seat, shaft and imbalance"]}))
    place = np.asarray(history.channel("outer_position"))
    assert np.ptp(place[:, :2], axis=0).min() > 1e-8
    assert np.all(place[:, 2] == 0.0)
    change = np.diff(place[:, 1]) / np.diff(np.asarray(history.time))
    speed = np.asarray(history.channel("outer_velocity"))[:, 1]
    assert np.mean(change) == pytest.approx(np.mean(speed), abs=0.1 * np.abs(speed).max())


def test_backward_is_the_mirror_image_of_forward(still_case, run_case):
    """Without vibration and scatter a bearing turned the other way does the mirrored thing."""
    from rollsim.case.change import changed_case

    # The scatter of the start is not mirrored: it must be small against what is compared.
    changes = {"duty.duration_s": 0.03, "clearance.pocket_um": 300.0}
    forward = run_case(changed_case(still_case, changes), "forward.h5")
    backward = run_case(changed_case(still_case, {**changes, "duty.speed_rpm": -1200}), "back.h5")
    assert _spin_and_speed(forward)[0] == pytest.approx(-_spin_and_speed(backward)[0], rel=5e-3)
    assert _spin_and_speed(forward)[1] == pytest.approx(-_spin_and_speed(backward)[1], rel=5e-3)
    load = [h.channel("raceway_force")[75:].max() for h in (forward, backward)]
    assert load[0] == pytest.approx(load[1], rel=0.15)


def test_standing_still_stays_still(still_case, run_case):
    from rollsim.case.change import changed_case

    case = changed_case(still_case, {"duty.speed_rpm": 0.0, "duty.duration_s": 0.03})
    history = run_case(case)
    assert np.abs(history.channel("base_acceleration")).max() == 0.0
    assert np.abs(history.channel("cage_speed")).max() < 5.0
    # The inner ring hangs where statics put it and only trembles.
    path = history.channel("inner_position")[:, :2]
    assert np.ptp(path, axis=0).max() < 5e-6


def test_raceways_carry_the_load_on_average(still_case, run_case):
    """Sum of the inner raceway forces in the direction of the load: load and rotor weight."""
    history = run_case(still_case)
    late = history.settled
    azimuth = history.channel("roller_azimuth")[late]
    force = history.channel("raceway_force")[late][:, :, 1]
    carried = -(force * np.sin(azimuth)).sum(axis=1).mean()
    assert carried == pytest.approx(20e3 + 2.938 * 9.80665, rel=0.02)


def test_planar_runs_have_no_axial_motion_or_force(six_rollers, run_case):
    history = run_case(six_rollers(**SHORT))
    assert np.all(history.channel("roller_position")[:, :, 2] == 0.0)
    assert np.all(history.channel("roller_skew") == 0.0)
    assert np.all(history.channel("cage_tilt") == 0.0)
    assert np.all(history.peak("pocket_force")[:, :, 2:] == 0.0)
    assert np.all(history.peak("flange_force") == 0.0)


def test_spatial_runs_move_along_z_under_axial_vibration(six_rollers, run_case):
    source = {"vibration": [{"kind": "sine", "axis": "z", "frequency_Hz": 60.0, "amplitude_g": 10}]}
    history = run_case(six_rollers(**{**SPATIAL, **source, "duty__duration_s": 0.1}))
    assert np.ptp(history.channel("roller_position")[:, :, 2]) > 20e-6
    assert np.abs(history.channel("roller_skew")).max() > 1e-6
    assert history.peak("flange_force").max() > 1.0
    assert history.peak("pocket_force")[:, :, 2:].max() > 1.0
    assert set(np.unique(history.impacts()["face"])) >= {2, 3}


def test_one_slice_locks_skew_and_tilt(six_rollers, run_case):
    history = run_case(six_rollers(**{**SPATIAL, "roller__slices": 1}))
    assert np.all(history.channel("roller_skew") == 0.0)
    assert np.all(history.channel("roller_tilt") == 0.0)
    assert "solver.locked" in [item["key"] for item in history.assumptions]


def test_locked_degrees_of_freedom_do_not_move(six_rollers, run_case):
    case = six_rollers(**SHORT, solver__locked=["cage_x", "cage_y", "inner_x", "inner_y"])
    history = run_case(case)
    assert np.ptp(history.channel("cage_position"), axis=0).max() == 0.0
    assert np.ptp(history.channel("inner_position"), axis=0).max() == 0.0
    assert np.ptp(history.channel("roller_position")[:, 0, 0]) > 1e-3


def test_roller_guided_cages_touch_no_land(six_rollers, run_case):
    history = run_case(six_rollers(**VARIANTS["roller guided"]))
    assert np.all(history.peak("land_force") == 0.0)
    # The play of the cage in its pockets, greater than their clearance.
    half = 0.5 * history.attributes["pocket_clearance_m"]
    assert half < history.attributes["guidance_clearance_m"] < 30.0 * half
    assert history.attributes["guidance"] == "roller"


def test_inner_guided_cages_follow_the_inner_ring(six_rollers, run_case):
    history = run_case(six_rollers(**{**SHORT, **VARIANTS["inner guided"]}))
    path = (history.channel("cage_position") - history.channel("inner_position"))[:, :2]
    assert np.linalg.norm(path, axis=1).max() < 200e-6 + 20e-6


@pytest.mark.parametrize("solver", SOLVERS[1:])
def test_every_solver_runs_a_tiny_case(six_rollers, run_case, solver):
    """Over the first milliseconds, before impacts make them differ, all solvers agree."""
    options = {"duration": 0.012}
    history = run_case(six_rollers(), "other.h5", solver=solver, **options)
    ours = run_case(six_rollers(), "ours.h5", **options)
    assert (history.status, history.attributes["solver"]) == ("finished", solver)
    assert np.array_equal(history.time, ours.time)
    assert np.allclose(
        history.channel("cage_position"), ours.channel("cage_position"), rtol=0, atol=1e-6
    )
    # Multistep LSODA lets the light contacts of unloaded rollers chatter: only loads are compared.
    theirs, ours = (h.peak("raceway_force").max(axis=0) for h in (history, ours))
    loaded = ours > 1000.0
    assert np.count_nonzero(loaded) >= 4
    assert np.allclose(theirs[loaded], ours[loaded], rtol=0.01)
    assert np.all(history.quality()["steps"] > 0)
    assert np.all(history.quality()["evaluations"] > history.quality()["steps"])
    for name in history.names("peak"):
        if name != "time":
            assert np.all(np.isfinite(history.peak(name)))


def test_other_solvers_go_on_after_a_stop(six_rollers, tmp_path, interrupting, run_case):
    """Their own memory starts afresh, so the numbers agree within their error only."""
    from rollsim.history import open_history
    from rollsim.simulation.run import run

    case = six_rollers(output__segment_s=0.004)
    with pytest.raises(KeyboardInterrupt):
        run(case, tmp_path / "out.h5", progress=interrupting(1), solver="RK45", duration=0.012)
    run(case, tmp_path / "out.h5", solver="RK45", duration=0.012)
    whole = run_case(case, "whole.h5", solver="RK45", duration=0.012)
    with open_history(tmp_path / "out.h5") as history:
        assert np.array_equal(history.time, whole.time)
        assert np.allclose(
            history.channel("cage_position"), whole.channel("cage_position"), rtol=0, atol=1e-6
        )


def test_a_worn_pocket_lets_its_roller_wander(six_rollers, run_case):
    """Six times the clearance: a longer way, and fewer contacts with the bars."""
    case = six_rollers(cage__pocket_extra_clearance_um=[[2, 1500.0]], duty__duration_s=0.4)
    history = run_case(case)
    assert history.attributes["pocket_extra_clearance_m"][1] == pytest.approx(1500e-6)
    pockets = 2.0 * np.pi * np.arange(6) / 6
    place = history.channel("roller_azimuth") - history.channel("cage_angle")[:, None] - pockets
    way = 0.091 * np.abs(place[history.settled])
    # Cage shift (200 um) and half clearance (150 um) and some deflection bound the others.
    assert np.all(np.delete(way.max(axis=0), 1) < 400e-6)
    assert way.max(axis=0)[1] > 500e-6
    impacts = history.impacts()
    counts = np.bincount(impacts["roller"][impacts["face"] < 2], minlength=6)
    assert counts[1] < 0.8 * np.median(np.delete(counts, 1))


@pytest.mark.parametrize(
    ("load", "flange"), [(1.0, "inner_base"), (-1.0, "inner_cover")], ids=["to cover", "to base"]
)
def test_an_axial_load_goes_through_the_flanges(six_rollers, run_case, load, flange):
    """From a flange of the inner ring through the rollers into that of the outer ring opposite."""
    changes = {
        **SPATIAL, "duty__duration_s": 0.1, "duty__axial_load_kN": load,
        "bearing__flanges": ["outer_base", "outer_cover", flange],
    }  # fmt: skip
    history = run_case(six_rollers(**changes))
    late = history.time > 0.05
    by_side = history.channel("flange_force")[late].sum(axis=1).mean(axis=0)
    assert by_side == pytest.approx([1000.0, 1000.0], rel=0.03)
    travel = history.channel("inner_position")[late, 2]
    # The play of both rings, and what the flanges give way.
    assert np.all(np.sign(load) * travel > 0.0) and np.abs(travel).max() < 0.15e-3
