"""Coles, An Introduction to Statistical Modeling of Extreme Values, Springer 2001, section 4.4.1.

Daily rainfall, 17531 days, threshold 30 mm, 152 exceedances: shape 0.184, scale 7.44 mm, 100-year
return level 106.3 mm (years of 365 days). Values from memory.
"""

import numpy as np
import pytest

from rollsim.analysis.extremes import TailFit, return_level

DAYS = 17531.0
EXCEEDANCES = 152


def test_hundred_year_return_level_of_daily_rainfall():
    # One hour of the evaluation stands for one day of the rainfall record.
    rate = EXCEEDANCES / DAYS
    resampled = np.array([[0.184, 7.44, rate]])
    tail = TailFit(30.0, 0.184, 7.44, rate, EXCEEDANCES, DAYS, resampled)
    found = return_level(tail, 36500.0)
    # The printed shape (3 digits) and scale (3 digits) leave about 0.3 mm open.
    assert found.level == pytest.approx(106.3, abs=0.3)
