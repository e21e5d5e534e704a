"""Every mechanism of failure against numbers worked by hand."""

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest
from cage_cases import cage_case, cage_text
from synthetic_history import write_synthetic_history

from rollsim.analysis.pooling import RunPeaks
from rollsim.case.read import parse_case
from rollsim.fatigue.contact_limits import land_pressure, pocket_pressure
from rollsim.fatigue.evidence import evidence
from rollsim.fatigue.judged import POCKET, judged_run
from rollsim.fatigue.mechanisms import (
    Mechanism,
    governing,
    interval_word,
    service_level,
    static_mechanisms,
)
from rollsim.fatigue.pooling import pooled_verdict
from rollsim.history.reader import open_history
from rollsim.sweep.quantities import QUANTITIES, measure

BRASS, STEEL = 97e9 / (1.0 - 0.35**2), 206e9 / (1.0 - 0.3**2)
MODULUS = 1.0 / (1.0 / BRASS + 1.0 / STEEL)


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    """A second of 150 N pulses on the leading pocket sides."""
    path = tmp_path_factory.mktemp("mechanisms") / "run.h5"
    write_synthetic_history(path, roller_count=18, duration_s=1.0, pulse_peak=150.0)
    return path


@pytest.fixture(scope="module")
def run(path):
    """The same, evaluated."""
    with open_history(path) as history:
        return judged_run(history)


def line_of(run, name):
    """A mechanism of one run."""
    (line,) = [one for one in pooled_verdict([[run]]).mechanisms if one.name == name]
    return line


def test_hammering_is_the_hertz_pressure_of_the_largest_force_over_first_yield(run):
    line = line_of(run, "pocket hammering")
    pressure = math.sqrt(150.0 / (0.96 * 0.044) * MODULUS / (math.pi * 0.013))
    assert line.demand == pytest.approx(pressure / 1e6, rel=1e-4)
    assert line.capacity == pytest.approx(220.0 / 0.558)
    assert line.utilisation == pytest.approx(line.demand / line.capacity)
    # Not extrapolated: three times the force, its root in pressure.
    assert line.interval == pytest.approx((line.utilisation, math.sqrt(3.0) * line.utilisation))
    assert "assumed" in line.basis and "leading side" in line.place


def test_concave_pocket_side_lowers_the_pressure():
    text = cage_text().replace("guidance =", "pocket_contour_radius_mm = 13.6\nguidance =")
    flat, concave = (
        pocket_pressure(case, 500.0) for case in (cage_case(), parse_case(text, "c.toml"))
    )
    assert concave / flat == pytest.approx(math.sqrt(1.0 - 13.0 / 13.6))


def test_land_pressure_with_nearly_equal_radii():
    case = cage_case()
    own = 0.5e-3 * case.cage.outer_diameter_mm
    gap = 0.5e-6 * case.clearance.guidance_um
    width = 0.5e-3 * (case.cage.base_ring_thickness_mm + case.cage.cover_thickness_mm)
    radius = 1.0 / (1.0 / own - 1.0 / (own + gap))
    expected = math.sqrt(900.0 / width * MODULUS / (math.pi * radius))
    assert land_pressure(case, 900.0) == pytest.approx(expected, rel=1e-6)


def test_given_limit_replaces_the_assumed_one(run):
    fatigue = run.case.fatigue.model_copy(update={"pocket_pressure_MPa": 60.0})
    line = line_of(replace(run, case=replace_case(run.case, fatigue)), "pocket hammering")
    assert line.capacity == 60.0 and line.word == "does not survive" and "given" in line.basis


def replace_case(case, fatigue):
    """The case with other rules of fatigue."""
    return replace(case, fatigue=fatigue)


def test_yield_lines_are_the_largest_nominal_stress(run):
    for part, name in zip(run.result.parts, ("closure yield", "bar yield"), strict=True):
        line = line_of(run, name)
        assert line.utilisation == pytest.approx(part.yield_share, rel=1e-6)
        assert line.demand == pytest.approx(part.yield_share * line.capacity, rel=1e-6)
        assert "not extrapolated" in line.note
        assert run.peaks[part.part].peak.max() == pytest.approx(part.yield_share, rel=1e-6)


