"""The helper that runs a small bearing under light load."""

import importlib.util

import pytest


@pytest.fixture(scope="session")
def light(repository):
    """The module tests/support/light_load.py."""
    path = repository / "tests" / "support" / "light_load.py"
    spec = importlib.util.spec_from_file_location("light_load_for_published", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
