"""The compiled solver and scipy's DOP853 give the same statistics of a chaotic motion."""

import numpy as np
import pytest

BLOCK = 0.02


def _blocks(history):
    """Rms of all pocket forces and percentiles of the episode peaks, one row a block of time."""
    force = history.channel("pocket_force")
    table = history.impacts()
    in_pocket = table["roller"] >= 0
    start, peak = table["start"][in_pocket], table["peak"][in_pocket]
    rows = []
    for begin in np.arange(0.02, history.time[-1] - 0.5 * BLOCK, BLOCK):
        inside = (history.time >= begin) & (history.time < begin + BLOCK)
        peaks = peak[(start >= begin) & (start < begin + BLOCK)]
        rms = np.sqrt(np.mean(force[inside] ** 2))
        rows.append([rms, *np.percentile(peaks, [50, 90, 99]), len(peaks)])
    return np.array(rows)


def _assert_equal_within_scatter(first, second):
    """Means of independent blocks differ by less than four standard errors of the difference."""
    error = np.sqrt(
        first.var(axis=0, ddof=1) / len(first) + second.var(axis=0, ddof=1) / len(second)
    )
    distance = np.abs(first.mean(axis=0) - second.mean(axis=0)) / error
    assert np.all(distance < 4.0), distance


def test_short_runs_of_both_solvers_agree_within_their_scatter(six_rollers, run_case):
    ours = _blocks(run_case(six_rollers(), "ours.h5", duration=0.14))
    theirs = _blocks(run_case(six_rollers(), "theirs.h5", duration=0.14, solver="DOP853"))
    assert len(ours) == len(theirs) == 6
    _assert_equal_within_scatter(ours, theirs)


def test_the_comparison_tells_another_bearing_apart(six_rollers, run_case):
    """The same test fails for a pocket without a squeeze film and a stiffer bar."""
    ours = _blocks(run_case(six_rollers(), "ours.h5", duration=0.2))
    changes = {"lubricant__oil_fraction": 0.0, "cage__bar_stiffness_N_per_um": 5e4}
    theirs = _blocks(run_case(six_rollers(**changes), "theirs.h5", duration=0.2))
    with pytest.raises(AssertionError):
        _assert_equal_within_scatter(ours, theirs)


@pytest.mark.long
def test_long_runs_of_both_solvers_agree_within_their_scatter(six_rollers, run_case):
    case = six_rollers(roller__count=12)
    ours = _blocks(run_case(case, "ours.h5", duration=1.02))
    theirs = _blocks(run_case(case, "theirs.h5", duration=1.02, solver="DOP853"))
    assert len(ours) == len(theirs) == 50
    _assert_equal_within_scatter(ours, theirs)
