"""Whether a run is fit for use: energy balance, step control, checks of tolerance and stiffness.

The bounds are our own choice: shipped cases leave 0.1 to 0.25 % of the heat unexplained and
refuse fewer than 0.1 % of their steps, so that ten times as much means that something is wrong.
"""

import json
import math
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from rollsim.history.worked_out import once_a_history

#: Share of the heat that the energy balance may leave unexplained.
LARGEST_RESIDUAL = 0.01
#: Share of the steps that the step control may refuse.
MOST_REJECTED = 0.1

FIT, UNFIT, UNKNOWN, NOT_CHECKED = "fit", "unfit", "cannot tell", "not checked"


@dataclass(frozen=True)
class QualityLine:
    """One sign of the quality of a run.

    name; state: "fit", "unfit", "cannot tell" or "not checked"; value: number that was found in
    `unit`, NaN where there is none; bound: largest value that is fit; text: what was found; rule:
    what counts as fit.
    """

    name: str
    state: str
    value: float
    unit: str
    bound: float
    text: str
    rule: str


@dataclass(frozen=True)
class RunQuality:
    """Quality of a run: lines, a tuple of QualityLine."""

    lines: tuple

    @property
    def fit(self):
        """False where any line is unfit; what was not checked does not count."""
        return all(line.state != UNFIT for line in self.lines)

    @property
    def verdict(self):
        """In words, with what was not checked."""
        by_state = {state: [] for state in (UNFIT, UNKNOWN, NOT_CHECKED)}
        for line in self.lines:
            if line.state != FIT:
                by_state[line.state].append(line.name)
        if by_state[UNFIT]:
            return f"UNFIT for use: {', '.join(by_state[UNFIT])}"
        open_ends = [f"{', '.join(names)} {state}" for state, names in by_state.items() if names]
        return "fit for use" + (f" as far as checked; {'; '.join(open_ends)}" if open_ends else "")


def run_quality(history):
    """Quality lines of a run, with the checks that were made of it.

    Parameters
    ----------
    history : History
        Open for reading, finished or not.

    Returns
    -------
    RunQuality
    """
    table = history.quality()
    lines = [_ending(history), _numbers(history), _energy(table), _steps(table, history)]
    return RunQuality((*lines, *_checks(history)))


def quality_path(path):
    """File in which the checks of a history are kept, beside it.

    Parameters
    ----------
    path : str or Path
        The history.

    Returns
    -------
    Path

    >>> quality_path("runs/a.h5").as_posix()
    'runs/a.h5.quality.json'
    """
    return Path(f"{path}.quality.json")


def identity(history):
    """What tells one run from another one of the same name.

    Parameters
    ----------
    history : History
        Open for reading.

    Returns
    -------
    dict
    """
    names = ("created", "seed", "solver", "duration_s", "case_name")
    return {name: history.attributes.get(name) for name in names}


def keep_checks(history, lines):
    """Keep the results of checks beside a history; earlier ones of the same names are replaced.

    Parameters
    ----------
    history : History
        Open for reading.
    lines : iterable of QualityLine
        Results.

    Returns
    -------
    Path
        The file.
    """
    kept = {line.name: line for line in _stored(history)} | {line.name: line for line in lines}
    path = quality_path(history.path)
    rows = [{**asdict(line), "value": _or_none(line.value)} for line in kept.values()]
    path.write_text(json.dumps({"run": identity(history), "checks": rows}, indent=1), "utf-8")
    return path


def _or_none(value):
    """A number that JSON can hold."""
    return value if math.isfinite(value) else None


def _stored(history):
    """Checks kept beside a history, as far as they are of this very run."""
    path = quality_path(history.path)
    try:
        found = json.loads(path.read_text("utf-8")) if path.is_file() else {}
        if found.get("run") != identity(history):
            return []
        return [_line(row) for row in found["checks"]]
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return []  # spoilt by hand: as if never made


