"""The picture of the whirl: clearance circle to scale, block extremes, lines."""

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.analysis.whirl import whirl
from rollsim.report import whirl_figures
from rollsim.report.style import drawing
from rollsim.report.whirl_figures import (
    coherence_figure,
    draw_coherence,
    draw_orbit,
    draw_waterfall,
    eccentricity_figure,
    orbit_figure,
    spectrum_figure,
    waterfall_figure,
)


@pytest.fixture
def draw(tmp_path, monkeypatch):
    """Draws the whirl of a history; gives figure and picture."""
    kept = []
    save = whirl_figures.save_figure

    def keep(figure, path, caption):
        kept.append(figure)
        return save(figure, path, caption)

    monkeypatch.setattr(whirl_figures, "save_figure", keep)

    def drawing(history):
        picture = draw_orbit(history, whirl(history), tmp_path / "orbit")
        return kept[-1], picture

    return drawing


def panel(figure, name):
    """The panel with this name on its axis."""
    return next(axes for axes in figure.axes if name in axes.get_xlabel())


@pytest.fixture
def drawn(plain, draw):
    """Figure of a long orbit with a single touch of the land, and its caption."""
    history = plain.plain_history(samples=100_001)
    z = 0.5 * np.exp(20j * history.time)
    z[70_000] = 0.0 + 1.02j
    plain.set_orbit(history, z, 20j * z)
    return draw(history)


def test_the_clearance_circle_is_round_and_of_radius_one(drawn):
    figure, _ = drawn
    axes = figure.axes[0]
    circle = axes.patches[0]
    assert circle.get_radius() == 1.0
    assert circle.get_zorder() > max(line.get_zorder() for line in axes.lines)
    box = circle.get_window_extent()
    assert box.width == pytest.approx(box.height, rel=1e-3)


def test_a_single_touch_survives_in_the_eccentricity(drawn):
    figure, picture = drawn
    maxima = panel(figure, "Time in s").lines[0].get_ydata()
    assert len(maxima) <= 600
    assert maxima.max() == pytest.approx(1.02)
    assert "extremes of blocks" in picture.caption


def test_the_spectrum_shows_the_whirl_and_the_kinematic_lines(drawn):
    figure, _ = drawn
    axes = panel(figure, "Frequency in Hz")
    curve = axes.lines[-1]
    top = curve.get_xdata()[np.argmax(curve.get_ydata())]
    assert top == pytest.approx(20.0 / (2.0 * np.pi), abs=0.5)
    marks = sorted(line.get_xdata()[0] for line in axes.lines[:-1])
    cage, inner = 50.0 / (2.0 * np.pi), 120.0 / (2.0 * np.pi)
    expected = [cage, inner, 6.0 * cage, 6.0 * (inner - cage)]
    assert marks == pytest.approx(sorted([*expected, *(-f for f in expected)]))


def test_axes_carry_units_and_labels_do_not_overlap(drawn):
    figure, _ = drawn
    words = [axes.get_xlabel() + axes.get_ylabel() for axes in figure.axes]
    units = ("clearances", "clearances", "%", "Time in s", "Hz")
    for part, unit in zip(words, units, strict=True):
        assert unit in part
    for axes in figure.axes:
        ticks = [tick for tick in axes.get_xticklabels() if tick.get_text()]
        boxes = sorted((tick.get_window_extent() for tick in ticks), key=lambda box: box.x0)
        assert all(a.x1 <= b.x0 for a, b in pairwise(boxes))


@pytest.mark.parametrize("suffix", [".png", ".svg", ".pdf"])
def test_files_stay_small(plain, tmp_path, suffix):
    history = plain.plain_history(samples=50_001)
    rng = np.random.default_rng(1)
    z = 0.4 * np.exp(20j * history.time) + 0.1 * (rng.normal(size=(2, 50_001)).T @ [1.0, 1j])
    plain.set_orbit(history, z, np.gradient(z, history.time))
    picture = draw_orbit(history, whirl(history), tmp_path / f"orbit{suffix}")
    assert 5_000 < picture.path.stat().st_size < 700_000


def test_a_cage_at_rest_can_be_drawn(plain, tmp_path):
    history = plain.plain_history()
    assert draw_orbit(history, whirl(history), tmp_path / "rest").path.exists()


