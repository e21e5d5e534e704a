"""S-N lines, mean stress, Miner sum and reserve factor."""

import math
from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_text

from rollsim.case.materials import shipped_material
from rollsim.case.read import parse_case
from rollsim.errors import RollsimError
from rollsim.fatigue.counting import Cycles, CycleTable, rainflow
from rollsim.fatigue.damage import grows_with_load, life_hours, miner_sum, reserve_factor
from rollsim.fatigue.endurance import size_factor, surface_factor
from rollsim.fatigue.mean_stress import LAWS, equivalent_amplitudes, law_code, mean_sensitivity
from rollsim.fatigue.sn_curve import (
    DAMAGE_RULES,
    SNCurve,
    case_sn_curve,
    slope_beyond_knee,
    sn_curve,
    survival_factor,
)
from rollsim.kernels.cycle_damage import cycle_damage

CURVE = SNCurve(100e6, 1e6, 5.0, 9.0, 400e6)


def one(stress_range, mean, count):
    """Cycles of one sort."""
    return Cycles(np.array([stress_range]), np.array([mean]), np.array([count]))


def test_line_on_both_sides_of_the_knee():
    assert CURVE.cycles(np.array([200e6, 100e6, 50e6])) == pytest.approx(
        [1e6 / 2**5, 1e6, 1e6 * 2**9]
    )
    assert CURVE.cycles(0.0) == math.inf
    assert replace(CURVE, slope_beyond=math.inf).cycles(99e6) == math.inf


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("beyond", [9.0, math.inf])
def test_vector_form_equals_the_compiled_one(law, beyond):
    curve = replace(CURVE, mean_law=law, mean_parameter=0.3, slope_beyond=beyond)
    rng = np.random.default_rng(3)
    ranges, means = rng.uniform(0, 500e6, 300), rng.uniform(-350e6, 350e6, 300)
    compiled = [cycle_damage(r, m, curve.line) for r, m in zip(ranges, means, strict=True)]
    assert curve.damage(ranges, means) == pytest.approx(compiled, rel=1e-10)


def test_mean_at_the_ultimate_strength_is_beyond_any_life():
    assert equivalent_amplitudes(1e6, 400e6, 400e6, "goodman") == math.inf
    assert CURVE.damage(2e6, 400e6) > 1.0


def test_survival_lowers_the_strength():
    assert survival_factor(0.5) == 1.0
    # One standard deviation below the median: 15.9 % fail.
    assert survival_factor(0.8413447) == pytest.approx(math.exp(-0.08), rel=1e-6)
    steel = shipped_material("rivet_steel")
    curve = sn_curve(steel, 0.9, 0.95)
    assert curve.strength == pytest.approx(180e6 * 0.9 * survival_factor(0.95))
    assert (curve.slope, curve.ultimate) == (5.0, 400e6)


def test_material_without_fatigue_data_is_refused():
    bare = replace(shipped_material("rivet_steel"), fatigue_strength_MPa=None, yield_MPa=None)
    with pytest.raises(RollsimError, match="fatigue_strength_MPa, yield_MPa"):
        sn_curve(bare, 0.9, 0.95)


@pytest.mark.parametrize(
    "call",
    [
        lambda: survival_factor(1.0),
        lambda: law_code("soderberg"),
        lambda: slope_beyond_knee(shipped_material("C86300"), "linear"),
        lambda: mean_sensitivity("copper_alloy", 400.0),
        lambda: sn_curve(shipped_material("CuSn8"), 0.9, 0.95, "fkm"),
        lambda: sn_curve(shipped_material("CuSn8"), 0.9, 0.95, "walker"),
        lambda: surface_factor(500.0, "forged"),
        lambda: size_factor(80.0),
        lambda: rainflow(np.array([1.0, np.nan])),
        lambda: rainflow(np.zeros(0)),
        lambda: rainflow(np.zeros((2, 2))),
    ],
)
def test_unusable_values_are_refused(call):
    with pytest.raises(RollsimError):
        call()


