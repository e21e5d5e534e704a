"""Fatigue of cage closures: cycle counting, S-N lines, damage, verdict.

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
