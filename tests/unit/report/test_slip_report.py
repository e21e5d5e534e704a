"""Slip, smearing and wear in words, as JSON and as pictures."""

import json
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from rollsim.analysis.slip import slip
from rollsim.analysis.wear import wear
from rollsim.report import slip_figures
from rollsim.report.paper import on_page
from rollsim.report.slip_figures import draw_slip, draw_smearing, draw_wear
from rollsim.report.slip_text import slip_dict, slip_text


@pytest.fixture
def history(plain):
    """Cage 3 % behind; sums that grow evenly; one great smearing event."""
    history = plain.add_wear(plain.plain_history(), impulse=2.0, work=0.1)
    history.channels["cage_speed"][:] = 48.5
    history.channels["cage_speed"][2000] = 30.0
    history.channels["pocket_impulse"][:, 4, 0] *= 2.0
    history.peaks["raceway_smearing"][1234, 4, 1] = 5e7
    return history


@pytest.fixture
def figures(monkeypatch):
    """Figures kept as they are saved."""
    kept = []
    save = slip_figures.save_figure

    def keep(figure, path, caption):
        kept.append(figure)
        return save(figure, path, caption)

    monkeypatch.setattr(slip_figures, "save_figure", keep)
    return kept


def test_the_words_give_slip_smearing_and_wear(history):
    text = " ".join(slip_text(slip(history), wear(history)).split())
    assert "cage 48.5 50.00 3.0" in text.replace("48.50", "48.5")
    assert "Load zone: force on the inner raceway above 10 %" in text
    assert "inner 50.0 0 1.234 5" in text
    assert "has no limit here" in text
    # 5 faces of 2 N s/s and one of 4; 6 of 360 J/h.
    assert re.search(r"pocket, leading 14.0 \S+ 2160 ", text)
    assert re.search(r"rank pocket .* 1 5 10.0 \S+ 1440 ", text)
    assert "Published finding (from memory)" in text
    assert "No wear depth is told" in text
    assert "Lock out rotating machinery" in text
    assert "nan" not in text


def test_an_earlier_history_is_told_as_such(history):
    del history.peaks["raceway_smearing"]
    text = slip_text(slip(history), None)
    assert "Smearing measure: not in this history." in text
    assert "Impulse and friction work: not in this history; run the case again." in text
    found = slip_dict(slip(history), None)
    assert found["smearing"] is None and found["wear"] is None


def test_what_varied_is_compared_with_the_slip(history):
    history.channels["raceway_force"] *= (1.0 + history.time)[:, None, None]
    text = " ".join(slip_text(slip(history), None).split())
    assert "Cage against load: rank correlation" in text


def test_too_few_parts_are_told_as_such(history):
    found = slip(history)
    few = {name: values[:4] for name, values in vars(found.windows).items()}
    short = replace(found, windows=replace(found.windows, **few), trends=())
    assert "4 parts are too few to compare, 5 are needed" in slip_text(short, None)
    assert "vary too little" in slip_text(replace(found, trends=()), None)


def test_the_dictionary_is_strict_json_and_counts_from_one(history):
    read = json.loads(json.dumps(slip_dict(slip(history), wear(history)), allow_nan=False))
    assert read["slip"]["cage"]["mean"] == pytest.approx(0.03, abs=2e-4)
    assert read["smearing"]["largest_roller"][1] == 5
    assert read["smearing"]["largest_W_per_m2"] == [0.0, 5e7]
    assert read["wear"]["ranking"][0]["pocket"] == 5
    assert read["wear"]["pocket_impulse_N_s_per_s"]["mean"][4][0] == pytest.approx(4.0)
    assert len(read["windows"]["load_N"]) == 20


def test_a_single_dip_survives_in_the_slip_picture(history, figures, tmp_path):
    picture = draw_slip(history, slip(history), tmp_path / "slip")
    band = figures[-1].axes[0].collections[0].get_paths()[0].vertices[:, 1]
    assert np.nanmax(band) == pytest.approx(40.0)
    assert "extremes of blocks" in picture.caption and picture.caption.startswith("plain.")
    assert picture.path.suffix == ".png"


