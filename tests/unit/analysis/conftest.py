"""Gives the tests of this folder the histories and samples made by the modules beside them."""

import importlib.util
import sys
from pathlib import Path

import pytest

SUPPORT = Path(__file__).resolve().parents[2] / "support"
if str(SUPPORT) not in sys.path:
    sys.path.insert(0, str(SUPPORT))


def beside(name):
    """Return a module of this folder that holds no tests."""
    path = Path(__file__).with_name(f"{name}.py")
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def plain():
    """The module plain_history.py."""
    return beside("plain_history")


@pytest.fixture(scope="session")
def tails():
    """The module tails.py."""
    return beside("tails")


@pytest.fixture(scope="session", name="beside")
def beside_fixture():
    """Gives a module of this folder that holds no tests, by its name."""
    return beside
