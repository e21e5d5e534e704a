"""Recordings made for the tests: files of every format, and cases that replay them."""

from pathlib import Path

import numpy as np
import pytest

from rollsim.case.fields import toml_value
from rollsim.case.read import parse_case

DATA = Path(__file__).parents[3] / "data"
BARE = (DATA / "case_six_rollers.toml").read_text("utf-8").partition("[[vibration]]")[0]
RATE = 2000.0


@pytest.fixture
def replay_case(tmp_path):
    """Function that gives a case with one recording: keys of its source; spatial motion."""

    def make(motion="spatial", duration=0.06, **keys):
        source = {"kind": "recording", "channels": ["ax"], "axis": ["x"], "unit": "g", **keys}
        lines = [f"{key} = {toml_value(value)}" for key, value in source.items()]
        text = BARE.replace("duration_s = 0.06", f"duration_s = {duration}")
        text += f'[solver]\nmotion = "{motion}"\n[[vibration]]\n' + "\n".join(lines) + "\n"
        return parse_case(text, str(tmp_path / "case.toml"))

    return make


@pytest.fixture
def signal():
    """Three channels of random vibration, 10 to 500 Hz, in g, two seconds at 2000 Hz."""
    frequency = np.fft.rfftfreq(4000, 1.0 / RATE)
    band = (frequency > 10.0) & (frequency < 500.0)
    noise = np.random.default_rng(4).normal(size=(4000, 3))
    values = np.fft.irfft(band[:, None] * np.fft.rfft(noise, axis=0), 4000, axis=0)
    return 2.0 * values / values.std(axis=0)


@pytest.fixture
def write_csv(tmp_path):
    """Function that writes columns as text: name, columns, titles, delimiter, decimal sign."""

    def write(name, columns, titles, delimiter=",", decimal=".", digits=9):
        rows = [delimiter.join(titles)] if titles else []
        for row in np.column_stack(columns):
            cells = (f"{value:.{digits}g}".replace(".", decimal) for value in row)
            rows.append(delimiter.join(cells))
        (tmp_path / name).write_text("\n".join(rows) + "\n", encoding="utf-8")
        return tmp_path / name

    return write
