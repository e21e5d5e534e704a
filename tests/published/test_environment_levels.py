"""Overall levels of the shipped vibration environments against the published levels.

The published levels with their sources stand in `rollsim.verification.vibration`; the rounding of
a level sets its tolerance. Rows of basis "from memory" compare a remembered table with a
remembered level: two recollections that agree.
"""

import numpy as np
import pytest

from rollsim.case.environments import ENVIRONMENTS, READ, RECALLED, SHOCKS
from rollsim.verification.vibration import LEVELS, PARTLY_READ

# Basis of the shipped environments: whether the standard was read or is remembered.
BASES = {
    "component_qualification": READ,
    "component_acceptance": READ,
    "minimum_workmanship": RECALLED,
    "rideshare_payload": READ,
    "computer_board": READ,
    "highway_truck_vertical": RECALLED,
    "highway_truck_transverse": RECALLED,
    "highway_truck_longitudinal": RECALLED,
    "stress_screening": RECALLED,
    "railway_axle_vertical": RECALLED,
    "railway_axle_transverse": RECALLED,
    "railway_axle_longitudinal": RECALLED,
    "railway_bogie_vertical": RECALLED,
    "railway_bogie_transverse": RECALLED,
    "railway_bogie_longitudinal": RECALLED,
}


@pytest.mark.parametrize("row", LEVELS, ids=lambda row: row[1])
def test_overall_level_of_environment(row):
    _, name, level, tolerance, again, source = row
    item = ENVIRONMENTS[name]
    assert item.rms() == pytest.approx(level, rel=tolerance), source
    assert item.rms() == pytest.approx(again, rel=1e-4), source
    assert item.overall == level
    assert item.basis == BASES[name]
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
    assert [row[1] for row in LEVELS] == list(ENVIRONMENTS) == list(BASES)


def test_velocity_change_of_the_axle_box_shock():
    """3.8197 m/s: 1000 m/s2, 6 ms (IEC 61373 category 3, value from memory; closed form)."""
    shock = SHOCKS["railway_axle_box_shock"]
    assert shock.velocity_change == pytest.approx(3.8197, rel=1e-4)
    assert shock.basis == RECALLED


def test_read_shock_is_the_one_of_the_worked_example():
    shock = SHOCKS["half_sine_10g_10ms"]
    assert (shock.amplitude, shock.duration) == (pytest.approx(98.0665), 0.01)
    assert shock.basis == READ
