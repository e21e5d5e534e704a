"""Logarithm, exponential and inverse root against those of the library; working space."""

import math

import numpy as np
import pytest

from rollsim.kernels.columns import body_space
from rollsim.kernels.elementary import exponential, inverse_root, natural_log
from rollsim.kernels.jit import kernel


@kernel
def _logs(x, found):
    for i in range(x.shape[0]):
        found[i] = natural_log(x[i])


@kernel
def _powers(x, found):
    for i in range(x.shape[0]):
        found[i] = exponential(x[i])


@kernel
def _roots(x, found):
    for i in range(x.shape[0]):
        found[i] = inverse_root(x[i])


@kernel
def _through_space(x):
    """Twice the numbers, by way of working space."""
    space = body_space()
    for i in range(x.shape[0]):
        space[1, i] = 2.0 * x[i]
    total = 0.0
    for i in range(x.shape[0]):
        total += space[1, i]
    return total, space.shape[0], space.shape[1]


def _in_a_loop(function, x):
    """Results of a vectorised loop."""
    found = np.empty_like(x)
    function(x, found)
    return found


@pytest.mark.parametrize("size", [1.0, 30.0, 600.0])
def test_in_loops_over_many_numbers(size):
    """Fast-math must not multiply out what has to be subtracted first."""
    x = np.linspace(-size, size, 10_001)
    powers = np.exp(x)
    assert _in_a_loop(_powers, x) == pytest.approx(powers, rel=5e-14)
    assert _in_a_loop(_logs, powers) == pytest.approx(x, rel=1e-15, abs=5e-16)
    assert _in_a_loop(_roots, powers) == pytest.approx(1.0 / np.sqrt(powers), rel=2e-15)


@pytest.mark.parametrize("x", [1e-290, 2e-6, 0.5, 1.0, math.sqrt(2.0), 3.0, 7e5, 1e290])
def test_alone(way, x):
    assert way(natural_log)(x) == pytest.approx(math.log(x), rel=1e-15, abs=5e-16)
    assert way(inverse_root)(x) == pytest.approx(1.0 / math.sqrt(x), rel=2e-15)
    power = math.log(x)
    assert way(exponential)(power) == pytest.approx(math.exp(power), rel=5e-14)


def test_exponential_stays_finite(way):
    assert way(exponential)(1e9) == pytest.approx(math.exp(700.0), rel=1e-12)
    assert way(exponential)(-1e9) == pytest.approx(math.exp(-700.0), rel=1e-12)


def test_working_space(way):
    x = np.arange(20.0)
    assert way(_through_space)(x) == (2.0 * x.sum(), *body_space().shape)
