"""Gives the tests of this folder the histories held in memory."""

import importlib.util
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def plain():
    """The module plain_history.py beside this file."""
    path = Path(__file__).with_name("plain_history.py")
    spec = importlib.util.spec_from_file_location("plain_history", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
