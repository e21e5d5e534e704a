"""Slip in and outside the load zone, at changing speed, in windows; smearing by orbit angle."""

import numpy as np
import pytest

from rollsim.analysis.rolling import loaded_rollers, rolling_speeds, turn_edges
from rollsim.analysis.settled import settled_window
from rollsim.analysis.slip import slip, slip_of
from rollsim.errors import RollsimError

RATIO = 1.0 / 7.0


@pytest.fixture
def rolling(plain):
    """A rolling bearing with a load zone."""
    history = plain.add_wear(plain.plain_history())
    history.attributes |= {"roller_radius_m": 0.013, "pitch_radius_m": 0.091}
    return history


def test_a_rolling_bearing_does_not_slip(rolling):
    result = slip(rolling)
    for found in (result.cage, result.orbit, result.spin, result.orbit_loaded, result.spin_loaded):
        assert (found.mean, found.low, found.high) == pytest.approx((0.0, 0.0, 0.0), abs=1e-12)
    assert result.loaded_share == pytest.approx(1.0 / 3.0, abs=0.02)
    assert result.smearing.largest == (0.0, 0.0)
    assert result.trends == ()
    assert len(result.windows.start) == 20
    assert result.windows.cage == pytest.approx(np.zeros(20), abs=1e-12)


def test_slip_in_the_load_zone_and_outside(rolling):
    """Rollers spin 2 % too slowly without load, orbit 1 % too fast with it."""
    inside = rolling.channels["raceway_force"][:, :, 1] > 0.0
    rolling.channels["roller_spin_speed"][~inside] *= 0.98
    rolling.channels["roller_orbit_speed"][inside] *= 1.01
    result = slip(rolling)
    assert result.spin_unloaded.mean == pytest.approx(0.02)
    assert result.spin_loaded.mean == pytest.approx(0.0, abs=1e-12)
    assert result.orbit_loaded.mean == pytest.approx(-0.01)
    assert result.orbit_unloaded.mean == pytest.approx(0.0, abs=1e-12)
    share = 1.0 - inside.mean()
    assert result.spin.mean == pytest.approx(0.02 * share)
    assert result.windows.spin_unloaded == pytest.approx(np.full(20, 0.02))


def test_at_changing_speed_slip_counts_against_the_ring_speed_of_the_moment(rolling):
    """The ring runs up from half its speed; cage and rollers follow and roll."""
    time = rolling.time
    stated = rolling.attributes["inner_speed_rad_per_s"]
    # Epicyclic: cage speed (1 - g)/2 and spin -(1 - g)/(2 g) of the ring's.
    rolling.attributes["epicyclic_cage_speed_rad_per_s"] = 0.5 * (1.0 - RATIO) * stated
    rolling.attributes["epicyclic_roller_spin_rad_per_s"] = -0.5 * (1.0 - RATIO) / RATIO * stated
    speed = stated * (0.5 + 0.5 * time / time[-1])
    rolling.channels["inner_speed"] = speed
    cage = 0.5 * (1.0 - RATIO) * speed
    rolling.channels["cage_speed"] = 0.97 * cage
    rolling.channels["roller_orbit_speed"][:] = cage[:, None]
    rolling.channels["roller_spin_speed"][:] = -cage[:, None] / RATIO
    result = slip(rolling)
    assert result.cage.mean == pytest.approx(0.03)
    assert (result.cage.low, result.cage.high) == pytest.approx((0.03, 0.03))
    assert result.spin.mean == pytest.approx(0.0, abs=1e-12)
    # 4 s from half the speed to the whole.
    assert result.windows.speed_rate == pytest.approx(np.full(20, 0.125 * stated), rel=1e-9)
    assert result.windows.speed[[0, -1]] / stated == pytest.approx([0.5125, 0.9875], abs=1e-3)
    # Now the cage lags more the faster the ring turns; the load stays as it is.
    rolling.channels["cage_speed"] = cage * (1.0 - 0.03 * speed / stated)
    trends = {(trend.slip, trend.quantity): trend for trend in slip(rolling).trends}
    trend = trends["cage", "speed of the rings"]
    assert trend.correlation == pytest.approx(1.0)
    assert trend.low == pytest.approx(0.03 * (0.5 + 0.5 / 6.0), rel=0.05)
    assert not any(quantity == "load" for _, quantity in trends)


def test_speed_counts_between_the_rings(rolling):
    """An outer ring that turns backward adds to the speed; its channel goes before the case."""
    inner = rolling.attributes["inner_speed_rad_per_s"]
    rolling.attributes["outer_speed_rad_per_s"] = -5.0
    assert slip(rolling).windows.speed == pytest.approx(np.full(20, inner + 5.0))
    rolling.attributes |= {"outer_speed_rad_per_s": 0.0}
    rolling.channels["outer_speed"] = np.full(len(rolling.time), 0.0)
    assert slip(rolling).windows.speed == pytest.approx(np.full(20, inner))


