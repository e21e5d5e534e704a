"""Slip of the cage against load, speed and acceleration: trends of Harris 1966 and Smith 1962.

T. A. Harris, An analytical method to predict skidding in high speed roller bearings, ASLE
Transactions 9 (1966): the cage falls behind under light load and catches up as the load rises, and
it falls behind further at higher speed (trends from memory; C. F. Smith, Proc. IMechE 176 (1962),
measured the same). The rule of a minimum load of 0.02 C is that of bearing makers' catalogues (from
memory). That rollers slip while a lightly loaded bearing is run up, and overrun while it is braked:
common practice, no source.
"""

import numpy as np
import pytest

from rollsim.model.load_rating import case_rating

# Time to reach and average a steady state, s: the lightest load needs four times as long to settle,
# its slip is then still rising.
SETTLED, END = 0.06, 0.12


def _steady(light, end=END, start=SETTLED, **changes):
    return light.run(end, **changes).mean_lag(start, end)


def test_slip_falls_with_load(light):
    """Over a third of the rolling speed at 0.2 % of the rating, 1 % at the minimum load of 2 %."""
    rating = 1e-3 * case_rating(light.make_case())
    assert rating == pytest.approx(48.6, abs=0.5)
    light_load, middle, minimum = (
        _steady(light, duty__radial_load_kN=share * rating) for share in (0.002, 0.006, 0.02)
    )
    assert light_load > 0.15
    assert light_load > 3.0 * middle
    assert middle > 2.0 * minimum
    assert 0.0 < minimum < 0.02


def test_slip_rises_with_speed(light):
    """At 0.3 kN."""
    slow, fast = (_steady(light, duty__radial_load_kN=0.3, duty__speed_rpm=n) for n in (3e3, 12e3))
    assert 0.0 < slow < 0.04
    assert fast > 3.0 * slow


def _ramp(light, steepness, load):
    """Lag over the last quarter of a start from 1000 to 6000 rpm in `steepness` s; the run."""
    table = [[0.0, 1000.0], [steepness, 6000.0]]
    run = light.run(steepness, duty__radial_load_kN=load, duty__speed_table=table)
    return run.mean_lag(0.75 * steepness, steepness), run


def test_slip_rises_with_acceleration(light):
    """The same speeds and load, the start five times as steep twice; ten times the load holds."""
    slow, fast = (_ramp(light, time, 0.5)[0] for time in (0.1, 0.02))
    held, _ = _ramp(light, 0.02, 5.0)
    assert 0.0 < slow < 0.06
    assert fast > 2.5 * slow
    assert abs(held) < 0.02


def test_sign_of_slip_in_start_and_emergency_stop(light):
    """Loaded rollers are slower than the inner raceway in a start, faster in a stop; so the cage.

    Their slip ends at more than a metre a second in the start.
    """
    lag, start = _ramp(light, 0.02, 0.5)
    late = start.times > 0.01
    assert lag > 0.08
    assert start.inner_slip[late][start.loaded[late]].mean() < -1.0
    table = [[0.0, 6000.0], [0.02, 6000.0], [0.04, 0.0]]
    stop = light.run(0.05, duty__radial_load_kN=0.5, duty__speed_table=table)
    late = stop.times > 0.032
    assert stop.mean_lag(0.032, 0.05) < -0.03
    assert stop.inner_slip[late][stop.loaded[late]].mean() > 0.25
    # The lubricated rollers lag a little before the stop.
    assert stop.mean_lag(0.01, 0.02) > 0.0


@pytest.mark.long
def test_slip_over_the_range_of_load(light):
    """Monotone from 0.1 % to 2 % of the rating; above a few per cent nothing slips."""
    loads = (0.05, 0.1, 0.2, 0.4, 0.9, 2.5, 5.0)
    slips = [_steady(light, 0.4, 0.3, duty__radial_load_kN=load) for load in loads]
    assert np.all(np.diff(slips[:5]) < 0.0)
    assert slips[0] > 0.5
    assert max(np.abs(slips[5:])) < 0.012


@pytest.mark.long
@pytest.mark.parametrize("law", ["coulomb", "ehl"])
def test_slip_over_the_range_of_acceleration(light, law):
    """Monotone over a range of 1 to 16 of the steepness, for both laws of traction."""
    lags = []
    for steepness in (0.16, 0.04, 0.01):
        table = [[0.0, 1000.0], [steepness, 6000.0]]
        run = light.run(
            steepness, duty__radial_load_kN=0.2, duty__speed_table=table,
            lubricant__raceway_traction=law,
        )  # fmt: skip
        lags.append(run.mean_lag(0.75 * steepness, steepness))
    assert np.all(np.diff(lags) > 0.0)
