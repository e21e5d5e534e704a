"""Long series reduced for pictures and percentiles."""

import numpy as np
import pytest

from rollsim.analysis.chunks import rows_at
from rollsim.analysis.reduction import thinned
from rollsim.analysis.slip_bands import BLOCKS, slip_bands


def test_a_short_series_stays_as_it_is():
    values = np.arange(50_000.0).reshape(-1, 5)
    assert thinned(values) is values


def test_a_long_series_keeps_its_percentiles():
    values = np.random.default_rng(3).normal(size=(300_000, 18))
    some = thinned(values)
    assert len(some) < len(values) and some.size >= 1_000_000
    for level in (0.05, 0.95, 0.99):
        assert np.quantile(some, level) == pytest.approx(np.quantile(values, level), abs=0.01)


def test_bands_keep_the_extremes_of_loaded_rollers():
    time = np.arange(10_000) * 1e-3
    cage, spin = np.zeros(10_000), np.zeros((10_000, 2))
    loaded = np.zeros((10_000, 2), dtype=bool)
    loaded[:, 1] = True
    cage[4321], spin[777, 1], spin[778, 0] = -0.5, 0.9, 7.0
    spin[-100:] = np.nan
    found = slip_bands(time, cage, spin, loaded)
    assert found.cage.min() == -0.5
    assert np.nanmax(found.spin) == 0.9
    assert np.isnan(found.spin[:, -1]).all()
    assert len(found.edges) == BLOCKS + 1
    assert found.samples_per_block == 40.0


def test_chosen_rows_are_read_in_stretches():
    asked = []

    class Rows:
        def rows(self, name, first, last, group="history"):
            asked.append((first, last))
            return np.arange(first, last) * 10.0

    found = rows_at(Rows(), "any", np.array([5000, 3, 7, 3]))
    assert found.tolist() == [50000.0, 30.0, 70.0, 30.0]
    assert asked == [(3, 8), (5000, 5001)]
