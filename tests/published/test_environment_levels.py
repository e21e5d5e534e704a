"""Overall levels of the shipped vibration environments against the published levels.

The published level and its rounding set the tolerance of each row. Rows of basis "from memory"
compare a remembered table with a remembered level: two recollections that agree.
"""

import numpy as np
import pytest

from rollsim.case.environments import ENVIRONMENTS, READ, RECALLED, SHOCKS

# name, published overall level, relative tolerance, level of the same breakpoints from an
# independent integration, basis, source
LEVELS = [
    ("component_qualification", 14.1, 0.004, 14.1356, READ, "GSFC-STD-7000A table 2.4-3"),
    ("component_acceptance", 10.0, 0.002, 9.99539, READ, "GSFC-STD-7000A, 3 dB below that"),
    # overall level read, breakpoints: value from memory
    ("minimum_workmanship", 6.8, 0.005, 6.78424, RECALLED, "NASA-STD-7001 table 1"),
    ("rideshare_payload", 5.57, 0.005, 5.56782, READ, "rideshare guide of a launch provider"),
    ("computer_board", 2.2, 0.01, 2.20755, READ, "thermal and mechanical design guide"),
    # value from memory
    ("highway_truck_vertical", 1.04, 0.005, 1.04292, RECALLED, "MIL-STD-810G"),
    # overall level read, breakpoints: value from memory
    ("highway_truck_transverse", 0.2, 0.04, 0.20351, RECALLED, "MIL-STD-810G"),
    # value from memory
    ("highway_truck_longitudinal", 0.74, 0.03, 0.740153, RECALLED, "MIL-STD-810G"),
    # value from memory
    ("stress_screening", 6.06, 0.01, 6.05818, RECALLED, "NAVMAT P-9492"),
    # value from memory (m/s2 rms)
    ("railway_axle_vertical", 38.0, 0.012, 37.939, RECALLED, "IEC 61373:2010"),
    ("railway_axle_transverse", 34.0, 0.012, 33.9531, RECALLED, "IEC 61373:2010"),
    ("railway_axle_longitudinal", 17.0, 0.012, 16.9814, RECALLED, "IEC 61373:2010"),
    # value from memory (m/s2 rms)
    ("railway_bogie_vertical", 5.4, 0.015, 5.3815, RECALLED, "IEC 61373:2010"),
    ("railway_bogie_transverse", 4.7, 0.015, 4.68537, RECALLED, "IEC 61373:2010"),
    ("railway_bogie_longitudinal", 2.5, 0.015, 2.51138, RECALLED, "IEC 61373:2010"),
]
# Which part of a row was read and which recalled, where they differ.
PARTLY_READ = ("minimum_workmanship", "highway_truck_transverse")


@pytest.mark.parametrize(("name", "level", "tolerance", "again", "basis", "source"), LEVELS)
def test_overall_level_of_environment(name, level, tolerance, again, basis, source):
    item = ENVIRONMENTS[name]
    assert item.rms() == pytest.approx(level, rel=tolerance), source
    assert item.rms() == pytest.approx(again, rel=1e-4), source
    assert item.overall == level
    assert item.basis == basis
    assert item.basis in item.flag and item.source in item.flag
    assert ("overall level read, breakpoints from memory" in item.flag) == (name in PARTLY_READ)


def test_level_by_quadrature_of_the_log_log_lines():
    """A second route: the trapezoidal rule on a fine grid of the interpolated density."""
    for item in ENVIRONMENTS.values():
        frequency, density = np.array(item.points).T
        grid = np.geomspace(frequency[0], frequency[-1], 200_001)
        fine = np.exp(np.interp(np.log(grid), np.log(frequency), np.log(density)))
        area = np.sum(0.5 * (fine[1:] + fine[:-1]) * np.diff(grid))
        assert item.rms() == pytest.approx(float(np.sqrt(area)), rel=1e-6), item.name


def test_every_shipped_environment_is_checked():
    assert [row[0] for row in LEVELS] == list(ENVIRONMENTS)


def test_velocity_change_of_the_axle_box_shock():
    """3.8197 m/s: 1000 m/s2, 6 ms (IEC 61373 category 3, value from memory; closed form)."""
    shock = SHOCKS["railway_axle_box_shock"]
    assert shock.velocity_change == pytest.approx(3.8197, rel=1e-4)
    assert shock.basis == RECALLED


def test_read_shock_is_the_one_of_the_worked_example():
    shock = SHOCKS["half_sine_10g_10ms"]
    assert (shock.amplitude, shock.duration) == (pytest.approx(98.0665), 0.01)
    assert shock.basis == READ
