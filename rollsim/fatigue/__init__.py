"""Fatigue of closures and bars of a cage: cycle counting, S-N lines, damage, verdict.

- `verdict`: the evaluation from history to verdict; `result`: what it gives.
- `loads`, `land_loads`: loads on the cage from the history, in the order of the unit loads.
- `recovered`: section forces from them, by the frame of `rollsim.structure`.
- `judged`: all that is read of one history; `mechanisms`, `contact_limits`: every way to fail.
- `pooling`, `pooled_damage`: replicates and duties together; `evidence`: the numbers of it.
- `evaluate`: two passes from section forces to cycles; `stress_file`: their histories in a file.
- `counting`, `mean_stress`, `sn_curve`, `damage`: rainflow, mean stress rules, S-N line, Miner sum,
  reserve.
- `spectral`, `side_line`: damage of a Gaussian stress of the same density, beside that of rainflow.
- `endurance`: textbook values to hold a case against.
- `limits`: warnings, limits of validity and assumptions that are told with a verdict.

The package can be called: `rollsim.fatigue(history)` is `rollsim.fatigue.verdict.fatigue(history)`.
"""

import sys
import types


class _CallablePackage(types.ModuleType):
    """A package that is also the function of the same name."""

    def __call__(self, history, **more):
        """Judge the closures of the cage of a history (see rollsim.fatigue.verdict.fatigue)."""
        from rollsim.fatigue.verdict import fatigue

        return fatigue(history, **more)


sys.modules[__name__].__class__ = _CallablePackage
