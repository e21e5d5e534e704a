"""What a check says of the vibrations of the cage."""

from types import SimpleNamespace

import numpy as np

from rollsim.report.check_modes import mode_warnings, modes_section


def case(rate):
    """As much of a case as is looked at."""
    return SimpleNamespace(output=SimpleNamespace(rate_Hz=rate))


def elasticity(*frequencies):
    """As much of an elasticity as is looked at."""
    modes = SimpleNamespace(frequencies=np.array(frequencies)) if frequencies else None
    return SimpleNamespace(modes=modes)


def test_frequencies_are_told_against_the_output_rate():
    found = modes_section(case(5000.0), elasticity(340.0, 900.0, 4000.0))
    assert found == {
        "elastic_modes": 3,
        "lowest_mode_Hz": 340.0,
        "highest_mode_Hz": 4000.0,
        "output_rate_over_highest_mode": 1.25,
    }
    assert modes_section(case(5000.0), elasticity()) == {"elastic_modes": 0}


def test_modes_above_half_of_the_rate_are_warned_of():
    (line,) = mode_warnings(case(5000.0), elasticity(340.0, 2600.0, 4000.0))
    assert line.startswith("2 of 3 elastic modes") and "Raise output.rate_Hz to 8000 Hz" in line
    assert mode_warnings(case(8000.0), elasticity(340.0, 2600.0, 4000.0)) == []
    assert mode_warnings(case(5000.0), elasticity()) == []
