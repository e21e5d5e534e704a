"""The command line as a user meets it: a process with its two streams and its exit code."""

import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

CASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")


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
