"""Runs pooled and duties summed."""

from dataclasses import replace

import pytest
from synthetic_history import CASE_TEXT, write_synthetic_history

from rollsim.errors import RollsimError
from rollsim.fatigue.pooling import pooled_verdict, verdict_of_files
from rollsim.report.mechanisms_figures import draw_mechanisms
from rollsim.report.mechanisms_text import mechanisms_dict, mechanisms_text


def write_run(path, seed=1, speed=1800.0, more="", **settings):
    """A second of pulses with a case of its own."""
    text = CASE_TEXT.format(
        seed=seed, roller_count=18, speed_rpm=speed, duration_s=1.0, settle_s=0.1
    )
    given = {"pulse_peak": 80.0, "peak_spread": 0.5, **settings}
    write_synthetic_history(
        path, roller_count=18, duration_s=1.0, seed=seed, case_text=text + more, **given
    )
    return path


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Three replicates."""
    folder = tmp_path_factory.mktemp("pooling")
    return [write_run(folder / f"run{seed}.h5", seed) for seed in (1, 2, 3)]


@pytest.fixture(scope="module")
def pool(files):
    """Their verdict."""
    return verdict_of_files(files)


def closure(verdict):
    """Fatigue of the closures."""
    return verdict.parts[0]


def test_one_run_keeps_its_own_verdict(files):
    verdict = verdict_of_files(files[:1])
    for pooled, part in zip(verdict.parts, verdict.states[0].runs[0].result.parts, strict=True):
        assert (pooled.life_h, pooled.reserve) == (part.life_h, part.reserve)
        assert pooled.reserve_interval == part.reserve_interval
    assert any("1 run" in warning for warning in verdict.warnings)


def test_the_same_run_thrice_is_as_one(pool):
    run = pool.states[0].runs[0]
    thrice = pooled_verdict([[replace(run, seed=seed) for seed in (1, 2, 3)]])
    part = run.result.parts[0]
    # The damage of streams and that of gathered cycles differ by the width of the fields.
    assert closure(thrice).life_h == pytest.approx(part.life_h, rel=0.01)
    assert closure(thrice).reserve == pytest.approx(part.reserve, rel=1e-3)
    assert closure(thrice).reserve_interval == pytest.approx((part.reserve,) * 2, rel=1e-3)


def test_damage_is_the_mean_of_the_replicates_in_any_order(files, pool):
    again = verdict_of_files(files[::-1])
    assert again.parts == pool.parts
    assert [line.utilisation for line in again.mechanisms[:6]] == [
        line.utilisation for line in pool.mechanisms[:6]
    ]
    found = closure(pool)
    rates = []
    for run in pool.states[0].runs:
        (spot,) = [one for one in run.result.spots if one.name == found.place]
        rates.append(spot.damage_per_h[list(spot.bars).index(found.bar)])
    assert found.damage_per_h == pytest.approx(sum(rates) / 3.0, rel=0.01)
    low, high = found.life_interval_h
    assert low < found.life_h < high and found.interval_from == "replicates"
    assert not any("run." in warning for warning in pool.warnings)


def test_two_duties_of_the_same_damage_are_as_one(files, tmp_path):
    other = write_run(tmp_path / "other.h5", 1, speed=1500.0)
    both = verdict_of_files([files[0], other], shares=(0.25, 0.75))
    alone = verdict_of_files(files[:1])
    assert closure(both).by_state == pytest.approx((0.25, 0.75))
    assert closure(both).life_h == pytest.approx(closure(alone).life_h, rel=0.01)
    part = verdict_of_files([files[0], other], shares=(0.1, 0.1))
    assert closure(part).life_h == pytest.approx(5.0 * closure(both).life_h)
    assert any("80 %, is free of damage" in note for note in part.notes)


def test_load_share_of_the_cases_counts_and_must_not_pass_one(files, tmp_path):
    half = "\n[fatigue]\nload_share = 0.5\n"
    slow = write_run(tmp_path / "slow.h5", 1, speed=1500.0, more=half)
    fast = write_run(tmp_path / "fast.h5", 1, speed=1600.0, more=half, pulse_peak=120.0)
    verdict = verdict_of_files([slow, fast])
    assert [state.share for state in verdict.states] == [0.5, 0.5]
    assert closure(verdict).by_state[1] > 0.9
    with pytest.raises(RollsimError, match=r"sum to 1 at most.*load_share"):
        verdict_of_files([files[0], slow])
    with pytest.raises(RollsimError, match="one each"):
        verdict_of_files([slow, fast], shares=(1.0,))


def test_another_cage_is_no_duty(files, tmp_path):
    text = CASE_TEXT.replace("cover_thickness_mm = 4.5", "cover_thickness_mm = 6.0")
    text = text.format(seed=1, roller_count=18, speed_rpm=1800.0, duration_s=1.0, settle_s=0.1)
    other = tmp_path / "thick.h5"
    write_synthetic_history(other, roller_count=18, duration_s=1.0, pulse_peak=80.0, case_text=text)
    with pytest.raises(RollsimError, match=r"cage.cover_thickness_mm \(4.5 and 6.0\)"):
        verdict_of_files([files[0], other])


def test_words_data_and_picture(pool, tmp_path):
    text = mechanisms_text(pool, closing=True)
    first = text.splitlines()[0]
    assert first.startswith("VERDICT: ") and pool.governing.name in text.split("utilisation")[0]
    assert text.rstrip().endswith("before anyone opens it.")
    for words in ("3 runs (seeds 1, 2, 3)", "pocket hammering", "assumed:", "told only"):
        assert words in text
    assert max(map(len, text.splitlines())) <= 100
    data = mechanisms_dict(pool)
    assert data["governing_mechanism"] == pool.governing.name
    assert data["duties"][0]["seeds"] == [1, 2, 3]
    assert data["mechanisms"][0]["utilisation"] == pool.mechanisms[0].utilisation
    assert data["fatigue_of_parts"][0]["bar"] == closure(pool).bar + 1
    picture = draw_mechanisms(pool, tmp_path / "mechanisms.png")
    assert picture.path.stat().st_size > 10000
    assert pool.governing.name in picture.caption
