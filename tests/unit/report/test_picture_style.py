"""One look for all pictures, without side effects."""

import matplotlib
import numpy as np
import pytest

from rollsim.errors import RollsimError
from rollsim.report.style import caption_text, drawing, new_figure, picture_path, save_figure

WORDS = "A caption with $10 & 20 %_ and many words, so that it needs more than one line. " * 3


def draw(path):
    with drawing():
        figure = new_figure("flat")
        axes = figure.add_subplot()
        axes.plot(np.arange(50), np.arange(50) ** 2, label="line")
        axes.legend()
        return save_figure(figure, path, WORDS), figure


@pytest.mark.parametrize("suffix", [".svg", ".pdf", ".png"])
def test_equal_input_gives_equal_files(tmp_path, suffix):
    first, _ = draw(tmp_path / f"a{suffix}")
    second, _ = draw(tmp_path / f"b{suffix}")
    content = first.path.read_bytes()
    assert content == second.path.read_bytes()
    start = {".svg": b"<?xml", ".pdf": b"%PDF", ".png": b"\x89PNG"}[suffix]
    assert content.startswith(start)


def test_settings_of_the_caller_stay_as_they_are(tmp_path):
    with matplotlib.rc_context({"font.size": 31.0, "svg.hashsalt": "mine"}):
        before = dict(matplotlib.rcParams)
        _, figure = draw(tmp_path / "a.png")
        assert dict(matplotlib.rcParams) == before
        # and the caller's settings do not reach the picture
        assert figure.axes[0].xaxis.label.get_size() < 20.0


def test_the_caption_stays_inside_the_picture_and_below_the_axes(tmp_path):
    _, figure = draw(tmp_path / "a.png")
    caption = figure.texts[0]
    box = caption.get_window_extent()
    width, _ = figure.get_size_inches() * figure.dpi
    assert box.x0 >= 0.0 and box.x1 <= width and box.y0 >= 0.0
    assert box.y1 <= figure.axes[0].get_tightbbox().y0
    assert " ".join(caption.get_text().split()) == WORDS.strip()


def test_the_suffix_decides_and_png_is_the_default(tmp_path):
    assert picture_path(tmp_path / "orbit").name == "orbit.png"
    assert picture_path("a.SVG").suffix == ".SVG"
    with pytest.raises(RollsimError, match=r"\.png, \.svg, \.pdf; 'a\.gif'"):
        picture_path("a.gif")


def test_a_folder_that_is_missing_is_told_in_plain_words(tmp_path):
    with pytest.raises(RollsimError, match="cannot be written"):
        draw(tmp_path / "missing" / "a.png")


def test_captions_begin_with_the_case():
    assert caption_text("case 7", "Shows this.", "", "Reduced") == "case 7. Shows this. Reduced."
