"""Rainflow counting: the example of ASTM E1049-85 and a hand example."""

from collections import Counter

import numpy as np

from rollsim.fatigue.counting import rainflow

FIGURE_6 = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])


def counts(cycles):
    """Range to number of cycles."""
    total = Counter()
    for stress_range, count in zip(cycles.range.tolist(), cycles.count.tolist(), strict=True):
        total[stress_range] += count
    return dict(total)


def test_counts_of_figure_6():
    # ASTM E1049-85 (2017), figure 6.
    assert counts(rainflow(FIGURE_6)) == {3.0: 0.5, 4.0: 1.5, 6.0: 0.5, 8.0: 1.0, 9.0: 0.5}


def test_means_of_figure_6():
    # The same example with means, as printed in the documentation of a time-series library.
    cycles = rainflow(FIGURE_6)
    rows = list(zip(cycles.range.tolist(), cycles.mean.tolist(), strict=True))
    full = [row for row, n in zip(rows, cycles.count, strict=True) if n == 1.0]
    half = [row for row, n in zip(rows, cycles.count, strict=True) if n == 0.5]
    assert full == [(4.0, 1.0)]
    assert sorted(half) == [
        (3.0, -0.5),
        (4.0, -1.0),
        (6.0, 1.0),
        (8.0, 0.0),
        (8.0, 1.0),
        (9.0, 0.5),
    ]


def test_hand_example():
    # 0, 2, 1, 3, 0: one cycle of range 1 and one (two halves) of range 3, worked by hand.
    assert counts(rainflow(np.array([0.0, 2.0, 1.0, 3.0, 0.0]))) == {1.0: 1.0, 3.0: 1.0}
