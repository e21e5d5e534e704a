"""Pictures of the peaks: peaks survive, files stay small."""

import matplotlib
import numpy as np
from matplotlib.image import imread

from rollsim.analysis.peaks import peaks
from rollsim.report.peaks_figures import draw_exceedance, draw_pocket_map


def test_one_sample_in_a_hundred_thousand_shows_in_the_map(plain, tmp_path):
    history = plain.plain_history(samples=100_001, rollers=18)
    force = history.peaks["pocket_force"]
    force[:, :, 0] = 1.0
    force[60_000, 5, 1] = 1000.0
    picture = draw_pocket_map(history, tmp_path / "map")
    assert picture.path.name == "map.png"
    pixels = imread(picture.path)[:, :, :3]
    top = np.array(matplotlib.colormaps["cividis"](1.0)[:3])
    rows, columns = np.nonzero(np.abs(pixels - top).max(axis=2) < 0.02)
    # The colour scale stands at the right; the cell lies at 60 % of the time, roller 5 of 18.
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


def test_the_caption_tells_where_the_curve_is_an_extrapolation(plain, tmp_path):
    history = plain.random_impacts(plain.plain_history(samples=8001), 1500)
    far = draw_exceedance(peaks(history, horizon_h=20000.0), tmp_path / "far.png")
    assert "extrapolation" in far.caption
