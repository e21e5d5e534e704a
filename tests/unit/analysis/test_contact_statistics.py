"""Statistics of contact episodes against the plain definitions."""

import numpy as np
import pytest

from rollsim.analysis.contacts import contact_statistics, grouped_percentiles, select_episodes


def test_grouped_percentiles_equal_numpy_group_by_group():
    rng = np.random.default_rng(5)
    group = rng.integers(0, 9, 4000)
    group[group == 4] = 3
    values = rng.exponential(50.0, 4000)
    found = grouped_percentiles(group, values, 9, (50, 90, 99))
    for number in range(9):
        mine = values[group == number]
        if number == 4:
            assert np.isnan(found[:, 4]).all()
        else:
            np.testing.assert_allclose(found[:, number], np.percentile(mine, [50, 90, 99]))


def test_every_column_of_one_contact(plain):
    table = plain.impact_rows(
        [
            # roller, face, start, duration, peak, impulse, approach speed, azimuth
            [2, 1, 0.5, 1e-3, 100.0, 0.06, 0.10, 0.0],
            [2, 1, 1.5, 4e-3, 300.0, 0.50, 0.30, 0.0],
            [2, 1, 0.1, 9e-3, 999.0, 9.00, 9.00, 0.0],  # before the window
            [-1, 5, 0.7, 2e-3, 40.0, 0.02, 0.05, 0.0],
            [0, 3, 1.0, 2e-3, np.nan, 0.02, 0.05, 0.0],
        ]
    )
    pockets, lands, dropped = select_episodes(table, 0.4, 2.4, rollers=3)
    assert dropped == 1
    zero = np.zeros((3, 4))
    found = contact_statistics(pockets, zero, zero, duration=2.0)
    assert found.episodes.sum() == 2
    assert found.rate[2, 1] == 1.0
    assert found.percentile_50[2, 1] == 200.0
    assert found.percentile_99[2, 1] == pytest.approx(298.0)
    assert found.impulse_rate[2, 1] == pytest.approx(0.28)
    assert found.approach_speed[2, 1] == pytest.approx(0.2)
    assert found.longest_duration[2, 1] == 4e-3
    assert np.isnan(found.approach_speed[0, 0]) and np.isnan(found.percentile_90[0, 0])
    of_land = contact_statistics(lands, np.zeros(2), np.zeros(2), duration=2.0)
    assert of_land.episodes.tolist() == [0, 1]
    assert of_land.percentile_50[1] == 40.0


def test_an_empty_table_gives_zeros(plain):
    pockets, _, dropped = select_episodes(plain.impact_rows([]), 0.0, 1.0, rollers=3)
    found = contact_statistics(pockets, np.zeros((3, 4)), np.zeros((3, 4)), duration=1.0)
    assert dropped == 0
    assert found.episodes.sum() == 0 and found.longest_duration.max() == 0.0
