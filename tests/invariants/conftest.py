"""The helpers that make cases, models, states and runs."""

import importlib.util

import pytest


def _support(repository, name):
    path = repository / "tests" / "support" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(f"{name}_for_invariants", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def bench(repository):
    """The module tests/support/planar_case.py."""
    return _support(repository, "planar_case")


@pytest.fixture(scope="session")
def light(repository):
    """The module tests/support/light_load.py."""
    return _support(repository, "light_load")
