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
    return _support(repository, "planar_case")


@pytest.fixture(scope="session")
def raceway_spatial(repository):
    """One roller on a raceway, called like a kernel: roller, ring, pair, tables, law."""
    return _support(repository, "one_roller").raceway


def _support(repository, name):
    """A module of tests/support."""
    path = repository / "tests" / "support" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(f"{name}_for_kernels", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
