"""Range rules: silent inside, a warning with its value and bound outside."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.model.build import build_model
from rollsim.model.operating import load_span, load_zone, operating_point, speed_factor
from rollsim.model.ranges import RULES, range_warnings, short_bearing_overrating

#: A case within every range.
QUIET = {"roller.slices": 21, "clearance.pocket_um": 450.0}
HEAVY = {"duty.radial_load_kN": 1000.0}
#: Eight rollers of a third of the pitch diameter.
THICK = {
    "bearing.bore_mm": 60.0, "bearing.outside_diameter_mm": 300.0, "roller.diameter_mm": 56.0,
    "roller.count": 8,
}  # fmt: skip
# rule, changes that leave its range, changes close by that do not
RULES_TRIED = [
    ("hertz_pressure", HEAVY, {"duty.radial_load_kN": 700.0}),
    ("yielding", {"duty.radial_load_kN": 600.0}, {"duty.radial_load_kN": 400.0}),
    (
        "slip_scale",
        {"lubricant.raceway_slip_scale_m_per_s": 0.015},
        {"lubricant.raceway_slip_scale_m_per_s": 0.025},
    ),
    ("slip_scale", {"lubricant.sliding_slip_scale_m_per_s": 0.01}, {}),
    ("film_ratio", {"duty.speed_rpm": 30.0}, {"duty.speed_rpm": 300.0}),
    ("minimum_load", {"duty.radial_load_kN": 9.0}, {"duty.radial_load_kN": 11.0}),
    ("minimum_load", {"duty.rotating_load_kN": 15.0}, {"duty.rotating_load_kN": 5.0}),
    (
        "minimum_load",
        {"bearing.dynamic_load_rating_kN": 1100.0},
        {"bearing.dynamic_load_rating_kN": 900.0},
    ),
    (
        "misalignment",
        {"bearing.misalignment_mrad": [3.0, -2.0]},
        {"bearing.misalignment_mrad": [2.0, 2.0]},
    ),
    (
        "small_tilt",
        {"bearing.misalignment_mrad": [5.0, 0.0]},
        {"bearing.misalignment_mrad": [4.5, 0.0]},
    ),
    (
        "centrifugal",
        {"duty.speed_rpm": 6000.0, "duty.radial_load_kN": 20.0},
        {"duty.speed_rpm": 3000.0, "duty.radial_load_kN": 20.0},
    ),
    (
        "end_load",
        {"bearing.misalignment_mrad": [2.0, 0.0]},
        {"bearing.misalignment_mrad": [2.0, 0.0], "roller.profile": "logarithmic"},
    ),
    (
        "slices",
        {"roller.slices": 3, "roller.profile": "crowned", "roller.crown_radius_m": 6.0},
        {"roller.slices": 15, "roller.profile": "crowned", "roller.crown_radius_m": 6.0},
    ),
    (
        "grease_speed",
        {"lubricant.kind": "grease", "duty.speed_rpm": 2800.0},
        {"lubricant.kind": "grease", "duty.speed_rpm": 2700.0},
    ),
    ("grease_speed", {"lubricant.kind": "grease", "duty.speed_rpm": 2800.0}, {}),
    (
        "profile_unused",
        {"solver.motion": "planar", "roller.profile": "logarithmic"},
        {"roller.profile": "logarithmic"},
    ),
    ("guide", {"clearance.pocket_um": 399.0}, {"clearance.pocket_um": 400.0}),
    (
        "roller_guide",
        {"cage.guidance": "roller", "cage.pocket_contour_radius_mm": 20.0},
        {"cage.guidance": "roller", "cage.pocket_contour_radius_mm": 13.6},
    ),
    (
        "land_vortices",
        {"lubricant.viscosity_mPas": 7.5, "duty.speed_rpm": 9000.0},
        {"lubricant.viscosity_mPas": 8.0, "duty.speed_rpm": 9000.0},
    ),
    (
        "land_vortices",
        {"lubricant.viscosity_mPas": 7.5, "duty.speed_rpm": 9000.0},
        {"lubricant.viscosity_mPas": 7.5, "duty.speed_rpm": 9000.0, "lubricant.land_film": "none"},
    ),
    (
        "rating",
        THICK,
        {**THICK, "bearing.dynamic_load_rating_kN": 400.0},
    ),
    ("imbalance", {"cage.imbalance_gmm": 5000.0}, {"cage.imbalance_gmm": 3000.0}),
    (
        "guide",
        {"clearance.pocket_um": 300.0},
        {
            "clearance.pocket_um": 300.0,
            "cage.guidance": "roller",
            "cage.pocket_side_angle_deg": 5.0,
        },
    ),
]


def _warnings(model_case, changes):
    """Warnings of the changed case by rule."""
    built = build_model(changed_case(model_case(), {**QUIET, **changes}), 0.01)
    return {item.rule: item for item in range_warnings(built)}


def test_a_case_within_all_ranges_is_silent(model_case):
    assert _warnings(model_case, {}) == {}


@pytest.mark.parametrize(("rule", "outside", "inside"), RULES_TRIED)
def test_rule_speaks_outside_its_range_only(model_case, rule, outside, inside):
    found = _warnings(model_case, outside)
    assert rule in found
    item = found[rule]
    beyond = item.value > item.bound if item.says == "more than" else item.value < item.bound
    assert beyond
    for text in (item.what, item.follows, item.advice, item.source):
        assert len(text) > 3
    assert rule not in _warnings(model_case, inside)


def test_a_wide_land_is_named_with_the_error_of_the_short_bearing(model_case):
    """A land half as wide as its diameter needs a small thick cage: built by hand."""
    point = operating_point(build_model(changed_case(model_case(), QUIET), 0.01))
    land = point.built.model.land
    rule = next(rule for rule in RULES if rule.__name__ == "_short_land")
    for arm, speaks in ((0.0045, True), (0.0049, False)):
        model = point.built.model._replace(land=land._replace(arm=arm))
        narrow = _with(point, built=_with(point.built, model=model))
        found = list(rule(narrow))
        assert bool(found) == speaks
        if found:
            assert found[0].value == pytest.approx(4.75 / 9.0)
            assert "29 % too much" in found[0].follows


def _with(item, **changes):
    """A frozen dataclass with values replaced."""
    return replace(item, **changes)


def test_every_rule_is_tried():
    names = {rule.__name__ for rule in RULES}
    tried = {"pressure" if name == "hertz_pressure" else name for name, _, _ in RULES_TRIED}
    tried = {"film" if name == "film_ratio" else name for name in tried}
    assert {f"_{name}" for name in tried} | {"_short_land"} == names


def test_short_bearing_overrates_as_the_tables_say():
    """R-B over Ocvirk at eps = 0.6: 0.94, 0.79, 0.52 at L/D = 1/4, 1/2, 1 (from memory)."""
    for ratio, share in ((0.25, 0.94), (0.5, 0.79), (1.0, 0.52)):
        assert short_bearing_overrating(ratio) == pytest.approx(1.0 / share - 1.0, rel=1e-9)
    assert short_bearing_overrating(0.0) == 0.0


def test_vortices_begin_at_the_number_of_taylor(model_case):
    """880 kg/m3 times R omega_cage times half the play over 7.5 mPas, against 41.1 sqrt(R/c)."""
    found = _warnings(model_case, {"lubricant.viscosity_mPas": 7.5, "duty.speed_rpm": 9000.0})
    speed = 0.099 * 9000.0 * math.pi / 30.0 * 0.5 * (1.0 - 26.0 / 182.0)
    assert found["land_vortices"].value == pytest.approx(880.0 * speed * 200e-6 / 7.5e-3, rel=1e-9)
    assert found["land_vortices"].bound == pytest.approx(41.1 * math.sqrt(0.099 / 200e-6), rel=1e-9)


def test_minimum_load_says_what_it_compares(model_case):
    """C of the case: 1.1 x f_c(26/182) x 42.24^(7/9) x 18^(3/4) x 26^(29/27), f_c = 87.8."""
    item = _warnings(model_case, {"duty.radial_load_kN": 9.0})["minimum_load"]
    rating = 1.1 * 87.8 * 42.24 ** (7 / 9) * 18**0.75 * 26.0 ** (29 / 27)
    assert item.bound == pytest.approx(0.02 * rating / 1e3, rel=1e-3)
    ring = 2.94  # kg, inner ring
    assert item.value == pytest.approx(9.0 + ring * 9.80665e-3, rel=1e-3)


def test_smallest_and_largest_load_over_a_turn(model_case):
    changes = {"duty.rotating_load_kN": 5.0, "duty.gravity": False}
    assert load_span(build_model(changed_case(model_case(), changes), 0.01)) == pytest.approx(
        (15e3, 25e3)
    )


def test_tables_of_load_and_speed_count_with_their_extremes(model_case):
    """Rows [s, kN, degrees, kN]; a rotating load within the range of the steady one leaves none."""
    built = build_model(changed_case(model_case(), {"duty.gravity": False}), 0.01)
    rows = ((0.0, 20.0, -90.0, 0.0), (1.0, 4.0, 10.0, 0.0), (2.0, 12.0, -90.0, 0.0))

    def with_duty(**changes):
        duty = SimpleNamespace(**{**dict(built.case.duty), "load_table": rows, **changes})
        return _with(built, case=_with(built.case, duty=duty))

    assert load_span(with_duty()) == pytest.approx((4e3, 20e3))
    assert load_span(with_duty(rotating_load_kN=1.0)) == pytest.approx((3e3, 21e3))
    assert load_span(with_duty(rotating_load_kN=5.0)) == pytest.approx((0.0, 25e3))
    speeds = ((0.0, 0.0), (1.0, -1500.0))
    fast = with_duty(speed_table=speeds, outer_speed_rpm=100.0).case
    assert speed_factor(fast) == pytest.approx(182.0 * 1600.0)
    both = with_duty(speed_table=speeds, outer_speed_table=((0.0, -300.0), (0.5, 900.0))).case
    assert speed_factor(both) == pytest.approx(182.0 * 2400.0)


def test_ring_and_rotor_on_a_shaft_both_weigh(model_case):
    """What hangs on the bearing is the ring and the rotor share behind the shaft stiffness."""
    changes = {
        "duty.radial_load_kN": 0.0, "duty.rotor_mass_kg": 40.0,
        "duty.shaft_stiffness_N_per_um": 120.0,
    }  # fmt: skip
    built = build_model(changed_case(model_case(), changes), 0.01)
    ring = 2.94  # kg, inner ring
    assert load_span(built) == pytest.approx((42.94 * 9.80665,) * 2, rel=1e-3)
    assert built.model.ring.mass == pytest.approx(ring, rel=1e-3)


@pytest.mark.parametrize("clearance", [0.0, 60.0, -10.0])
def test_load_zone_agrees_with_the_loaded_rollers(model_case, clearance):
    """cos(half zone) = P_d/(2 delta_r): rollers inside it are loaded, those outside are not.

    Close to the edge the centrifugal force decides, which the formula leaves out.
    """
    built = build_model(changed_case(model_case(), {"clearance.radial_um": clearance}), 0.01)
    zone = load_zone(built)
    x, y = built.statics.displacement
    off = np.abs(np.mod(built.azimuths - math.atan2(y, x) + math.pi, 2 * math.pi) - math.pi)
    assert np.all(zone.inner[off < zone.extent / 2.0 - 0.05] > 0.0)
    assert np.all(zone.inner[off > zone.extent / 2.0] == 0.0)
    assert zone.loaded == np.sum(zone.inner > 0.0)
    assert zone.inner[zone.most_loaded] == zone.inner.max()
    if clearance == 0.0:
        assert zone.extent == pytest.approx(math.pi)
        assert zone.parameter == pytest.approx(0.5)
    assert (zone.extent < math.pi) == (clearance > 0.0)


def test_pressure_of_the_operating_point_is_that_of_hertz(model_case):
    """Straight rollers: p0 = sqrt(w E'/(pi R)) with 1/R = 1/13 + 1/78 or 1/13 - 1/104 mm."""
    built = build_model(changed_case(model_case(), {**QUIET, "clearance.radial_um": 0.0}), 0.01)
    point = operating_point(built)
    modulus = 206e9 / (2.0 * (1.0 - 0.09))
    # Zero clearance: Q_max = 4.08 F/Z within the share of 18 rollers.
    force = 4.08 * point.largest_load / 18
    for pressure, curvature in (
        (point.inner_pressure, 1 / 0.013 + 1 / 0.078),
        (point.outer_pressure, 1 / 0.013 - 1 / 0.104),
    ):
        expected = math.sqrt(force / 0.04224 * modulus * curvature / math.pi)
        assert pressure == pytest.approx(expected, rel=0.01)
