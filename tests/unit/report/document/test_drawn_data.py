"""Numbers and words read back from figures."""

import csv
import io

import numpy as np
import pytest

from rollsim.report.document.drawn import MOST_POINTS, csv_text, described, panels_of
from rollsim.report.document.embedded import drawn, embed
from rollsim.report.style import (
    caption_text,
    drawing,
    new_figure,
    save_figure,
    tell_numbers,
)


def _rows(figure):
    text = csv_text(panels_of(figure))
    return list(csv.DictReader(line for line in io.StringIO(text) if not line.startswith("#")))


@pytest.fixture
def axes():
    with drawing():
        yield new_figure().add_subplot()


def test_a_curve_comes_back_with_its_name(axes):
    axes.plot([0.0, 1.0, 3.0], [5.0, 7.0, 6.0], label="force")
    axes.axhline(2.0)
    rows = _rows(axes.figure)
    assert [(row["series"], float(row["x"]), float(row["y"])) for row in rows] == [
        ("force", 0.0, 5.0), ("force", 1.0, 7.0), ("force", 3.0, 6.0),
    ]  # fmt: skip


def test_columns_steps_and_points_come_back(axes):
    axes.bar([1, 2], [3.0, 4.0], width=1.0, label="bars")
    axes.stairs([9.0, 8.0], [0.0, 1.0, 2.0], label="steps")
    axes.scatter([1.0], [2.0], c=[0.5], label="spots")
    found = {(row["series"], row["x"], row["x_end"], row["y"]) for row in _rows(axes.figure)}
    assert ("bars", "0.5", "1.5", "3") in found
    assert ("steps", "1", "2", "8") in found
    assert ("spots", "1", "", "2") in found


def test_a_map_gives_its_known_cells(axes):
    axes.imshow(
        np.ma.masked_less([[1.0, 5.0], [0.0, 7.0]], 0.5), extent=(0, 2, 0, 2), origin="lower"
    )
    cells = {(row["x"], row["x_end"], row["y"], row["value"]) for row in _rows(axes.figure)}
    assert cells == {("0", "1", "0.5", "1"), ("1", "2", "0.5", "5"), ("1", "2", "1.5", "7")}


def test_a_mesh_gives_its_cells(axes):
    axes.pcolormesh([0.0, 1.0, 3.0], [0.0, 10.0], [[4.0, 5.0]])
    cells = [(row["series"], row["x"], row["x_end"], row["y"], row["value"])
             for row in _rows(axes.figure)]  # fmt: skip
    assert cells == [("map", "0", "1", "5", "4"), ("map", "1", "3", "5", "5")]


def test_coloured_pieces_give_their_middle_and_value(axes):
    from matplotlib.collections import PolyCollection

    pieces = PolyCollection([[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]])
    pieces.set_array(np.array([7.0]))
    axes.add_collection(pieces)
    (row,) = _rows(axes.figure)
    assert (row["x"], row["y"], row["value"]) == ("1", "1", "7")


def test_plain_lines_of_a_collection_come_back_by_their_ends(axes):
    axes.vlines([1.0, 2.0], 0.0, [5.0, 6.0])
    ends = [(row["x"], row["y"]) for row in _rows(axes.figure)]
    assert ends == [("1", "0"), ("1", "5"), ("2", "0"), ("2", "6")]


def test_error_bars_are_named_and_their_caps_left_out(axes):
    axes.errorbar([1.0, 2.0, 3.0], [5.0, 6.0, 7.0], yerr=[1.0, 1.0, 1.0], fmt="none", capsize=3)
    rows = _rows(axes.figure)
    assert {row["series"] for row in rows} == {"error bars, by their ends"}
    assert [row["y"] for row in rows] == ["4", "6", "5", "7", "6", "8"]


def test_an_upper_panel_has_the_axis_of_the_lower_one():
    with drawing():
        figure = new_figure()
        top, bottom = figure.subplots(2, 1, sharex=True)
        top.plot([0.0, 1.0, 2.0], [0.0, 1.0, 2.0])
        bottom.plot([0.0, 1.0, 2.0], [0.0, 1.0, 2.0])
        bottom.set_xlabel("Pocket")
    assert [panel.across for panel in panels_of(figure)] == ["Pocket", "Pocket"]


def test_numbers_that_marks_do_not_hold_are_told(axes):
    tell_numbers(axes, "faces: impulse in N s", [(1.0, np.nan, 2.0, 3.0)])
    tell_numbers(axes, "land", [(0.0, 10.0, np.nan, 0.5)])
    rows = [tuple(row.values())[1:] for row in _rows(axes.figure)]
    assert rows == [("faces: impulse in N s", "1", "", "2", "3"), ("land", "0", "10", "", "0.5")]


def test_nothing_drawn_is_nothing_to_embed():
    assert drawn(lambda: None) is None


def test_ticks_of_powers_need_no_typesetting():
    def powers():
        with drawing():
            axes = new_figure().add_subplot()
            axes.loglog([1e-3, 1e4], [1.0, 10.0])
            return save_figure(axes.figure, "nowhere.svg", "case.")

    svg = embed("powers", "Powers", drawn(powers)).svg
    assert ">10⁻³</text>" in svg
    assert "mathdefault" not in svg


def test_a_long_curve_is_shortened_and_keeps_its_peak(axes):
    y = np.zeros(100_000)
    y[54_321] = 9.0
    axes.plot(np.arange(len(y)), y, label="long")
    rows = _rows(axes.figure)
    assert len(rows) <= MOST_POINTS
    assert max(float(row["y"]) for row in rows) == 9.0


def test_words_name_axes_reach_and_greatest(axes):
    axes.set(title="Forces", xlabel="Time in s", ylabel="Force in N")
    axes.plot([0.0, 0.5, 1.0], [1.0, 30.0, 2.0], label="pocket")
    words = described(panels_of(axes.figure))
    assert words == ("Forces: Force in N over Time in s. pocket: 1.00 to 30.0, greatest at 0.500.")


def _picture():
    with drawing():
        figure = new_figure()
        top, bottom = figure.subplots(2, 1, sharex=True)
        top.plot([0.0, 2.0], [0.0, 1.0])
        bottom.plot([0.0, 1.0, 2.0], [0.0, 1.0, 0.5], label="one")
        bottom.set_xlabel("Time in s")
        bottom.set_xlim(0.0, 2.0)
        return save_figure(figure, "nowhere.svg", caption_text("case", "words"))


def test_an_embedded_figure_writes_no_file_and_knows_its_time_axes(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = embed("sample", "Sample", drawn(_picture), "A")
    assert list(tmp_path.iterdir()) == []
    assert found.caption == "case. words."
    assert len(found.time_panels) == 2
    for left, top, right, bottom, first, last in found.time_panels:
        assert 0.0 < left < right <= 1.0
        assert 0.0 <= top < bottom < 1.0
        assert (first, last) == (0.0, 2.0)
    assert ">Time in s</text>" in found.svg
    assert 'aria-labelledby="sample-words"' in found.svg
    assert found == embed("sample", "Sample", drawn(_picture), "A")


def test_two_figures_share_no_names_of_parts():
    import re

    ids = [
        set(re.findall(r' id="([^"]*)"', embed(name, "Sample", drawn(_picture)).svg))
        for name in ("one", "two")
    ]
    assert ids[0]
    assert not ids[0] & ids[1]
