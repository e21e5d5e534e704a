"""Errors that reach the user: plain words and the exit code of the command line.

Exit codes: 1 a run failed, 2 the input cannot be used.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

_SHOWN_LENGTH = 60


class RollsimError(Exception):
    """Base of every error that rollsim raises on purpose; its text is for people."""

    exit_code = 1


class RunError(RollsimError):
    """A simulation could not go on (exit code 1)."""

    exit_code = 1


class HistoryError(RollsimError):
    """A history file is missing, foreign or damaged (exit code 2)."""

    exit_code = 2


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with a case file.

    Fields: file (name as given), line (1 = first, None where no line can be named), key
    (dotted path, empty for the file as a whole), value (as read, None where there is none to
    show), message (what is allowed or what does not fit), suggestion (nearest known name).
    """

    file: str
    line: int | None
    key: str
    value: Any
    message: str
    suggestion: str | None = None

    def __str__(self) -> str:
        """One line: where, key and value, what is wrong, what was perhaps meant."""
        where = self.file if self.line is None else f"{self.file}, line {self.line}"
        what = self.message
        if self.value is not None and self.key:
            what = f"{self.key} = {shown(self.value)}: {what}"
        if self.suggestion is not None:
            what = f"{what}; did you mean '{self.suggestion}'?"
        return f"{where}: {what}"


class CaseError(RollsimError):
    """A case file cannot be used; carries every problem found (exit code 2).

    Parameters
    ----------
    problems : iterable of Problem
        Everything that is wrong, in any order; kept in `problems` file by file, sorted by line.
    """

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        problems = list(problems)
        files = list(dict.fromkeys(problem.file for problem in problems))
        self.problems = tuple(sorted(problems, key=lambda p: (files.index(p.file), *_by_line(p))))
        super().__init__(self.problems)

    def __str__(self) -> str:
        """All problems, one a line, below their count."""
        count = len(self.problems)
        file = self.problems[0].file if self.problems else "case file"
        head = f"{file}: {count} problem{'' if count == 1 else 's'} found"
        return "\n".join([head, *(f"  {problem}" for problem in self.problems)])


def shown(value: Any) -> str:
    """Value as a person wrote it in the file, shortened when long.

    Parameters
    ----------
    value : object
        Anything that a case file can hold.

    Returns
    -------
    str
        Text of at most about 60 characters.

    Examples
    --------
    >>> shown(True), shown("abc"), shown([1, 2.5])
    ('true', "'abc'", '[1, 2.5]')
    """
    try:
        text = _toml_like(value)
    except ValueError:  # whole numbers of thousands of digits have no decimal text
        text = "a very long number"
    return text if len(text) <= _SHOWN_LENGTH else text[: _SHOWN_LENGTH - 4] + " ..."


def _toml_like(value: Any) -> str:
    """Text of a value, close to its form in the file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return repr(value)
    if isinstance(value, dict):
        pairs = (f"{key} = {_toml_like(item)}" for key, item in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml_like(item) for item in value) + "]"
    return str(value)


def _by_line(problem: Problem) -> tuple[float, str]:
    """Sort key: by line, problems without a line last."""
    return (math.inf if problem.line is None else problem.line, problem.key)
