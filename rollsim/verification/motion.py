"""Kinematic speeds and frequencies of bearings, acceleration of vibrating screens."""

import math
from functools import partial

import numpy as np

from rollsim.case.vibration import ExciterSource
from rollsim.model.kinematics import (
    centrifugal_force,
    characteristic_frequencies,
    entrainment_speed,
)
from rollsim.model.source_rows import harmonic_rows
from rollsim.verification.check import Basis, Check, Source, Topic

TURN = 2.0 * math.pi
#: Arguments of `characteristic_frequencies`; lengths of one bearing in any one unit.
BALLS = ((TURN, 0.0), 9, 7.94e-3, 39.04e-3)
ROLLERS = ((TURN * 2000 / 60, 0.0), 16, 0.331, 2.815, math.radians(15.17))

MOTOR = Source("open motor-bearing data set, 9 balls 7.94 mm, D = 39.04 mm", Basis.PARTLY)
MOTOR_PAGE = Source("page of the open motor-bearing data set", Basis.MEMORY)
FAILURE = Source(
    "open run-to-failure data set, 16 rollers 0.331 in, D = 2.815 in, 15.17 deg", Basis.READ
)
FAILURE_CAGE = Source("open run-to-failure data set; BPFO over the number of rollers", Basis.WORKED)
HARRIS = Source("Harris, Rolling Bearing Analysis", Basis.MEMORY)
HAMROCK = Source("Hamrock and Dowson 1981, roller bearing example", Basis.MEMORY)
IDENTITY = Source("BPFI + BPFO = Z times the ring speed", Basis.CLOSED)
SCREEN = Source("bearing handbook on vibrating machinery, example C.1", Basis.READ)
SCREEN_LOAD = Source("G r w^2/(2 (1 + r/R)) for that example, inputs read", Basis.WORKED)
STROKE = Source("S/2 (2 pi n/60)^2/9.81, as the rule S n^2/1.789e6", Basis.CLOSED)


def _exciter(**keys):
    """Largest acceleration of an exciter in m/s2 and its angular frequency in rad/s."""
    omega, *parts = harmonic_rows([ExciterSource(kind="exciter", **keys)])[0]
    angle = np.linspace(0.0, TURN, 3601)
    c, s = np.array(parts[:3]), np.array(parts[3:])
    values = np.outer(np.cos(angle), c) + np.outer(np.sin(angle), s)
    return np.linalg.norm(values, axis=1).max(), omega


def _screen(place):
    """Of the worked example: acceleration in 9.81 m/s2, angular frequency."""
    largest, omega = _exciter(throw_mm=8.1, throw_is="amplitude", speed_rpm=756.0)
    return (largest / 9.81, omega)[place]


def _screen_load():
    """Radial load of one of two bearings in kN.

    G (6100 kg) is box and exciter together; their common centre stays at rest, so the box of mass
    G/(1 + r/R) moves on the radius r.
    """
    return 1e-3 * 0.5 * 6100.0 / (1.0 + 8.1 / 80.0) * _screen(0) * 9.81


def _stroke(**path):
    """Acceleration of 10 mm from end to end at 900 rpm, in 9.81 m/s2."""
    return _exciter(throw_mm=10.0, throw_is="peak_to_peak", speed_rpm=900.0, **path)[0] / 9.81


def _frequency(bearing, name):
    """One characteristic frequency of a bearing in Hz."""
    return getattr(characteristic_frequencies(*bearing), name)


def _passes():
    """BPFI + BPFO in Hz of 15 rollers at 300 and -40 rad/s."""
    found = characteristic_frequencies((300.0, -40.0), 15, 0.016, 0.080)
    return found.inner_pass + found.outer_pass


def _speeds():
    """Rows of kinematics."""
    turn = "per turn"
    rows = (
        ("K01", "passes of the outer ring", MOTOR, 3.5848, 2e-4, BALLS, "outer_pass", turn),
        ("K02a", "passes of the inner ring", MOTOR_PAGE, 5.4152, 3e-4, BALLS, "inner_pass", turn),
        ("K02b", "cage", MOTOR_PAGE, 0.39828, 3e-4, BALLS, "cage", turn),
        ("K02c", "spin of a ball", MOTOR_PAGE, 4.7135 / 2.0, 1.5e-4, BALLS, "roller", turn),
        ("K03a", "BPFO at 2000 rpm", FAILURE, 236.4, 0.05, ROLLERS, "outer_pass", "Hz"),
        ("K03b", "BPFI", FAILURE, 296.9, 0.05, ROLLERS, "inner_pass", "Hz"),
        ("K03c", "spin of a roller", FAILURE, 139.9, 0.05, ROLLERS, "roller", "Hz"),
        ("K04", "cage", FAILURE_CAGE, 14.775, 0.004, ROLLERS, "cage", "Hz"),
    )
    for key, what, source, value, tolerance, bearing, name, unit in rows:
        compute = partial(_frequency, bearing, name)
        yield Check(key, what, source, value, tolerance, compute, unit, absolute=True)
    mass = 7860.0 * math.pi / 4.0 * 1e-9  # steel roller of 1 mm x 1 mm, kg
    yield Check("K06", "C of F = C d^2 l d_m n_m^2, steel, mm and rpm", HARRIS, 3.39e-11, 0.003,
                lambda: centrifugal_force(mass, 0.5e-3, TURN / 60), "N")  # fmt: skip
    yield Check("K07", "entrainment speed, 64/96 mm, d = 16 mm, 524 rad/s", HAMROCK, 10.061, 0.001,
                lambda: entrainment_speed(524.0, 0.0, 0.016, 0.080), "m/s",
                absolute=True)  # fmt: skip
    yield Check("K09", "BPFI + BPFO, 15 rollers, rings at 300 and -40 rad/s", IDENTITY,
                15.0 * 340.0 / TURN, 1e-12, _passes, "Hz")  # fmt: skip


def _screens():
    """Rows of vibrating screens."""
    yield Check("V24a", "angular frequency at 756 rpm", SCREEN, 79.2, 0.05, partial(_screen, 1),
                "rad/s", absolute=True)  # fmt: skip
    yield Check("V24b", "acceleration at a throw of 8.1 mm", SCREEN, 5.18, 0.01,
                partial(_screen, 0), "g", absolute=True)  # fmt: skip
    yield Check("V25", "radial load of a bearing, G = 6100 kg, R = 80 mm", SCREEN_LOAD, 140.6,
                0.003, _screen_load, "kN")  # fmt: skip
    yield Check("V27a", "circle of 10 mm at 900 rpm", STROKE, 4.528, 0.001, _stroke, "g",
                absolute=True)  # fmt: skip
    yield Check("V27b", "line of 10 mm at 900 rpm", STROKE, 4.528, 0.001,
                lambda: _stroke(path="line", angle_deg=45.0), "g", absolute=True)  # fmt: skip


TOPICS = (
    Topic("Kinematics", tuple(_speeds())),
    Topic("Vibrating screens", tuple(_screens())),
)
