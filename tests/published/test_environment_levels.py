"""Overall levels of the shipped vibration environments against the published levels.

The published level and its rounding set the tolerance of each row. Rows of basis "from memory"
compare a remembered table with a remembered level: two recollections that agree.
"""

import pytest

from rollsim.case.environments import ENVIRONMENTS, READ, RECALLED

# name, published overall level, relative tolerance, basis, source
LEVELS = [
    ("component_qualification", 14.1, 0.004, READ, "GSFC-STD-7000A table 2.4-3"),
    ("component_acceptance", 10.0, 0.002, READ, "GSFC-STD-7000A, 3 dB below qualification"),
    # overall level read, breakpoints: value from memory
    ("minimum_workmanship", 6.8, 0.005, RECALLED, "NASA-STD-7001 table 1"),
    ("rideshare_payload", 5.57, 0.01, READ, "rideshare guide of a launch provider, table 3-7"),
    ("computer_board", 2.2, 0.01, READ, "thermal and mechanical design guide"),
    # overall level read, breakpoints: value from memory
    ("highway_truck_transverse", 0.2, 0.04, RECALLED, "MIL-STD-810G"),
    # value from memory
    ("highway_truck_longitudinal", 0.74, 0.03, RECALLED, "MIL-STD-810G"),
    # value from memory
    ("stress_screening", 6.06, 0.01, RECALLED, "NAVMAT P-9492"),
    # value from memory (m/s2 rms)
    ("railway_axle_vertical", 38.0, 0.012, RECALLED, "IEC 61373:2010"),
    ("railway_axle_transverse", 34.0, 0.012, RECALLED, "IEC 61373:2010"),
    ("railway_axle_longitudinal", 17.0, 0.012, RECALLED, "IEC 61373:2010"),
    # value from memory (m/s2 rms)
    ("railway_bogie_vertical", 5.4, 0.015, RECALLED, "IEC 61373:2010"),
    ("railway_bogie_transverse", 4.7, 0.015, RECALLED, "IEC 61373:2010"),
    ("railway_bogie_longitudinal", 2.5, 0.015, RECALLED, "IEC 61373:2010"),
]


@pytest.mark.parametrize(("name", "level", "tolerance", "basis", "source"), LEVELS)
def test_overall_level_of_environment(name, level, tolerance, basis, source):
    item = ENVIRONMENTS[name]
    assert item.rms() == pytest.approx(level, rel=tolerance), source
    assert item.overall == level
    assert item.basis == basis


def test_every_shipped_environment_is_checked():
    assert [row[0] for row in LEVELS] == list(ENVIRONMENTS)