def test_speed_is_drawn_where_it_varies(history, figures, tmp_path):
    history.attributes |= {"roller_radius_m": 0.013, "pitch_radius_m": 0.091}
    draw_slip(history, slip(history), tmp_path / "slip")
    constant = len(figures[-1].axes)
    history.channels["inner_speed"] = 120.0 * (0.5 + 0.1 * history.time)
    draw_slip(history, slip(history), tmp_path / "slip")
    assert len(figures[-1].axes) == constant + 1
    assert "rpm" in figures[-1].axes[-1].get_ylabel()


def test_the_smearing_picture_shows_the_greatest_and_says_where_there_is_none(
    history, figures, tmp_path
):
    picture = draw_smearing(slip(history), tmp_path / "smearing.svg")
    outer, inner = figures[-1].axes
    assert "No roller slid" in outer.texts[0].get_text()
    values = inner.patches[0].get_data().values
    assert values.max() == pytest.approx(50.0) and (values > 0.0).sum() == 1
    assert "No limit is shown" in picture.caption


def test_bars_of_a_pocket_add_up(history, figures, tmp_path):
    history.attributes["motion"] = "spatial"
    draw_wear(wear(history), tmp_path / "wear.pdf")
    impulse, work = figures[-1].axes
    tops = [bar.get_y() + bar.get_height() for bar in impulse.containers[3].patches]
    assert tops == pytest.approx([8.0] * 4 + [10.0, 8.0])
    tops = [bar.get_y() + bar.get_height() for bar in work.containers[3].patches]
    assert tops == pytest.approx([1.44] * 6)


def test_a_planar_picture_has_two_faces(history, figures, tmp_path):
    picture = draw_wear(wear(history), tmp_path / "wear")
    assert len(figures[-1].axes[0].containers) == 3  # two faces and the errors
    assert "Both lands together: 2.00\u00a0N\u00a0s/s" in picture.caption


@pytest.mark.parametrize("width", [85.0, 170.0])
def test_words_keep_clear_of_each_other_on_paper(history, figures, tmp_path, width):
    """Numbers of the axes, and legends beside them, with an axis of the speed too."""
    history.attributes |= {"roller_radius_m": 0.013, "pitch_radius_m": 0.091, "motion": "spatial"}
    history.channels["inner_speed"] = 120.0 * (0.5 + 0.1 * history.time)
    many = _with_pockets(wear(history), 4)
    history.peaks["raceway_smearing"][:] = 2.4e10
    with on_page(width):
        draw_slip(history, slip(history), tmp_path / "slip")
        draw_smearing(slip(history), tmp_path / "smearing")
        draw_wear(many, tmp_path / "wear")
    assert len(figures) == 3
    for figure in figures:
        figure.draw_without_rendering()
        for axes in figure.axes:
            across = [_box(tick) for tick in axes.get_xticklabels() if tick.get_text()]
            assert all(a.x1 < b.x0 for a, b in pairwise(across) if a.y0 == b.y0)
            up = [_box(tick) for tick in axes.get_yticklabels() if tick.get_text()]
            for legend in [axes.get_legend(), *figure.legends]:
                if legend is not None:
                    assert not any(legend.get_window_extent().overlaps(box) for box in up)
            if axes.get_legend() is not None:
                assert axes.get_legend().get_window_extent().x0 > axes.get_window_extent().x0
        for legend in figure.legends:
            box = legend.get_window_extent()
            assert box.x0 >= 0.0 and box.x1 <= figure.bbox.x1


def _box(text):
    return text.get_window_extent()


def _with_pockets(result, times):
    """The same wear, its pockets several times over."""

    def repeated(rate):
        mean, error = (np.tile(values, (times, 1)) for values in (rate.mean, rate.error))
        return replace(rate, mean=mean, error=error, windows=np.tile(rate.windows, (1, times, 1)))

    return replace(
        result, pocket_impulse=repeated(result.pocket_impulse),
        pocket_work=repeated(result.pocket_work), ranking=result.ranking * times,
    )  # fmt: skip


def test_a_line_without_values_has_no_name(history, figures, tmp_path):
    found = slip(history)
    nothing = np.full_like(found.windows.spin_loaded, np.nan)
    rolling = replace(found, windows=replace(found.windows, spin_unloaded=nothing))
    draw_slip(history, rolling, tmp_path / "slip")
    names = [text.get_text() for text in figures[-1].axes[1].get_legend().get_texts()]
    assert names == ["mean, load zone"]
