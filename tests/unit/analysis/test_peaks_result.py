"""The whole evaluation of peaks on histories of known content."""

import numpy as np
import pytest

from rollsim.analysis.peaks import peaks
from rollsim.errors import CaseError, RollsimError


def test_the_greatest_force_is_named_with_time_roller_face_and_azimuth(plain):
    history = plain.plain_history(rollers=6, cage_speed=50.0)
    history.attributes["settle_s"] = 0.5
    plain.add_impacts(
        history,
        [
            [4, 2, 1.2345, 1e-3, 700.0, 0.4, 0.2, 0.0],
            [1, 0, 2.0, 1e-3, 300.0, 0.2, 0.1, 0.0],
            [0, 1, 0.1, 1e-3, 9999.0, 5.0, 1.0, 0.0],  # before the settling time
        ],
    )
    result = peaks(history)
    assert result.largest.force == 700.0
    assert (result.largest.roller, result.largest.face) == (4, "base")
    assert result.largest.time == pytest.approx(1.235)
    expected = np.mod(4 * np.pi / 3.0 + 50.0 * 1.235, 2.0 * np.pi)
    assert result.largest.azimuth == pytest.approx(expected)
    assert result.pockets.episodes.sum() == 2
    assert result.pockets.maximum[1, 0] == 300.0
    assert result.duration == pytest.approx(3.5)


def test_a_peak_between_samples_is_taken_from_the_interval_maxima(plain):
    history = plain.plain_history()
    history.peaks["pocket_force"][2000, 3, 1] = 450.0
    history.channels["pocket_force"][2000, 3, 1] = 12.0
    assert peaks(history).largest.force == 450.0


def test_rms_is_the_root_mean_square_over_time(plain):
    history = plain.plain_history(samples=1001)
    phase = 2.0 * np.pi * np.arange(1001) / 1000.0
    history.channels["pocket_force"][:, 2, 0] = 100.0 * np.sin(phase)
    history.channels["land_force"][:, 1] = [3.0, 4.0, 0.0]
    history.peaks["land_force"][:, 1] = 6.0
    result = peaks(history)
    assert result.pockets.rms[2, 0] == pytest.approx(100.0 / np.sqrt(2.0))
    assert result.pockets.rms.sum() == result.pockets.rms[2, 0]
    assert result.lands.rms.tolist() == pytest.approx([0.0, 5.0])
    assert result.lands.maximum.tolist() == [0.0, 6.0]


def test_blocks_split_the_evaluated_time_into_tenths(plain):
    history = plain.plain_history(samples=5001)
    rows = [[0, 0, 0.25 + 0.5 * k, 1e-3, 100.0 + k, 0.05, 0.1, 0.0] for k in range(10)]
    blocks = peaks(plain.add_impacts(history, rows)).blocks
    np.testing.assert_allclose(blocks.start, 0.5 * np.arange(10))
    np.testing.assert_array_equal(blocks.maximum, 100.0 + np.arange(10))
    np.testing.assert_array_equal(blocks.percentile_99, 100.0 + np.arange(10))
    whole = np.sqrt(np.mean(history.channels["pocket_force"][1:] ** 2))
    assert np.sqrt(np.mean(blocks.rms**2)) == pytest.approx(whole)


def test_return_level_agrees_with_the_tail_that_made_the_peaks(plain):
    history = plain.plain_history(samples=20_001)
    # Evenly spaced quantiles of an exponential tail above 5 N, in a mixed order in time.
    odds = (np.arange(800) + 0.5) / 800.0
    peak = 5.0 - 100.0 * np.log(np.random.default_rng(1).permutation(odds))
    start = 0.02 * np.arange(800) + 0.005
    rows = [[k % 6, k % 4, start[k], 1e-3, peak[k], 0.05, 0.1, 0.0] for k in range(800)]
    result = peaks(plain.add_impacts(history, rows), horizon_h=0.1, separation_s=0.0)
    events = 800.0 / result.duration * 360.0
    truth = 5.0 + 100.0 * np.log(events)
    level = result.extrapolation.level
    assert level.low < truth < level.high
    # The fit sees the upper 80 peaks only. Seconds taken for hours would miss by 800 N.
    assert level.level == pytest.approx(truth, rel=0.1)
    assert result.largest.force == pytest.approx(5.0 + 100.0 * np.log(1600.0))


def test_without_any_impact_everything_is_zero_and_nothing_fails(plain):
    result = peaks(plain.plain_history())
    assert result.largest is None and result.tail is None
    assert result.extrapolation.level is None and result.extrapolation.supported is None
    assert "0 independent peaks" in result.extrapolation.reasons[0]
    assert result.pockets.maximum.max() == 0.0
    assert result.planar
    assert np.isnan(result.blocks.percentile_99).all()


def test_the_horizon_comes_from_the_case_or_is_told_as_assumed(plain):
    history = plain.plain_history()
    assert peaks(history).extrapolation.horizon_h == 20000.0
    assert peaks(history, horizon_h=5.0).extrapolation.horizon_h == 5.0

    class Unreadable(type(history)):
        @property
        def case(self):
            raise CaseError([])

        @case.setter
        def case(self, value):
            pass

    history.__class__ = Unreadable
    result = peaks(history)
    assert result.extrapolation.horizon_h == 20000.0
    assert "was assumed" in result.notes[0]


def test_forces_that_are_not_numbers_cut_the_evaluation(plain):
    history = plain.plain_history(samples=1001)
    plain.add_impacts(history, [[0, 0, 0.2, 1e-3, 50.0, 0.02, 0.1, 0.0]])
    history.peaks["land_force"][700:] = np.nan
    result = peaks(history)
    assert result.end == pytest.approx(0.699)
    assert result.largest.force == 50.0
    assert "not numbers" in result.notes[0]


@pytest.mark.parametrize("arguments", [{"horizon_h": 0.0}, {"separation_s": -1.0}])
def test_impossible_arguments_are_refused(plain, arguments):
    with pytest.raises(RollsimError, match="must"):
        peaks(plain.plain_history(), **arguments)
