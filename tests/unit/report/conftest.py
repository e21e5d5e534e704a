"""Gives the tests of this folder the histories held in memory."""

import importlib.util

import pytest


@pytest.fixture(scope="session")
def plain(repository):
    """The module tests/unit/analysis/plain_history.py."""
    path = repository / "tests" / "unit" / "analysis" / "plain_history.py"
    spec = importlib.util.spec_from_file_location("plain_history", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
