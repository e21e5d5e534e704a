"""Acceleration of vibrating screens from throw and speed.

The rule g = S n^2/1.789e6 with the stroke S in mm from end to end and n in rpm (closed form:
S/2 (2 pi n/60)^2/9.81). A worked example of a handbook stands in `rollsim/verification/motion.py`.
"""

import math

import numpy as np
import pytest

from rollsim.case.vibration import ExciterSource
from rollsim.model.source_rows import harmonic_rows


def _largest(**keys):
    """Largest acceleration of an exciter in m/s2 and its angular frequency."""
    source = ExciterSource(kind="exciter", **keys)
    omega, *parts = harmonic_rows([source])[0]
    angle = np.linspace(0.0, 2.0 * math.pi, 3601)
    c, s = np.array(parts[:3]), np.array(parts[3:])
    values = np.outer(np.cos(angle), c) + np.outer(np.sin(angle), s)
    return np.linalg.norm(values, axis=1).max(), omega


@pytest.mark.parametrize("path", ["circle", "line"])
def test_rule_for_the_stroke(path):
    """10 mm from end to end at 900 rpm: 4.528 g."""
    keys = {} if path == "circle" else {"angle_deg": 45.0}
    largest, _ = _largest(
        throw_mm=10.0, throw_is="peak_to_peak", speed_rpm=900.0, path=path, **keys
    )
    assert largest / 9.81 == pytest.approx(4.528, abs=0.001)
    assert largest / 9.81 == pytest.approx(10.0 * 900.0**2 / 1.789e6, rel=1e-3)
