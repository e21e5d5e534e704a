"""Independent peaks and exceedance rates."""

import numpy as np

from rollsim.analysis.declustering import exceedance_curve, independent_peaks


def slow_marks(time, peak, separation):
    """The definition, peak by peak; of equal peaks the first stays."""
    marks = []
    for i in range(len(time)):
        near = np.abs(time - time[i]) <= separation
        order = sorted(np.flatnonzero(near), key=lambda k: (-peak[k], k))
        marks.append(order[0] == i)
    return np.array(marks)


def test_marks_follow_the_definition():
    rng = np.random.default_rng(2)
    time = np.sort(rng.uniform(0.0, 1.0, 700))
    peak = np.round(rng.exponential(20.0, 700))  # rounding makes equal peaks
    for separation in (0.0, 1e-4, 0.003, 0.02, 2.0):
        np.testing.assert_array_equal(
            independent_peaks(time, peak, separation), slow_marks(time, peak, separation)
        )


def test_one_shock_on_many_rollers_counts_once():
    time = np.concatenate([np.full(18, 0.2), 0.203 + 1e-4 * np.arange(5), [0.9]])
    peak = np.concatenate([np.linspace(10.0, 500.0, 18), np.full(5, 30.0), [80.0]])
    assert peak[independent_peaks(time, peak, 0.01)].tolist() == [500.0, 80.0]


def test_no_peaks_at_all():
    none = np.zeros(0)
    assert len(independent_peaks(none, none, 0.01)) == 0
    assert len(exceedance_curve(none, np.zeros(0, dtype=bool), 1.0, 0.01).level) == 0


def test_exceedance_counts_peaks_at_or_above_the_level():
    peak = np.array([10.0, 20.0, 30.0, 40.0])
    marks = np.array([True, False, False, True])
    curve = exceedance_curve(peak, marks, observed_h=0.5, separation_s=0.01)
    assert curve.rate_all[0] == 8.0 and curve.rate_independent[0] == 4.0
    assert curve.level[-1] == 40.0
    assert curve.rate_all[-1] == curve.rate_independent[-1] == 2.0
    assert np.all(np.diff(curve.rate_all) <= 0.0)
