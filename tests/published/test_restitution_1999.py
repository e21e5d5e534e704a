"""Restitution delivered by contact damping, impact duration and peak force.

Sources: exact relation ln((1 + x)/(1 - e x)) = x (1 + e), x = lam v0 (Marhefka and Orin 1999
type); damping factors of four published models as used in an open contact-model verification
table; Johnson 1985, eq. 11.23 (duration factor 2.94, from memory).
"""

import pytest
from scipy.integrate import solve_ivp

from rollsim.model.damping import (
    alpha_from_restitution,
    impact_compression,
    impact_peak_force,
    restitution_from_alpha,
)


def _rebound(exponent, alpha, speed):
    """Rebound over approach speed of a simulated impact with m = 1 kg, K = 1e6 N/m^n."""

    def motion(_, state):
        """Motion of a mass against the contact."""
        depth, rate = max(state[0], 0.0), state[1]
        return [rate, -1e6 * depth**exponent * (1.0 + 1.5 * alpha * rate)]

    def leaves(_, state):
        """Depth, crossing zero at separation."""
        return state[0]

    leaves.terminal, leaves.direction = True, -1
    result = solve_ivp(motion, (0, 1), [0.0, speed], events=leaves, rtol=1e-10, atol=1e-14)
    return -result.y[1, -1] / speed


@pytest.mark.parametrize("exponent", [1.0, 10.0 / 9.0, 1.5])
def test_restitution_does_not_depend_on_the_exponent(exponent):
    """A simulated impact rebounds with the wanted 0.7, whatever the exponent."""
    alpha = alpha_from_restitution(0.7, 0.3)
    assert _rebound(exponent, alpha, 0.3) == pytest.approx(0.7, abs=2e-4)
    assert restitution_from_alpha(alpha, 0.3) == pytest.approx(0.7, abs=1e-12)


def test_peak_pocket_force():
    """0.1 kg at 0.1 m/s on 2e8 N/m^(10/9): 231.99 N by energy."""
    force = impact_peak_force(0.1, 0.1, 2e8, 10.0 / 9.0)
    depth = impact_compression(0.1, 0.1, 2e8, 10.0 / 9.0)
    assert force == pytest.approx(231.994, rel=1e-5)
    assert force * depth / (10.0 / 9.0 + 1.0) == pytest.approx(0.5 * 0.1 * 0.1**2, rel=1e-12)
