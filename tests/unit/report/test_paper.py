"""Figures for papers: the width asked for, type that can be read, caption and numbers beside."""

import re

import matplotlib
import numpy as np
import pytest
from matplotlib.text import Text
from PIL import Image

from rollsim.analysis.whirl import whirl
from rollsim.report.paper import on_page, page
from rollsim.report.style import drawing, new_figure, save_figure
from rollsim.report.whirl_figures import coherence_figure, draw_orbit, orbit_figure, spectrum_figure

LEAST_POINTS = 5.7


def draw(path):
    with drawing():
        figure = new_figure("flat")
        axes = figure.add_subplot()
        axes.plot(np.arange(50), np.arange(50) ** 2, label="line")
        axes.set_xlabel("Words below the axis")
        return save_figure(figure, path, "The caption.")


@pytest.mark.parametrize("width", [85.0, 170.0])
def test_an_svg_has_the_width_in_mm_and_keeps_its_drawing(tmp_path, width):
    with on_page(width):
        picture = draw(tmp_path / "a.svg")
    head = re.search(r"<svg[^>]*>", picture.path.read_text())[0]
    assert f'width="{width:.3f}mm"' in head
    box = [float(part) for part in re.search(r'viewBox="([^"]*)"', head)[1].split()]
    height = float(re.search(r'height="([\d.]*)mm"', head)[1])
    assert height / width == pytest.approx(box[3] / box[2], rel=1e-4)


@pytest.mark.parametrize("width", [85.0, 170.0])
def test_a_pdf_page_has_the_width_and_its_text_can_be_found(tmp_path, width):
    with on_page(width, ".pdf"):
        picture = draw(tmp_path / "a.png")
    assert picture.path.suffix == ".pdf"
    content = picture.path.read_bytes()
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", content)
    assert float(box[1]) == pytest.approx(width / 25.4 * 72.0, abs=0.1)
    assert b"/Type42" in content or b"/CIDFontType2" in content or b"/TrueType" in content


def test_curves_reach_the_end_of_their_axes_in_a_pdf(tmp_path):
    with on_page(170.0), drawing():
        matplotlib.rcParams["pdf.compression"] = 0
        figure = new_figure("flat")
        axes = figure.add_subplot()
        axes.plot([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 0.0, 1.0], color=(1.0, 0.0, 0.0))
        axes.set_xlim(0.0, 3.0)
        path = save_figure(figure, tmp_path / "a.pdf", "").path
        end = axes.get_window_extent().x1 * 72.0 / figure.dpi
    text = path.read_bytes().decode("latin-1")
    red = text[text.index("1 0 0 RG") :]
    across = [float(x) for x in re.findall(r"([\d.]+) [\d.]+ l", red.partition("\nS")[0])]
    assert max(across) == pytest.approx(end, abs=0.5)


def test_a_png_has_600_dots_an_inch_on_paper(tmp_path):
    with on_page(85.0):
        picture = draw(tmp_path / "a.png")
    with Image.open(picture.path) as image:
        assert image.size[0] == pytest.approx(85.0 / 25.4 * 600.0, abs=2)
        assert image.info["dpi"][0] == pytest.approx(600.0, abs=0.5)


@pytest.mark.parametrize("suffix", [".svg", ".pdf"])
def test_equal_input_gives_equal_files_for_paper(tmp_path, suffix):
    with on_page(85.0, suffix):
        first, second = draw(tmp_path / "a"), draw(tmp_path / "b")
    assert first.path.read_bytes() == second.path.read_bytes()


def test_the_caption_lies_beside_and_not_in_the_picture(tmp_path):
    with on_page(85.0, ".svg") as own:
        picture = draw(tmp_path / "a")
        assert page() is own
    assert (tmp_path / "a.txt").read_text() == "The caption.\n"
    assert own.beside == [tmp_path / "a.txt"]
    assert picture.path.name == "a.svg"
    assert page() is not own
    draw(tmp_path / "b.png")
    assert not (tmp_path / "b.txt").exists()


@pytest.fixture(scope="module")
def result(plain):
    """Whirl of a shaken cage on a circle."""
    history = plain.plain_history(samples=8001)
    rng = np.random.default_rng(2)
    history.channels["base_acceleration"][:, :2] = rng.normal(size=(8001, 2))
    z = 0.8 * np.exp(20j * history.time)
    plain.set_orbit(history, z, 20j * z)
    return whirl(history)


@pytest.mark.parametrize("width", [85.0, 170.0])
@pytest.mark.parametrize("make", [orbit_figure, spectrum_figure, coherence_figure])
def test_type_stays_readable_and_inside_the_page(result, width, make):
    with on_page(width), drawing():
        figure = make(result)
        figure.draw_without_rendering()
        sizes = [text.get_fontsize() for text in figure.findobj(_has_words)]
        assert min(sizes) * figure.paper_scale >= LEAST_POINTS
        assert figure.get_size_inches()[0] * figure.paper_scale * 25.4 == pytest.approx(width)
        box = figure.get_tightbbox()
        assert box.x0 >= -0.05 and box.x1 <= figure.get_size_inches()[0] + 0.05


def _has_words(artist):
    """Texts that are seen."""
    return isinstance(artist, Text) and artist.get_visible() and bool(artist.get_text().strip())


def test_pictures_of_several_panels_can_be_written_for_a_column(result, tmp_path):
    with on_page(85.0, ".pdf"):
        assert draw_orbit(None, result, tmp_path / "whirl.png").path.stat().st_size > 5000


def test_the_numbers_of_a_figure_are_written_where_they_are_asked_for(tmp_path):
    with on_page(None, tables=True) as own:
        draw(tmp_path / "a.png")
    text = (tmp_path / "a_figure.csv").read_text()
    assert own.beside == [tmp_path / "a_figure.csv"]
    assert "Words below the axis" in text
    assert ",line,49,,2401," in text
    draw(tmp_path / "b.png")
    assert not (tmp_path / "b_figure.csv").exists()
