"""What `rollsim check` says: numbers against hand calculations, load zone and warnings in words."""

import math
from pathlib import Path

import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.report.check_text import check_case, check_text
from rollsim.report.check_words import load_zone_lines

CASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")


def _checked(**changes):
    """Numbers of the six rollers with values changed."""
    changes = {key.replace("__", "."): value for key, value in changes.items()}
    return check_case(changed_case(parse_case(CASE), changes), trial=False)


def test_speeds_with_a_turning_outer_ring_and_carrier():
    """n_c = (n_i (1 - g) + n_o (1 + g))/2 with g = 26/182; the ground sees the carrier on top."""
    found = _checked(
        duty__outer_speed_rpm=-300.0,
        duty__carrier_speed_rpm=50.0,
        duty__carrier_radius_mm=400.0,
    )["speeds"]
    ratio = 26.0 / 182.0
    cage = 0.5 * (1200.0 * (1.0 - ratio) - 300.0 * (1.0 + ratio))
    spin = 1500.0 * 182.0 / (2.0 * 26.0) * (1.0 - ratio**2)
    assert found["cage_speed_rpm"] == pytest.approx(cage)
    assert found["outer_ring_Hz"] == pytest.approx(5.0)
    assert found["roller_defect_twice_a_turn_Hz"] == pytest.approx(2.0 * spin / 60.0)
    assert found["rollers_passing_outer_Hz"] == pytest.approx(6 * (cage + 300.0) / 60.0)
    assert found["rollers_passing_inner_Hz"] == pytest.approx(6 * (1200.0 - cage) / 60.0)
    assert found["carrier_Hz"] == pytest.approx(50.0 / 60.0)
    assert found["cage_seen_from_ground_rpm"] == pytest.approx(cage + 50.0)
    assert found["inner_ring_seen_from_ground_rpm"] == pytest.approx(1250.0)
    assert found["pitch_diameter_times_speed_mm_per_min"] == pytest.approx(182.0 * 1500.0)


def test_play_of_the_cage():
    """0.4 mm over 198 mm; two lands 44 + 0.4 + 4.75 mm apart."""
    found = _checked()["clearances"]
    assert found["guidance_over_cage_diameter_percent"] == pytest.approx(100 * 0.4 / 198.0)
    assert found["cage_tilt_until_the_lands_touch_mrad"] == pytest.approx(400.0 / 49.15)
    roller = {"cage__guidance": "roller", "cage__pocket_side_angle_deg": 5}
    found = _checked(**roller)["clearances"]
    assert "cage_tilt_until_the_lands_touch_mrad" not in found
    half = 0.5 * found["pocket_um"]
    assert found["cage_on_its_rollers_um"] == pytest.approx(
        2.0 * half / math.sin(math.radians(5)), rel=1e-6
    )
    # Sides so steep that the rollers touch beyond the bars: nothing holds the cage.
    steep = _checked(cage__guidance="roller", cage__pocket_side_angle_deg=25)
    assert "cage_on_its_rollers_um" not in steep["clearances"]
    loose = [item for item in steep["range_warnings"] if item["rule"] == "roller_guide"]
    assert len(loose) == 1 and "nothing holds the cage" in check_text(steep)


def test_keys_that_count_for_nothing_are_told():
    found = _checked(lubricant__limiting_shear_coefficient=0.04, lubricant__raceway_friction=0.05)
    assert found["warnings"] == [
        "lubricant.limiting_shear_coefficient = 0.04 changes nothing: it counts only with "
        "raceway_traction = 'ehl'"
    ]
    roller = {"cage__guidance": "roller", "cage__pocket_side_angle_deg": 5}
    found = _checked(**roller, lubricant__land_film="none")
    assert [text.split(":")[0] for text in found["warnings"]] == [
        "lubricant.land_film = 'none' changes nothing"
    ]
    listed = {item["key"] for item in found["assumptions"]}
    assert listed.isdisjoint({"lubricant.land_friction", "cage.land_width_mm"})
    assert "lubricant.pocket_friction" in listed


def test_rings_of_one_nominal_speed_are_told():
    table = [[0.0, 0.0], [0.2, 900.0]]
    rest = {"duty__speed_rpm": 0.0, "duty__outer_speed_table": table}
    assert "of a bearing at rest" in _checked(**rest)["warnings"][-1]
    assert not _checked(**rest, duty__outer_speed_rpm=900.0)["warnings"]


def test_a_nominal_speed_that_the_table_never_has_is_told():
    table = [[0.0, 3000.0], [0.2, 6000.0]]
    assert not _checked(duty__speed_rpm=3000.0, duty__speed_table=table)["warnings"]
    told = _checked(duty__speed_rpm=100.0, duty__speed_table=table)["warnings"]
    assert len(told) == 1
    assert told[0].startswith("duty.speed_rpm = 100 lies outside of duty.speed_table (3000 to 6000")


def test_mass_of_the_rotor_counts_behind_a_shaft_too():
    rotor = {"duty__rotor_mass_kg": 40.0, "duty__shaft_stiffness_N_per_um": 120.0}
    masses = [_checked(**keys)["cage"]["inner_ring_and_rotor_mass_kg"] for keys in ({}, rotor)]
    assert masses[1] == pytest.approx(masses[0] + 40.0)