def test_fatigue_lines_are_one_over_the_reserve(run):
    for part, name in zip(run.result.parts, ("closure fatigue", "bar fatigue"), strict=True):
        line = line_of(run, name)
        assert line.utilisation == pytest.approx(1.0 / part.reserve)
        low, high = part.reserve_interval
        assert line.interval == pytest.approx((1.0 / high, 1.0 / low))


def exponential_run(run, seed, hours=1.0, count=400):
    """The run with an exponential tail of forces: 100 N and a mean of 50 N above."""
    peak = 100.0 + 50.0 * np.random.default_rng(seed).exponential(size=count)
    return replace(
        run,
        seed=seed,
        peaks={**run.peaks, POCKET: RunPeaks(peak, hours)},
        greatest={**run.greatest, POCKET: float(peak.max())},
    )


@pytest.mark.parametrize("count", [1, 3])
def test_forces_are_extrapolated_to_the_service_life(run, count):
    runs = [exponential_run(run, seed) for seed in range(count)]
    level = service_level(runs, POCKET, 1000.0)
    # Passed once in 1000 h at 400 peaks an hour.
    truth = 100.0 + 50.0 * math.log(400.0 * 1000.0)
    assert level.told and level.low < truth < level.high
    assert level.low >= max(one.greatest[POCKET] for one in runs)
    line = next(
        one for one in static_mechanisms([(runs, 1000.0)]) if one.name == "pocket hammering"
    )
    assert line.demand == pytest.approx(pocket_pressure(run.case, level.value) / 1e6)
    assert "extrapolated to 1000 h" in line.note


def test_wear_is_told_and_judged_only_with_a_limit(run):
    worn = replace(
        run,
        wear={"pocket impulse": 12.0, "land PV": 3e6},
        wear_places={"pocket impulse": "pocket 4, leading side", "land PV": "base land"},
    )
    told = line_of(worn, "pocket impulse")
    assert told.word == "told only" and told.demand == 12.0 and math.isnan(told.utilisation)
    assert line_of(worn, "land PV").demand == pytest.approx(3.0)
    limits = {"pocket_impulse_N": 10.0, "land_pv_MPa_m_per_s": 6.0}
    fatigue = run.case.fatigue.model_copy(update=limits)
    judged = replace(worn, case=replace_case(run.case, fatigue))
    assert line_of(judged, "pocket impulse").word == "does not survive"
    assert line_of(judged, "pocket impulse").utilisation == pytest.approx(1.2)
    assert line_of(judged, "land PV").utilisation == pytest.approx(0.5)


def test_no_land_line_where_the_rollers_guide(run):
    cage = run.case.cage.model_copy(update={"guidance": "roller"})
    free = replace(run, case=replace(run.case, cage=cage))
    names = [line.name for line in static_mechanisms([([free], 100.0)])]
    assert "land load" not in names and "pocket hammering" in names


def a_line(name, used, interval):
    """A mechanism with a word from its interval."""
    word = interval_word(interval)
    return Mechanism(name, "", "", used, used, 1.0, "", "", "", interval, word)


def test_the_worst_word_governs_then_the_largest_utilisation():
    safe, doubtful = a_line("safe", 0.9, (0.8, 0.95)), a_line("doubtful", 0.5, (0.4, 1.4))
    broken = a_line("broken", 1.1, (1.05, 1.2))
    told = Mechanism("wear", "", "", math.nan, 5.0, math.nan, "N", "", "")
    assert governing((safe, a_line("less", 0.2, (0.1, 0.3)), told)) is safe
    assert governing((safe, doubtful, told)) is doubtful
    assert governing((safe, doubtful, broken, told)) is broken
    assert interval_word(None) == "cannot tell"


def test_evidence_is_plain_numbers_and_a_quantity_of_runs(path):
    with open_history(path) as history:
        found = evidence(history)
        assert evidence([history]).interval == found.interval
    assert pickle.loads(pickle.dumps(found)).word == found.word
    assert found.governing == "closure fatigue" and found.runs == 1
    assert found.governing_utilisation == pytest.approx(1.0 / found.closure_reserve)
    assert found.largest_pocket_force == pytest.approx(150.0, rel=1e-6)
    numbers = measure(QUANTITIES["utilisation"], QUANTITIES["closure_damage"])(path)
    assert numbers == {
        "utilisation": found.governing_utilisation,
        "closure_damage": found.closure_damage_per_h,
    }