def test_imposed_lines_stand_in_the_legend(plain, draw):
    history = plain.plain_history()
    history.case.vibration = (
        SimpleNamespace(kind="exciter", speed_rpm=600.0),
        SimpleNamespace(kind="sine", axis="y", frequency_Hz=25.0),
    )
    z = 0.5 * np.exp(20j * history.time)
    plain.set_orbit(history, z, 20j * z)
    figure, _ = draw(history)
    words = [
        text.get_text() for text in panel(figure, "Frequency in Hz").figure.legends[0].get_texts()
    ]
    assert "exciter, 10.0 Hz" in words and "sine along y, 25.0 Hz" in words


@pytest.mark.parametrize(
    ("turns", "name"),
    [(0.5, "all, less than a turn"), (2.0, "last turn"), (50.0, "last turn")],
)
def test_the_last_turn_is_what_its_name_says(plain, draw, turns, name):
    # The cage is the quicker one: a turn of it is 0.8 turns of the orbit.
    history = plain.plain_history(samples=round(turns * 2.0 * np.pi / 50.0 * 1000.0) + 1)
    z = 0.6 * np.exp(0.8j * 50.0 * history.time)
    plain.set_orbit(history, z, 40j * z)
    figure, picture = draw(history)
    (line,) = [line for line in figure.axes[0].lines if line.get_label() == name]
    angle = np.unwrap(np.angle(line.get_xdata() + 1j * line.get_ydata()))
    wanted = 0.8 if turns >= 1.0 else 0.8 * turns
    assert (angle[-1] - angle[0]) / (2.0 * np.pi) == pytest.approx(wanted, abs=0.02)
    assert (f"Only {turns:.1f} cage turns" in picture.caption) == (turns < 50.0)
    dots = panel(figure, "Frequency in Hz").lines[-1].get_marker()
    assert dots == ("." if turns < 50.0 else "None")


def test_a_slow_turn_is_drawn_whole_with_fewer_points(plain, draw):
    history = plain.plain_history(samples=20_001, cage_speed=0.7)
    z = 0.6 * np.exp(0.7j * history.time)
    plain.set_orbit(history, z, 0.7j * z)
    figure, picture = draw(history)
    (line,) = [line for line in figure.axes[0].lines if line.get_label() == "last turn"]
    path = line.get_xdata() + 1j * line.get_ydata()
    assert len(path) <= 4000 and path[-1] == pytest.approx(z[-1])
    angle = np.unwrap(np.angle(path))
    assert angle[-1] - angle[0] == pytest.approx(2.0 * np.pi, abs=0.01)
    assert "one of 3 samples" in picture.caption


def ramp(plain):
    """Backward whirl at half the speed of a ring that speeds up; noise in both directions."""
    history = plain.plain_history(samples=20_001)
    speed = np.linspace(40.0, 120.0, 20_001)
    history.channels["inner_speed"] = speed
    history.channels["cage_speed"] = speed / 2.4
    z = 0.6 * np.exp(-0.5j * np.cumsum(speed) * 1e-3)
    plain.set_orbit(history, z, -0.5j * speed * z)
    history.channels["base_acceleration"][:, :2] = np.random.default_rng(1).normal(size=(20_001, 2))
    return whirl(history)


def test_the_waterfall_stands_over_the_speed_of_the_ring(plain, tmp_path):
    result = ramp(plain)
    with drawing():
        axes = waterfall_figure(result).axes[0]
    assert axes.get_ylabel() == "Speed of the inner ring in rpm"
    low, high = axes.get_ylim()
    assert low == pytest.approx(40.0 / 2.0 / np.pi * 60.0, rel=0.1)
    assert high == pytest.approx(120.0 / 2.0 / np.pi * 60.0, rel=0.1)
    picture = draw_waterfall(result, tmp_path / "waterfall")
    assert "half-overlapping sections" in picture.caption
    assert draw_coherence(result, tmp_path / "coherence").path.exists()


def test_a_steady_orbit_at_one_speed_has_no_waterfall(plain, tmp_path):
    history = plain.plain_history(samples=8001)
    z = 0.5 * np.exp(20j * history.time)
    plain.set_orbit(history, z, 20j * z)
    result = whirl(history)
    assert draw_waterfall(result, tmp_path / "a") is None
    assert draw_coherence(result, tmp_path / "b") is None
    assert not list(tmp_path.iterdir())


def test_each_panel_is_a_figure_of_its_own(plain):
    result = ramp(plain)
    with drawing():
        assert len(orbit_figure(result).axes) == 3
        assert panel(eccentricity_figure(result), "Time in s").texts
        assert panel(spectrum_figure(result), "Frequency in Hz").lines
        assert len(coherence_figure(result).axes) == 2
