"""Block extremes keep every peak."""

import numpy as np

from rollsim.analysis.reduction import block_edges, block_min_max


def test_a_single_spike_survives_any_number_of_blocks():
    values = np.zeros(100_003)
    values[77_777] = 304.0
    values[5] = -9.0
    for blocks in (1, 7, 300, 99_999):
        reduced = block_min_max(values, blocks)
        assert reduced.high.max() == 304.0
        assert reduced.low.min() == -9.0
        where = np.flatnonzero(reduced.high == 304.0)[0]
        assert reduced.edges[where] <= 77_777 < reduced.edges[where + 1]


def test_blocks_cover_every_sample_once():
    edges = block_edges(1003, 10)
    assert edges[0] == 0 and edges[-1] == 1003
    assert set(np.diff(edges)) == {100, 101}


def test_more_blocks_than_samples_gives_the_series_itself():
    values = np.array([[3.0, 1.0], [2.0, 5.0]])
    reduced = block_min_max(values, 50)
    np.testing.assert_array_equal(reduced.high, values)
    np.testing.assert_array_equal(reduced.low, values)
