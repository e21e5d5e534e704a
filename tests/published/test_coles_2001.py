"""Coles, An Introduction to Statistical Modeling of Extreme Values, Springer 2001, section 4.4.1.

Daily rainfall, 17531 days, threshold 30 mm, 152 exceedances: shape 0.184, scale 7.44 mm, 100-year
return level 106.3 mm (years of 365 days). Values from memory.
"""

import pytest

from rollsim.analysis.pareto import pareto_level

DAYS = 17531.0
EXCEEDANCES = 152


def test_hundred_year_return_level_of_daily_rainfall():
    odds = 1.0 / (EXCEEDANCES / DAYS * 36500.0)
    # The printed shape (3 digits) and scale (3 digits) leave about 0.3 mm open.
    assert pareto_level(odds, 30.0, 0.184, 7.44) == pytest.approx(106.3, abs=0.3)
