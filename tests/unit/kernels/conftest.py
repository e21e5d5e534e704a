"""Kernels compiled and as plain Python; the helper that makes cases and models."""

import importlib.util

import pytest


@pytest.fixture(params=["compiled", "plain"])
def way(request):
    """Picks the compiled kernel or its Python original."""
    return (lambda f: f) if request.param == "compiled" else (lambda f: f.py_func)


@pytest.fixture(scope="session")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_kernels", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
