"""Pictures of the peaks: peaks survive, files stay small."""

import matplotlib
import numpy as np
import pytest
from matplotlib.image import imread

from rollsim.analysis.peaks import peaks
from rollsim.report import peaks_figures, threshold_figures
from rollsim.report.peaks_figures import draw_exceedance, draw_pocket_map
from rollsim.report.threshold_figures import draw_thresholds


def test_one_sample_in_a_hundred_thousand_shows_in_the_map(plain, tmp_path):
    history = plain.plain_history(samples=100_001, rollers=18)
    force = history.peaks["pocket_force"]
    force[:, :, 0] = 1.0
    force[60_000, 5, 1] = 1000.0
    picture = draw_pocket_map(history, tmp_path / "map")
    assert picture.path.name == "map.png"
    pixels = imread(picture.path)[:, :, :3]
    top = np.array(matplotlib.colormaps["viridis"](1.0)[:3])
    rows, columns = np.nonzero(np.abs(pixels - top).max(axis=2) < 0.02)
    # The colour scale stands at the right; the cell lies at 60 % of the time, the sixth of 18.
    inside = columns < 0.8 * pixels.shape[1]
    assert inside.sum() >= 10
    assert columns[inside].max() - columns[inside].min() <= 4
    assert 0.45 < columns[inside].mean() / pixels.shape[1] < 0.6
    assert 0.45 < rows[inside].mean() / pixels.shape[0] < 0.6
    assert "no peak is lost" in picture.caption and picture.caption.startswith("plain.")


def test_pictures_stay_small(plain, tmp_path):
    history = plain.random_impacts(plain.plain_history(samples=50_001, rollers=18), 5000)
    result = peaks(history)
    for suffix in (".png", ".svg", ".pdf"):
        for picture in (
            draw_exceedance(result, tmp_path / f"curve{suffix}"),
            draw_pocket_map(history, tmp_path / f"map{suffix}"),
        ):
            assert 2_000 < picture.path.stat().st_size < 400_000


def test_without_contact_the_pictures_say_so(plain, tmp_path):
    history = plain.plain_history()
    result = peaks(history)
    assert "Too few independent peaks" in draw_exceedance(result, tmp_path / "curve.png").caption
    assert draw_pocket_map(history, tmp_path / "map.svg").path.stat().st_size > 2_000
    assert draw_thresholds(result, tmp_path / "thresholds.png").path.stat().st_size > 2_000


@pytest.fixture
def kept(monkeypatch):
    """Figures that are saved."""
    figures, save = [], peaks_figures.save_figure

    def keep(figure, path, caption):
        figures.append(figure)
        return save(figure, path, caption)

    monkeypatch.setattr(peaks_figures, "save_figure", keep)
    return figures


def test_without_contact_the_map_is_grey_and_ticks_count_from_one(plain, tmp_path, kept):
    history = plain.plain_history(rollers=18)
    force = history.peaks["pocket_force"]
    force[:, :, 0] = 0.4  # oil film, below the threshold of a contact
    force[:2000, 3, 0] = 50.0
    picture = draw_pocket_map(history, tmp_path / "map.png")
    axes = kept[0].axes[0]
    shown = axes.images[0].get_array()
    assert np.ma.getmaskarray(shown)[[2, 4]].all()
    assert not np.ma.getmaskarray(shown)[3, :100].any()
    assert axes.get_yticks().tolist() == list(range(1, 19, 2))
    assert axes.get_ylim() == (0.5, 18.5)
    assert "Grey: no contact (below 1\u00a0N)" in picture.caption
    pixels = imread(picture.path)[:, :, :3]
    grey = np.abs(pixels - 0xE4 / 255.0).max(axis=2) < 0.01
    assert grey.mean() > 0.4


def test_the_axes_of_the_exceedance_stay_with_the_data(plain, tmp_path, kept):
    history = plain.random_impacts(plain.plain_history(samples=8001), 1500)
    result = peaks(history, horizon_h=20000.0)
    assert result.extrapolation.level is None
    picture = draw_exceedance(result, tmp_path / "far.png")
    axes = kept[0].axes[0]
    assert axes.get_xlim()[1] == pytest.approx(2.0 * result.exceedance.level[-1])
    lowest = 3600.0 / result.duration
    assert axes.get_ylim()[0] >= 0.05 * lowest
    assert "extrapolation" in picture.caption
    assert "20000\u00a0h cannot be told" in picture.caption
    words = [text.get_text() for text in axes.get_legend().get_texts()]
    assert "once in 80 s" in words and "once in 20000 h" not in words


def test_a_level_that_is_told_has_its_mark_inside_the_axes(plain, tmp_path, kept):
    history = plain.random_impacts(plain.plain_history(samples=8001), 1500)
    result = peaks(history, horizon_h=0.1)
    draw_exceedance(result, tmp_path / "near.png")
    axes = kept[0].axes[0]
    (mark,) = [line for line in axes.lines if line.get_label() == "once in 360 s"]
    assert mark.get_xdata()[0] == result.extrapolation.level.level <= axes.get_xlim()[1]
    assert mark.get_ydata()[0] == pytest.approx(10.0)
    assert axes.get_ylim()[0] < 10.0


def test_the_diagnostics_stand_beside_the_return_level(plain, tmp_path, monkeypatch):
    figures = []
    save = threshold_figures.save_figure

    def keep(figure, path, caption):
        figures.append(figure)
        return save(figure, path, caption)

    monkeypatch.setattr(threshold_figures, "save_figure", keep)
    result = peaks(plain.random_impacts(plain.plain_history(samples=8001), 1500), horizon_h=0.1)
    draw_thresholds(result, tmp_path / "thresholds.png")
    titles = [axes.get_title() for axes in figures[0].axes]
    assert titles[:3] == ["Return level", "Mean residual life", "Stability of the shape"]
    assert titles[3] == "Level passed once\nin 360 s"
    middles = [line for line in figures[0].axes[2].lines if line.get_marker() == "o"]
    assert len(middles) == len(result.thresholds.candidates)
    assert 2_000 < (tmp_path / "thresholds.png").stat().st_size < 400_000
