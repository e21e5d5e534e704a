"""Shock of axle-mounted equipment: half-sine of 1000 m/s2 and 6 ms.

Source: IEC 61373, shock of category 3 (value from memory); velocity change 2 A T/pi, closed form.
"""

import math

import numpy as np
import pytest

from rollsim.model.shaking import imposed_acceleration, make_shaking


def test_velocity_change_of_the_half_sine():
    """3.8197 m/s by Simpson's rule over the imposed acceleration."""
    pulse = [[0.1, 6e-3, 0, 0.1, 0.1, 0.0, 1000.0, 0.0]]
    times = np.linspace(0.1, 0.106, 601)
    values = imposed_acceleration(make_shaking(pulse=pulse), times)[:, 1]
    weights = np.r_[1.0, np.tile([4.0, 2.0], 299), 4.0, 1.0] * 1e-5 / 3.0
    assert weights @ values == pytest.approx(3.8197, abs=1e-4)
    assert weights @ values == pytest.approx(2.0 * 1000.0 * 6e-3 / math.pi, rel=1e-8)
