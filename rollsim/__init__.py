"""Motion, pocket forces and fatigue of cylindrical roller bearing cages under vibration.

The names below are loaded on first use, so that `import rollsim` stays quick:

    case = rollsim.load_case("case.toml")
    rollsim.run(case, "history.h5")
    history = rollsim.open_history("history.h5")
    rollsim.peaks(history), rollsim.whirl(history), rollsim.fatigue(history)
    rollsim.slip(history), rollsim.wear(history)
"""

import importlib

__version__ = "0.2.0"

_HOME_OF_NAME = {
    "compare": "rollsim.sweep.compare",
    "load_case": "rollsim.case.read",
    "replicates": "rollsim.sweep.replicates",
    "run": "rollsim.sweep.launch",
    "open_history": "rollsim.history.reader",
    "peaks": "rollsim.analysis.peaks",
    "slip": "rollsim.analysis.slip",
    "wear": "rollsim.analysis.wear",
    "whirl": "rollsim.analysis.whirl",
}

# `rollsim.fatigue` is a package and also the function of this name: the package itself can be
# called (see rollsim/fatigue/__init__.py), so that it means the same in every order of imports.
_CALLABLE_PACKAGES = {"fatigue": "rollsim.fatigue"}

__all__ = [
    "__version__",
    "compare",
    "fatigue",
    "load_case",
    "open_history",
    "peaks",
    "replicates",
    "run",
    "slip",
    "wear",
    "whirl",
]


def __getattr__(name):
    """Load a public name from the module where it lives, at its first use."""
    if name in _CALLABLE_PACKAGES:
        return importlib.import_module(_CALLABLE_PACKAGES[name])
    if name not in _HOME_OF_NAME:
        raise AttributeError(f"module 'rollsim' has no attribute {name!r}")
    value = getattr(importlib.import_module(_HOME_OF_NAME[name]), name)
    globals()[name] = value
    return value


def __dir__():
    """List the public names, loaded or not."""
    return sorted(set(globals()) | set(__all__))
