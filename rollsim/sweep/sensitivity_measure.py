"""Numbers of a history for the case itself and for cases that need no run of their own."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from rollsim.errors import RollsimError
from rollsim.fatigue.verdict import fatigue
from rollsim.history.reader import open_history
from rollsim.sweep.quantities import peak_force


def measure_as(cases: dict[str, Any]):
    """Function that measures a finished history, to be handed to another process.

    Parameters
    ----------
    cases : dict
        Name -> Case by which the history is judged; None for the case of the history.

    Returns
    -------
    callable
        Takes a path; gives by name the numbers reserve, yield_share and peak N, and problem (text,
        empty where all is well; the numbers are missing then).
    """
    return partial(_measured, cases)


def _measured(cases: dict[str, Any], path: Any) -> dict[str, dict[str, Any]]:
    """Numbers by name."""
    found = {}
    for name, case in cases.items():
        # Opened anew: what a history has read for one case must not serve another.
        with open_history(path) as history:
            if case is not None:
                seed = history.case.case.seed
                history.case = replace(case, case=case.case.model_copy(update={"seed": seed}))
            found[name] = _numbers(history)
    return found


def _numbers(history: Any) -> dict[str, Any]:
    """Numbers of one history."""
    try:
        verdict = fatigue(history)
    except RollsimError as problem:
        return {"problem": str(problem)}
    return {
        "reserve": float(verdict.reserve),
        "yield_share": float(verdict.yield_share),
        "peak": peak_force(history),
        "problem": "",
    }
