"""Reserve factor of a preloaded joint: against closed forms, and against heavier histories."""

import math

import numpy as np
import pytest
from force_history import ForceHistory, cover_pulses, no_force

from rollsim.fatigue.damage import reserve_factor
from rollsim.fatigue.joint import beyond
from rollsim.fatigue.reserve import DamageByLoad, crossing, is_found
from rollsim.fatigue.verdict import fatigue
from rollsim.report.fatigue_table import fatigue_dict, fatigue_text


def bolt(share, pull, k, flat=False):
    """Damage of one cycle of a bolt by its preload diagram, 1 at a swing of 1.

    A share of the load goes into the bolt while the joint is closed; once the load on the parts,
    (1 - share) F, has used up the preload, all of it does. flat: no damage below a swing of 1.
    """

    def damage(factor):
        swing = share * factor if (1.0 - share) * factor <= pull else factor - pull
        return np.array([0.0 if flat and swing < 1.0 else swing**k])

    return damage


@pytest.mark.parametrize("k", [3.0, 6.0, 11.0])
@pytest.mark.parametrize("flat", [False, True])
@pytest.mark.parametrize(
    ("pull", "true"),
    [
        (2.0, 3.0),  # opens at 2.5, needs 2 + 1
        (0.5, 1.5),  # opens at 0.625, before the load as it is
        (9.0, 5.0),  # stays closed until 1/0.2
    ],
)
def test_bolt_of_the_preload_diagram(pull, true, k, flat):
    table = DamageByLoad(bolt(0.2, pull, k, flat))
    # Cycles scaled as they are at the load 1: 1/0.2, or 1/0.5 where the joint is open there.
    found = table.search(1.0, 5.0 if pull > 1.0 else 2.0)
    assert found == pytest.approx(true, rel=0.01)
    assert table.passes <= (14 if flat else 7)


def test_search_goes_both_ways_and_ends_at_its_bounds():
    table = DamageByLoad(bolt(0.2, 9.0, 5.0))
    assert table.search(1.0, 0.5) == pytest.approx(5.0, rel=0.01)
    assert DamageByLoad(lambda s: np.array([2.0])).search(1.0, 3.0) == 0.0
    assert math.isinf(DamageByLoad(lambda s: np.array([0.0])).search(1.0, 3.0))


def test_first_of_several_crossings_counts():
    curve = np.log([[1.0, 0.5], [2.0, 2.0], [3.0, 0.7], [4.0, 3.0]])
    assert crossing(curve) == pytest.approx(math.sqrt(2.0))
    assert not is_found(curve[0], curve[1])
    # Nothing crosses: the damage that is missing comes no sooner than by the steepest rise seen.
    assert beyond(np.log([[1.0, 0.01], [2.0, 0.25]]), 3.0) == pytest.approx(
        2.0 * 4.0 ** (1 / 4.644), rel=1e-3
    )
    assert beyond(np.log([[2.0, 0.125]]), 3.0) == pytest.approx(4.0)


def held(force, preload=800.0, **values):
    """Verdict on pulses on the cover of a cage whose rivets are tightened."""
    return fatigue(ForceHistory(cover_pulses(force), more=f"preload_N = {preload}", **values))


def test_load_scaled_by_the_reserve_of_a_joint_that_opens_is_the_limit():
    first = held(100.0)
    spot = first.closures.spot
    assert first.reserve > first.opening_factor > 1.0 and first.open_share == 0.0
    as_it_is = reserve_factor(
        spot.cycles, spot.curve, first.duration_s / 3600.0 / 20000.0, spot.preload_stress
    )
    ratio = spot.joint_ratio[spot.worst]
    assert first.reserve == pytest.approx(ratio * as_it_is) and ratio < 0.96
    # Stress scaled as it is promised 4.2 here.
    assert as_it_is > 1.04 * first.reserve
    again = held(100.0 * first.reserve)
    assert again.open_share > 0.0 and again.opening_factor < 1.0
    assert again.reserve == pytest.approx(1.0, rel=5e-3)
    assert again.life_h == pytest.approx(20000.0, rel=0.05)
    assert "joint solved again at the scaled loads" in first.reserve_note
    assert first.reserve_note.split()[0] in fatigue_text(first)
    assert fatigue_dict(first)["interface_opens_at_factor"] == pytest.approx(first.opening_factor)


@pytest.mark.parametrize("force", [30.0, 150.0, 300.0, 900.0])
def test_reserve_times_load_is_one_load(force):
    # The limit is a load: whatever history leads to it, open at its own load or not.
    found, base = held(force), held(100.0)
    for one, two in zip(found.spots, base.spots, strict=True):
        assert force * one.reserve.min() == pytest.approx(100.0 * two.reserve.min(), rel=0.01)
    assert found.opening_factor == pytest.approx(100.0 * base.opening_factor / force)


def test_more_preload_opens_later_and_too_much_of_it_leaves_nothing():
    opening = [held(100.0, pull).opening_factor for pull in (300.0, 800.0, 1500.0)]
    assert opening == sorted(opening)
    assert opening[1] / opening[0] == pytest.approx(8.0 / 3.0)
    spent = held(100.0, 5400.0)
    assert spent.closures.reserve == 0.0 and spent.closures.reserve_interval == (0.0, 0.0)


def test_without_preload_the_reserve_is_that_of_the_counted_cycles():
    result = fatigue(ForceHistory(cover_pulses(100.0)))
    allowed = result.duration_s / 3600.0 / 20000.0
    for spot in result.spots:
        counted = reserve_factor(spot.cycles, spot.curve, allowed)
        assert spot.reserve[spot.worst] == pytest.approx(counted, rel=1e-12)
    assert result.reserve_passes == 0.0 and result.opening_factor is None
    assert "without preload" in result.reserve_note


def test_blocks_find_their_own_limit():
    forces = cover_pulses(100.0)
    forces[:1000] *= 0.8
    forces[1000:] *= 1.6
    result = fatigue(ForceHistory(forces, more="preload_N = 800.0"))
    blocks = result.closures.block_reserve
    assert 0.8 * blocks[0] == pytest.approx(1.6 * blocks[-1], rel=0.01)
    assert 160.0 * blocks[-1] == pytest.approx(100.0 * held(100.0).reserve, rel=0.01)
    low, high = result.closures.reserve_interval
    assert low <= result.reserve <= high


def test_one_pushed_pocket_opens_its_own_joint_and_other_bars_keep_more():
    forces = no_force()
    forces[10::20, 6, 3] = 100.0
    result = fatigue(ForceHistory(forces, more="preload_N = 800.0"))
    spot = result.closures.spot
    assert result.closures.bar in (5, 6)
    assert np.all(spot.reserve >= spot.reserve[spot.worst])
    heavier = fatigue(ForceHistory(forces * result.reserve, more="preload_N = 800.0"))
    assert heavier.reserve == pytest.approx(1.0, rel=0.01)
