"""Range of the notch factors of Peterson's charts as fitted by Pilkey.

Their values stand in `rollsim/verification/structure.py`.
"""

from rollsim.structure.notch import hole_in_tension, step_notch


def test_range_of_the_fits_is_told():
    assert "inside" in step_notch("flat", "tension", 30e-3, 20e-3, 2e-3).formula
    assert "OUTSIDE" in step_notch("flat", "tension", 60e-3, 10e-3, 1e-3).formula
    assert "hole over width 0.5, range 0 to 1, inside" in hole_in_tension(5.0, 10.0).formula