def test_damage_rules_change_the_line_beyond_the_knee():
    steel, brass = shipped_material("rivet_steel"), shipped_material("CuZn40Pb2")
    assert [slope_beyond_knee(steel, rule) for rule in DAMAGE_RULES] == [9.0, math.inf, 5.0, 9.0]
    assert slope_beyond_knee(brass) == slope_beyond_knee(brass, "elementary") == brass.slope
    half = 0.5 * sn_curve(steel, 1.0, 0.5).strength
    shares = [
        float(sn_curve(steel, 1.0, 0.5, damage_rule=rule).damage(2.0 * half, 0.0)) * 1e6
        for rule in ("elementary", "modified", "original")
    ]
    assert shares == pytest.approx([1 / 32, 1 / 512, 0.0])


def test_effects_told_with_the_rules_in_the_case():
    # A pulse from zero: amplitude and mean of a tenth of the ultimate strength.
    def of(law, parameter=0.0):
        return float(equivalent_amplitudes(70.0, 70.0, 700.0, law, parameter)) / 70.0

    sensitivity = mean_sensitivity("steel", 700.0)
    found = [of("goodman"), of("gerber"), of("smith_watson_topper"), of("fkm", sensitivity)]
    assert found == pytest.approx([1.11, 1.01, 1.41, 1.15], abs=0.006)
    assert [1 - survival_factor(0.95, s) for s in (0.08, 0.15)] == pytest.approx(
        [0.12, 0.22], abs=0.006
    )


def test_line_of_a_case_takes_every_key():
    text = cage_text().replace(
        "[fatigue]",
        "[fatigue]\nstrength_scatter = 0.1\nsize_factor = 0.8\nsurface_factor = 0.7\n"
        'survival_probability = 0.9\nmean_stress = "walker"\nwalker_exponent = 0.6\n'
        'damage_rule = "modified"\n',
    )
    settings = parse_case(text, "rules.toml").fatigue
    curve = case_sn_curve(shipped_material("34CrMo4"), settings)
    assert curve.strength == pytest.approx(450e6 * 0.7 * 0.8 * survival_factor(0.9, 0.1))
    assert (curve.mean_law, curve.mean_parameter, curve.slope_beyond) == ("walker", 0.6, 9.0)
    fkm = sn_curve(shipped_material("34CrMo4"), 0.9, 0.95, "fkm")
    assert fkm.mean_parameter == pytest.approx(0.35 - 0.1)


def test_miner_sum_of_two_levels():
    cycles = Cycles(np.array([200e6, 400e6]), np.zeros(2), np.array([2e5, 1e4]))
    assert miner_sum(cycles, CURVE) == pytest.approx(0.2 + 0.01 * 2**5)
    assert life_hours(miner_sum(cycles, CURVE)) == pytest.approx(1 / 0.52)
    assert life_hours(0.0) == math.inf


def test_reserve_without_mean_is_the_ratio_of_amplitudes():
    # 1e6 cycles allowed: the knee amplitude, whatever the slope.
    assert reserve_factor(one(80e6, 0.0, 1e6), CURVE, 1.0) == pytest.approx(2.5)
    # 32 times fewer cycles allow twice the load above the knee.
    assert reserve_factor(one(80e6, 0.0, 1e6 / 32), CURVE, 1.0) == pytest.approx(5.0)


def test_reserve_scales_load_mean_but_not_preload():
    # Goodman at the knee: n Sa/Sk + (Sp + n Sm)/Su = 1.
    cycles = one(60e6, 20e6, 1e6)
    expected = (1 - 100 / 400) / (30 / 100 + 20 / 400)
    assert reserve_factor(cycles, CURVE, 1.0, 100e6) == pytest.approx(expected, rel=1e-6)
    assert reserve_factor(cycles, CURVE, 1.0) == pytest.approx(1 / (30 / 100 + 20 / 400), rel=1e-6)
    assert reserve_factor(cycles, CURVE, 1.0, 401e6) == 0.0


