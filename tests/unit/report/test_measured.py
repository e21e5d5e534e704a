"""A measured recording over a history: the lines it holds, the picture, what is refused."""

import numpy as np
import pytest

from rollsim.analysis.whirl import whirl
from rollsim.report.measured import (
    Measured,
    NoRecording,
    draw_measured,
    measured_lines,
    measured_text,
    read_measured,
)

RATE = 2000.0


def recording(axes=(0, 1)):
    """Circle at the speed of the cage (50 rad/s) with noise."""
    time = np.arange(16_000) / RATE
    signal = np.zeros((16_000, 3))
    rng = np.random.default_rng(1)
    for axis, phase in zip(axes, (0.0, 0.5 * np.pi), strict=False):
        signal[:, axis] = 5.0 * np.cos(50.0 * time - phase) + 0.5 * rng.normal(size=16_000)
    return Measured("site.csv", RATE, signal)


@pytest.fixture
def history(plain):
    """Shaken history with a whirl."""
    history = plain.plain_history(samples=8001)
    z = 0.8 * np.exp(20j * history.time)
    plain.set_orbit(history, z, 20j * z)
    noise = np.random.default_rng(2).normal(size=(8001, 2))
    history.channels["base_acceleration"][:, :2] = noise
    return history


def test_steady_lines_are_found_and_named(history):
    result = whirl(history)
    found = measured_lines(recording(), result)
    assert [axis for axis, _, _ in found] == ["x", "y"]
    for _, frequency, names in found:
        assert frequency == pytest.approx(50.0 / 2.0 / np.pi, rel=1e-3)
        assert names == "cage speed"
    text = measured_text(recording(), result)
    assert "cage speed" in text and "no proof of the same cause" in text


def test_noise_alone_holds_no_line(history):
    signal = np.random.default_rng(3).normal(size=(16_000, 3))
    text = measured_text(Measured("site.csv", RATE, signal), whirl(history))
    assert "no steady line" in text


@pytest.mark.parametrize(("axes", "panels"), [((0, 1), 3), ((1,), 1)])
def test_two_axes_give_an_orbit_and_one_none(history, tmp_path, monkeypatch, axes, panels):
    kept = []
    from rollsim.report import measured

    save = measured.save_figure
    monkeypatch.setattr(
        measured, "save_figure", lambda figure, *rest: kept.append(figure) or save(figure, *rest)
    )
    picture = draw_measured(history, whirl(history), recording(axes), tmp_path / "m")
    assert len(kept[0].axes) == panels
    assert ("Orbits" in picture.caption) == (panels == 3)
    if panels == 3:
        # x = A/w^2 for a circle of acceleration A at w.
        measured_path = kept[0].axes[-1].lines[0]
        radius = np.hypot(measured_path.get_xdata(), measured_path.get_ydata())
        assert np.median(radius) == pytest.approx(1e3 * 5.0 / 50.0**2, rel=0.1)


def test_the_recording_of_a_shipped_case_is_read_on_its_axes(repository):
    found = read_measured(repository / "cases" / "dewatering_screen_recording.toml")
    assert found.moving == (0, 1, 2)
    assert found.rate == pytest.approx(10.0 * 400.0, rel=0.3)


def test_a_case_without_a_recording_is_refused(repository):
    with pytest.raises(NoRecording, match="kind = 'recording'"):
        read_measured(repository / "cases" / "dewatering_screen_riveted.toml")
