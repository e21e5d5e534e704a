"""Settings shared by all tests: no window, no hidden threads."""

import os
from pathlib import Path

import pytest

# Set before numpy, numba or matplotlib are first imported by a test.
os.environ["MPLBACKEND"] = "Agg"
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

REPOSITORY = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def repository():
    """Folder of the clone that the tests run in."""
    return REPOSITORY


@pytest.fixture(scope="session")
def cases_folder():
    """Folder of the example cases."""
    return REPOSITORY / "cases"


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    """No test finds what another one worked out, perhaps with something replaced."""
    monkeypatch.setattr("rollsim.history.kept_results.ROOM_BYTES", 0)