def test_reserve_at_the_factor_uses_up_exactly_what_is_allowed():
    rng = np.random.default_rng(8)
    cycles = Cycles(rng.uniform(5e6, 120e6, 50), rng.uniform(-30e6, 60e6, 50), np.full(50, 40.0))
    factor = reserve_factor(cycles, CURVE, 3e-4, 20e6)
    assert miner_sum(cycles, CURVE, 20e6, factor) == pytest.approx(3e-4, rel=1e-6)


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("beyond", [5.0, 9.0])
def test_reserve_by_every_rule_uses_up_what_is_allowed(law, beyond):
    rng = np.random.default_rng(8)
    cycles = Cycles(rng.uniform(5e6, 120e6, 50), rng.uniform(-60e6, 60e6, 50), np.full(50, 40.0))
    curve = replace(CURVE, mean_law=law, mean_parameter=0.3, slope_beyond=beyond)
    factor = reserve_factor(cycles, curve, 3e-4, 20e6)
    assert miner_sum(cycles, curve, 20e6, factor) == pytest.approx(3e-4, rel=1e-6)
    assert miner_sum(cycles, curve, 20e6, 0.99 * factor) < 3e-4


def test_reserve_where_damage_jumps_at_the_knee():
    # No damage below the knee: the factor that brings the largest amplitude to it.
    curve = replace(CURVE, slope_beyond=math.inf, mean_law="none")
    cycles = Cycles(np.array([80e6, 50e6]), np.zeros(2), np.array([1e9, 1e3]))
    assert reserve_factor(cycles, curve, 1.0) == pytest.approx(2.5, rel=1e-8)
    # Few cycles are allowed above it.
    few = Cycles(np.array([80e6]), np.zeros(1), np.array([1e6 / 32]))
    assert reserve_factor(few, curve, 1.0) == pytest.approx(5.0)


def test_reserve_where_more_load_relieves_the_preload():
    # Compression under preload: by Smith, Watson and Topper damage grows, then falls to nothing.
    # The largest stress is 60 - 20 n, the amplitude 30 n, and their product at most 1350 (n = 1.5).
    curve = replace(CURVE, mean_law="smith_watson_topper")
    cycles = one(60e6, -50e6, 1e3)
    assert not grows_with_load(cycles, curve, 60e6)
    assert grows_with_load(cycles, curve, 0.0)
    assert grows_with_load(cycles, replace(curve, mean_law="goodman"), 60e6)
    top = miner_sum(cycles, curve, 60e6, 1.5)
    assert top == pytest.approx(1e3 / 1e6 * (math.sqrt(1350.0) / 100) ** 9)
    allowed = 0.8 * top
    factor = reserve_factor(cycles, curve, allowed, 60e6)
    assert factor < 1.5 and miner_sum(cycles, curve, 60e6, factor) == pytest.approx(allowed)
    assert miner_sum(cycles, curve, 60e6, 2.8) < allowed
    assert reserve_factor(cycles, curve, 1.1 * top, 60e6) == math.inf


def test_no_cycles_have_no_limit():
    empty = Cycles(np.zeros(0), np.zeros(0), np.zeros(0))
    assert reserve_factor(empty, CURVE, 1.0) == math.inf
    assert reserve_factor(one(0.0, 5e6, 10.0), CURVE, 1.0) == math.inf


def test_table_gives_nearly_the_damage_of_every_cycle():
    rng = np.random.default_rng(2)
    series = 40e6 * np.convolve(rng.normal(size=20000), [0.5, 1.0, 0.5], "same") + 30e6
    table = CycleTable(series.min(), series.max())
    for piece in np.array_split(series, 11):
        table.feed(piece)
    gathered, exact = table.close(), rainflow(series)
    assert gathered.total == pytest.approx(exact.total)
    assert np.sum(gathered.count * gathered.range) == pytest.approx(
        np.sum(exact.count * exact.range)
    )
    assert miner_sum(gathered, CURVE) == pytest.approx(miner_sum(exact, CURVE), rel=5e-3)
    assert len(gathered.range) < 4096 < len(exact.range)
    assert len(table.close().range) == 0