def _line(row):
    """One line from its stored form."""
    value = math.nan if row["value"] is None else float(row["value"])
    texts = {name: str(row[name]) for name in ("name", "unit", "text", "rule")}
    if row["state"] not in (FIT, UNFIT, UNKNOWN):
        raise ValueError(row["state"])
    return QualityLine(**texts, state=row["state"], value=value, bound=float(row["bound"]))


def _ending(history):
    """Whether the run came to its end."""
    states = {"finished": FIT, "running": UNKNOWN}
    return QualityLine(
        "end of the run",
        states.get(history.status, UNFIT),
        math.nan,
        "",
        math.nan,
        f"status: {history.status}",
        "finished",
    )


@once_a_history
def _numbers(history):
    """Whether all forces are numbers."""
    wrong = 0
    for name in history.names("peak"):
        values = history.stored(name, "peak")
        wrong += int(np.count_nonzero(~np.isfinite(values)))
    return QualityLine(
        "finite values",
        UNFIT if wrong else FIT,
        float(wrong),
        "values",
        0.0,
        f"{wrong} peak values are not finite" if wrong else "every peak value is a finite number",
        "all of them",
    )


def _energy(table):
    """What the energy balance leaves unexplained, over the heat."""
    rule = f"at most {100 * LARGEST_RESIDUAL:g} % of the heat"
    if not _has(table, "heat", "energy_residual") or not table["heat"][-1] > 0.0:
        return QualityLine(
            "energy balance", UNKNOWN, math.nan, "1", LARGEST_RESIDUAL, "no heat to judge by", rule
        )
    # Both columns are sums since the start of the run.
    heat, residual = (float(table[name][-1]) for name in ("heat", "energy_residual"))
    share = abs(residual) / heat
    found = (
        f"{100 * share:.2g} % of the heat is not accounted for ({residual:.3g} J of {heat:.4g} J)"
    )
    if share > LARGEST_RESIDUAL:
        found += "; shorter steps (solver.max_step_us) or a smaller solver.tolerance close the book"
    fit = FIT if share <= LARGEST_RESIDUAL else UNFIT
    return QualityLine("energy balance", fit, share, "1", LARGEST_RESIDUAL, found, rule)


def _steps(table, history):
    """How many steps the control refused, and what the run cost."""
    rule = f"at most {100 * MOST_REJECTED:g} % refused"
    if not _has(table, "steps", "rejected", "evaluations") or not np.sum(table["steps"]):
        return QualityLine(
            "steps", UNKNOWN, math.nan, "1", MOST_REJECTED, "steps were not counted", rule
        )
    steps, rejected, asked = (int(table[n].sum()) for n in ("steps", "rejected", "evaluations"))
    share = rejected / (steps + rejected)
    known = history.attributes.get("solver") in ("leapfrog", "dormand_prince")
    what = f"{rejected} refused ({100 * share:.2g} %)" if known else "refused ones not told"
    rate = asked / float(table["end_time"][-1])
    return QualityLine(
        "steps",
        FIT if share <= MOST_REJECTED else UNFIT,
        share,
        "1",
        MOST_REJECTED,
        f"{steps} steps, {what}, {asked} evaluations, {rate:.3g} a simulated second",
        rule,
    )


def _has(table, *names):
    """Whether the table of blocks has these columns and a row."""
    return all(len(table.get(name, ())) for name in names)


#: Checks that need runs of their own, and how to make them.
CHECKS = {
    "halved tolerance": "rollsim quality HIST.h5 --check tolerance",
    "stiffness": "rollsim quality HIST.h5 --check stiffness",
}


def _checks(history):
    """Results of the checks on request, or how to make them."""
    found = {line.name: line for line in _stored(history)}
    return [
        found.get(name)
        or QualityLine(
            name, NOT_CHECKED, math.nan, "", math.nan, "not checked", f"on request: {command}"
        )
        for name, command in CHECKS.items()
    ]