def test_load_zone_carries_the_load():
    """Sum of Q cos(azimuth) is the load with the weight of the ring; zone from the displacement."""
    found = _checked(duty__load_direction_deg=-90.0)
    rows, load = found["load_zone"], found["static_load"]
    carried = sum(-row["inner_N"] * math.sin(math.radians(row["azimuth_deg"])) for row in rows)
    assert carried == pytest.approx(1e3 * found["rating"]["largest_load_kN"], rel=1e-6)
    assert [row["roller"] for row in rows] == [1, 2, 3, 4, 5, 6]
    half = math.acos(60.0 / (2.0 * load["inner_ring_displacement_um"]))
    assert load["load_zone_deg"] == pytest.approx(2.0 * math.degrees(half), rel=1e-6)
    epsilon = 0.5 * (1.0 - 60.0 / (2.0 * load["inner_ring_displacement_um"]))
    assert load["load_zone_parameter_epsilon"] == pytest.approx(epsilon)
    most = max(rows, key=lambda row: row["inner_N"])
    assert load["most_loaded_roller"] == most["roller"]
    assert load["largest_roller_load_N"] == pytest.approx(most["outer_N"])


def test_entrainment_speed_of_the_case():
    """u = omega_i (D^2 - d^2)/(4 D) (Hamrock and Dowson 1981)."""
    speed = 1200.0 * math.pi / 30.0 * (0.182**2 - 0.026**2) / (4.0 * 0.182)
    found = _checked()["lubrication"]
    assert found["entrainment_speed_m_per_s"] == pytest.approx(speed)
    assert found["film_over_roughness_lambda_outer"] > found["film_over_roughness_lambda_inner"] > 0


def test_load_zone_is_drawn_in_one_piece_across_180_degrees():
    places = [(1, -170.0, 50.0), (2, 0.0, 0.0), (3, 170.0, 100.0), (4, 150.0, 20.0)]
    rows = [{"roller": n, "azimuth_deg": a, "inner_N": q, "outer_N": q} for n, a, q in places]
    lines = load_zone_lines(rows)
    assert [line.split()[0] for line in lines] == ["roller", "4", "3", "1"]
    assert [line.count("#") for line in lines] == [0, 8, 40, 20]
    assert load_zone_lines([rows[1]]) == []


def test_warnings_are_sentences_with_value_bound_and_advice():
    found = _checked(lubricant__raceway_slip_scale_m_per_s=0.01)
    rules = [item["rule"] for item in found["range_warnings"]]
    assert rules == ["slip_scale", "guide"]
    text = " ".join(check_text(found).split())
    assert (
        "Warning: lubricant.raceway_slip_scale_m_per_s is 0.0100 m/s, less than 0.0200 m/s: the "
        "equations become stiff: short steps and a long run. Raise it, or expect several times "
        "the computing time. (measured on the planar reference case)"
    ) in text


def test_a_bearing_without_load_and_motion_is_told_without_holes():
    found = _checked(duty__radial_load_kN=0, duty__gravity=False, duty__speed_rpm=0)
    assert found["static_load"]["loaded_rollers"] == 0
    assert found["static_load"]["load_zone_parameter_epsilon"] is None
    text = check_text(found)
    assert "nan" not in text.lower().split()
    assert "inf" not in text.split()
    assert max(map(len, text.splitlines())) <= 100


def test_duty_in_time_and_mounts():
    """Frequencies sqrt(k/m)/(2 pi), 2000 g mm times the square of the rolling speed."""
    assert _checked()["drive_and_mounts"] == {}
    found = _checked(
        duty__speed_table=[[0, 0], [0.5, 1200], [0.7, 1200]],
        bearing__seat_stiffness_N_per_um=[300.0, 400.0, 150.0], bearing__outer_mass_kg=6.0,
        duty__rotor_mass_kg=40.0, duty__shaft_stiffness_N_per_um=120.0, cage__imbalance_gmm=2000.0,
    )["drive_and_mounts"]  # fmt: skip
    assert found["inner_ring_from_table_least_rpm"] == 0.0
    assert found["inner_ring_from_table_greatest_rpm"] == 1200.0
    assert found["inner_ring_table_ends_after_s"] == 0.7
    assert found["outer_ring_in_its_seat_y_Hz"] == pytest.approx(
        math.sqrt(400e6 / 6.0) / (2.0 * math.pi)
    )
    assert found["rotor_on_a_fixed_ring_Hz"] == pytest.approx(
        math.sqrt(120e6 / 40.0) / (2.0 * math.pi)
    )
    speed = 600.0 * (1.0 - 26.0 / 182.0) * math.pi / 30.0
    assert found["cage_imbalance_force_N"] == pytest.approx(2000e-6 * speed**2)
    planet = _checked(cage__imbalance_gmm=2000.0, duty__carrier_speed_rpm=-60.0)["drive_and_mounts"]
    speed -= 60.0 * math.pi / 30.0
    assert planet["cage_imbalance_force_N"] == pytest.approx(2000e-6 * speed**2)


def test_drive_by_torque():
    """25 N m on 0.5 kg m2 and the ring; J/c."""
    changes = {
        "duty__drive": "torque", "duty__drive_torque_Nm": 25.0, "duty__drive_inertia_kgm2": 0.5,
        "duty__drive_resistance_Nms": 0.25,
    }  # fmt: skip
    whole = check_case(
        changed_case(
            parse_case(CASE), {key.replace("__", "."): value for key, value in changes.items()}
        ),
        trial=False,
    )
    found = whole["drive_and_mounts"]
    inertia = found["driven_inertia_kg_m2"]
    assert 0.5 < inertia < 0.55
    assert found["run_down_time_constant_s"] == pytest.approx(4.0 * inertia)
    text = check_text(whole)
    assert "Duty in time, drive, seat, shaft, imbalance" in text
    assert "N m" in next(line for line in text.splitlines() if "drive torque " in line)
