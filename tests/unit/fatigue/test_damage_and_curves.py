"""S-N lines, mean stress, Miner sum and reserve factor."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.case.materials import shipped_material
from rollsim.errors import RollsimError
from rollsim.fatigue.counting import Cycles, CycleTable, rainflow
from rollsim.fatigue.damage import life_hours, miner_sum, reserve_factor
from rollsim.fatigue.endurance import size_factor, surface_factor
from rollsim.fatigue.mean_stress import equivalent_amplitudes, law_code
from rollsim.fatigue.sn_curve import SNCurve, sn_curve, survival_factor
from rollsim.kernels.rainflow import cycle_damage

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


@pytest.mark.parametrize("law", ["none", "goodman", "gerber"])
def test_vector_form_equals_the_compiled_one(law):
    curve = replace(CURVE, mean_law=law)
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
