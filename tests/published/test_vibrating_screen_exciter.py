"""Acceleration of vibrating screens from throw and speed.

Sources: worked example C.1 of a bearing handbook on vibrating machinery (756 rpm, radius 8.1 mm:
omega = 79.2 rad/s, 5.18 g; text read); the rule g = S n^2/1.789e6 with the stroke S in mm from
end to end and n in rpm (closed form: S/2 (2 pi n/60)^2/9.81). Radial load of a bearing of the same
screen, G r w^2/(2 (1 + r/R)) with G = 6100 kg and R = 80 mm: 140.6 kN (inputs read, closed form;
the printed answer was not seen).
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


def test_worked_example():
    largest, omega = _largest(throw_mm=8.1, throw_is="amplitude", speed_rpm=756.0)
    assert omega == pytest.approx(79.2, abs=0.05)
    assert largest / 9.81 == pytest.approx(5.18, abs=0.01)


@pytest.mark.parametrize("path", ["circle", "line"])
def test_rule_for_the_stroke(path):
    """10 mm from end to end at 900 rpm: 4.528 g."""
    keys = {} if path == "circle" else {"angle_deg": 45.0}
    largest, _ = _largest(
        throw_mm=10.0, throw_is="peak_to_peak", speed_rpm=900.0, path=path, **keys
    )
    assert largest / 9.81 == pytest.approx(4.528, abs=0.001)
    assert largest / 9.81 == pytest.approx(10.0 * 900.0**2 / 1.789e6, rel=1e-3)


def test_radial_load_of_a_bearing_of_the_worked_example():
    """140.6 kN: half the force that shakes the box and the exciter shaft on their circles.

    G (6100 kg) is box and exciter together; their common centre stays at rest, so the box of
    mass G/(1 + r/R) moves on the radius r.
    """
    largest, _ = _largest(throw_mm=8.1, throw_is="amplitude", speed_rpm=756.0)
    box = 6100.0 / (1.0 + 8.1 / 80.0)
    assert 0.5 * box * largest == pytest.approx(140.6e3, rel=0.003)
