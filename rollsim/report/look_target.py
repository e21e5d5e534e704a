"""What `rollsim vibration` is asked to look at: a case, a history, a named environment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from rollsim.case.environment_file import read_environment_file
from rollsim.case.environments import ENVIRONMENTS, SHOCKS, Environment
from rollsim.case.problems import nearest
from rollsim.case.read import load_case
from rollsim.case.text import parse_toml, read_text
from rollsim.errors import CaseError
from rollsim.history.reader import open_history
from rollsim.report.look import (
    BadLook,
    Look,
    look_at_case,
    look_at_environment,
    look_at_history,
    look_at_shock,
)
from rollsim.report.plain_data import json_ready, number, table, wrapped


def known_environments(file: Path | None = None) -> Mapping[str, Environment]:
    """Shipped environments and those of a file.

    Parameters
    ----------
    file : Path or None
        File of environments.

    Returns
    -------
    mapping
        Name -> Environment.
    """
    if file is None:
        return ENVIRONMENTS
    found, problems = read_environment_file(file)
    if problems:
        raise CaseError(problems)
    return found


def look_at(target: str, duration: float | None = None, file: Path | None = None) -> Look:
    """Look at whatever a name means.

    Parameters
    ----------
    target : str
        Case file, history file, or name of an environment or shock.
    duration : float or None, s
        Time to look at; not for histories.
    file : Path or None
        File with environments of the user.

    Returns
    -------
    Look
    """
    known = known_environments(file)
    if target in known:
        return look_at_environment(known[target], duration)
    if target in SHOCKS:
        return look_at_shock(SHOCKS[target])
    path = Path(target)
    if path.suffix == ".toml":
        return look_at_case(_case(path), duration)
    if path.exists() or path.suffix in (".h5", ".parts"):
        if duration is not None:
            raise BadLook(f"{path} is looked at as a whole: leave --duration out.")
        with open_history(path) as history:
            return look_at_history(history)
    names = (*known, *SHOCKS)
    guess = nearest(target, names)
    raise BadLook(
        f"'{target}' is no file and no named environment"
        + (f"; did you mean '{guess}'?" if guess else ".")
        + " `rollsim vibration --list` names the environments."
    )


def _case(path):
    """The case of a file; a file of environments is told apart."""
    text = read_text(path)
    if text.strip() and set(parse_toml(text, str(path))) == {"environment"}:
        raise BadLook(
            f"{path} is a file of environments: name one of them, as in"
            f" `rollsim vibration NAME --environments {path}`."
        )
    return load_case(path)


def environment_list(file: Path | None = None) -> tuple[str, dict]:
    """All named environments and shocks, as text and as a dictionary for JSON.

    Parameters
    ----------
    file : Path or None
        File with environments of the user.

    Returns
    -------
    tuple of str and dict
    """
    known = known_environments(file)
    lines = ["Named random vibration environments"]
    for item in known.values():
        low, high = item.points[0][0], item.points[-1][0]
        unit = item.overall_unit
        printed = "" if item.overall is None else f" (source: {item.overall:g})"
        lines += wrapped(
            f"  {item.name}: {item.title}; {low:g} to {high:g} Hz, {number(item.rms())}"
            f" {unit}{printed}; {item.flag}"
        )
    lines += ["", "Named shocks"]
    rows = [
        [item.name, number(item.amplitude), number(1e3 * item.duration),
         number(item.velocity_change)]
        for item in SHOCKS.values()
    ]  # fmt: skip
    lines += table(["half-sine", "m/s2", "ms", "velocity change m/s"], rows)
    lines += [part for item in SHOCKS.values() for part in wrapped(f"  {item.name}: {item.flag}")]
    found = {
        "environments": [{**asdict(item), "rms": item.rms()} for item in known.values()],
        "shocks": [asdict(item) for item in SHOCKS.values()],
    }
    return "\n".join(lines), json_ready(found)
