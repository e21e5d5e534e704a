"""Choulakian & Stephens, Goodness-of-fit tests for the generalized Pareto distribution, 2001.

Technometrics 43, table 2: Anderson-Darling statistic with shape and scale unknown; shape 0 has the
points 0.796 at 10 % and 0.974 at 5 %. Values from memory.
"""

import pytest

from rollsim.analysis.pareto import table_odds


@pytest.mark.parametrize(("point", "odds"), [(0.796, 0.10), (0.974, 0.05)])
def test_points_of_the_exponential_case(point, odds):
    # Simulated points with a standard error of 2 % leave about 8 % in the probability open.
    assert table_odds(point, 0.0) == pytest.approx(odds, rel=0.1)
