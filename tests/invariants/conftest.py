"""The helper that makes cases, models and states."""

import importlib.util

import pytest


@pytest.fixture(scope="session")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_invariants", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