def test_rolling_follows_a_changing_outer_ring(rolling):
    """The outer ring's part: (1 + g)/2 of its speed for the cage, (1 + g)/(2 g) for the spin."""
    window = settled_window(rolling)
    cage, spin = rolling_speeds(rolling, window)
    outer = np.linspace(-3.0, 5.0, len(rolling.time))
    rolling.channels["outer_speed"] = outer
    more_cage, more_spin = rolling_speeds(rolling, window)
    assert more_cage - cage == pytest.approx(0.5 * (1.0 + RATIO) * outer, abs=1e-12)
    assert more_spin - spin == pytest.approx(0.5 * (1.0 + RATIO) / RATIO * outer, abs=1e-11)


def test_near_standstill_there_is_no_slip_to_tell(rolling):
    speed = np.linspace(-1.0, 1.0, len(rolling.time))
    rolling.attributes["epicyclic_cage_speed_rad_per_s"] = 0.5 * (1.0 - RATIO)
    rolling.attributes["inner_speed_rad_per_s"] = 1.0
    rolling.channels["inner_speed"] = speed
    cage, _ = rolling_speeds(rolling, settled_window(rolling))
    assert np.isnan(cage).mean() == pytest.approx(0.05, abs=0.002)
    assert np.nanmin(np.abs(cage)) >= 0.05 * 0.5 * (1.0 - RATIO) - 1e-12
    found = slip_of(0.9 * cage, cage)
    assert found.mean == pytest.approx(0.1)


def test_trend_of_slip_with_load(rolling):
    """The heavier the load the smaller the slip: rank correlation -1."""
    time = rolling.time
    factor = np.where(time < 2.0, 1.0, 3.0) + 0.1 * time
    rolling.channels["raceway_force"] *= factor[:, None, None]
    rolling.channels["cage_speed"] = 50.0 * (1.0 - 0.05 / factor)
    trend = next(t for t in slip(rolling).trends if (t.slip, t.quantity) == ("cage", "load"))
    assert trend.correlation == pytest.approx(-1.0)
    assert trend.low == pytest.approx(0.05 / 1.07, rel=0.05)
    assert trend.high == pytest.approx(0.05 / 3.33, rel=0.05)


def test_load_of_a_window_is_the_sum_of_the_forces(rolling):
    """Two rollers in the zone at +-30 degrees of it: sum 2 * 1000 cos 30 or 1000 N of one."""
    load = slip(rolling).windows.load
    azimuth = rolling.channels["roller_azimuth"]
    force = rolling.channels["raceway_force"][:, :, 1] * np.exp(1j * azimuth)
    assert load.mean() == pytest.approx(np.abs(force.sum(axis=1)).mean(), rel=1e-3)


def test_loaded_rollers_pass_a_tenth_of_the_mean_greatest_force():
    force = np.array([[100.0, 9.0], [300.0, 21.0], [1.0, 0.2], [1.0, 0.05]])
    expected = [[True, False], [True, True], [True, True], [True, False]]
    assert loaded_rollers(force, np.array([0, 2, 4])).tolist() == expected


def test_windows_hold_a_turn_where_that_works():
    assert len(turn_edges(4000, 8.2, 20, 4)) == 9
    assert len(turn_edges(4000, 100.0, 20, 4)) == 21
    assert len(turn_edges(4000, np.nan, 20, 4)) == 21
    assert len(turn_edges(6, 100.0, 20, 4)) == 4


def test_smearing_is_found_where_it_was(rolling):
    rolling.peaks["raceway_smearing"][:, :, 0] = 1e6
    rolling.peaks["raceway_smearing"][1234, 4, 1] = 5e7
    found = slip(rolling).smearing
    assert found.largest == (1e6, 5e7)
    assert found.largest_roller[1] == 4
    assert found.largest_time[1] == pytest.approx(rolling.time[1234])
    angle = np.mod(rolling.channels["roller_azimuth"][1234, 4], 2.0 * np.pi)
    assert found.largest_azimuth[1] == pytest.approx(angle)
    sector = int(angle // (2.0 * np.pi / 36))
    assert found.sector_maximum[sector, 1] == 5e7
    assert found.sector_maximum[:, 1].sum() == 5e7
    assert found.sector_mean[:, 0] == pytest.approx(np.full(36, 1e6))
    assert found.maximum[4, 1] == 5e7
    assert found.percentile_99[4, 1] == 0.0


def test_a_history_of_an_earlier_version_has_no_smearing(rolling):
    del rolling.peaks["raceway_smearing"]
    result = slip(rolling)
    assert result.smearing is None
    assert any("earlier" in note for note in result.notes)


def test_no_window_is_refused(rolling):
    with pytest.raises(RollsimError, match="at least 1; 0"):
        slip(rolling, windows=0)
