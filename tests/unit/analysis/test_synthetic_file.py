"""Peaks and whirl from a history file on disk, finished and not, against what was written."""

import importlib.util

import numpy as np
import pytest

from rollsim.analysis.peaks import peaks, write_impacts_csv
from rollsim.analysis.whirl import whirl
from rollsim.history.reader import open_history


@pytest.fixture(scope="module")
def write(repository):
    """The writer of histories of known content."""
    path = repository / "tests" / "support" / "synthetic_history.py"
    spec = importlib.util.spec_from_file_location("synthetic_history_for_analysis", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.write_synthetic_history


@pytest.mark.parametrize("ratio", [0.45, -0.3])
def test_whirl_of_a_file(write, tmp_path, ratio):
    truth = write(tmp_path / "run.h5", whirl_ratio=ratio, cage_slip=0.02, duration_s=2.0)
    with open_history(truth.path) as history:
        result = whirl(history)
    assert result.whirl_ratio == pytest.approx(ratio, abs=1e-6)
    assert result.mean_radius == pytest.approx(truth.whirl_radius, rel=1e-6)
    assert result.cage_slip.mean == pytest.approx(0.02, abs=1e-6)
    assert result.roller_spin_slip.mean == pytest.approx(0.0, abs=1e-6)
    assert result.verdict.name == "regular circular"
    assert result.guide == "outer ring" and result.notes == ()


@pytest.mark.parametrize("finish", [True, False])
def test_peaks_of_a_file(write, tmp_path, finish):
    truth = write(tmp_path / "run.h5", duration_s=2.0, peak_spread=0.5, finish=finish)
    settled = truth.starts >= truth.settings.settle_s
    with open_history(truth.path) as history:
        result = peaks(history)
        rows = write_impacts_csv(history, tmp_path / "impacts.csv").read_text().splitlines()
    roller, pulse = np.unravel_index(np.argmax(truth.peaks * settled), truth.peaks.shape)
    assert result.largest.force == pytest.approx(truth.peaks[roller, pulse], rel=1e-6)
    assert (result.largest.roller, result.largest.face) == (roller, "leading")
    middle = truth.starts[roller, pulse] + 0.5 * truth.duration
    assert result.largest.time == pytest.approx(middle, abs=2e-4)
    np.testing.assert_array_equal(result.pockets.episodes[:, 0], settled.sum(axis=1))
    impulse = (truth.impulses * settled).sum(axis=1) / result.duration
    np.testing.assert_allclose(result.pockets.impulse_rate[:, 0], impulse, rtol=1e-6)
    np.testing.assert_allclose(result.pockets.longest_duration[:, 0], truth.duration, rtol=1e-6)
    np.testing.assert_allclose(result.pockets.approach_speed[:, 0], 0.1, rtol=1e-6)
    # A half-sine of peak F fills the share t/spacing of the time: rms = F sqrt(t/(2 spacing)).
    square = (truth.peaks**2 * settled).sum(axis=1) * truth.duration / 2.0 / result.duration
    np.testing.assert_allclose(result.pockets.rms[:, 0], np.sqrt(square), rtol=0.05)
    assert result.extrapolation.horizon_h == 20000.0
    assert result.assumptions[0].startswith("lubricant.oil_fraction = 0.3")
    assert bool(result.notes) is not finish
    assert len(rows) == 1 + truth.starts.size
