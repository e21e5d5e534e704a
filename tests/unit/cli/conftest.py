"""The command line as a user meets it: a process with its two streams and its exit code."""

import subprocess
import sys
from typing import NamedTuple

import pytest

CASE = """
[case]
name = "six rollers"
seed = 3
[bearing]
bore_mm = 130
outside_diameter_mm = 240
width_mm = 64
pitch_diameter_mm = 182
[roller]
count = 6
diameter_mm = 26
length_mm = 44
[cage]
outer_diameter_mm = 198
inner_diameter_mm = 178
base_ring_thickness_mm = 5
cover_thickness_mm = 4.5
guidance = "outer_ring"
[cage.closure]
kind = "steel_rivet"
diameter_mm = 5
[clearance]
radial_um = 60
pocket_um = 300
guidance_um = 400
[duty]
speed_rpm = 1200
duration_s = 0.06
settle_s = 0.01
ramp_s = 0.005
radial_load_kN = 20
[output]
segment_s = 0.01
[[vibration]]
kind = "psd"
axis = ["x", "y"]
psd = [[10.0, 0.01], [1000.0, 0.01]]
psd_unit = "g2/Hz"
"""


class Answer(NamedTuple):
    """What a command answered."""

    code: int
    out: str
    err: str


@pytest.fixture(scope="session")
def rollsim(repository):
    """Function that runs the command line in a folder."""

    def call(*arguments, folder):
        done = subprocess.run(
            [sys.executable, "-m", "rollsim", *map(str, arguments)],
            cwd=folder,
            env=_environment(repository),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=500,
            check=False,
        )
        assert "Traceback" not in done.stderr, done.stderr
        return Answer(done.returncode, done.stdout, done.stderr)

    return call


def _environment(repository):
    """Environment in which the package is found from any folder."""
    import os

    return {**os.environ, "PYTHONPATH": str(repository)}


@pytest.fixture(scope="session")
def environment(repository):
    """Environment for processes that a test starts itself."""
    return _environment(repository)


@pytest.fixture
def folder(tmp_path):
    """Folder with the case file six.toml."""
    (tmp_path / "six.toml").write_text(CASE, encoding="utf-8")
    return tmp_path


@pytest.fixture(scope="session")
def finished(tmp_path_factory, rollsim):
    """Folder with a case, its finished history six.h5, and the answer of the run."""
    folder = tmp_path_factory.mktemp("finished")
    (folder / "six.toml").write_text(CASE, encoding="utf-8")
    return folder, rollsim("run", "six.toml", folder=folder)
