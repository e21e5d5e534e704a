"""Relations between fields: found in the same pass as wrong single values.

A check asks `Values` for what it needs. Where one of those values is itself wrong or missing,
the check is left out: its own problem is reported already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from rollsim.case.environments import ENVIRONMENTS
from rollsim.case.fields import Section, detail
from rollsim.case.lines import Path
from rollsim.case.problems import Book


class Unknown(Exception):
    """A value that a check needs is wrong, missing or left to the model."""


class Finding(NamedTuple):
    """One relation that does not hold: the key to blame, what is wrong, nearest known name."""

    key: str | Path
    message: str
    suggestion: str | None = None


@dataclass
class Block:
    """One table as read: its section, the raw keys, and the keys that are wrong."""

    model: type[Section]
    raw: Mapping[str, Any]
    bad: set[str]


class Values:
    """Valid values of a case file by their key, defaults included.

    Parameters
    ----------
    blocks : dict
        Path of a table -> Block.
    environments : mapping or None
        Name -> Environment, None for a name whose table is wrong; None as a whole where the file
        of environments cannot be read.
    """

    def __init__(
        self, blocks: dict[Path, Block], environments: Mapping[str, Any] | None = ENVIRONMENTS
    ) -> None:
        self.blocks = blocks
        self._environments = environments

    @property
    def environments(self) -> Mapping[str, Any]:
        """Known environments by name; raises Unknown where they could not be read."""
        if self._environments is None:
            raise Unknown("case.environments_file")
        return self._environments

    def __getitem__(self, key: str | Path) -> Any:
        """Value of a key; raises Unknown where there is none to rely on."""
        value = self.find(key)
        if value is None:
            raise Unknown(key)
        return value

    def find(self, key: str | Path) -> Any:
        """Value of a key, None where it was not given and has no default.

        Parameters
        ----------
        key : str or tuple
            "roller.count", or a path.

        Returns
        -------
        object
            The value. A wrong one raises Unknown.
        """
        *table, name = as_path(key)
        block = self.blocks.get(tuple(table))
        if block is None or name in block.bad or name not in block.model.model_fields:
            raise Unknown(key)
        field = block.model.model_fields[name]
        if name not in block.raw and detail(field, "sort") == "needed":
            raise Unknown(key)
        return block.raw.get(name, field.default)

    def given(self, key: str | Path) -> bool:
        """Whether the file holds the key.

        Parameters
        ----------
        key : str or tuple
            "roller.count", or a path.

        Returns
        -------
        bool
            True also for a wrong value.
        """
        *table, name = as_path(key)
        block = self.blocks.get(tuple(table))
        return block is not None and name in block.raw

    def sources(self) -> list[Path]:
        """Paths of the vibration sources whose kind is known."""
        return [path for path in self.blocks if path[0] == "vibration"]


Check = Callable[[Values], Iterator[Finding]]


def as_path(key: str | Path) -> Path:
    """Path of a dotted key.

    Parameters
    ----------
    key : str or tuple
        "roller.count", or a path already.

    Returns
    -------
    tuple
        The path.

    Examples
    --------
    >>> as_path("cage.closure.kind")
    ('cage', 'closure', 'kind')
    """
    return tuple(key.split(".")) if isinstance(key, str) else key


def run_checks(book: Book, values: Values, checks: Iterable[Check]) -> None:
    """Run relations; every one that does not hold goes into the book.

    Parameters
    ----------
    book : Book
        Takes the problems.
    values : Values
        The valid values.
    checks : iterable of functions
        Each takes the values and yields findings.
    """
    for check in checks:
        _run(book, values, check)


def _run(book: Book, values: Values, check: Check) -> None:
    """Run one check as far as its values are known."""
    try:
        for finding in check(values):
            path = as_path(finding.key)
            value = values.find(path) if values.given(path) else None
            book.add(path, finding.message, value, finding.suggestion)
    except Unknown:
        return
