"""The ruler of the benchmark on an oscillator whose motion is known."""

import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"
RATE = 3000.0


@pytest.fixture
def ruler(monkeypatch):
    """The module, with the displacement in place of pocket forces."""
    monkeypatch.syspath_prepend(str(SCRIPTS))
    import benchmark_precision

    def evaluate(times, states, rows, repeats, model, greatest):
        np.maximum.at(greatest[:, 0], rows, np.abs(states[:, 0]))

    monkeypatch.setattr(benchmark_precision, "evaluate_many", evaluate)
    yield benchmark_precision
    for name in ("benchmark_precision", "benchmark_parts"):
        sys.modules.pop(name, None)


def oscillator(tolerance):
    """y'' = -RATE^2 y from rest at 1, as a problem of one roller."""
    return SimpleNamespace(
        model=SimpleNamespace(count=1),
        active=2,
        start=np.array([1.0, 0.0]),
        scales=tolerance * np.array([1.0, RATE]),
        longest_step=1e-3,
        function=lambda: lambda time, y: np.array([y[1], -(RATE**2) * y[0]]),
    )


@pytest.mark.parametrize("name", ["RK45", "DOP853", "LSODA", "Radau", "BDF", "dopri5"])
def test_peaks_by_window_come_nearer_with_the_tolerance(ruler, name):
    begin = 0.1
    windows = round(ruler.SPAN_S / ruler.WINDOW_S)
    times = ruler.GRID_S * np.arange(round(ruler.SPAN_S / ruler.GRID_S))
    wanted = np.abs(np.cos(RATE * times)).reshape(windows, -1).max(axis=1)
    errors, calls = [], []
    for tolerance in (1e-3, 1e-6):
        problem = oscillator(tolerance)
        if name == "dopri5":
            greatest, spent, evaluations = ruler.dopri5_run(problem, begin)
        else:
            greatest, spent, evaluations = ruler.scipy_run(name, problem, begin)
        assert greatest.shape == (windows, 2)
        assert spent > 0.0
        errors.append(np.abs(greatest[:, 0] - wanted).max())
        calls.append(evaluations)
    assert errors[1] < 0.1 * errors[0]
    assert errors[1] < 1e-3
    assert calls[1] > calls[0]


def test_cost_at_an_error_lies_on_the_line_between_measured_ones(ruler):
    rows = {
        10: {"error": 1e-1, "seconds_per_simulated_second": 1.0},
        1: {"error": 1e-3, "seconds_per_simulated_second": 4.0},
    }
    between = ruler.cost_at(rows, 1e-2)
    assert between["seconds_per_simulated_second"] == pytest.approx(2.0)
    assert between["bracketed"]
    beyond = ruler.cost_at(rows, 1e-4)
    assert beyond["seconds_per_simulated_second"] == pytest.approx(4.0)
    assert (beyond["bracketed"], beyond["nearest"]) == (False, 1e-3)
