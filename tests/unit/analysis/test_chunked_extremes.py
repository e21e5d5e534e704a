"""Reductions that are read in pieces equal those of the whole channel."""

import numpy as np
import pytest

from rollsim.analysis import chunks
from rollsim.analysis.reduction import block_min_max


class _Channel:
    """Stands for a history with one channel."""

    def __init__(self, values):
        self._values = values
        self.time = np.arange(len(values), dtype=float)

    def rows(self, name, first, last, group):
        """Rows of the channel; never more than a piece."""
        assert last - first <= 2 * chunks.CHUNK
        return self._values[first:last]


@pytest.mark.parametrize("samples", [1, 7, 400, 401, 65_000])
def test_pieces_equal_the_whole(samples):
    values = np.random.default_rng(5).normal(size=(samples, 3))
    found = chunks.chunked_min_max(_Channel(values), "any", 400)
    wanted = block_min_max(values, 400)
    assert (found.edges == wanted.edges).all()
    assert (found.low == wanted.low).all()
    assert (found.high == wanted.high).all()


def test_rows_are_changed_before_they_are_reduced():
    values = np.random.default_rng(6).normal(size=(50_000, 4))
    found = chunks.chunked_min_max(
        _Channel(values), "any", 10, change=lambda rows: np.abs(rows).max(axis=1)
    )
    assert (found.high == block_min_max(np.abs(values).max(axis=1), 10).high).all()
