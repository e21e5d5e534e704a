"""Samples of a recording that are kept to be compared with what is applied."""

import math

import numpy as np

from rollsim.model.recording.kept import Kept

ROWS = np.arange(30.0).reshape(10, 3)


def test_a_part_has_its_own_samples_and_times():
    times, values = Kept(ROWS, 10.0, 10, False).part(0.25, 0.6)
    np.testing.assert_allclose(times, [0.3, 0.4, 0.5, 0.6])
    np.testing.assert_array_equal(values, ROWS[3:7])


def test_a_loop_begins_again_and_a_recording_that_is_over_is_silent():
    _, looped = Kept(ROWS, 10.0, 10, True).part(0.8, 1.2)
    np.testing.assert_array_equal(looped, ROWS[[8, 9, 0, 1, 2]])
    _, once = Kept(ROWS, 10.0, 10, False).part(0.8, 1.2)
    np.testing.assert_array_equal(once[:2], ROWS[8:])
    assert not once[2:].any()


def test_what_was_not_kept_is_told():
    kept = Kept(ROWS, 10.0, 1000, True)
    assert kept.part(0.0, 0.9) is not None
    assert kept.part(0.0, 1.0) is None
    assert kept.longest == 0.9
    assert Kept(ROWS, 10.0, 10, True).longest == math.inf
