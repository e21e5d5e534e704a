"""What an integrator needs of a case: constants, start, error scales."""

from dataclasses import dataclass

import numpy as np

from rollsim.kernels.layout import output_size, state_size
from rollsim.kernels.rhs import active_size, rhs
from rollsim.kernels.types import Model
from rollsim.model.initial import error_scales, initial_state

#: Error scale of entries that are not controlled, where a solver cannot take infinity.
UNCONTROLLED = 1e30


@dataclass(frozen=True)
class Problem:
    """Constants of the kernels, initial state (state_size,), error allowed per step, step bound.

    scales: error allowed per step and state entry, infinity where it does not count;
    longest_step: s.
    """

    model: Model
    start: np.ndarray
    scales: np.ndarray
    longest_step: float

    @property
    def active(self):
        """Number of state entries that the case integrates."""
        return active_size(self.model)

    def function(self):
        """The right-hand side as scipy's solvers want it, on the active part of the state.

        Returns
        -------
        callable
            f(t, y) -> rates, a new array each time.
        """
        size = state_size(self.model.count)
        state = self.start.copy()
        rates = np.zeros(size)
        out = np.zeros(output_size(self.model.count))
        active = self.active

        def rates_of(time, y):
            state[:active] = y
            rhs(time, state, rates, out, self.model)
            return rates[:active].copy()

        return rates_of


def problem_of(built, tolerance=None, longest_step=None):
    """The initial value problem of a built model.

    Parameters
    ----------
    built : BuiltModel
        The model.
    tolerance : float or None
        Share of the physical error scales; that of the case when None.
    longest_step : float or None, s
        That of the case when None.

    Returns
    -------
    Problem
        The problem.
    """
    solver = built.case.solver
    tolerance = solver.tolerance if tolerance is None else tolerance
    longest = 1e-6 * solver.max_step_us if longest_step is None else longest_step
    return Problem(built.model, initial_state(built), error_scales(built, tolerance), longest)
